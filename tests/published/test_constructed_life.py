"""Constructed cases, not published: two independent computations agree on each.

Formulas: MIL-HDBK-338B 5.3.6 (conditional reliability); IEC 61649:2008 and New Weibull Handbook
(assumed shape), from memory.
"""

from math import prod

import pytest

from shared.life.bounds import assumed_shape_scale
from shared.life.fit import fit_assumed_shape
from shared.life.observed import Observed
from shared.life.series import mean_life_hours, series_expected_hours, series_survival
from shared.life.weibull import LifeSpec, WeibullLife

WEARS = WeibullLife(shape=2.0, scale_hours=1000.0)


def test_conditional_reliability_and_mean_residual_life():
    assert WEARS.chance_to_last(500, 300) == pytest.approx(0.6770568745, abs=1e-6)
    assert WEARS.mean_residual_hours(500) == pytest.approx(545.64136077, abs=1e-6)


def test_expected_service_new_and_given_age():
    assert WEARS.expected_service_hours(800) == pytest.approx(657.7, abs=0.05)
    assert WEARS.expected_service_hours(400, age_hours=500) == pytest.approx(314.5, abs=0.05)


def test_four_equal_parts_in_series_stay_weibull():
    parts = [LifeSpec(2.0, 1000.0)] * 4
    assert series_survival(parts, 300) == pytest.approx(WeibullLife(2.0, 500.0).reliability(300))
    mean = mean_life_hours(lambda hours: series_survival(parts, hours))
    assert mean == pytest.approx(443.1134627, abs=1e-6)
    assert series_expected_hours(parts, 1e6) == pytest.approx(443.1134627, abs=1e-3)


def test_assumed_shape_with_one_failure():
    fit = fit_assumed_shape(3.0, Observed.of([900], [1200, 1500, 1800]))
    assert fit.life.scale_hours == pytest.approx(2267.85789, abs=0.01)


def test_assumed_shape_without_failures_bounds_the_scale():
    running = [1200, 1500, 1800]
    bound = assumed_shape_scale(3.0, Observed.of([], running), 0.9)
    assert bound.lower == pytest.approx(1680.87093, abs=1e-4)
    assert bound.upper is None
    life = WeibullLife(3.0, bound.lower)
    assert prod(life.reliability(hours) for hours in running) == pytest.approx(0.1)
    usual = fit_assumed_shape(3.0, Observed.of([], running)).life
    assert usual.scale_hours == pytest.approx(2219.59087, abs=1e-4)
