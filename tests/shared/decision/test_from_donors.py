"""Donors and own stock: bought or given up, the rest sold on, each part lessening it once."""

from decimal import Decimal

import pytest

from shared.decision.result import ReasonCode
from tests.snapshots import (
    answer,
    best,
    chosen,
    donor,
    eur,
    goods,
    looks,
    own_unit,
    part,
    position,
    seen,
    settings,
    snapshot,
    supplier,
)


def worn(*donors, quantity=1, price="400", **members):
    """A worn gear and a worn shaft; new ones are dear, and donors' were looked at and are good."""
    found = looks(gear="heavy", shaft="heavy")
    for one in donors:
        unit = one["id"].removeprefix("unt_")
        found["findings"] += [seen("gear", "none", unit), seen("shaft", "none", unit)]
    return snapshot(
        **{
            "parts": [part("gear"), part("shaft")],
            "positions": [position("gear", quantity=quantity), position("shaft")],
            "suppliers": [supplier("a")],
            "offers": [goods("gear", "a", price), goods("shaft", "a", price)],
            "units": [own_unit(), *donors],
            **found,
            **members,
        }
    )


def worths(**by_key):
    return [{"position_id": f"pos_{key}", "worth": eur(worth)} for key, worth in by_key.items()]


def total(members):
    return best(members).expected_total.amount


def test_each_part_taken_lessens_what_the_rest_fetches_by_its_worth():
    terms = {"remainder_worth": eur("60"), "part_worths": worths(gear="25", shaft="15")}
    both = donor("d", price="100", terms=terms)
    assert total(worn(both)) == Decimal("80.00")  # 100 - 60 + 25 + 15
    members = worn(both)
    members["offers"][0]["price"] = eur("1")
    assert chosen(best(members)) == {"gear": "new", "shaft": "salvaged"}
    assert total(members) == Decimal("56.00")  # 1 + 100 - 60 + 15


def test_without_part_worths_the_rest_loses_nothing():
    assert total(worn(donor("d", price="100", terms={"remainder_worth": eur("60")}))) == 40


def test_pieces_that_are_planned_singly_lessen_the_rest_once():
    terms = {"remainder_worth": eur("60"), "part_worths": worths(gear="25")}
    members = worn(donor("d", price="100", terms=terms), quantity=2)
    members["findings"] = [
        *({**members["findings"][0], "id": f"fnd_{n}", "piece": n} for n in (1, 2)),
        *members["findings"][1:],
    ]
    plan = best(members)
    assert chosen(plan) == {"gear (1)": "salvaged", "gear (2)": "salvaged", "shaft": "salvaged"}
    assert plan.expected_total.amount == Decimal("65.00")


def test_a_whole_takes_the_worth_of_what_is_inside_with_it():
    terms = {"remainder_worth": eur("60"), "part_worths": worths(gear="25", shaft="15")}
    members = worn(donor("d", price="100", terms=terms))
    members["positions"][1]["parent_id"] = "pos_gear"
    members["positions"][0]["serviceability"] = {"ruling": "inspect-only"}
    plan = best(members)
    assert chosen(plan) == {"gear": "salvaged"}
    assert plan.expected_total.amount == Decimal("80.00")


def test_what_left_the_donor_before_has_lessened_the_rest_already():
    terms = {"remainder_worth": eur("60"), "part_worths": worths(gear="25", shaft="15")}
    stripped = donor("d", price="100", terms=terms, taken_position_ids=["pos_gear"])
    members = worn(stripped)
    members["offers"][0]["price"] = eur("1")
    assert total(members) == Decimal("81.00")  # 1 + 100 - (60 - 25) + 15


def test_a_donor_is_never_a_gain_and_the_surplus_is_told():
    terms = {"remainder_worth": eur("150"), "strip_p50_hours": "1", "strip_p90_hours": "1"}
    members = worn(donor("d", price="100", terms=terms), settings=settings(rate="30"))
    found = answer(members)
    assert total(members) == Decimal("0.00")
    assert any("worth 20.00 EUR more than the donor" in a for a in found.assumptions)
    assert all(line.cost.amount + line.price.amount >= -60 for line in best(members).amounts)


def test_the_freight_of_a_bought_donor_is_paid_and_that_of_an_owned_one_is_past():
    rules = settings(pricing={"freight_markup_percent": "10"})
    bought = donor("d", price="100", terms={"freight": eur("20")})
    plan = best(worn(bought, settings=rules))
    assert plan.expected_total.amount == Decimal("122.00")
    assert {a.cost_class for a in plan.amounts} == {"donor", "freight"}
    owned = donor("d", worth="100", terms={"freight": eur("20")})
    assert total(worn(owned, settings=rules)) == Decimal("100.00")


@pytest.mark.parametrize("past", [None, "1", "5000"])
def test_the_past_price_of_an_owned_donor_or_stock_unit_changes_nothing(past):
    price = eur(past) if past else None
    owned = donor("d", worth="100", terms={"price": price})
    assert total(worn(owned)) == Decimal("100.00")
    unit = donor("s", worth="90", kind="stock", terms={"price": price})
    assert total(worn(unit)) == Decimal("90.00")
    no_worth = donor("s", kind="stock", terms={"price": price, "is_owned": True})
    assert total(worn(no_worth)) == Decimal("800.00")


# --- what is taken, or held for others -----------------------------------------------------------


def codes(members, subject):
    return {(e.code, e.detail) for e in answer(members).exclusions if subject in e.subject}


def test_what_a_donor_gives_no_more_is_taken():
    members = worn(donor("d", worth="1", taken_position_ids=["pos_gear"]))
    assert codes(members, "gear from donor") == {
        (ReasonCode.TAKEN, "a piece of it was taken already")
    }


def test_a_set_that_is_broken_on_the_donor_is_taken():
    members = worn(donor("d", worth="1", taken_position_ids=["pos_gear"]))
    members["position_sets"] = [
        {
            "id": "set_1",
            "assembly_id": "asm_1",
            "kind": "matched",
            "name": "pair",
            "position_ids": ["pos_gear", "pos_shaft"],
        }
    ]
    members["parts"].append(
        part("kit", kit_lines=[{"part_id": "prt_gear"}, {"part_id": "prt_shaft"}])
    )
    members["offers"].append(goods("kit", "a", "500"))
    assert {code for code, _ in codes(members, "shaft from donor")} == {ReasonCode.TAKEN}


def test_a_stock_unit_that_has_given_of_itself_and_the_own_part_that_left_are_taken():
    members = worn(donor("s", worth="9", kind="stock", taken_position_ids=["pos_gear"]))
    members["units"][0] |= {"kind": "stock", "taken_position_ids": ["pos_gear"]}
    assert {code for code, _ in codes(members, "stock unit")} == {ReasonCode.TAKEN}
    assert {code for code, _ in codes(members, "keep gear")} == {ReasonCode.TAKEN}


def test_a_part_on_the_shelf_that_is_held_for_another_job_is_told():
    members = worn(
        held_parts=[
            {
                "id": "slv_1",
                "position_id": "pos_gear",
                "held_until": "2031-03-09T12:00:00Z",
            },
            {"id": "slv_2", "position_id": "pos_shaft"},
        ],
        settings=settings(calendar={"timezone": "Asia/Tokyo"}),
    )
    assert codes(members, "part slv_1") == {
        (ReasonCode.TAKEN, "held for another job until 2031-03-09 21:00")
    }
    assert codes(members, "part slv_2") == {(ReasonCode.TAKEN, "held for another job")}
