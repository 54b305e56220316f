"""How a plan is likely to last: the same as its parts one by one, only sooner worked out."""

from decimal import Decimal

import pytest

from shared.decision.building.build import build
from shared.decision.building.risk import cause_survival
from shared.decision.codec import from_builtins
from shared.decision.planning.case import Query
from shared.decision.planning.solver import solve
from shared.decision.snapshot import Snapshot
from shared.decision.telling.lasting import Series, risk_of, survival_curve
from shared.life.series import expected_hours, series_survival
from shared.life.weibull import LifeSpec
from tests.snapshots import (
    goods,
    job,
    looks,
    own_unit,
    part,
    position,
    settings,
    snapshot,
    supplier,
)

SPECS = [
    LifeSpec(1.0, 4000.0),
    LifeSpec(1.0, 9000.0, 10.0, 500.0),
    LifeSpec(2.5, 3000.0, 800.0, 1200.0),
    LifeSpec(2.5, 3000.0, 800.0, 1200.0),
    LifeSpec(0.7, 20000.0),
]


@pytest.mark.parametrize("hours", [0.0, 1.0, 250.0, 2000.0])
def test_parts_put_together_last_as_they_do_singly_in_any_order(hours):
    series = Series.of(SPECS)
    assert series == Series.of(reversed(SPECS))
    assert series.survival(hours) == pytest.approx(series_survival(SPECS, hours), rel=1e-12)


def test_hours_of_service_are_those_of_the_parts_and_the_first_cause_together():
    lives = settings(
        warranty={"warranty_hours": "500", "common_cause_unknown": "0.2"},
        comeback_experience=[{"kind": "new", "prior_mean": "0.05", "prior_weight": "40"}],
        life_records=[
            {"part_kind": "gear", "shape": "2", "scale_hours": "2500", "basis": "assumed"}
        ],
    )
    members = snapshot(
        settings=lives,
        job=job(horizon_hours="1500"),
        units=[own_unit(lower_hours="900", upper_hours="1500")],
        parts=[part("bearing"), part("gear")],
        positions=[position("bearing"), position("gear")],
        suppliers=[supplier("a")],
        offers=[goods("bearing", "a", "40")],
        **looks(bearing="heavy", gear="none"),
    )
    snap = from_builtins(members, Snapshot)
    built = build(snap)
    plan = solve(built.case, Query(built.confidence)).plan
    specs = [f.spec for i in plan.source_ids if (f := built.draft.facts[i]).spec is not None]
    assert len(specs) == 2

    def survives(hours):
        return cause_survival(snap, hours) * series_survival(specs, hours)

    risk = risk_of(built, plan)
    assert float(risk.expected_service_hours) == pytest.approx(
        expected_hours(survives, 1500.0, 1e-9), rel=2e-6
    )
    assert float(risk.comeback_probability) == pytest.approx(1 - survives(500.0), rel=1e-5)
    curve = {point.hours: point.probability for point in survival_curve(built, plan)}
    assert float(curve[Decimal(750)]) == pytest.approx(survives(750.0), rel=1e-5)
    assert Decimal(500) in curve
