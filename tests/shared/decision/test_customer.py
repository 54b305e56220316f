"""The customer's version: all a buyer must be told, nothing that is the shop's alone."""

from dataclasses import fields, is_dataclass
from decimal import Decimal

import pytest

from shared.money import Money
from tests.snapshots import (
    answer,
    best,
    donor,
    eur,
    goods,
    job,
    looks,
    own_unit,
    part,
    position,
    service,
    settings,
    snapshot,
    supplier,
    work,
)


def gearbox(**members):
    """Sold by suppliers whose names and prices must stay in the house."""
    rules = settings(
        rate="61.37",
        cost_rate="29.99",
        pricing={"parts_markup": [{"percent": "33.3"}], "tax_percent": "19"},
        warranty={"warranty_hours": "500", "comeback_fixed_cost": eur("41.11")},
        comeback_experience=[{"kind": "new", "prior_mean": "0.07", "prior_weight": "40"}],
        salvage_experience=[
            {"part_kind": "bearing", "prior_mean": "0.9", "prior_weight": "10", "basis": "assumed"}
        ],
    )
    return snapshot(
        **{
            "settings": rules,
            "units": [own_unit(), donor("d", worth="3.33", serial_number="SERIAL77")],
            "parts": [part("bearing"), part("shaft"), part("gear"), part("pump")],
            "positions": [
                position("bearing"),
                position("shaft"),
                position("gear"),
                position("pump", maker_supply="whole-only"),
            ],
            "suppliers": [supplier("hidden", "17.77"), supplier("secret", "13.13")],
            "offers": [
                goods("bearing", "hidden", "43.21", description="bearing by Supplier hidden"),
                goods("shaft", "hidden", "431.17"),
                service("grind", "secret", "61.03", position_id="pos_shaft"),
                goods(
                    "pump",
                    "hidden",
                    "53.89",
                    condition="rebuilt",
                    core={
                        "deposit": eur("30"),
                        "refund": eur("24"),
                        "acceptance_probability": "0.9",
                        "return_freight": eur("7.07"),
                    },
                ),
                goods("unit", "secret", "1999.97", assembly_id="asm_1"),
            ],
            "operations": [work("b", "renew", "1.7", "2.9", position_id="pos_bearing")],
            "job": job(spending_limit=eur("1000"), inspection_price=eur("55")),
            **looks(bearing="heavy", shaft="heavy", gear=None, pump="heavy"),
            **members,
        }
    )


def strings(value) -> list[str]:
    """Every piece of text and every amount in a value, however deep."""
    if isinstance(value, Money):
        return [str(value.amount)]
    if is_dataclass(value):
        return [s for f in fields(value) for s in strings(getattr(value, f.name))]
    if isinstance(value, tuple):
        return [s for one in value for s in strings(one)]
    return [str(value)]


def test_no_supplier_cost_margin_or_donor_is_in_it():
    members = gearbox()
    secrets = {"Supplier", "hidden", "secret", "SERIAL77", "markup", "mark-up", "margin", "cost"}
    secrets |= {"33.3", "29.99", "41.11"}
    seen = 0
    for plan in answer(members).plans:
        own = {str(amount.cost.amount) for amount in plan.amounts if amount.cost != amount.price}
        own |= {str(a.price.amount) for a in plan.amounts if not a.is_billed and a.price.amount > 0}
        own |= {str(plan.margin.amount), str(plan.cost.amount), str(plan.expected_total.amount)}
        own -= {str(plan.price.amount), str(plan.net_total.amount), "0.00"}
        for text in strings(plan.customer):
            assert not [secret for secret in secrets | own if secret in text], text
            seen += 1
    assert seen > 30


def test_the_customer_is_told_what_each_part_is():
    plan = best(gearbox())
    told = {line.position_name: line.what for line in plan.customer.lines}
    assert told == {
        "bearing": "renewed with a used part out of another unit",
        "gear": "kept, not inspected",
        "pump": "renewed with a rebuilt part, in exchange for the old one",
        "shaft": "reworked",
    }
    notes = " ".join(plan.customer.notes)
    assert "Not new, used or rebuilt: bearing, pump." in notes
    assert "Kept without proof that it is within its limits: gear." in notes
    assert "hold only if this proves good once it is here: bearing." in notes
    assert "Repaired though the maker does not supply it singly: pump." in notes
    assert "offered back to you, except cores" in notes
    assert "Within your spending limit of 1000.00 EUR." in notes


def test_amounts_dates_and_warranty_are_those_of_the_plan():
    plan = best(gearbox())
    customer = plan.customer
    assert (customer.net_total, customer.tax, customer.to_pay) == (
        plan.net_total,
        plan.tax,
        plan.to_pay,
    )
    assert customer.promise_on == plan.readiness.promise_on
    assert customer.confidence <= plan.readiness.confidence
    assert customer.warranty_hours == 500
    assert str(customer.to_pay.amount) in customer.summary


def test_only_what_may_come_back_of_a_deposit_is_called_a_deposit():
    customer = best(gearbox()).customer
    assert customer.deposit.amount == Decimal(24)
    told = " ".join(customer.notes)
    assert "Up to 24.00 EUR of what is paid is a deposit" in told
    assert "6.00 EUR of deposit is paid and does not come back." in told


def test_a_core_that_is_not_worth_sending_back_brings_no_deposit_back():
    members = gearbox()
    members["offers"][3]["core"]["return_freight"] = eur("40")
    customer = best(members).customer
    assert customer.deposit.amount == 0
    assert "30.00 EUR of deposit is paid and does not come back." in " ".join(customer.notes)


@pytest.mark.parametrize(
    ("condition", "words"),
    [("new", "new unit"), ("used", "used unit"), ("old-stock", "unused unit of old stock")],
)
def test_a_whole_unit_is_named_by_what_it_is_not_by_its_offer(condition, words):
    members = gearbox(
        offers=[goods("unit", "secret", "199.97", assembly_id="asm_1", condition=condition)],
        units=[own_unit()],
    )
    customer = best(members).customer
    assert words in customer.lines[0].what
    assert customer.title in ("New unit", "Used unit")
