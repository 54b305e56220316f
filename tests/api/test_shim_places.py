"""Places for shims over HTTP, and what records say of duty, rework and causes."""

from typing import Any

import pytest

from tests.api import bodies
from tests.api.bodies import Shop, error_of, mm, money


@pytest.fixture
def ids(shop: Shop) -> dict[str, str]:
    assembly = shop.make("/assemblies", bodies.assembly())
    position = shop.make("/positions", {"assembly_id": assembly, "name": "Seat"})
    limits = {"new_lower": mm("0.05"), "new_upper": mm("0.10")}
    seat = {"position_id": position, "name": "End float", **limits}
    return {
        "assembly": assembly,
        "position": position,
        "characteristic": shop.make("/characteristics", seat),
        "part": shop.make("/parts", bodies.part()),
        "unit": shop.make("/units", {"assembly_id": assembly, "kind": "customer"}),
    }


def test_a_place_is_stored_changed_and_named_by_its_packs(
    shop: Shop, other_shop: Shop, ids: dict[str, str]
) -> None:
    sets = {"sets_characteristic_id": ids["characteristic"]}
    body = bodies.shim_place(ids["position"], **sets)
    place = shop.make("/shim-places", body)
    stored = other_shop.get(f"/shim-places/{place}")  # all shops read what one records
    assert stored.json()["rule"]["digits"][1] == {"first": 5, "last": 9, "to": 10}
    assert stored.json()["sizes"][1]["is_discontinued"] is True
    etag = {"If-Match": stored.headers["ETag"], "Content-Type": "application/merge-patch+json"}
    other = other_shop.call("PATCH", f"/shim-places/{place}", json={"name": "x"}, headers=etag)
    assert other.status_code == 403
    change = {"rule": None, "effect": "more-shims-increase"}
    changed = shop.call("PATCH", f"/shim-places/{place}", json=change, headers=etag)
    assert changed.status_code == 200, changed.text
    assert changed.json()["rule"] is None
    pack = shop.make("/shim-packs", bodies.shim_pack(ids["unit"], shim_place_id=place))
    found = shop.get("/shim-packs", shim_place_id=place).json()["items"]
    assert [one["id"] for one in found] == [pack]
    gone = shop.call("DELETE", f"/shim-places/{place}", headers={"If-Match": '"2"'})
    assert gone.status_code == 409
    assert [user["id"] for user in gone.json()["used_by"]] == [pack]
    listed = shop.get("/shim-places", sets_characteristic_id=ids["characteristic"])
    assert [one["id"] for one in listed.json()["items"]] == [place]


@pytest.mark.parametrize(
    ("members", "pointer", "code"),
    [
        ({"factor": "0"}, "/factor", "out-of-range"),
        ({"sizes": [{"thickness": mm("0.1")}] * 2}, "/sizes/1/thickness", "duplicate-item"),
        ({"sizes": [{"thickness": mm("51")}]}, "/sizes/0/thickness/value", "out-of-range"),
        (
            {"rule": {"digits": [{"first": 0, "last": 8, "to": 0}], "digits_unit": mm("0.01")}},
            "/rule/digits/0/last",
            "rounding-table",
        ),
        ({"rule": {"step": mm("0.05")}}, "/rule/rounding", "rule-incomplete"),
        ({"disturbed_by_position_ids": ["none"]}, "/disturbed_by_position_ids/0", None),
        ({"position_id": "none"}, "/position_id", None),
    ],
)
def test_a_place_that_cannot_be_is_refused(
    shop: Shop, ids: dict[str, str], members: dict[str, Any], pointer: str, code: str | None
) -> None:
    answer = shop.post("/shim-places", {**bodies.shim_place(ids["position"]), **members})
    assert error_of(answer, pointer)["code"] == (code or "reference-unknown")


def test_duty_rework_and_causes_are_stored_or_refused(shop: Shop, ids: dict[str, str]) -> None:
    newton, speed = {"value": "900", "unit": "N"}, {"value": "1450", "unit": "1/min"}
    duty = {"rolling": "ball", "dynamic_rating": newton, "equivalent_load": newton}
    duty |= {"speed": speed, "basis": "name plate"}
    bearing = {"assembly_id": ids["assembly"], "name": "Bearing", "duty": duty}
    stored = shop.get(f"/positions/{shop.make('/positions', bearing)}").json()
    assert stored["duty"]["speed"]["value"] == "1450"
    still = {**bearing, "duty": {**duty, "speed": {"value": "0", "unit": "1/min"}}}
    error_of(shop.post("/positions", still), "/duty/speed/value")
    rework = {
        "kind": "sleeve",
        "puts_right": [ids["characteristic"]],
        "parts": [{"part_id": ids["part"]}],
    }
    service = {
        "supplier_id": shop.make("/suppliers", bodies.supplier()),
        "kind": "service",
        "description": "Sleeve the seat",
        "price": money("40.00"),
        "p50_days": "1",
        "p90_days": "2",
        "position_id": ids["position"],
    }
    told = shop.get(f"/offers/{shop.make('/offers', {**service, 'rework': rework})}").json()
    assert told["rework"] == {
        **rework,
        "parts": [{"part_id": ids["part"], "quantity": 1}],
        "p50_hours": "0",
        "p90_hours": "0",
    }
    slow = {**service, "rework": {**rework, "p50_hours": "2", "p90_hours": "1"}}
    assert error_of(shop.post("/offers", slow), "/rework/p90_hours")["code"] == "p90-below-p50"
    whole = {**service, "position_id": None, "assembly_id": ids["assembly"], "rework": rework}
    assert error_of(shop.post("/offers", whole), "/rework")["code"] == "rework-misplaced"
    job = {"unit_id": ids["unit"], "complaint": "Noisy.", "failure_mechanism": "fatigue"}
    removed = {**job, "is_cause_removed": True}
    assert error_of(shop.post("/jobs", removed), "/is_cause_removed")["code"] == "cause-missing"
    shop.make("/jobs", {**removed, "cause_kind": "contamination"})


def test_settings_take_each_cause_once(shop: Shop) -> None:
    settings = bodies.settings()
    dirt = {"cause_kind": "contamination", "probability": "0.05"}
    worn = {**dirt, "mechanism": "wear", "basis": "jobs"}
    settings["warranty"] |= {"cause_chances": [dirt, worn]}
    settings["rules"] = {**settings.get("rules", {}), "inspection_cap_hours": "500"}
    life = {"part_kind": "bearing", "shape": "1.5", "scale_hours": "9000", "basis": "jobs"}
    settings["life_records"] = [{**life, "method": "assumed-shape", "failures": 3}]
    stored = shop.get(f"/shop-settings/{shop.make('/shop-settings', settings)}").json()
    assert stored["warranty"]["cause_chances"][1]["mechanism"] == "wear"
    assert stored["rules"]["inspection_cap_hours"] == "500"
    assert stored["life_records"][0]["failures"] == 3
    settings["warranty"]["cause_chances"].append(dirt)
    answer = shop.post("/shop-settings", settings)
    assert error_of(answer, "/warranty/cause_chances/2")["code"] == "duplicate-item"
