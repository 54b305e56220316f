"""Measures that follow from others, and the shop's gauges, in the verdicts that a plan stands on.

Bore less journal is a clearance; its doubt is the root of the sum of squares (JCGM 100 5.1.2), and
what both readings share falls out of a difference (JCGM 100 5.2.2, both from memory).
"""

import pytest

from tests.snapshots import (
    answer,
    best,
    chosen,
    donor,
    goods,
    own_unit,
    part,
    position,
    settings,
    snapshot,
    supplier,
    why,
)


def length(value, **doubt):
    return {"value": value, "unit": "mm", **doubt}


def read(key, value, unit="1", **members):
    return {
        "id": f"fnd_{unit}_{key}",
        "unit_id": f"unt_{unit}",
        "position_id": f"pos_{key}",
        "characteristic_id": f"chr_{key}",
        "found_by": "Technician A",
        "found_at": "2031-03-03T07:00:00Z",
        "method": "gauge",
        "measured": length(value),
        "gauge_id": "gau_1",
        **members,
    }


def size(key, name, **members):
    return {"id": f"chr_{key}", "position_id": f"pos_{key}", "name": name, **members}


CLEARANCE = {
    "id": "chr_clearance",
    "position_id": "pos_bush",
    "name": "clearance",
    "service_upper": length("0.070"),
    "derivation": {
        "kind": "sum",
        "terms": [
            {"characteristic_id": "chr_bush"},
            {"characteristic_id": "chr_shaft", "factor": "-1"},
        ],
    },
}


def pair(bush="20.060", shaft="20.000", gauge=None, **members):
    """A bush and a journal, each within its own limits."""
    shop = {"id": "gau_1", "name": "micrometer 1", "standard_uncertainty": length("0.001")}
    base = {
        "parts": [part("bush"), part("shaft")],
        "positions": [position("bush"), position("shaft")],
        "characteristics": [
            size("bush", "bore", service_upper=length("20.100")),
            size("shaft", "journal", service_lower=length("19.900")),
            CLEARANCE,
        ],
        "gauges": [{**shop, **(gauge or {})}],
        "findings": [read("bush", bush), read("shaft", shaft)],
        "suppliers": [supplier("a")],
        "offers": [goods("bush", "a", "10"), goods("shaft", "a", "100")],
    }
    return snapshot(**{**base, **members})


def test_a_clearance_that_follows_bars_what_bore_and_journal_alone_would_not():
    assert chosen(best(pair())) == {"bush": "keep", "shaft": "keep"}
    result = answer(pair(bush="20.090"))
    assert chosen(result.plans[0]) == {"bush": "new", "shaft": "keep"}
    told = why(result, "keep bush")
    assert "nonconforming" in told
    assert "clearance lies between it and shaft: whether renewing only that" in told


def test_a_clearance_that_cannot_be_worked_out_counts_as_not_inspected():
    plan = best(pair(findings=[read("bush", "20.060")]))
    (bush,) = [line for line in plan.lines if line.position_name == "bush"]
    assert bush.verdict == "not-inspected"
    assert any("still to be inspected: clearance" in note for note in bush.notes)


@pytest.mark.parametrize(
    ("gauge", "verdict"),
    [
        # u of the clearance: 0.0042 where nothing is shared (0.005 from the limit: 88 %),
        ({"standard_uncertainty": length("0.003"), "common_uncertainty": length("0.000001")}, None),
        # and 0.0014 where all but 0.001 of each is shared (99.98 %).
        (
            {"standard_uncertainty": length("0.003"), "common_uncertainty": length("0.002828")},
            "conforming",
        ),
    ],
)
def test_what_the_shop_knows_of_its_gauge_decides(gauge, verdict):
    plan = best(pair(bush="20.065", gauge=gauge))
    (bush,) = [line for line in plan.lines if line.position_name == "bush"]
    assert bush.verdict == (verdict or "indeterminate")
    would_settle = any("would settle it" in note for note in bush.notes)
    assert would_settle is (verdict is None)


def test_what_would_settle_it_is_told_where_the_policy_bars_what_is_open():
    gauge = {"standard_uncertainty": length("0.003"), "common_uncertainty": length("0.000001")}
    barred = settings(policy={"keep_indeterminate": "barred"})
    result = answer(pair(bush="20.065", gauge=gauge, settings=barred))
    assert chosen(result.plans[0])["bush"] == "new"
    assert "would settle it" in why(result, "keep bush")


def test_a_donors_part_is_judged_by_what_follows_from_the_donors_own_readings():
    members = pair(
        bush="20.090",
        units=[own_unit(), donor("d", worth="1")],
        settings=settings(salvage_experience=[{"prior_mean": "0.9", "prior_weight": "10"}]),
    )
    members["findings"] += [read("bush", "20.095", "d"), read("shaft", "20.000", "d")]
    result = answer(members)
    assert chosen(result.plans[0])["bush"] == "new"
    assert "nonconforming on the donor" in why(result, "bush from donor")


def test_a_clearance_worked_out_with_a_part_that_is_renewed_is_to_be_measured_again():
    kept = best(pair())
    assert not any("measure again with what goes in" in note for note in kept.notes)
    worn = pair()
    worn["characteristics"][1]["service_lower"] = length("20.010")
    plan = best(worn)
    assert chosen(plan) == {"bush": "keep", "shaft": "new"}
    told = "clearance of bush was worked out with what was in shaft: measure again"
    assert any(told in note for note in plan.notes)


def test_a_clearance_is_to_be_measured_again_where_the_part_that_it_is_kept_with_is_renewed():
    plan = best(pair(bush="20.090"))
    assert chosen(plan) == {"bush": "new", "shaft": "keep"}
    told = "clearance of bush was worked out with what was in bush: measure again"
    assert any(told in note for note in plan.notes)
    # The bush new is 20.000 to 20.020: less a journal of 20.000 that is 0.010, of 19.920 0.090.
    new = {"new_lower": length("20.000"), "new_upper": length("20.020")}
    for journal, is_beyond in (("20.000", False), ("19.920", True)):
        worn = pair(bush="20.090", shaft=journal)
        worn["characteristics"][0] |= new
        notes = [note for note in best(worn).notes if "new in bush does not mend it" in note]
        assert bool(notes) is is_beyond
    both = pair(bush="20.090", shaft="19.80")
    assert chosen(best(both)) == {"bush": "new", "shaft": "new"}
    assert not any("measure again with what" in note for note in best(both).notes)
