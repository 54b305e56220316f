"""What contradicts itself is refused before it reaches the database."""

from typing import Any

import pytest

from tests.api import bodies
from tests.api.bodies import Shop, error_of, money


def position(**more: Any) -> dict[str, Any]:
    return {"assembly_id": "asm_1", "name": "Pair", **more}


def characteristic(**more: Any) -> dict[str, Any]:
    return {"position_id": "pos_1", "name": "Seat", **more}


def settings(part: str, **more: Any) -> dict[str, Any]:
    body = bodies.settings()
    return {**body, part: {**body.get(part, {}), **more}}


def mm(value: str) -> dict[str, str]:
    return {"value": value, "unit": "mm"}


SENSELESS: dict[str, tuple[str, dict[str, Any], str, str]] = {
    "negative hours": (
        "/labour-operations",
        bodies.operation("asm_1", p50_hours="-1"),
        "/p50_hours",
        "out-of-range",
    ),
    "P90 below P50": (
        "/labour-operations",
        bodies.operation("asm_1", p90_hours="0.5"),
        "/p90_hours",
        "p90-below-p50",
    ),
    "opening without a group": (
        "/labour-operations",
        bodies.operation("asm_1", kind="open"),
        "/access_group_id",
        "target-missing",
    ),
    "harvest without a position": (
        "/labour-operations",
        bodies.operation("asm_1", kind="harvest"),
        "/position_id",
        "target-missing",
    ),
    "replace-as-assembly without reason": (
        "/positions",
        position(serviceability={"ruling": "replace-as-assembly"}),
        "/serviceability/reason",
        "reason-missing",
    ),
    "inspect-only without reason": (
        "/serviceability-rulings",
        {"position_id": "pos_1", "ruling": "inspect-only"},
        "/reason",
        "reason-missing",
    ),
    "serviceable against the maker without evidence": (
        "/positions",
        position(maker_supply="whole-only"),
        "/serviceability/evidence",
        "evidence-missing",
    ),
    "limits of mixed kinds": (
        "/characteristics",
        characteristic(service_lower=mm("1"), service_upper={"value": "2", "unit": "N·m"}),
        "/service_upper/unit",
        "unit-wrong-dimension",
    ),
    "limits the wrong way round": (
        "/characteristics",
        characteristic(service_lower=mm("26"), service_upper={"value": "1", "unit": "in"}),
        "/service_lower",
        "range-reversed",
    ),
    "limits and a grade": (
        "/characteristics",
        characteristic(service_lower=mm("1"), worst_acceptable_grade="light"),
        "/service_lower",
        "dimension-and-attribute",
    ),
    "nothing to judge by": ("/characteristics", characteristic(), "", "limits-missing"),
    "a set of one": (
        "/position-sets",
        {"assembly_id": "asm_1", "kind": "matched", "name": "Pair", "position_ids": ["pos_1"]},
        "/position_ids",
        "too-few",
    ),
    "a set that names a position twice": (
        "/position-sets",
        {"assembly_id": "asm_1", "kind": "matched", "name": "P", "position_ids": ["a", "a"]},
        "/position_ids/1",
        "repeated",
    ),
    "a part that stands in for itself": (
        "/interchange-claims",
        {
            "part_id": "prt_1",
            "stand_in_part_id": "prt_1",
            "evidence_kind": "told",
            "evidence": "Said so.",
        },
        "/stand_in_part_id",
        "same-part",
    ),
    "a finding both measured and graded": (
        "/findings",
        bodies.finding("unt_1", "pos_1", "chr_1", grade="none"),
        "/grade",
        "measured-or-graded",
    ),
    "a finding neither measured nor graded": (
        "/findings",
        bodies.finding("unt_1", "pos_1", "chr_1", measured=None),
        "/measured",
        "measured-or-graded",
    ),
    "a size measured by eye": (
        "/findings",
        bodies.finding("unt_1", "pos_1", "chr_1", method="by-eye"),
        "/method",
        "method-does-not-measure",
    ),
    "a donor not released": (
        "/units",
        bodies.donor("asm_1", released_on=None),
        "/released_on",
        "donor-not-released",
    ),
    "a donor without terms": (
        "/units",
        bodies.donor("asm_1", donor=None),
        "/donor",
        "donor-terms-missing",
    ),
    "a donor to buy without a price": (
        "/units",
        bodies.donor("asm_1", donor={"is_owned": False}),
        "/donor/price",
        "price-missing",
    ),
    "a customer's unit as donor": (
        "/units",
        bodies.donor("asm_1", kind="customer", released_on=None),
        "/donor",
        "donor-terms-misplaced",
    ),
    "hours the wrong way round": (
        "/units",
        {"assembly_id": "asm_1", "kind": "customer", "lower_hours": "9", "upper_hours": "8"},
        "/upper_hours",
        "range-reversed",
    ),
    "goods at a position": (
        "/offers",
        bodies.offer("sup_1", position_id="pos_1"),
        "/position_id",
        "offer-target",
    ),
    "goods for nothing": ("/offers", bodies.offer("sup_1"), "/part_id", "offer-target"),
    "goods for two things": (
        "/offers",
        bodies.offer("sup_1", part_id="prt_1", assembly_id="asm_1"),
        "/assembly_id",
        "offer-target",
    ),
    "a service on a part": (
        "/offers",
        bodies.offer("sup_1", kind="service", condition=None, part_id="prt_1"),
        "/part_id",
        "offer-target",
    ),
    "goods in no condition": (
        "/offers",
        bodies.offer("sup_1", part_id="prt_1", condition=None),
        "/condition",
        "condition-missing",
    ),
    "validity the wrong way round": (
        "/offers",
        bodies.offer("sup_1", part_id="prt_1", valid_from="2031-02-01", valid_until="2031-01-01"),
        "/valid_until",
        "range-reversed",
    ),
    "more back than was paid": (
        "/offers",
        bodies.offer(
            "sup_1",
            assembly_id="asm_1",
            core={
                "deposit": money("100.00"),
                "refund": money("100.01"),
                "acceptance_probability": "0.8",
            },
        ),
        "/core/refund/amount",
        "refund-above-deposit",
    ),
    "a core in another currency": (
        "/offers",
        bodies.offer(
            "sup_1",
            assembly_id="asm_1",
            core={"deposit": money("100.00", "USD"), "acceptance_probability": "0.8"},
        ),
        "/core/deposit/currency",
        "currency-mixed",
    ),
    "a chance above one": (
        "/offers",
        bodies.offer("sup_1", part_id="prt_1", reject_probability="1.01"),
        "/reject_probability",
        "out-of-range",
    ),
    "mark-up above a thousand": (
        "/shop-settings",
        settings("pricing", tax_percent="1000.01"),
        "/pricing/tax_percent",
        "out-of-range",
    ),
    "a rate in another currency": (
        "/shop-settings",
        settings("pricing", disposal=money("1.00", "USD")),
        "/pricing/disposal/currency",
        "currency-mixed",
    ),
    "an eighth weekday": (
        "/shop-settings",
        settings("calendar", weekdays=[1, 8]),
        "/calendar/weekdays/1",
        "out-of-range",
    ),
    "no weekday": (
        "/shop-settings",
        settings("calendar", weekdays=[]),
        "/calendar/weekdays",
        "too-few",
    ),
    "an unknown time zone": (
        "/shop-settings",
        settings("calendar", timezone="Europe/Nowhere"),
        "/calendar/timezone",
        "timezone-unknown",
    ),
    "closing before opening": (
        "/shop-settings",
        settings("calendar", opens_at="17:00", closes_at="08:00"),
        "/calendar/closes_at",
        "range-reversed",
    ),
    "a day of thirty hours": (
        "/shop-settings",
        settings("calendar", bench_hours_per_day="30"),
        "/calendar/bench_hours_per_day",
        "out-of-range",
    ),
    "a certain promise": (
        "/shop-settings",
        settings("rules", promise_confidence="1"),
        "/rules/promise_confidence",
        "out-of-range",
    ),
    "a certain prior": (
        "/shop-settings",
        bodies.settings(
            salvage_experience=[{"prior_mean": "1", "prior_weight": "10"}],
        ),
        "/salvage_experience/0/prior_mean",
        "out-of-range",
    ),
    "more comebacks than fitments": (
        "/shop-settings",
        bodies.settings(
            comeback_experience=[
                {
                    "kind": "new",
                    "prior_mean": "0.1",
                    "prior_weight": "10",
                    "comebacks": 2,
                    "trials": 1,
                }
            ],
        ),
        "/comeback_experience/0/comebacks",
        "count-above-trials",
    ),
    "no horizon": (
        "/jobs",
        {"unit_id": "unt_1", "complaint": "Noisy.", "horizon_hours": "0"},
        "/horizon_hours",
        "out-of-range",
    ),
    "serial numbers the wrong way round": (
        "/assemblies",
        bodies.assembly(serial_from="200", serial_to="100"),
        "/serial_to",
        "range-reversed",
    ),
    "a warranty of no hours": (
        "/shop-settings",
        settings("warranty", warranty_hours="0"),
        "/warranty/warranty_hours",
        "invalid",
    ),
    "a warranty longer than any machine runs": (
        "/shop-settings",
        settings("warranty", warranty_hours="1000000001"),
        "/warranty/warranty_hours",
        "invalid",
    ),
    "even odds for a verdict": (
        "/shop-settings",
        settings("rules", conformity_probability="0.5"),
        "/rules/conformity_probability",
        "invalid",
    ),
    "a country whose holidays are not known": (
        "/shop-settings",
        settings("calendar", country="ZZ"),
        "/calendar/country",
        "country-unknown",
    ),
    "a part of a country that is none": (
        "/shop-settings",
        settings("calendar", country="GB", subdivision="QQ"),
        "/calendar/subdivision",
        "subdivision-unknown",
    ),
    "a kit that lists a part twice": (
        "/parts",
        bodies.part(kit_lines=[{"part_id": "prt_1"}, {"part_id": "prt_1"}]),
        "/kit_lines/1",
        "repeated",
    ),
}


@pytest.mark.parametrize("what", SENSELESS)
def test_what_makes_no_sense_is_refused(shop: Shop, what: str) -> None:
    path, body, pointer, code = SENSELESS[what]
    assert error_of(shop.post(path, body), pointer)["code"] == code


def test_a_reference_to_nothing_is_refused(shop: Shop) -> None:
    body = {"assembly_id": "asm_none", "name": "Bolt"}
    assert error_of(shop.post("/positions", body), "/assembly_id")


def test_a_finding_for_another_assemblys_characteristic_is_refused(shop: Shop) -> None:
    assemblies = [shop.make("/assemblies", bodies.assembly()) for _ in range(2)]
    positions = [
        shop.make("/positions", {"assembly_id": assembly, "name": "Shaft"})
        for assembly in assemblies
    ]
    foreign = shop.make(
        "/characteristics",
        {"position_id": positions[1], "name": "Seat", "service_lower": mm("1")},
    )
    unit = shop.make("/units", {"assembly_id": assemblies[0], "kind": "customer"})
    answer = shop.post("/findings", bodies.finding(unit, positions[0], foreign))
    assert error_of(answer, "/characteristic_id")
    assert shop.get("/findings").json()["items"] == []


def test_a_finding_of_the_wrong_dimension_is_refused(shop: Shop) -> None:
    assembly = shop.make("/assemblies", bodies.assembly())
    position_id = shop.make("/positions", {"assembly_id": assembly, "name": "Shaft"})
    seat = shop.make(
        "/characteristics",
        {"position_id": position_id, "name": "Seat", "service_lower": mm("1")},
    )
    unit = shop.make("/units", {"assembly_id": assembly, "kind": "customer"})
    body = bodies.finding(unit, position_id, seat, measured={"value": "5", "unit": "N·m"})
    assert error_of(shop.post("/findings", body), "/measured/unit")


def test_an_amount_in_another_currency_than_the_shops_is_refused(shop: Shop) -> None:
    shop.make("/shop-settings", bodies.settings())
    answer = shop.post("/stock-items", bodies.stock_item(worth=money("1.00", "USD")))
    assert error_of(answer, "/worth/currency")


def test_a_tree_of_a_hundred_levels_is_refused(shop: Shop) -> None:
    assembly = shop.make("/assemblies", bodies.assembly())
    parent: str | None = None
    for level in range(100):
        body = {"assembly_id": assembly, "name": f"Level {level}", "parent_id": parent}
        answer = shop.post("/positions", body)
        if answer.status_code == 422:
            assert error_of(answer, "/parent_id")
            assert level >= 10
            return
        parent = answer.json()["id"]
    pytest.fail("a hundred levels were taken")
