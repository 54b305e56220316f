"""Suppliers and offers in another currency than the shop's: by the newest dated rate, or barred."""

from decimal import Decimal

import pytest

from shared.decision.building.build import build
from shared.decision.building.currency import in_shop_currency
from shared.decision.codec import from_builtins
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput
from tests.snapshots import (
    answer,
    best,
    exchange_rate,
    goods,
    looks,
    money,
    part,
    position,
    settings,
    snapshot,
    supplier,
    why,
)


def usd(amount):
    return money(amount, "USD")


def abroad(*rates, **members):
    """A dear ring next door, counted in EUR."""
    return snapshot(
        **{
            "parts": [part("ring")],
            "positions": [position("ring")],
            "suppliers": [supplier("b")],
            "offers": [goods("near", "b", "100", part_id="prt_ring")],
            "exchange_rates": list(rates),
            **looks(ring="heavy"),
            **members,
        }
    )


def with_usd(*rates, freight="0", offer=None, terms=None, **members):
    """The same, and a ring at 10.01 USD from a supplier who counts in USD."""
    found = abroad(*rates, **members)
    far = {**supplier("far"), "freight": usd(freight), **(terms or {})}
    ring = {
        **goods("ring", "far", "1", part_id="prt_ring"),
        "price": usd("10.01"),
        **(offer or {}),
    }
    found["suppliers"] = [far, supplier("b")]
    found["offers"] = [*found["offers"], ring]
    return found


def total(members):
    return best(members).expected_total.amount


def test_each_amount_is_converted_once_and_rounded_half_up():
    assert total(with_usd(exchange_rate("USD", "0.925"))) == Decimal("9.26")
    assert total(with_usd(exchange_rate("USD", "0.925"), freight="1.00")) == Decimal("10.19")


def test_the_newest_rate_of_a_day_that_has_come_counts_and_is_told_with_its_source():
    rates = (
        exchange_rate("USD", "5", "2031-03-04", source="rate list of tomorrow"),
        exchange_rate("USD", "0.5", "2031-03-03", source="rate list of today"),
        exchange_rate("USD", "9", "2030-12-31", source="rate list of last year"),
    )
    found = answer(with_usd(*rates))
    told = next(a for a in found.assumptions if "USD" in a)
    assert "0.5 EUR for 1 USD, the rate of 2031-03-03 (rate list of today)" in told
    assert total(with_usd(*rates)) == Decimal("5.01")
    assert total(with_usd(*reversed(rates))) == Decimal("5.01")


def test_the_day_is_the_shops_own():
    rates = (exchange_rate("USD", "0.5", "2031-03-04"), exchange_rate("USD", "0.25", "2031-03-01"))
    late = {"as_of": "2031-03-03T20:00:00Z"}
    assert total(with_usd(*rates, **late)) == Decimal("2.50")
    east = settings(calendar={"timezone": "Asia/Tokyo"})
    assert total(with_usd(*rates, **late, settings=east)) == Decimal("5.01")


@pytest.mark.parametrize(
    "rates",
    [
        (),
        (exchange_rate("USD", "0.5", "2031-03-04"),),
        (exchange_rate("EUR", "2", in_currency="USD"),),
        (exchange_rate("GBP", "0.5"),),
    ],
    ids=["none", "only one to come", "only the other way round", "another currency's"],
)
def test_without_a_rate_the_offer_is_barred_and_that_is_said(rates):
    found = answer(with_usd(*rates))
    assert total(with_usd(*rates)) == Decimal("100.00")
    told = why(found, "ring from Supplier far")
    assert "it is in USD, and no rate from USD into EUR that holds on 2031-03-03" in told


def test_a_currency_without_minor_units_is_converted_by_its_own_digits():
    members = with_usd(exchange_rate("JPY", "0.006"))
    for record in (members["suppliers"][0], members["offers"][1]):
        for name in ("freight", "price"):
            if name in record:
                record[name] = {"amount": "1500", "currency": "JPY"}
    assert total(members) == Decimal("18.00")


def test_every_amount_of_supplier_and_offer_is_converted():
    offer = {
        "core": {
            "deposit": usd("40"),
            "refund": usd("20"),
            "return_freight": usd("4"),
            "acceptance_probability": "1",
        },
        "condition": "rebuilt",
        "residual_worth": usd("2"),
    }
    terms = {"minimum_order": usd("30"), "free_freight_from": usd("90")}
    converted = in_shop_currency(
        from_builtins(
            with_usd(exchange_rate("USD", "0.5"), freight="6", offer=offer, terms=terms), Snapshot
        )
    ).snapshot
    assert "USD" not in str(converted.suppliers) + str(converted.offers)
    far = next(s for s in converted.suppliers if s.id == "sup_far")
    assert (far.minimum_order.amount, far.free_freight_from.amount) == (15, 45)
    core = next(o.core for o in converted.offers if o.core)
    assert (core.deposit.amount, core.refund.amount, core.return_freight.amount) == (20, 10, 2)


def test_price_breaks_abroad_are_converted_before_they_are_marked_up():
    rules = settings(pricing={"parts_markup": [{"percent": "50"}]})
    offer = {"price_breaks": [{"from_quantity": 2, "price": usd("3.33")}]}
    members = with_usd(exchange_rate("USD", "0.5"), offer=offer, settings=rules)
    members["positions"][0]["quantity"] = 2
    assert total(members) == Decimal("5.02")  # 3.33 -> 1.67 -> 2.51 each


def test_what_comes_to_more_than_a_line_may_hold_is_barred():
    members = with_usd(exchange_rate("USD", "900000000"))
    assert "more than a line may hold" in why(answer(members), "ring from Supplier far")
    members = with_usd(exchange_rate("USD", "900000"), freight="10000")
    assert "more than a line may hold" in why(answer(members), "ring from Supplier far")


def test_a_snapshot_in_the_shops_currency_alone_is_left_as_it_is():
    plain = from_builtins(abroad(exchange_rate("USD", "2")), Snapshot)
    assert in_shop_currency(plain).snapshot is plain
    assert not any("USD" in a for a in build(plain).draft.assumptions)


def test_the_rest_of_the_shops_money_stays_in_its_currency():
    members = with_usd(exchange_rate("USD", "0.5"))
    members["job"]["spending_limit"] = usd("10")
    with pytest.raises(InvalidInput) as error:
        answer(members)
    assert (error.value.pointer, error.value.code) == (
        "/job/spending_limit/currency",
        "currency-mixed",
    )


def test_an_offer_counts_in_its_suppliers_currency():
    members = with_usd(exchange_rate("USD", "0.5"))
    members["offers"][1]["price"] = money("5", "GBP")
    with pytest.raises(InvalidInput) as error:
        answer(members)
    assert (error.value.pointer, error.value.code) == (
        "/offers/1/price/currency",
        "currency-mixed",
    )
    members = with_usd(exchange_rate("USD", "0.5"), terms={"minimum_order": money("5", "EUR")})
    with pytest.raises(InvalidInput) as error:
        answer(members)
    assert error.value.pointer == "/suppliers/0/minimum_order/currency"


def test_the_price_as_quoted_is_told_beside_its_source():
    plan = best(with_usd(exchange_rate("USD", "0.5")))
    assert plan.lines[0].notes == ("quoted at 10.01 USD",)
