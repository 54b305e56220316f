"""Bearings never run at a position with a stated duty: the worse of ISO 281 and the record.

Figures: ball bearing, C = 14,000 N, P = 2,000 N, 650 1/min: L10 = 7^3 = 343 million revolutions,
8,795 h (arithmetic of the formula); by definition one in ten has then failed.
"""

import pytest

from shared.decision.building.build import build
from shared.decision.codec import from_builtins
from shared.decision.snapshot import Snapshot
from tests.snapshots import donor, goods, job, looks, own_unit, part, position, snapshot, supplier
from tests.snapshots import settings as settings_of

L10_HOURS = 343e6 / (60 * 650)
DUTY = {
    "rolling": "ball",
    "dynamic_rating": {"value": "14", "unit": "kN"},
    "equivalent_load": {"value": "2000", "unit": "N"},
    "speed": {"value": "650", "unit": "1/min"},
    "basis": "name plate",
}


def chance(kind, experience="0.01", duty=DUTY, quantity=1, horizon=L10_HOURS):
    """Chance to have failed by the horizon of a source of a kind, and what it stands on."""
    record = [
        {"kind": one, "prior_mean": experience, "prior_weight": "10", "basis": "own record"}
        for one in ("new", "keep", "salvaged", "used")
        if experience
    ]
    condition = {"used": "used"}.get(kind, "new")
    members = snapshot(
        job=job(horizon_hours=f"{horizon:.6f}"),
        settings=settings_of(
            comeback_experience=record,
            salvage_experience=[{"prior_mean": "0.9", "prior_weight": "10"}],
        ),
        units=[own_unit(), donor("d", worth="1")],
        parts=[part("bearing")],
        positions=[position("bearing", duty=duty, quantity=quantity)],
        suppliers=[supplier("a")],
        offers=[goods("bearing", "a", "10", condition=condition), goods("other", "a", "90")],
        **looks(bearing="none"),
    )
    members["offers"][1]["part_id"] = "prt_bearing"
    built = build(from_builtins(members, Snapshot))
    source = next(s for s in built.case.sources if s.kind == kind)
    spec = built.draft.facts[source.id].spec
    told = "; ".join(built.draft.all_assumptions())
    return 1 - spec.survival(float(horizon)), told


def test_a_new_bearing_has_failed_by_its_rating_life_with_one_in_ten():
    # By the record alone: 1 - 0.99^(8795 / 500) = 0.162, which is worse; so a better record.
    found, told = chance("new", "0.0001")
    assert found == pytest.approx(0.1, abs=1e-6)
    assert "rating life by ISO 281, L10h 8795 h (name plate)" in told


def test_the_record_counts_where_it_is_worse():
    found, told = chance("new", "0.01")
    assert found == pytest.approx(1 - 0.99 ** (L10_HOURS / 500), rel=1e-6)
    assert "own record" in told


def test_nothing_else_on_record_leaves_the_rating():
    found, _ = chance("new", None)
    assert found == pytest.approx(0.1, abs=1e-6)


def test_two_bearings_last_as_long_as_the_first_to_fail():
    found, told = chance("new", "0.0001", quantity=2)
    assert found == pytest.approx(1 - 0.9**2, abs=1e-6)
    assert "the first of 2 to fail" in told


@pytest.mark.parametrize("kind", ["keep", "used", "salvaged"])
def test_a_bearing_that_has_run_is_no_matter_of_its_rating(kind):
    found, _ = chance(kind, "0.0001")
    assert found == pytest.approx(1 - 0.9999 ** (L10_HOURS / 500), rel=1e-4)


def test_a_load_beyond_the_formula_is_told_and_gives_no_life():
    heavy = {**DUTY, "equivalent_load": {"value": "8000", "unit": "N"}}
    found, told = chance("new", "0.0001", duty=heavy)
    assert found == pytest.approx(1 - 0.9999 ** (L10_HOURS / 500), rel=1e-4)
    assert "no rating life by ISO 281" in told


def test_without_a_duty_nothing_changes():
    found, told = chance("new", "0.0001", duty=None)
    assert found == pytest.approx(1 - 0.9999 ** (L10_HOURS / 500), rel=1e-4)
    assert "ISO 281" not in told
