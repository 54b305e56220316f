"""What would settle a reading: judged again with what is told, it is settled; just short, not."""

from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.condition.conformity import Distribution, conformity_probability, verdict_of
from shared.condition.model import ConformityRule, Verdict
from shared.condition.settling import greatest_settling_u, readings_needed, settling
from shared.condition.verdict import judge_finding
from shared.errors import InvalidInput, OutOfRange
from tests.shared.condition.made import characteristic, finding, gauge, mm

ISO = ConformityRule.ISO_14253_1
OPEN = Verdict.INDETERMINATE


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    value=st.floats(-1, 2),
    lower=st.none() | st.floats(-0.5, 0.4),
    width=st.floats(0.01, 2),
    p=st.sampled_from([0.9, 0.95, 0.99]),
    shape=st.sampled_from(list(Distribution)),
    is_two_sided=st.booleans(),
)
def test_the_told_u_settles_and_a_little_more_does_not(value, lower, width, p, shape, is_two_sided):
    upper = None if lower is not None and not is_two_sided else (lower or 0.0) + width
    u = greatest_settling_u(value, lower, upper, p, distribution=shape)
    if u in (0.0, inf) or u < 1e-9:
        return

    def at(u):
        return verdict_of(conformity_probability(value, u, lower, upper, distribution=shape), p)

    is_inside = (lower is None or value >= lower) and (upper is None or value <= upper)
    settled = Verdict.CONFORMING if is_inside else Verdict.NONCONFORMING
    assert at(u * (1 - 1e-9)) is settled
    assert at(u * 0.3) is settled
    assert at(u * (1 + 1e-6)) is not settled


def test_with_one_limit_it_is_the_distance_over_the_quantile():
    assert greatest_settling_u(0.06, None, 0.07, 0.95) == pytest.approx(0.01 / 1.6448536, rel=1e-7)
    assert greatest_settling_u(0.08, None, 0.07, 0.95) == pytest.approx(0.01 / 1.6448536, rel=1e-7)


def test_on_the_limit_no_gauge_settles_it():
    told = settling(0.07, (None, 0.07), 0.95, "mm")
    assert (told.u_at_most, told.readings) == (0, None)
    assert "no gauge settles it" in told.text


def test_a_reading_doubted_by_plus_or_minus_is_settled_by_a_normal_one_too():
    rectangular = settling(0.06, (None, 0.07), 0.95, "mm", distribution=Distribution.RECTANGULAR)
    assert rectangular.u_at_most == pytest.approx(0.01 / 1.6448536, rel=1e-7)
    lax = settling(0.06, (None, 0.07), 0.9, "mm", distribution=Distribution.RECTANGULAR)
    assert lax.u_at_most == pytest.approx(0.01 / (0.8 * 3**0.5), rel=1e-7)


def test_so_far_out_of_two_close_limits_that_nothing_is_open():
    assert greatest_settling_u(10, 0, 0.001, 0.95) == inf
    assert settling(10, (0, 0.001), 0.95, "mm") is None
    assert settling(10, (None, None), 0.95, "mm") is None


def test_the_number_of_readings():
    """u of the mean of 4: sqrt(0.002^2 + 0.004^2 / 4) = 0.00283, of 3 it is 0.00306."""
    assert readings_needed(0.003, 0.004, 0.002) == 4
    assert readings_needed(0.002, 0.004, 0.0) == 4
    assert readings_needed(0.002, 0.004, 0.002) is None
    assert readings_needed(0.002, None, 0.001) is None
    assert readings_needed(0.002, 0.004, None) is None


@settings(max_examples=30, deadline=None, derandomize=True)
@given(u_t=st.floats(0.001, 0.01), s=st.floats(0.001, 0.05), share=st.floats(0, 0.95))
def test_so_many_readings_are_enough_and_one_less_is_not(u_t, s, share):
    c = share * u_t
    n = readings_needed(u_t, s, c)
    assert (c**2 + s**2 / n) ** 0.5 <= u_t * (1 + 1e-9)
    assert n == 1 or (c**2 + s**2 / (n - 1)) ** 0.5 > u_t


def test_refusals():
    with pytest.raises(OutOfRange):
        greatest_settling_u(0, None, 1, 0.5)
    with pytest.raises(InvalidInput):
        greatest_settling_u(0, None, None, 0.95)
    with pytest.raises(InvalidInput):
        greatest_settling_u(0, 1, 0, 0.95)


# --- in a judgement ------------------------------------------------------------------------------

BACKLASH = characteristic("backlash", service_upper=mm("0.20"))


def judge(found, **gauges):
    return judge_finding(found, BACKLASH, ISO, 0.95, gauges=gauges)


def test_an_open_reading_says_how_fine_a_gauge_would_settle_it():
    """0.0050 mm from the limit: u at most 0.0050 / 1.645 = 0.00304 mm."""
    found = judge(finding(of="backlash", measured=mm("0.195", "0.006")))
    assert found.verdict is OPEN
    assert "a gauge of u at most 0.00303 mm would settle it" in found.detail
    assert found.settling.readings is None
    again = judge(finding(of="backlash", measured=mm("0.195", "0.00303")))
    assert again.verdict is Verdict.CONFORMING
    assert again.settling is None


def test_with_the_common_part_known_it_says_how_many_readings():
    """s^2 = 0.006^2 - 0.001^2; s^2 / (0.00304^2 - 0.001^2) = 4.25: five readings."""
    known = gauge(standard_uncertainty=mm("0.006"), common_uncertainty=mm("0.001"))
    found = judge(finding(of="backlash", measured=mm("0.195"), gauge_id="g1"), g1=known)
    assert found.settling.readings == 5
    assert "or 5 readings of the one place" in found.detail
    coarse = gauge(standard_uncertainty=mm("0.006"), common_uncertainty=mm("0.004"))
    never = judge(finding(of="backlash", measured=mm("0.195"), gauge_id="g1"), g1=coarse)
    assert never.settling.readings is None
    assert "their common part alone is too much" in never.detail


def test_without_a_known_doubt_it_says_how_fine_a_gauge_is_wanted():
    found = judge(finding(of="backlash", measured=mm("0.195")))
    assert (found.verdict, found.probability) == (OPEN, None)
    assert "u at most 0.00303 mm" in found.settling.text


def test_what_dirt_alone_leaves_open_no_gauge_settles():
    found = judge(finding(of="backlash", measured=mm("0.10", "0.006"), is_cleaned=False))
    assert (found.verdict, found.settling) == (OPEN, None)


def test_where_dirt_stands_against_it_too_a_gauge_alone_does_not_settle_it():
    found = judge(finding(of="backlash", measured=mm("0.195", "0.006"), is_cleaned=False))
    assert "would settle it, once nothing else stands against it" in found.settling.text
