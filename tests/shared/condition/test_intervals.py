"""Intervals: a gauge that goes and one that does not."""

import math
import random
from dataclasses import replace
from decimal import Decimal

import pytest
from scipy.integrate import quad
from scipy.stats import norm

from shared.condition.intervals import interval_probability, judge_interval
from shared.condition.model import ConformityRule, Verdict
from shared.condition.verdict import judge_finding
from shared.errors import InvalidInput, OutOfRange
from shared.quantities import Quantity
from tests.shared.condition.made import characteristic, finding, mm

ISO = ConformityRule.ISO_14253_1
GOOD, BAD, OPEN = Verdict.CONFORMING, Verdict.NONCONFORMING, Verdict.INDETERMINATE


def by_quadrature(at_least, at_most, u, lower, upper):
    """Independent: the normal probability of every size, averaged over the interval by scipy."""
    low = -math.inf if lower is None else lower
    high = math.inf if upper is None else upper

    def within(size):
        return norm.cdf((high - size) / u) - norm.cdf((low - size) / u)

    points = [p for p in (low, high) if at_least < p < at_most]
    area, _ = quad(within, at_least, at_most, epsabs=1e-13, limit=400, points=points or None)
    return area / (at_most - at_least)


def test_the_probability_agrees_with_quadrature():
    chance = random.Random(7)
    for _ in range(60):
        low = chance.uniform(-1, 1)
        high = low + chance.uniform(0.02, 1)
        u = chance.uniform(0.01, 0.6)
        lower = chance.choice([None, chance.uniform(-1.5, 1)])
        upper = chance.uniform(0, 2) if lower is None else lower + chance.uniform(0.01, 2)
        expected = by_quadrature(low, high, u, lower, upper)
        assert interval_probability(low, high, u, lower, upper) == pytest.approx(expected, abs=1e-9)


def test_an_interval_without_width_is_a_reading_with_the_gauges_doubt():
    assert interval_probability(0.1, 0.1, 0.02, None, 0.13) == pytest.approx(norm.cdf(1.5))
    assert interval_probability(0.1, 0.1, 0.0, 0.1, 0.2) == 1
    assert interval_probability(0.1, 0.1 + 1e-9, 0.02, None, 0.13) == pytest.approx(norm.cdf(1.5))


def verdict(least, most, feel=0.0, lower=None, upper=None, rule=ISO, p=0.95):
    return judge_interval(
        least, most, feel, lower, upper, rule=rule, acceptance_probability=p
    ).verdict


@pytest.mark.parametrize(
    ("least", "most", "feel", "expected"),
    [
        (0.10, 0.15, 0.0, GOOD),
        (0.10, 0.15, 0.02, GOOD),
        (0.10, 0.20, 0.02, OPEN),  # the end, moved outward, passes the limit
        (0.10, 0.25, 0.0, OPEN),
        (0.21, 0.25, 0.0, BAD),
        (0.21, 0.25, 0.02, OPEN),
        (0.30, 0.35, 0.02, BAD),
        (None, 0.15, 0.02, GOOD),
        (None, 0.18, 0.02, OPEN),  # 1.645 u from the limit, not 1 u
        (None, 0.15, 0.0, GOOD),
        (0.25, None, 0.0, BAD),
        (0.10, None, 0.0, OPEN),  # it goes; how much more is not known
    ],
)
def test_only_the_whole_interval_decides(least, most, feel, expected):
    assert verdict(least, most, feel, upper=0.20) is expected


def test_a_blade_that_goes_shows_a_limit_that_works_downwards():
    assert verdict(0.8, None, lower=0.8) is GOOD
    assert verdict(None, 0.75, lower=0.8) is BAD
    assert verdict(0.75, None, lower=0.8) is OPEN


def test_an_interval_over_both_limits_is_open():
    assert verdict(0.0, 1.0, lower=0.4, upper=0.6) is OPEN


def test_a_narrow_interval_near_the_limit_is_not_good_by_its_ends_alone():
    """Without width it is a reading 1 u from the limit: 0.84, below 0.95."""
    assert verdict(0.1799, 0.1801, 0.0199, upper=0.20) is OPEN


def test_simple_acceptance_takes_the_ends_as_they_are():
    simple = ConformityRule.SIMPLE_ACCEPTANCE
    assert verdict(0.1, 0.2, 0.02, upper=0.2, rule=simple) is GOOD
    assert verdict(0.1, 0.21, 0.02, upper=0.2, rule=simple) is OPEN


def test_refusals():
    with pytest.raises(InvalidInput) as error:
        interval_probability(0.2, 0.1, 0.01, None, 1)
    assert error.value.code == "interval-upside-down"
    with pytest.raises(OutOfRange):
        interval_probability(0.1, 0.2, -0.01, None, 1)
    for ends, limits in (((None, None), (None, 1.0)), ((0.1, 0.2), (None, None))):
        with pytest.raises(InvalidInput):
            judge_interval(*ends, 0, *limits, rule=ISO, acceptance_probability=0.95)


# --- as findings ---------------------------------------------------------------------------------

PLAY = characteristic("play", service_upper=mm("0.20"), new_upper=mm("0.10"))


def test_feeler_blades_are_an_interval_and_their_feel_counts():
    """0.10 goes, 0.15 does not: whole and by 0.005 outward within 0.20."""
    blades = finding(of="play", at_least=mm("0.10"), at_most=mm("0.15"), gauge="feeler")
    found = judge_finding(blades, PLAY, ISO, 0.95)
    assert found.verdict is GOOD
    assert "between 0.10 mm and 0.15 mm" in found.detail
    assert "each end off by u = 0.005 mm" in found.detail
    next_pair = finding(of="play", at_least=mm("0.15"), at_most=mm("0.20"), gauge="feeler")
    assert judge_finding(next_pair, PLAY, ISO, 0.95).verdict is OPEN


def test_more_than_an_eighth_without_a_limit_is_kept_and_not_judged():
    """A play of more than 3.175 mm, limit unknown: neither pass nor fail."""
    found = judge_finding(
        finding(of="play", at_least=mm("3.175")), characteristic("play", unit="mm"), ISO, 0.95
    )
    assert (found.verdict, found.probability) == (OPEN, None)
    assert "ask for the limit" in found.detail


@pytest.mark.parametrize(
    ("least", "most", "limits", "cold", "hot"),
    [
        # 100 mm x 35e-6 (zinc) x 40 K = 0.14 mm: at 20 °C it may lie 0.002 within, feel 0.005.
        ("100.142", "100.15", {"service_lower": mm("100")}, GOOD, OPEN),
        ("100.18", "100.19", {"service_lower": mm("100")}, GOOD, GOOD),
        ("100.08", "100.10", {"service_upper": mm("100.05")}, BAD, OPEN),
        (
            "100.08",
            "100.09",
            {"service_lower": mm("100"), "service_upper": mm("100.02")},
            BAD,
            OPEN,
        ),
    ],
)
def test_a_hot_interval_is_judged_as_it_may_be_when_cold(least, most, limits, cold, hot):
    ends = finding(at_least=mm(least), at_most=mm(most), gauge="feeler")
    limited = characteristic(**limits)
    assert judge_finding(ends, limited, ISO, 0.95).verdict is cold
    warm = replace(ends, part_temperature=Quantity(Decimal(60), "°C"))
    assert judge_finding(warm, limited, ISO, 0.95).verdict is hot


def test_an_interval_through_dirt_shows_nothing_good():
    blades = finding(of="play", at_least=mm("0.10"), at_most=mm("0.12"), is_cleaned=False)
    assert judge_finding(blades, PLAY, ISO, 0.95).verdict is OPEN
