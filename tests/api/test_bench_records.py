"""What the bench records, over HTTP: made, changed, retired; cautions travel with the answers."""

from typing import Any

import pytest
from pydantic import ValidationError

from api.app import Api
from api.schemas.assemblies import AssemblyCreate, AssemblyInSnapshot
from tests.api import bodies
from tests.api.bodies import Shop, error_of, fresh, money
from tests.api.conftest import make_shop
from tests.api.test_changes import change, retire
from tests.api.test_records import World

CHANGES: dict[str, dict[str, Any]] = {
    "/cautions": {"kind": "handling", "text": "Keep it upright."},
    "/supersessions": {"later_lines": [], "effective_on": "2029-04-01", "note": "It ends here."},
    "/special-tools": {
        "features": [{"kind": "bore", "designation": None, "size": bodies.mm("30"), "count": 1}],
        "force": None,
        "torque": {"value": "90", "unit": "N·m"},
        "torque_highest": {"value": "110", "unit": "N·m"},
        "uses": [],
        "is_symmetric": True,
        "tight_ring": "outer",
        "press_fit": {
            "diameter": bodies.mm("40"),
            "length": bodies.mm("18"),
            "hole_class": "H7",
            "shaft_class": "p6",
            "hub_outside": None,
            "shaft_bore": bodies.mm("12"),
            "hub_material": "cast iron",
            "shaft_material": None,
        },
    },
    "/stock-items": {
        "quantity": 10,
        "worth": money("0.45"),
        "size": bodies.mm("60.0"),
        "features": [],
        "tip": "dog",
        "hardness": "320 HV",
        "certificate": "Calibration 118",
    },
    "/shim-packs": {
        "shims": [{"thickness": bodies.mm("0.10"), "quantity": 3, "is_broken": True}],
        "effect": "more-shims-decrease",
    },
    "/deliveries": {"arrived_on": "2031-03-08", "freight": money("9.50")},
    "/outcomes": {"actual_cost": {"amount": "410.00"}, "bench_hours": "5.5", "comebacks": []},
}
CATALOGUE = ("/cautions", "/supersessions", "/special-tools")


@pytest.fixture
def world(shop: Shop) -> World:
    return World(shop)


@pytest.fixture(scope="module")
def untouched(app: Api, client: Any) -> World:
    """A world for tests that store nothing but what they refer to."""
    return World(make_shop(app, client, fresh("Invented workshop")))


def test_each_kind_is_changed_and_keeps_the_rest(shop: Shop, world: World) -> None:
    for path, patch in CHANGES.items():
        where = f"{path}/{world.made[path][0]}"
        before = shop.get(where).json()
        answer = change(shop, where, patch, 1)
        assert answer.status_code == 200, answer.text
        after = answer.json()
        assert after == shop.get(where).json()
        assert after["version"] == 2
        kept = before.keys() - patch.keys() - {"version", "updated_at"}
        assert {name: after[name] for name in kept} == {name: before[name] for name in kept}
        assert all(after[name] != before[name] for name in patch), path


def test_each_kind_sent_again_as_it_was_read_is_the_same(shop: Shop, world: World) -> None:
    for path in CHANGES:
        where = f"{path}/{world.made[path][0]}"
        before = shop.get(where).json()
        members = before.keys() - {"id", "version", "created_at", "updated_at"}
        answer = change(shop, where, {name: before[name] for name in members}, 1)
        assert answer.status_code == 200, (path, answer.text)
        assert answer.json() == before


def test_each_kind_is_changed_and_retired_by_its_own_shop_alone(
    shop: Shop, other_shop: Shop, world: World
) -> None:
    for path, patch in CHANGES.items():
        where = f"{path}/{world.made[path][0]}"
        expected = 403 if path in CATALOGUE else 404
        assert retire(other_shop, where, 1).status_code == expected, path
        assert change(other_shop, where, patch, 1).status_code == expected, path
        assert retire(shop, where, 1).status_code == 204, path
        assert shop.get(where).status_code == 404, path
        listed = shop.get(path, limit="200").json()["items"]
        assert world.made[path][0] not in [item["id"] for item in listed]


@pytest.mark.parametrize("path", CHANGES)
def test_a_body_of_each_kind_without_anything_names_what_is_missing(shop: Shop, path: str) -> None:
    answer = shop.post(path, {})
    assert answer.status_code == 422
    codes = {error["code"] for error in answer.json()["errors"]}
    assert codes == {"missing"}


def test_lists_narrow_by_their_filters(untouched: World) -> None:
    shop = untouched.shop
    made = {path: record_id for path, (record_id, _) in untouched.made.items()}
    asked = (
        ("/cautions", {"position_id": made["/positions"]}),
        ("/supersessions", {"earlier_part_id": made["/parts"]}),
        ("/special-tools", {"function": "separate", "assembly_id": made["/assemblies"]}),
        ("/stock-items", {"kind.in": "screw,nut", "part_id": made["/parts"]}),
        ("/shim-packs", {"unit_id": made["/units"], "recorded_on.lte": "2031-03-04"}),
        ("/deliveries", {"job_id": made["/jobs"], "ordered_at.gte": "2031-03-04T09:15:00Z"}),
        ("/outcomes", {"job_id": made["/jobs"]}),
    )
    for path, query in asked:
        answer = shop.get(path, **query)
        assert [item["id"] for item in answer.json()["items"]] == [made[path]], (path, answer.text)
    assert shop.get("/deliveries", **{"arrived_on.gte": "2031-03-08"}).json()["items"] == []
    assert error_of(shop.get("/special-tools", function="hit"), "/function")


@pytest.mark.parametrize(
    ("path", "change_of_body", "pointer"),
    [
        ("/cautions", {"position_id": None}, ""),
        ("/cautions", {"part_id": "prt_none"}, "/part_id"),
        ("/cautions", {"kind": "yellow"}, "/kind"),
        ("/supersessions", {"serial_from": "20", "serial_to": "10"}, "/serial_to"),
        ("/supersessions", {"later_lines": [], "may_go_back": True}, "/may_go_back"),
        ("/special-tools", {"function": "hit"}, "/function"),
        ("/special-tools", {"force": {"value": "12", "unit": "N·m"}}, "/force/unit"),
        ("/special-tools", {"features": [{"kind": "bore"}]}, "/features"),
        ("/special-tools", {"assembly_id": None}, "/assembly_id"),
        ("/special-tools", {"force_highest": {"value": "9", "unit": "kN"}}, "/force_highest"),
        ("/special-tools", {"torque_highest": {"value": "9", "unit": "N·m"}}, "/torque"),
        ("/special-tools", {"sealed_area": bodies.mm("40")}, "/sealed_area/unit"),
        ("/special-tools", {"tolerance": bodies.mm("0")}, "/tolerance/value"),
        ("/special-tools", {"uses": ["impact", "impact"]}, "/uses/1"),
        ("/special-tools", {"uses": ["towing"]}, "/uses/0"),
        ("/special-tools", {"workpiece_hardness": "quite hard"}, "/workpiece_hardness"),
        ("/special-tools", {"part_id": "prt_none"}, "/part_id"),
        ("/special-tools", {"press_fit": {"diameter": bodies.mm("40")}}, "/press_fit/length"),
        ("/stock-items", {"hardness": "95"}, "/hardness"),
        ("/stock-items", {"form": "hammer"}, "/form"),
        ("/stock-items", {"features": [{"kind": "bore"}]}, "/features"),
        ("/stock-items", {"quantity": -1}, "/quantity"),
        ("/stock-items", {"quantity": "12"}, "/quantity"),
        ("/stock-items", {"size": bodies.mm("0")}, "/size/value"),
        ("/stock-items", {"worth": money("1.00", "USD")}, "/worth/currency"),
        ("/shim-packs", {"stage": "as-fitted"}, "/job_id"),
        ("/shim-packs", {"effect": "up"}, "/effect"),
        ("/shim-packs", {"shims": None}, "/shims"),
        ("/shim-packs", {"recorded_on": "2031-02-30"}, "/recorded_on"),
        ("/deliveries", {"lines": []}, "/lines"),
        ("/deliveries", {"lines": [{"quantity": 1}]}, "/lines"),
        ("/deliveries", {"arrived_on": "2031-03-03"}, "/arrived_on"),
        ("/deliveries", {"ordered_at": "2031-03-04T09:15:00"}, "/ordered_at"),
        ("/outcomes", {"decision_id": "dec_none"}, "/decision_id"),
        ("/outcomes", {"handed_over_on": "2031-09-01"}, "/comebacks/0/came_back_on"),
        ("/outcomes", {"actual_cost": money("1.00", "USD")}, "/actual_cost/currency"),
    ],
)
def test_what_is_not_true_is_refused_where_it_stands(
    untouched: World, path: str, change_of_body: dict[str, Any], pointer: str
) -> None:
    shop, world = untouched.shop, untouched
    _, body = world.made[path]
    if path == "/outcomes":
        job = shop.make("/jobs", {"unit_id": world.made["/units"][0], "complaint": "Noisy."})
        body = {**body, "job_id": job}
    before = shop.get(path, limit="200").json()["items"]
    assert error_of(shop.post(path, {**body, **change_of_body}), pointer)
    assert shop.get(path, limit="200").json()["items"] == before


def test_a_second_outcome_of_a_job_names_the_first(untouched: World) -> None:
    outcome_id, body = untouched.made["/outcomes"]
    answer = untouched.shop.post("/outcomes", body)
    assert answer.status_code == 409
    assert answer.json()["type"] == "/problems/duplicate"
    assert answer.json()["existing_id"] == outcome_id


def test_shims_stay_with_their_unit(shop: Shop, world: World) -> None:
    unit = shop.make("/units", {"assembly_id": world.made["/assemblies"][0], "kind": "customer"})
    where = f"/shim-packs/{world.made['/shim-packs'][0]}"
    assert error_of(change(shop, where, {"unit_id": unit}, 1), "/unit_id")["code"] == "fixed-member"
    job = shop.make("/jobs", {"unit_id": unit, "complaint": "Noisy."})
    answer = change(shop, where, {"stage": "as-fitted", "job_id": job}, 1)
    assert error_of(answer, "/job_id")["code"] == "other-unit"


# --- cautions travel -------------------------------------------------------------------------


def told(shop: Shop, job_id: str) -> list[dict[str, str]]:
    """What the options of a job warn of."""
    answer = shop.get(f"/jobs/{job_id}/options", as_of="2031-03-05T08:00:00Z")
    assert answer.status_code == 200, answer.text
    return list(answer.json()["cautions"])


def test_a_caution_is_told_with_the_options_of_every_job_it_bears_on(
    shop: Shop, world: World
) -> None:
    made = {path: record_id for path, (record_id, _) in world.made.items()}
    texts = {"/positions": world.made["/cautions"][1]["text"]}
    for path, name in (
        ("/assemblies", "assembly_id"),
        ("/labour-operations", "labour_operation_id"),
        ("/special-tools", "special_tool_id"),
        ("/parts", "part_id"),
    ):
        body = bodies.caution(**{name: made[path]})
        shop.make("/cautions", body)
        texts[path] = body["text"]
    elsewhere = bodies.caution(part_id=shop.make("/parts", bodies.part()))
    shop.make("/cautions", elsewhere)
    found = [one["text"] for one in told(shop, made["/jobs"])]
    for path, text in texts.items():
        assert found.count(text) == 1, path
    assert elsewhere["text"] not in found
    assert "Spring under the cover." in found


def test_a_caution_said_twice_is_told_once(shop: Shop, world: World) -> None:
    same = {"kind": "hazard", "text": "Spring under the cover.", "source": "Seen"}
    shop.make("/cautions", {**same, "position_id": world.made["/positions"][0]})
    shop.make("/cautions", {**same, "assembly_id": world.made["/assemblies"][0]})
    found = told(shop, world.made["/jobs"][0])
    assert [one["text"] for one in found].count("Spring under the cover.") == 1


def test_another_shops_caution_about_a_part_is_told_too(
    shop: Shop, other_shop: Shop, world: World
) -> None:
    body = bodies.caution(part_id=world.made["/parts"][0])
    other_shop.make("/cautions", body)
    assert body["text"] in [one["text"] for one in told(shop, world.made["/jobs"][0])]


def test_a_retired_caution_is_told_no_more(shop: Shop, world: World) -> None:
    caution_id, body = world.made["/cautions"]
    job_id = world.made["/jobs"][0]
    assert body["text"] in [one["text"] for one in told(shop, job_id)]
    assert retire(shop, f"/cautions/{caution_id}", 1).status_code == 204
    assert body["text"] not in [one["text"] for one in told(shop, job_id)]


def test_a_snapshot_carries_more_cautions_than_one_record_has_of_its_own() -> None:
    members = {"maker": "Oakhollow Drives", "model": "LF-2", "kind": "drive"}
    members["cautions"] = [{"kind": "hazard", "text": f"Warning {n}"} for n in range(51)]
    assert len(AssemblyInSnapshot.model_validate({"id": "asm-1", **members}).cautions) == 51
    with pytest.raises(ValidationError):
        AssemblyCreate.model_validate(members)
