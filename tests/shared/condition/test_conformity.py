"""Probability of conformity, guard bands, and the three outcomes."""

from math import inf, isclose

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.condition.conformity import (
    Distribution,
    acceptance_limits,
    conformity_probability,
    guard_band,
    judge_conformity,
    verdict_of,
)
from shared.condition.model import ConformityRule, Verdict
from shared.errors import InvalidInput, OutOfRange

sizes = st.floats(-1e3, 1e3)
doubts = st.floats(1e-6, 1e2)
widths = st.floats(0, 1e3)
distributions = st.sampled_from(list(Distribution))
probabilities = st.floats(0.5, 0.999)


@given(sizes, doubts, sizes, widths, distributions)
def test_a_probability_lies_between_nothing_and_one(value, u, lower, width, distribution):
    p = conformity_probability(value, u, lower, lower + width, distribution=distribution)
    assert 0 <= p <= 1


@given(sizes, doubts, sizes, widths, st.floats(0, 0.5), distributions)
def test_tighter_limits_never_raise_the_probability(value, u, lower, width, cut, distribution):
    wide = conformity_probability(value, u, lower, lower + width, distribution=distribution)
    inner = (lower + cut * width, lower + width - cut * width)
    if inner[0] <= inner[1]:
        tight = conformity_probability(value, u, *inner, distribution=distribution)
        assert tight <= wide + 1e-12


@given(doubts, st.floats(1, 5), probabilities, widths, distributions)
def test_the_guard_band_grows_with_the_doubt(u, factor, probability, width, distribution):
    for limits in ((None, width), (0.0, width)):
        narrow = guard_band(u, probability, *limits, distribution=distribution)
        wide = guard_band(u * factor, probability, *limits, distribution=distribution)
        assert narrow <= wide * (1 + 1e-9) + 1e-12


@given(sizes, doubts, sizes, widths, probabilities, distributions)
def test_conforming_is_exactly_what_lies_within_the_acceptance_limits(
    value, u, lower, width, probability, distribution
):
    result = judge_conformity(
        value,
        u,
        lower,
        lower + width,
        acceptance_probability=probability,
        distribution=distribution,
    )
    accepted = result.acceptance_limits
    is_inside = accepted is not None and accepted.lower <= value <= accepted.upper
    is_on_the_edge = isclose(result.probability, probability, abs_tol=1e-6)
    assert is_on_the_edge or is_inside == (result.verdict is Verdict.CONFORMING)


@given(sizes, doubts, sizes)
def test_an_upper_and_a_lower_limit_mirror_each_other(value, u, limit):
    at_most = conformity_probability(value, u, upper=limit)
    at_least = conformity_probability(-value, u, lower=-limit)
    assert at_most == pytest.approx(at_least)
    assert at_most + conformity_probability(value, u, lower=limit) == pytest.approx(1)


def test_without_doubt_the_limit_itself_is_still_good():
    assert conformity_probability(0.2, 0.0, upper=0.2) == 1
    assert conformity_probability(0.2000001, 0.0, upper=0.2) == 0
    assert conformity_probability(0.8, 0.0, 0.8, 1.6) == 1
    assert guard_band(0.0, 0.95, upper=0.2) == 0
    assert judge_conformity(0.2, 0.0, upper=0.2).verdict is Verdict.CONFORMING


def test_a_rectangular_doubt_counts_the_share_of_its_interval():
    # 0.008 in against 0.20 mm, plus or minus 0.0127 mm: 0.0095 of 0.0254 mm lie within.
    p = conformity_probability(
        0.2032, 0.0127 / 3**0.5, upper=0.2, distribution=Distribution.RECTANGULAR
    )
    assert p == pytest.approx(0.0095 / 0.0254)


def test_a_rectangular_guard_band_is_part_of_the_half_width():
    band = guard_band(0.01 / 3**0.5, 0.95, upper=1.0, distribution=Distribution.RECTANGULAR)
    assert band == pytest.approx(0.009)


def test_a_gauge_too_coarse_for_the_limits_condemns_nothing_that_reads_within():
    """p = 0.04 in the middle: so little lies between the limits, whatever the part is like."""
    within = judge_conformity(10.0, 0.2, 9.99, 10.01)
    assert within.probability == pytest.approx(0.0399, abs=1e-4)
    assert within.verdict is Verdict.INDETERMINATE
    assert judge_conformity(10.4, 0.2, 9.99, 10.01).verdict is Verdict.NONCONFORMING


def test_a_gauge_too_coarse_for_the_limits_accepts_nothing():
    result = judge_conformity(10.0, 0.02, 9.99, 10.01)
    assert result.guard_band == inf
    assert result.acceptance_limits is None
    assert result.verdict is Verdict.INDETERMINATE


def test_two_wide_limits_take_the_guard_band_of_one():
    assert guard_band(0.005, 0.95, 0.0, 1.0) == pytest.approx(guard_band(0.005, 0.95, upper=1.0))


def test_two_near_limits_need_a_wider_guard_band_than_one():
    near = guard_band(0.005, 0.95, 0.0, 0.02)
    assert near > guard_band(0.005, 0.95, upper=0.02)
    inner = acceptance_limits(near, 0.0, 0.02)
    assert conformity_probability(inner.lower, 0.005, 0.0, 0.02) == pytest.approx(0.95)


def test_both_edges_of_the_undecided_zone_are_decided():
    assert verdict_of(0.95, 0.95) is Verdict.CONFORMING
    assert verdict_of(0.05, 0.95) is Verdict.NONCONFORMING
    assert verdict_of(0.9499, 0.95) is Verdict.INDETERMINATE
    assert verdict_of(0.0501, 0.95) is Verdict.INDETERMINATE


def test_simple_acceptance_decides_by_the_reading_and_still_tells_the_probability():
    rule = ConformityRule.SIMPLE_ACCEPTANCE
    at_the_limit = judge_conformity(0.2, 0.01, upper=0.2, rule=rule)
    just_over = judge_conformity(0.2001, 0.01, upper=0.2, rule=rule)
    assert at_the_limit.verdict is Verdict.CONFORMING
    assert at_the_limit.probability == pytest.approx(0.5)
    assert just_over.verdict is Verdict.NONCONFORMING
    assert at_the_limit.guard_band == 0


def test_no_limit_at_all_is_refused():
    with pytest.raises(InvalidInput) as refused:
        conformity_probability(1.0, 0.1)
    assert refused.value.code == "limit-missing"


def test_limits_upside_down_are_refused():
    with pytest.raises(InvalidInput) as refused:
        judge_conformity(1.0, 0.1, 2.0, 1.0)
    assert refused.value.pointer == "/upper_limit"


@pytest.mark.parametrize("probability", [0.49, 1.0, float("nan")])
def test_an_acceptance_probability_must_favour_the_limits(probability):
    with pytest.raises(OutOfRange):
        judge_conformity(1.0, 0.1, upper=2.0, acceptance_probability=probability)


@pytest.mark.parametrize("u", [-0.1, inf, float("nan")])
def test_a_doubt_must_be_a_size(u):
    with pytest.raises(OutOfRange):
        conformity_probability(1.0, u, upper=2.0)
