"""What no decision can be worked out from is refused: where it is recorded, and sent whole.

Each refusal names the member, what was seen there and the mend.
"""

import json
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from api.demo.records import seed_folder
from db.queries.access import now
from tests.api import bodies
from tests.api.bodies import Shop, error_of, money

Members = dict[str, Any]
Spoil = Callable[[Members], None]


def goods(**more: Any) -> Members:
    return bodies.offer("sup_1", part_id="prt_1", **more)


def breaks(*pairs: tuple[int, str]) -> list[Members]:
    return [{"from_quantity": number, "price": money(price)} for number, price in pairs]


def core(**more: Any) -> Members:
    return {"deposit": money("250.00"), "acceptance_probability": "0.8", **more}


def donor(**more: Any) -> Members:
    terms = {"is_owned": False, "price": money("120.00"), **more}
    return bodies.donor("asm_1", donor=terms)


def job(**more: Any) -> Members:
    return {"unit_id": "unt_1", "complaint": "Noisy.", **more}


def with_part(part: str, **more: Any) -> Members:
    body = bodies.settings()
    return {**body, part: {**body.get(part, {}), **more}}


def experience(**more: Any) -> Members:
    return {"prior_mean": "0.8", "prior_weight": "10", **more}


WAITING = {"kind": "loan", "cost_per_day": money("12.00"), "price_per_day": money("18.00")}
WORTH = {"position_id": "pos_1", "worth": money("15.00")}

BAD_RECORDS: dict[str, tuple[str, Members, str, str]] = {
    "price breaks that overlap": (
        "/offers",
        goods(price_breaks=breaks((10, "9.90"), (10, "9.00"))),
        "/price_breaks/1/from_quantity",
        "breaks-overlap",
    ),
    "price breaks that fall back": (
        "/offers",
        goods(price_breaks=breaks((50, "9.90"), (10, "9.00"))),
        "/price_breaks/1/from_quantity",
        "breaks-overlap",
    ),
    "a break that begins with one piece": (
        "/offers",
        goods(price_breaks=breaks((1, "9.90"))),
        "/price_breaks/0/from_quantity",
        "out-of-range",
    ),
    "a break that is dearer than one piece": (
        "/offers",
        goods(price_breaks=breaks((10, "11.81"))),
        "/price_breaks/0/price/amount",
        "break-dearer",
    ),
    "a break in another currency": (
        "/offers",
        goods(price_breaks=[{"from_quantity": 5, "price": money("1.00", "USD")}]),
        "/price_breaks/0/price/currency",
        "currency-mixed",
    ),
    "an empty pack": ("/offers", goods(pack_quantity=0), "/pack_quantity", "out-of-range"),
    "no least quantity": (
        "/offers",
        goods(minimum_quantity=0),
        "/minimum_quantity",
        "out-of-range",
    ),
    "fewer than none available": (
        "/offers",
        goods(available_quantity=-1),
        "/available_quantity",
        "out-of-range",
    ),
    "a service by the pack": (
        "/offers",
        bodies.offer("sup_1", kind="service", condition=None, position_id="p", pack_quantity=2),
        "/pack_quantity",
        "not-of-a-service",
    ),
    "an exchange item by the pack": (
        "/offers",
        bodies.offer("sup_1", assembly_id="a", core=core(), pack_quantity=2),
        "/pack_quantity",
        "not-with-a-core",
    ),
    "a refund above the deposit": (
        "/offers",
        bodies.offer("sup_1", assembly_id="a", core=core(refund=money("250.01"))),
        "/core/refund/amount",
        "refund-above-deposit",
    ),
    "an unknown fault of a core": (
        "/offers",
        bodies.offer("sup_1", assembly_id="a", core=core(refused_when=["dirty"])),
        "/core/refused_when/0",
        "not-listed",
    ),
    "a fault named twice": (
        "/offers",
        bodies.offer("sup_1", assembly_id="a", core=core(refused_when=["cracked", "cracked"])),
        "/core/refused_when/1",
        "repeated",
    ),
    "a chance above one": (
        "/offers",
        goods(reject_probability="1.01"),
        "/reject_probability",
        "out-of-range",
    ),
    "an acceptance above one": (
        "/offers",
        bodies.offer("sup_1", assembly_id="a", core=core(acceptance_probability="80")),
        "/core/acceptance_probability",
        "out-of-range",
    ),
    "a lead time whose P90 lies below its P50": (
        "/offers",
        goods(p50_days="5"),
        "/p90_days",
        "p90-below-p50",
    ),
    "an amount beyond the bound": (
        "/offers",
        goods(price=money("10000000.01")),
        "/price/amount",
        "out-of-range",
    ),
    "negative freight": (
        "/suppliers",
        bodies.supplier(freight=money("-9.50")),
        "/freight/amount",
        "out-of-range",
    ),
    "a fee without its word": (
        "/suppliers",
        bodies.supplier(minimum_order=money("50.00"), small_order_fee=money("8.00")),
        "/small_order_fee",
        "fee-misplaced",
    ),
    "its word without a fee": (
        "/suppliers",
        bodies.supplier(minimum_order=money("50.00"), below_minimum="fee"),
        "/small_order_fee",
        "fee-missing",
    ),
    "below a minimum that there is not": (
        "/suppliers",
        bodies.supplier(below_minimum="refused"),
        "/minimum_order",
        "minimum-missing",
    ),
    "a minimum in another currency": (
        "/suppliers",
        bodies.supplier(minimum_order=money("50.00", "USD")),
        "/minimum_order/currency",
        "currency-mixed",
    ),
    "free freight from less than nothing": (
        "/suppliers",
        bodies.supplier(free_freight_from=money("-1.00")),
        "/free_freight_from/amount",
        "out-of-range",
    ),
    "a rate of nothing": (
        "/exchange-rates",
        bodies.exchange_rate(rate="0"),
        "/rate",
        "out-of-range",
    ),
    "a rate of too many digits": (
        "/exchange-rates",
        bodies.exchange_rate(rate="1.2345678901234"),
        "/rate",
        "decimal-format",
    ),
    "a rate of thirteen digits": (
        "/exchange-rates",
        bodies.exchange_rate(rate="12.12345678901"),
        "/rate",
        "out-of-range",
    ),
    "a rate as a number": (
        "/exchange-rates",
        bodies.exchange_rate(rate=0.0874),
        "/rate",
        "decimal-format",
    ),
    "a currency in itself": (
        "/exchange-rates",
        bodies.exchange_rate(currency="EUR"),
        "/in_currency",
        "currencies-equal",
    ),
    "no currency": (
        "/exchange-rates",
        bodies.exchange_rate(currency="kr"),
        "/currency",
        "currency-format",
    ),
    "an inspection of nothing": (
        "/labour-operations",
        bodies.operation("asm_1", kind="inspect"),
        "/position_id",
        "target-missing",
    ),
    "a kit that covers nothing": ("/parts", bodies.part(kind="kit"), "/kit_lines", "kit-empty"),
    "a set with one member": (
        "/position-sets",
        {"assembly_id": "a", "kind": "matched", "name": "Pair", "position_ids": ["pos_1"]},
        "/position_ids",
        "too-few",
    ),
    "parts worth more than the rest": (
        "/units",
        donor(remainder_worth=money("14.99"), part_worths=[WORTH]),
        "/donor/part_worths",
        "worth-above-remainder",
    ),
    "a part's worth told twice": (
        "/units",
        donor(remainder_worth=money("40.00"), part_worths=[WORTH, WORTH]),
        "/donor/part_worths/1",
        "repeated",
    ),
    "negative freight of a donor": (
        "/units",
        donor(freight=money("-1.00")),
        "/donor/freight/amount",
        "out-of-range",
    ),
    "a donor whose P90 lies below its P50": (
        "/units",
        donor(p50_days="3", p90_days="2"),
        "/donor/p90_days",
        "p90-below-p50",
    ),
    "waiting without its price": (
        "/jobs",
        job(waiting={name: WAITING[name] for name in ("kind", "cost_per_day")}),
        "/waiting/price_per_day",
        "missing",
    ),
    "waiting in a way that there is not": (
        "/jobs",
        job(waiting={**WAITING, "kind": "walk"}),
        "/waiting/kind",
        "not-listed",
    ),
    "waiting for more than is counted": (
        "/jobs",
        job(waiting={**WAITING, "price_per_day": money("1000000.01")}),
        "/waiting/price_per_day/amount",
        "out-of-range",
    ),
    "a standstill below nothing": (
        "/jobs",
        job(standstill_cost_per_day=money("-1.00")),
        "/standstill_cost_per_day/amount",
        "out-of-range",
    ),
    "more hours than a year has": (
        "/jobs",
        job(hours_per_year="8785"),
        "/hours_per_year",
        "out-of-range",
    ),
    "no hours a year": ("/jobs", job(hours_per_year="0"), "/hours_per_year", "out-of-range"),
    "a calendar without a working day": (
        "/shop-settings",
        with_part("calendar", weekdays=[]),
        "/calendar/weekdays",
        "too-few",
    ),
    "arrivals that hang together in a way that there is not": (
        "/shop-settings",
        with_part("rules", arrival_dependence="perhaps"),
        "/rules/arrival_dependence",
        "not-listed",
    ),
    "interest below nothing": (
        "/shop-settings",
        with_part("rules", interest_percent_per_year="-1"),
        "/rules/interest_percent_per_year",
        "out-of-range",
    ),
    "a shelf worth more than new": (
        "/shop-settings",
        with_part("policy", shelf_worth_percent="101"),
        "/policy/shelf_worth_percent",
        "out-of-range",
    ),
    "more conforming than inspected": (
        "/shop-settings",
        bodies.settings(inspection_experience=[experience(conforming=3, trials=2)]),
        "/inspection_experience/0/conforming",
        "count-above-trials",
    ),
    "an inspection that leaves no doubt": (
        "/shop-settings",
        bodies.settings(inspection_experience=[experience(prior_mean="1")]),
        "/inspection_experience/0/prior_mean",
        "out-of-range",
    ),
}


@pytest.mark.parametrize("what", BAD_RECORDS)
def test_a_record_that_no_decision_could_use_is_refused(shop: Shop, what: str) -> None:
    path, body, pointer, code = BAD_RECORDS[what]
    assert error_of(shop.post(path, body), pointer)["code"] == code


def test_a_new_offer_past_its_validity_is_refused_and_one_on_record_may_end(shop: Shop) -> None:
    supplier, part = (
        shop.make("/suppliers", bodies.supplier()),
        shop.make("/parts", bodies.part()),
    )
    past = (now().date() - timedelta(days=2)).isoformat()
    body = bodies.offer(supplier, part_id=part)
    refusal = error_of(shop.post("/offers", {**body, "valid_until": past}), "/valid_until")
    assert refusal["code"] == "offer-lapsed"
    ended = shop.call(
        "PATCH",
        f"/offers/{shop.make('/offers', body)}",
        json={"valid_until": past},
        headers={"If-Match": '"1"', "Content-Type": "application/merge-patch+json"},
    )
    assert ended.status_code == 200, ended.text
    assert ended.json()["valid_until"] == past


def test_an_offer_is_in_its_suppliers_currency_whatever_the_shops(shop: Shop) -> None:
    shop.make("/shop-settings", bodies.settings())
    krona = shop.make("/suppliers", bodies.supplier(freight=money("90.00", "SEK")))
    part = shop.make("/parts", bodies.part())
    shop.make("/offers", bodies.offer(krona, part_id=part, price=money("120.00", "SEK")))
    refusal = error_of(shop.post("/offers", bodies.offer(krona, part_id=part)), "/price/currency")
    assert "SEK" in refusal["fix"]
    unit = shop.make(
        "/units", {"assembly_id": shop.make("/assemblies", bodies.assembly()), "kind": "customer"}
    )
    wish = {"unit_id": unit, "complaint": "Noisy.", "replacement_cost": money("9.00", "SEK")}
    assert error_of(shop.post("/jobs", wish), "/replacement_cost/currency")


def test_a_patch_lays_terms_upon_an_offer_and_takes_them_away(shop: Shop) -> None:
    supplier = shop.make("/suppliers", bodies.supplier())
    assembly = shop.make("/assemblies", bodies.assembly())
    at = f"/offers/{shop.make('/offers', bodies.offer(supplier, assembly_id=assembly))}"

    def patch(version: int, members: Members) -> Any:
        headers = {
            "If-Match": f'"{version}"',
            "Content-Type": "application/merge-patch+json",
        }
        return shop.call("PATCH", at, json=members, headers=headers)

    laid = patch(1, {"core": core(refused_when=["incomplete", "cracked"])}).json()
    assert laid["core"]["refused_when"] == ["incomplete", "cracked"]
    kept = patch(2, {"core": {"refund_within_days": 14}}).json()["core"]
    assert (kept["refused_when"], kept["refund_within_days"]) == (["incomplete", "cracked"], 14)
    gone = patch(3, {"core": None, "price_breaks": breaks((10, "9.90"), (20, "9.00"))}).json()
    assert (gone["core"], len(gone["price_breaks"])) == (None, 2)
    assert patch(4, {"price_breaks": None}).json()["price_breaks"] == []
    assert error_of(
        patch(5, {"price_breaks": breaks((1, "9.90"))}), "/price_breaks/0/from_quantity"
    )


# --- sent whole --------------------------------------------------------------------------------


@pytest.fixture
def snapshot() -> Members:
    """The small whole snapshot that the document of the API shows."""
    text = (seed_folder() / "whole-snapshot.json").read_text("utf-8")
    return dict(json.loads(text))


def on(way: str, **more: Any) -> Spoil:
    """Lay members upon what stands at a place of the snapshot, such as "offers/0"."""

    def spoil(snapshot: Members) -> None:
        place: Any = snapshot
        for step in filter(None, way.split("/")):
            place = place[int(step) if step.isdigit() else step]
        place.update(more)

    return spoil


def with_a_set_of_one(snapshot: Members) -> None:
    member = snapshot["positions"][0]["id"]
    about = {"id": "set", "assembly_id": snapshot["assembly"]["id"], "name": "Pair"}
    snapshot["position_sets"] = [{**about, "kind": "matched", "position_ids": [member]}]


def with_a_donor(**more: Any) -> Spoil:
    def spoil(snapshot: Members) -> None:
        terms = {"is_owned": False, "price": money("120.00"), **more}
        body = bodies.donor(snapshot["assembly"]["id"], released_on="2031-02-01", donor=terms)
        snapshot["units"].append({"id": "donor", **body})

    return spoil


def rate(**more: Any) -> Members:
    return {"id": "rate", **bodies.exchange_rate(holds_from="2031-03-01", **more)}


SENT: dict[str, tuple[Spoil, str]] = {
    "price breaks that overlap": (
        on("offers/0", price_breaks=breaks((10, "0.20"), (10, "0.10"))),
        "/offers/0/price_breaks/1/from_quantity",
    ),
    "a dearer break": (
        on("offers/0", price_breaks=breaks((10, "9999.00"))),
        "/offers/0/price_breaks/0/price/amount",
    ),
    "an empty pack": (on("offers/0", pack_quantity=0), "/offers/0/pack_quantity"),
    "no least quantity": (on("offers/0", minimum_quantity=0), "/offers/0/minimum_quantity"),
    "fewer than none": (on("offers/0", available_quantity=-1), "/offers/0/available_quantity"),
    "negative freight": (
        on("suppliers/0", freight=money("-1.00")),
        "/suppliers/0/freight/amount",
    ),
    "freight beyond the bound": (
        on("suppliers/0", freight=money("10000000.01")),
        "/suppliers/0/freight/amount",
    ),
    "a fee without its word": (
        on("suppliers/0", small_order_fee=money("8.00")),
        "/suppliers/0/small_order_fee",
    ),
    "its word without a fee": (
        on("suppliers/0", below_minimum="fee", minimum_order=money("50.00")),
        "/suppliers/0/small_order_fee",
    ),
    "a minimum in another currency": (
        on("suppliers/0", minimum_order=money("50.00", "USD")),
        "/suppliers/0/minimum_order/currency",
    ),
    "an offer in another currency than its supplier": (
        on("offers/0", price=money("5.00", "USD")),
        "/offers/0/price/currency",
    ),
    "a chance above one": (
        on("offers/0", reject_probability="1.2"),
        "/offers/0/reject_probability",
    ),
    "a chance below nothing": (
        on("job", confidence="-0.1"),
        "/job/confidence",
    ),
    "a lead time whose P90 lies below its P50": (
        on("offers/0", p50_days="5", p90_days="4"),
        "/offers/0/p90_days",
    ),
    "work whose P90 lies below its P50": (
        on("operations/0", p50_hours="5", p90_hours="4"),
        "/operations/0/p90_hours",
    ),
    "an inspection of nothing": (
        on("operations/0", kind="inspect", position_id=None),
        "/operations/0/position_id",
    ),
    "a calendar without a working day": (
        on("settings/calendar", weekdays=[]),
        "/settings/calendar/weekdays",
    ),
    "a kit that covers nothing": (on("parts/0", kind="kit"), "/parts/0/kit_lines"),
    "a set with one member": (with_a_set_of_one, "/position_sets/0/position_ids"),
    "a rate of nothing": (on("", exchange_rates=[rate(rate="0")]), "/exchange_rates/0/rate"),
    "a rate of a currency in itself": (
        on("", exchange_rates=[rate(currency="EUR")]),
        "/exchange_rates/0/in_currency",
    ),
    "two rates of one day": (
        on("", exchange_rates=[rate(), {**rate(rate="0.09"), "id": "again"}]),
        "/exchange_rates/1/holds_from",
    ),
    "a worth of no position": (
        with_a_donor(
            remainder_worth=money("20.00"),
            part_worths=[{"position_id": "elsewhere", "worth": money("15.00")}],
        ),
        "/units/1/donor/part_worths/0/position_id",
    ),
    "parts worth more than the rest": (
        with_a_donor(part_worths=[WORTH]),
        "/units/1/donor/part_worths",
    ),
    "a demand for no part": (
        on("", demands=[{"part_id": "elsewhere", "quantity": 1, "jobs": 1}]),
        "/demands/0/part_id",
    ),
    "a demand for no piece": (
        on("", demands=[{"part_id": "elsewhere", "quantity": 0, "jobs": 1}]),
        "/demands/0/quantity",
    ),
    "a part held nowhere": (
        on("", held_parts=[{"id": "s-1", "position_id": "elsewhere"}]),
        "/held_parts/0/position_id",
    ),
    "no alternative": (on("", asked={"alternatives": 0}), "/asked/alternatives"),
    "too many alternatives": (on("", asked={"alternatives": 11}), "/asked/alternatives"),
    "no difference": (on("", asked={"differ_in": 0}), "/asked/differ_in"),
    "no effort": (on("", asked={"effort": "0"}), "/asked/effort"),
    "too much effort": (on("", asked={"effort": "100.5"}), "/asked/effort"),
    "a question that is not known": (on("", asked={"colour": "red"}), "/asked/colour"),
    "a standstill below nothing": (
        on("job", standstill_cost_per_day=money("-1.00")),
        "/job/standstill_cost_per_day/amount",
    ),
    "waiting in another currency": (
        on("job", waiting={**WAITING, "cost_per_day": money("12.00", "USD")}),
        "/job/waiting/cost_per_day/currency",
    ),
}


@pytest.mark.parametrize("what", SENT)
def test_a_snapshot_that_no_decision_can_be_worked_out_from_is_refused(
    shop: Shop, snapshot: Members, what: str
) -> None:
    spoil, pointer = SENT[what]
    spoil(snapshot)
    assert error_of(shop.call("POST", "/calculations/decision", json=snapshot), pointer)


def test_the_snapshot_unspoilt_is_answered(shop: Shop, snapshot: Members) -> None:
    answer = shop.call("POST", "/calculations/decision", json=snapshot)
    assert answer.status_code == 200, answer.text


BAD_QUESTIONS = {
    "alternatives": ("0", "11", "1.0", "many", ""),
    "differ_in": ("0", "11", "-1"),
    "has_risk_axis": ("1", "yes", "True"),
    "break_evens": ("-1", "51", ""),
    "settlings": ("51", "all"),
    "effort": ("0", "101", "1e1", "-1"),
}


@pytest.mark.parametrize("member", BAD_QUESTIONS)
def test_a_question_about_options_is_within_bounds(shop: Shop, member: str) -> None:
    for value in BAD_QUESTIONS[member]:
        assert error_of(shop.get("/jobs/job_1/options", **{member: value}), f"/{member}")
