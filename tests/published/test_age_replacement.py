"""Planned replacement of a part that wears out: planned cost 1, failure cost 5, Weibull 2.5 / 1000.

Source: documentation of a reliability package and a public reliability wiki (the documentation
prints 493.19 h by a search on a grid; the minimum is at 493.05 h, so the rate is asserted tightly
and the age loosely). With minimal repair the package documents 446.66 h and 0.0037314 per hour.
"""

import pytest
from scipy.integrate import quad
from scipy.optimize import minimize_scalar

from shared.decision.economics.replacement_age import OnFailure, replacement_age
from shared.life.weibull import WeibullLife

LIFE = WeibullLife(2.5, 1000.0)


def test_a_new_part_after_a_failure():
    found = replacement_age(LIFE, 1, 5, OnFailure.REPLACE)
    assert found.hours == pytest.approx(493.05, abs=0.2)
    assert found.cost_per_hour == pytest.approx(0.00346204, abs=1e-7)


def test_a_minimal_repair_after_a_failure():
    found = replacement_age(LIFE, 1, 5, OnFailure.MINIMAL_REPAIR)
    assert found.hours == pytest.approx(446.66, abs=0.005)
    assert found.cost_per_hour == pytest.approx(0.0037314, abs=5e-8)


@pytest.mark.parametrize(("shape", "failure"), [(1.3, 4.0), (2.5, 5.0), (4.0, 1.5), (8.0, 60.0)])
def test_an_independent_minimiser_finds_the_same_age(shape, failure):
    life = WeibullLife(shape, 1000.0)

    def rate(age):
        run, _ = quad(life.reliability, 0, age)
        survives = life.reliability(age)
        return (survives + failure * (1 - survives)) / run

    found = replacement_age(life, 1, failure, OnFailure.REPLACE)
    other = minimize_scalar(rate, bounds=(10, 4000), method="bounded", options={"xatol": 1e-6})
    assert found.cost_per_hour == pytest.approx(other.fun, rel=1e-9)
    assert found.hours == pytest.approx(other.x, rel=1e-3)
    assert found.cost_per_hour <= found.cost_per_hour_unplanned
