"""Inputs on whose way another plan takes over and is gone again: no "nothing changes the plan"."""

from tests.shared.decision.test_break_even import assert_verified, at, sides
from tests.snapshots import (
    Members,
    eur,
    goods,
    looks,
    own_unit,
    part,
    position,
    settings,
    snapshot,
    supplier,
)


def kit_of_both() -> Members:
    """A kit of gear and seal at 90 from B, who takes no order below 25; singly each is 20 from A.

    Put in the place of one of the two alone the kit would draw level at 20: B takes no such order.
    """
    return snapshot(
        parts=[
            part("gear"),
            part("seal"),
            part(
                "set",
                kind="kit",
                kit_lines=[
                    {"part_id": "prt_gear", "quantity": 1},
                    {"part_id": "prt_seal", "quantity": 1},
                ],
            ),
        ],
        positions=[position("gear"), position("seal")],
        suppliers=[
            supplier("a"),
            supplier(
                "b",
                minimum_order=eur("25"),
                below_minimum="refused",
            ),
        ],
        offers=[goods("gear", "a", "20"), goods("seal", "a", "20"), goods("set", "b", "90")],
        **looks(gear="heavy", seal="heavy"),
    )


def test_a_kit_that_is_refused_when_it_costs_next_to_nothing_has_come_cheaper_before():
    members = kit_of_both()
    found = at(members, "/offers/2/price/amount", "down")
    assert sides(found) == ("40.00", "39.99")
    assert_verified(members, found)


def test_with_other_goods_on_the_order_values_in_between_are_looked_at_too():
    members = kit_of_both()
    members["suppliers"][1]["minimum_order"] = eur("45")
    # With a gasket of 15 from B, which is needed anyway, the kit may come to 30 and no less.
    members["parts"].append(part("gasket"))
    members["positions"].append(position("gasket"))
    members["offers"] += [goods("gasket", "a", "15"), {**goods("gasket", "b", "15"), "id": "ofr_b"}]
    worn = looks(gear="heavy", seal="heavy", gasket="heavy")
    found = at({**members, **worn}, "/offers/2/price/amount", "down")
    assert sides(found) == ("40.00", "39.99")
    assert_verified({**members, **worn}, found)


def gear_in_doubt() -> Members:
    """A gear that has run, its reading open, is kept; a used unit is 300 and fails seldom."""
    size = {
        "id": "chr_size",
        "position_id": "pos_gear",
        "name": "bore",
        "service_upper": {"value": "10.10", "unit": "mm"},
    }
    reading = {
        "id": "fnd_size",
        "unit_id": "unt_1",
        "position_id": "pos_gear",
        "characteristic_id": "chr_size",
        "found_by": "Technician A",
        "found_at": "2031-03-03T07:00:00Z",
        "method": "gauge",
        "measured": {"value": "10.08", "unit": "mm", "standard_uncertainty": "0.02"},
    }
    return snapshot(
        settings=settings(
            warranty={"comeback_fixed_cost": eur("50")},
            comeback_experience=[{"kind": "used", "prior_mean": "0.05", "prior_weight": "20"}],
            life_records=[
                {"part_kind": "gear", "shape": "1.5", "scale_hours": "3000", "basis": "invented"}
            ],
        ),
        units=[own_unit(lower_hours="1000", upper_hours="1500")],
        parts=[part("gear")],
        positions=[position("gear")],
        suppliers=[supplier("a")],
        offers=[
            goods("gear", "a", "100"),
            goods("unit", "a", "300", assembly_id="asm_1", condition="used"),
        ],
        characteristics=[size],
        findings=[reading],
    )


def test_a_life_that_grows_short_has_changed_the_plan_before_all_fail_alike():
    members = gear_in_doubt()
    found = at(members, "/settings/life_records/0/scale_hours", "down")
    assert found.changes_at is not None
    assert_verified(members, found)
