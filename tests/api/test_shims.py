"""Shim packs over HTTP: the calculation, and the choice for one unit from what is on record."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from db.queries.access import now
from tests.api.bodies import Shop, assembly, error_of, finding, mm, part, stock_item

AT = "2026-03-04T09:00:00Z"
PACK = "/calculations/shim-pack"
GAP = {
    "measured_gap": mm("0.47", standard_uncertainty="0.004"),
    "clearance_lower": mm("0.06"),
    "clearance_upper": mm("0.11"),
}


def made(shop: Shop, path: str, **body: Any) -> str:
    return shop.make(path, body)


def totals(choice: Any) -> list[str]:
    return [pack["total"]["value"] for pack in choice["packs"]]


@pytest.mark.engines("sqlite")
def test_a_pack_is_told_with_its_shims_total_and_probability(shop: Shop) -> None:
    stock = [{"thickness": mm("0.20"), "quantity": 1}, {"thickness": mm("0.18"), "quantity": 4}]
    answer = shop.call("POST", PACK, json={**GAP, "stock": stock, "max_shims": 2}).json()
    assert answer["advice"] == "fit-and-check"
    assert (answer["needed"]["lower"], answer["needed"]["upper"]) == (mm("0.36"), mm("0.41"))
    first = answer["packs"][0]
    assert first["total"] == mm("0.38") and first["comes_to"] == mm("0.09")
    assert 0.95 < float(first["probability_in_range"]) < 1
    assert [line["thickness"]["value"] for line in first["shims"]] == ["0.18", "0.2"]
    assert first["from_stock"] is True and first["is_likely_enough"] is True


@pytest.mark.engines("sqlite")
@pytest.mark.parametrize(
    ("body", "pointer", "code"),
    [
        ({}, "/pack_lower", "missing"),
        ({**GAP, "max_shims": 13}, "/max_shims", "out-of-range"),
        ({**GAP, "rule": {"step": mm("0.05")}}, "/rule/rounding", "rule-incomplete"),
        ({**GAP, "stock": [{"thickness": {"value": "1", "unit": "N"}}]},
         "/stock/0/thickness/unit", "unit-wrong-dimension"),
    ],
)  # fmt: skip
def test_a_question_that_cannot_be_answered_names_the_member(
    shop: Shop, body: dict[str, Any], pointer: str, code: str
) -> None:
    answer = shop.call("POST", PACK, json=body)
    assert answer.status_code == 422
    assert error_of(answer, pointer)["code"] == code


# --- one unit -------------------------------------------------------------------------------------


@pytest.fixture
def bench(shop: Shop) -> dict[str, str]:
    """A unit of a design with one place for shims that sets an end float of 0.05 to 0.15."""
    ids = {"assembly": shop.make("/assemblies", assembly())}
    place = {"assembly_id": ids["assembly"], "name": "Shims", "reference": "7"}
    ids["position"] = shop.make("/positions", {**place, "maker_supply": "sold"})
    ids["float"] = made(
        shop,
        "/characteristics",
        position_id=ids["position"],
        name="end float",
        new_lower=mm("0.05"),
        new_upper=mm("0.15"),
    )
    ids["part"] = shop.make("/parts", part(name="Shim 0.30", kind="shim"))
    ids["place"] = made(
        shop,
        "/shim-places",
        position_id=ids["position"],
        name="input shaft",
        effect="more-shims-decrease",
        sets_characteristic_id=ids["float"],
        sizes=[{"thickness": mm("0.30"), "part_id": ids["part"]}, {"thickness": mm("0.20")}],
        disturbed_by_position_ids=[ids["position"]],
        seating="Turn the shaft ten times each way.",
    )
    ids["unit"] = made(shop, "/units", assembly_id=ids["assembly"], kind="customer")
    return ids


def choice(shop: Shop, bench: dict[str, str], **query: str) -> Any:
    answer = shop.call("GET", f"/units/{bench['unit']}/shim-choices", params=query)
    assert answer.status_code == 200, answer.text
    (item,) = answer.json()["items"]
    return item


def record(shop: Shop, bench: dict[str, str], on: str = "2026-03-04") -> None:
    made(
        shop,
        "/shim-packs",
        unit_id=bench["unit"],
        place="Input  shaft",
        sets="end float",
        effect="more-shims-decrease",
        stage="as-found",
        recorded_by="bench two",
        recorded_on=on,
        shims=[{"thickness": mm("0.20"), "quantity": 1}],
    )


def find(shop: Shop, bench: dict[str, str], value: str) -> str:
    body = finding(bench["unit"], bench["position"], bench["float"])
    measured = mm(value, standard_uncertainty="0.006")
    return shop.make("/findings", {**body, "found_at": AT, "measured": measured})


def test_a_unit_takes_what_its_pack_and_its_end_float_ask_for(
    shop: Shop, other_shop: Shop, bench: dict[str, str]
) -> None:
    item = choice(shop, bench)
    assert item["choice"] is None
    assert any("no as-found pack is recorded" in text for text in item["missing"])
    assert "end float is not measured" in item["missing"]
    record(shop, bench)
    finding = find(shop, bench, "0.20")
    item = choice(shop, bench, shim_place_id=bench["place"])
    # 0.20 + (0.20 - 0.05 .. 0.15): 0.25 to 0.35.
    needed = item["choice"]["needed"]
    assert (needed["lower"], needed["upper"]) == (mm("0.25"), mm("0.35"))
    assert item["missing"] == [] and item["finding_id"] == finding
    assert item["choice"]["advice"] == "fit-and-check"
    assert totals(item["choice"]) == ["0.3"]
    assert item["choice"]["packs"][0]["from_stock"] is False
    assert item["seating"] == "Turn the shaft ten times each way."
    assert any("does not hold after" in text for text in item["cautions"])
    # On hand it is once the shop has the part; another shop's shelf counts for nothing.
    shelf = stock_item(name="Shim 0.30", kind="shim", quantity=3, part_id=bench["part"])
    shop.make("/stock-items", shelf)
    first = choice(shop, bench)["choice"]["packs"][0]
    assert first["from_stock"] is True and first["shims"][0]["part_id"] == bench["part"]
    path = f"/units/{bench['unit']}/shim-choices"
    assert other_shop.call("GET", path).status_code == 404


def test_what_is_measured_now_takes_the_place_of_the_finding(
    shop: Shop, bench: dict[str, str]
) -> None:
    now = {"shim_place_id": bench["place"], "measured": "0.40", "standard_uncertainty": "0.006"}
    item = choice(shop, bench, **now, is_without_shims="true")
    assert totals(item["choice"])[0] == "0.3" and item["shim_pack_id"] is None
    item = choice(shop, bench, **now)
    assert item["choice"] is None  # over which pack is not known
    record(shop, bench)
    item = choice(shop, bench, **now)
    assert Decimal(item["choice"]["needed"]["value"]["value"]) == Decimal("0.5")
    assert totals(item["choice"])[0] == "0.5"
    path = f"/units/{bench['unit']}/shim-choices"
    for query, pointer, code in (
        ({"measured": "0.4"}, "/shim_place_id", "missing"),
        ({**now, "unit": "N"}, "/unit", "unit-wrong-dimension"),
        ({"standard_uncertainty": "0.1"}, "/standard_uncertainty", "missing"),
        ({"shim_place_id": "spl_none"}, "/shim_place_id", "reference-unknown"),
    ):
        answer = shop.call("GET", path, params=query)
        assert answer.status_code == 422
        assert error_of(answer, pointer)["code"] == code


def test_the_final_pack_is_recorded_and_measured_over(shop: Shop, bench: dict[str, str]) -> None:
    """As found, chosen, fitted, measured again: what stays is on record, and is left alone."""
    record(shop, bench)
    find(shop, bench, "0.20")
    item = choice(shop, bench)
    pack = item["choice"]["packs"][0]
    job = shop.make("/jobs", {"unit_id": bench["unit"], "complaint": "Noisy."})
    fitted = {
        "unit_id": bench["unit"],
        "shim_place_id": item["shim_place_id"],
        "place": item["name"],
        "sets": item["sets"],
        "effect": item["effect"],
        "stage": "as-fitted",
        "job_id": job,
        "recorded_by": "bench two",
        "recorded_on": now().date().isoformat(),
        "shims": [
            {name: line[name] for name in ("thickness", "quantity")} for line in pack["shims"]
        ],
    }
    fitted_id = shop.make("/shim-packs", fitted)
    item = choice(shop, bench)
    assert item["choice"] is None and "since the pack was fitted" in item["missing"][0]
    # The same day, once the pack is on record; what was found before needs no correction.
    at = (now() + timedelta(seconds=2)).isoformat()
    body = finding(bench["unit"], bench["position"], bench["float"], found_at=at)
    shop.make("/findings", {**body, "measured": mm("0.10", standard_uncertainty="0.006")})
    item = choice(shop, bench)
    assert (item["shim_pack_id"], item["missing"]) == (fitted_id, [])
    assert item["choice"]["advice"] == "old-pack-stays" and item["choice"]["packs"] == []
