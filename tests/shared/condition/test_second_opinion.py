"""Intervals, sums and wear against a second, plain implementation, on random inputs."""

import random
from math import hypot

import pytest
from GTC import set_correlation, ureal
from scipy.stats import norm

from shared.condition.intervals import interval_probability, judge_interval
from shared.condition.measures import Term, combine
from shared.condition.model import ConformityRule, Verdict
from shared.condition.wear.model import NoTrend, NoTrendReason, Side, Trend, WearPoint
from shared.condition.wear.remaining import remaining
from shared.condition.wear.trend import trend_through
from tests.shared.condition.plain_condition import (
    hours_shown,
    interval_judged,
    interval_within,
    summed,
)


def random_interval(rng):
    at_least = rng.uniform(-1, 1)
    at_most = at_least + rng.choice([0.0, 0.01, 0.1, 1.0]) * rng.random()
    lower = rng.choice([None, rng.uniform(-1.2, 1)])
    upper = rng.uniform(-1, 1.5) if lower is None else rng.choice([None, lower + 2 * rng.random()])
    return at_least, at_most, rng.choice([0.001, 0.02, 0.3]), lower, upper


def test_the_probability_of_an_interval_is_the_average_over_it():
    rng = random.Random(1)
    for _ in range(150):
        asked = random_interval(rng)
        assert interval_probability(*asked) == pytest.approx(interval_within(*asked), abs=2e-4)


def test_an_interval_is_judged_as_plainly_written():
    rng = random.Random(2)
    seen = set()
    for _ in range(300):
        at_least, at_most, feel, lower, upper = random_interval(rng)
        wanted = rng.choice([0.8, 0.95])
        found = judge_interval(
            at_least,
            at_most,
            feel,
            lower,
            upper,
            rule=ConformityRule.ISO_14253_1,
            acceptance_probability=wanted,
        )
        plain = interval_judged(at_least, at_most, feel, lower, upper, wanted)
        is_close = found.probability is not None and (
            min(abs(found.probability - wanted), abs(found.probability - 1 + wanted)) < 1e-3
        )
        if not is_close:  # the plain average is good to some 1e-4 only
            assert found.verdict == plain, (at_least, at_most, feel, lower, upper, wanted)
            seen.add(found.verdict)
    assert seen == {Verdict.CONFORMING, Verdict.NONCONFORMING, Verdict.INDETERMINATE}


def test_an_open_interval_is_never_good_towards_its_open_end():
    rng = random.Random(3)
    for _ in range(200):
        at_least, at_most = rng.choice([(rng.uniform(-1, 1), None), (None, rng.uniform(-1, 1))])
        lower = rng.choice([None, rng.uniform(-1, 0)])
        upper = rng.uniform(0, 1) if lower is None else rng.choice([None, rng.uniform(0, 1)])
        found = judge_interval(
            at_least,
            at_most,
            rng.choice([0.0, 0.05]),
            lower,
            upper,
            rule=rng.choice(list(ConformityRule)),
            acceptance_probability=0.95,
        )
        assert found.probability is None
        is_open_above = at_most is None and upper is not None
        is_open_below = at_least is None and lower is not None
        if is_open_above or is_open_below:
            assert found.verdict is not Verdict.CONFORMING


def random_terms(rng):
    terms = []
    for _ in range(rng.randrange(1, 6)):
        u = rng.uniform(0.001, 0.01)
        common = rng.choice([None, 0.0, u * rng.random(), u, 2 * u])
        gauge = rng.choice([None, "A", "A", "B"])
        factor = rng.choice([1.0, -1.0, 0.5, -2.0, 0.0])
        terms.append(
            (rng.uniform(-5, 50), factor, u, common, gauge, rng.choice([None, None, "ring"]))
        )
    return terms


def test_the_doubt_of_a_sum_is_the_greatest_that_is_not_excluded():
    rng = random.Random(4)
    told = 0
    for _ in range(400):
        terms = random_terms(rng)
        found = combine(
            [
                Term(f"t{n}", value, factor, u, common, gauge, master)
                for n, (value, factor, u, common, gauge, master) in enumerate(terms)
            ],
            0.25,
        )
        value, u = summed(terms, 0.25)
        assert found.value == pytest.approx(value, abs=1e-9)
        if found.u is None:  # all cancels, or nothing is asked
            assert u <= 1e-5
        else:
            told += 1
            assert found.u == pytest.approx(u, rel=1e-9)
    assert told > 300


def test_a_sum_with_known_common_parts_is_that_of_a_general_library_for_uncertainty():
    """Against GTC, a library for measurement uncertainty by the GUM, fed with correlations."""
    rng = random.Random(5)
    for _ in range(60):
        us = [rng.uniform(0.001, 0.01) for _ in range(rng.randrange(2, 5))]
        commons = [u * rng.uniform(0, 0.95) for u in us]
        factors = [rng.choice([1.0, -1.0, 2.0, -0.5]) for _ in us]
        values = [rng.uniform(1, 50) for _ in us]
        inputs = [ureal(x, u, independent=False) for x, u in zip(values, us, strict=True)]
        for i in range(len(us)):
            for j in range(i):
                rho = commons[i] * commons[j] / (us[i] * us[j])
                set_correlation(rho, inputs[i], inputs[j])
        expected = sum(f * x for f, x in zip(factors, inputs, strict=True))
        found = combine(
            [
                Term(f"t{n}", *facts, gauge="one micrometer")
                for n, facts in enumerate(zip(values, factors, us, commons, strict=True))
            ]
        )
        assert found.value == pytest.approx(expected.x, abs=1e-9)
        assert found.u == pytest.approx(expected.u, rel=1e-9)


def assert_shown(lower, plain, common, hours):
    """Equal where the readings share nothing; else never more: sharing is not counted upon."""
    if common == 0:
        assert lower == pytest.approx(plain, rel=1e-6, abs=1e-6 * hours)
    else:
        assert plain is None or lower <= plain * (1 + 1e-6) + 1e-6 * hours


def test_the_lower_bound_of_two_points_is_where_the_limit_is_no_longer_shown():
    rng = random.Random(6)
    shown = 0
    for _ in range(300):
        hours, new, wear = rng.uniform(50, 5000), 50.0, rng.uniform(0.002, 0.1)
        worn = new + wear
        limit = worn + rng.uniform(-0.01, 0.2)
        u_new, u_worn = rng.uniform(0.001, 0.01), rng.uniform(0.001, 0.01)
        common = rng.choice([0.0, rng.random()]) * min(u_new, u_worn)
        confidence = rng.choice([0.9, 0.95, 0.99])
        side = rng.choice(list(Side))
        sign = 1 if side is Side.UPPER else -1
        found = trend_through(
            [WearPoint(0.0, sign * new, u_new), WearPoint(hours, sign * worn, u_worn)],
            side,
            sign * limit,
            common_u=common,
            confidence=confidence,
        )
        plain = hours_shown(hours, new, worn, limit, u_new, u_worn, common, norm.ppf(confidence))
        if worn >= limit:
            assert found.is_beyond
        elif isinstance(found, Trend):
            shown += 1
            left = remaining(found)
            assert_shown(left.lower, plain, common, hours)
            assert left.estimate == pytest.approx((limit - worn) / (wear / hours), rel=1e-9)
            assert left.lower <= left.estimate <= left.upper
        else:
            assert isinstance(found, NoTrend)
            assert found.reason is NoTrendReason.NOT_SIGNIFICANT
            # The wear is within the doubt of both readings: q u of the difference.
            assert wear <= norm.ppf(confidence) * hypot(u_new, u_worn) * (1 + 1e-9)
            assert_shown(found.lower_hours, plain, common, hours)
    assert shown > 100
