"""Constructed cases of wear, not published: two independent computations agree on each."""

from math import sqrt

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.stats import invgauss, norm

from shared.condition.wear.first_passage import FirstPassage
from shared.condition.wear.model import Side, WearPoint
from shared.condition.wear.remaining import chance_beyond, remaining, u_of_remaining
from shared.condition.wear.trend import trend_through
from shared.condition.wear.uneven import uneven_bounds, uneven_chance

NEW, NOW, LIMIT = WearPoint(0.0, 0.02, 0.005), WearPoint(4000.0, 0.18, 0.01), 0.3


def test_two_points_keep_the_latest_reading_in_size_and_in_rate():
    trend = trend_through([NEW, NOW], Side.UPPER, LIMIT)
    assert trend.rates.governing.per_hour == pytest.approx(4e-5, abs=1e-12)
    assert trend.rates.governing.u == pytest.approx(2.795085e-6, abs=1e-11)
    left = remaining(trend)
    assert left.estimate == pytest.approx(3000.0, abs=1e-6)
    assert u_of_remaining(trend) == pytest.approx(447.432, abs=0.01)
    assert left.lower == pytest.approx(2337.498, abs=0.01)


def test_the_lower_bound_is_the_root_of_p_equal_to_the_confidence():
    def probability(hours):
        k = hours / 4000
        worn = 0.18 * (1 + k) - 0.02 * k
        return norm.cdf((LIMIT - worn) / sqrt((1 + k) ** 2 * 0.01**2 + k**2 * 0.005**2))

    trend = trend_through([NEW, NOW], Side.UPPER, LIMIT)
    for level in (0.9, 0.95, 0.99):
        root = brentq(lambda hours, level=level: probability(hours) - level, 0, 3000)
        assert remaining(trend, level).lower == pytest.approx(root, rel=1e-9)
        assert chance_beyond(trend, root) == pytest.approx(1 - level, abs=1e-9)


def test_drawn_readings_reach_the_limit_as_often_as_told():
    draw = np.random.default_rng(20)
    now, new = draw.normal(0.18, 0.01, 200_000), draw.normal(0.02, 0.005, 200_000)
    k = 2337.498 / 4000
    share = np.mean(now * (1 + k) - new * k <= LIMIT)
    assert share == pytest.approx(0.95, abs=0.002)


def test_a_size_that_falls_to_its_limit_is_the_same_upside_down():
    up = trend_through([NEW, NOW], Side.UPPER, LIMIT)
    points = [WearPoint(p.hours, 50 - p.size, p.u) for p in (NEW, NOW)]
    down = trend_through(points, Side.LOWER, 50 - LIMIT)
    assert remaining(down).lower == pytest.approx(remaining(up).lower, rel=1e-9)
    assert remaining(down).upper == pytest.approx(remaining(up).upper, rel=1e-9)


def test_uneven_wear_first_reaches_its_limit_by_an_inverse_gaussian():
    passage = FirstPassage(0.12, 4e-5, 0.0006)
    assert passage.mean == pytest.approx(3000.0, abs=1e-6)
    assert passage.standard_deviation == pytest.approx(821.5838, abs=1e-3)
    assert passage.survival(2000) == pytest.approx(0.914663, abs=1e-5)
    shape = 0.12**2 / 0.0006**2
    library = invgauss(3000 / shape, scale=shape)
    for hours in (500.0, 2000.0, 3000.0, 6000.0):
        assert passage.survival(hours) == pytest.approx(library.sf(hours), abs=1e-9)


def test_doubt_of_the_readings_adds_to_uneven_wear():
    # Drawn: size when new and now, the wear from now on in 200 steps; a library has the rest.
    draw, count = np.random.default_rng(4), 40_000
    now, new = draw.normal(0.18, 0.01, count), draw.normal(0.02, 0.005, count)
    trend = trend_through([NEW, NOW], Side.UPPER, LIMIT)
    worn, reached = now.copy(), now >= LIMIT
    for _ in range(200):
        worn += (now - new) / 4000 * 10 + draw.normal(0, 0.0006 * sqrt(10), count)
        reached |= worn >= LIMIT
    chance = uneven_chance(trend, 0.0006, 2000.0)
    assert chance == pytest.approx(np.mean(reached), abs=0.01)
    assert chance > 1 - 0.914663  # more than by uneven wear alone
    lower, upper = uneven_bounds(trend, 0.0006, remaining(trend))
    assert uneven_chance(trend, 0.0006, lower) == pytest.approx(0.05, abs=1e-9)
    assert uneven_chance(trend, 0.0006, upper) == pytest.approx(0.95, abs=1e-9)
    # Hardly any doubt: bounds of the inverse Gaussian. Hardly any scatter: those of the doubt.
    sure = [WearPoint(p.hours, p.size, 1e-9) for p in (NEW, NOW)]
    exact = trend_through(sure, Side.UPPER, LIMIT)
    library = invgauss(3000 * 0.0006**2 / 0.12**2, scale=0.12**2 / 0.0006**2)
    told = uneven_bounds(exact, 0.0006, remaining(exact))
    assert told == pytest.approx((library.ppf(0.05), library.ppf(0.95)), rel=1e-5)
    left = remaining(trend)
    assert uneven_bounds(trend, 1e-12, left) == pytest.approx((left.lower, left.upper), rel=1e-6)
