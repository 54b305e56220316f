"""Wear: what is a trend, what is none, and hours that are never told too long."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.condition.wear.fieller import crossing
from shared.condition.wear.first_passage import FirstPassage
from shared.condition.wear.inspection import next_inspection
from shared.condition.wear.line import fit_line
from shared.condition.wear.model import NoTrend, NoTrendReason, Side, Trend, WearPoint
from shared.condition.wear.rates import Term, rate_between
from shared.condition.wear.remaining import chance_beyond, remaining, told
from shared.condition.wear.trend import trend_through
from shared.condition.wear.uneven import uneven_bounds
from shared.errors import InvalidInput, OutOfRange

LIMIT = 35.03


def points(*sizes, u=0.002, step=1000.0, start=0.0):
    return [WearPoint(start + step * n, size, u) for n, size in enumerate(sizes)]


def bore(*sizes, **more):
    asked = {name: more.pop(name) for name in ("u", "step", "start") if name in more}
    return trend_through(points(*sizes, **asked), Side.UPPER, LIMIT, **more)


def test_one_point_tells_no_rate():
    found = bore(35.01)
    assert isinstance(found, NoTrend)
    assert found.reason is NoTrendReason.TOO_FEW_POINTS
    assert "One point tells no rate" in found.text


def test_a_slope_within_the_doubt_is_no_trend_but_has_a_safe_lower_bound():
    found = bore(35.010, 35.011, u=0.004)
    assert found.reason is NoTrendReason.NOT_SIGNIFICANT
    # Both readings wrong by 1.645 u against it would wear much faster than the readings say.
    assert 0 < found.lower_hours < (LIMIT - 35.011) / 1e-6
    k = found.lower_hours / 1000
    worst = 35.011 + 0.001 * k + 1.6449 * 0.004 * ((1 + k) ** 2 + k**2) ** 0.5
    assert worst == pytest.approx(LIMIT, abs=1e-5)


def test_a_size_that_shrinks_back_is_no_wear():
    assert bore(35.020, 35.008).reason is NoTrendReason.WRONG_WAY
    # On the whole it shrinks, though it grew of late; all within the doubt.
    assert bore(35.010, 35.008, 35.0085).reason is NoTrendReason.WRONG_WAY
    back = bore(35.005, 35.020, 35.006, 35.025)
    assert back.reason is NoTrendReason.WRONG_WAY
    assert "renewed in between" in back.text


def test_a_wobble_within_the_doubt_is_still_a_trend():
    assert isinstance(bore(35.004, 35.010, 35.009, 35.016), Trend)


def test_at_or_beyond_the_limit_nothing_is_left():
    for last in (35.030, 35.034):
        found = bore(35.005, 35.02, last)
        assert found.is_beyond
        left = remaining(found)
        assert (left.estimate, left.lower, left.upper) == (0, 0, 0)
        assert chance_beyond(found, 0) == 1
        assert "already" in told(found)


def test_two_points_without_doubt_have_a_rate_and_no_hours():
    found = bore(35.005, 35.015, u=None)
    assert found.reason is NoTrendReason.DOUBT_UNKNOWN
    assert found.rates.governing.per_hour == pytest.approx(1e-5)
    assert found.rates.governing.u is None
    assert found.estimate_hours == pytest.approx(1500)  # 0.015 mm at 0.01 mm in 1000 h; no bounds
    assert found.lower_hours is None


def test_three_points_without_doubt_are_judged_by_their_scatter():
    found = bore(35.004, 35.0101, 35.0159, 35.022, u=None)
    assert isinstance(found, Trend)
    assert found.lines[0].degrees_of_freedom == 2


def test_stated_doubt_is_never_undercut_by_a_lucky_scatter():
    # Three points exactly on a line whose doubt is known of one only.
    exact = [WearPoint(0, 1.0, 0.1), WearPoint(1, 2.0, None), WearPoint(2, 3.0, None)]
    line = fit_line([p.hours for p in exact], [p.size for p in exact], [p.u for p in exact])
    assert line.variance_of_slope == pytest.approx(0.1**2 / 2)


def test_hours_must_rise_and_now_is_not_before_the_latest():
    for hours in ((1000, 1000), (2000, 1000)):
        backwards = [WearPoint(hours[0], 35.0, 0.002), WearPoint(hours[1], 35.01, 0.002)]
        with pytest.raises(InvalidInput) as caught:
            trend_through(backwards, Side.UPPER, LIMIT)
        assert caught.value.pointer == "/points/1/hours"
    with pytest.raises(InvalidInput) as caught:
        bore(35.005, 35.015, now_hours=500)
    assert caught.value.pointer == "/hours_now"
    with pytest.raises(InvalidInput):
        rate_between((5, 0, None), (5, 1, None))
    with pytest.raises(InvalidInput):
        fit_line([1.0, 1.0], [2.0, 3.0], [None, None])
    with pytest.raises(InvalidInput):
        fit_line([1.0, 2.0], [2.0, 3.0], [-1.0, 1.0])


@pytest.mark.parametrize("confidence", [0.5, 1.0, 0.2, float("nan")])
def test_a_confidence_that_is_none_is_refused(confidence):
    with pytest.raises(OutOfRange):
        bore(35.005, 35.015, confidence=confidence)


def test_hours_run_since_the_last_reading_are_taken_off():
    at_reading = remaining(bore(35.005, 35.015))
    later = remaining(bore(35.005, 35.015, now_hours=1400))
    assert later.estimate == pytest.approx(at_reading.estimate - 400)
    assert later.lower == pytest.approx(at_reading.lower - 400)


def test_a_faster_latest_stretch_governs():
    found = bore(35.000, 35.004, 35.008, 35.016)
    assert found.rates.governing_term is Term.SHORT
    assert remaining(found).estimate == pytest.approx((LIMIT - 35.016) / 8e-6)
    assert any("short-term rate governs" in said for said in found.warnings)
    left = remaining(found)
    assert left.lower < crossing(found.lines[0], LIMIT, 0.95).lower - 3000  # by the faster line
    assert uneven_bounds(found, 1e-12, left)[0] == pytest.approx(left.lower, rel=1e-6)


def test_running_in_and_reaching_far_ahead_are_told():
    found = bore(35.000, 35.012, 35.014, 35.016, u=0.0005)
    assert any("running in" in said for said in found.warnings)
    early = bore(35.000, 35.004, u=0.0005)
    assert any("further ahead (6500 h)" in said for said in early.warnings)
    steady = bore(35.000, 35.008, 35.016, 35.024)
    assert not any("running in" in said for said in steady.warnings)
    assert not any("further ahead" in said for said in steady.warnings)


def test_scatter_beyond_the_stated_doubt_widens_the_bounds():
    calm = bore(35.000, 35.006, 35.012, 35.018, 35.024, u=0.0006)
    wild = bore(35.000, 35.0075, 35.0105, 35.0195, 35.024, u=0.0006)
    assert wild.lines[0].is_scattered
    assert not calm.lines[0].is_scattered
    assert remaining(wild).lower < remaining(calm).lower


def test_what_all_readings_share_does_not_average_out():
    def bounds(common_u):
        found = bore(35.000, 35.006, 35.012, 35.018, 35.024, common_u=common_u)
        return crossing(found.lines[0], LIMIT, 0.95)

    free, shared, unknown = bounds(0.0), bounds(0.002), bounds(None)
    assert unknown == shared
    # All readings alike wrong by 1.645 u would shift the crossing by 1.645 u / rate.
    shift = 1.6449 * 0.002 / 6e-6
    assert shared.lower <= shared.estimate - shift + 0.01
    assert free.lower > free.estimate - shift
    assert shared.upper > free.upper


def test_what_the_gauge_s_readings_share_turns_a_line_from_the_size_when_new():
    # One gauge for all five, nothing known of what its readings share; the new size is exact. All
    # of 0.003 mm is shared: each reading is wrong by the same, and the slope through 0 with it.
    rng, held = np.random.default_rng(8), 0
    hours, rate, true_hours = np.arange(3000.0, 5500.0, 500.0), 4e-6, 0.03 / 4e-6 - 5000
    for wrong in rng.normal(0, 0.003, 300):
        read = [WearPoint(at, 35 + rate * at + wrong, 0.003) for at in hours]
        new = WearPoint(0.0, 35.0, 1e-5, is_new=True)
        held += remaining(trend_through([new, *read], Side.UPPER, LIMIT)).upper >= true_hours
    assert held / 300 >= 0.94  # 95 % told


def test_the_common_part_is_that_of_the_readings_worked_out_in_full():
    hours, u, common = np.array([0.0, 1000.0, 2500.0, 4000.0]), [0.001, 0.003, 0.003, 0.003], 0.002
    sizes = [35.0, 35.005, 35.011, 35.019]
    line = fit_line(hours, sizes, u, common, apart=[0])
    design = np.column_stack([np.ones(4), hours])
    weighed = np.linalg.solve(design.T @ (design / np.square(u)[:, None]), design.T / np.square(u))
    shared = np.diag(np.square(u)) + np.outer(e := common * (hours > 0), e) - np.diag(e**2)
    for at in (4000.0, 6000.0, 20_000.0):
        along = np.array([1.0, at]) @ weighed
        assert line.at(at) == pytest.approx(along @ sizes, rel=1e-9)
        least = along @ shared @ along
        assert least <= line.u_at(at) ** 2 <= 1.2 * least


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.floats(0.0005, 0.01), min_size=1, max_size=5),
    st.floats(0.0005, 0.004),
    st.lists(st.floats(0, 20_000), min_size=2, max_size=6),
)
def test_the_chance_never_falls_and_agrees_with_the_lower_bound(steps, u, hours):
    sizes = [34.98]
    for step in steps:
        sizes.append(sizes[-1] + step)
    found = bore(*sizes, u=u)
    if isinstance(found, NoTrend):
        assert found.reason is NoTrendReason.NOT_SIGNIFICANT
        return
    chances = [chance_beyond(found, at) for at in sorted(hours)]
    assert chances == sorted(chances)
    assert all(0 <= chance <= 1 for chance in chances)
    left = remaining(found)
    assert left.lower <= left.estimate <= left.upper
    if 0 < left.lower < left.estimate:
        assert chance_beyond(found, left.lower) == pytest.approx(0.05, abs=1e-6)


def test_the_chance_needs_hours_that_are_none_below_zero():
    with pytest.raises(OutOfRange):
        chance_beyond(bore(35.005, 35.015), -1)


def test_a_higher_confidence_than_the_wear_is_shown_with_has_no_upper_bound():
    found = bore(35.005, 35.013, u=0.003)
    with pytest.raises(OutOfRange):
        remaining(found, 0.999)


def test_the_next_inspection_is_half_the_hours_or_the_cap():
    assert next_inspection(1000, 600, None).hours == 500
    assert next_inspection(1000, 600, 400).hours == 400
    assert next_inspection(1000, 300, 400).hours == 300
    assert "cap" in next_inspection(1000, 600, 400).rule
    assert next_inspection(1000, 600, None, is_safety_critical=True).hours == 300
    assert next_inspection(None, 600, None).hours == 300
    assert next_inspection(1000, 600, 400, is_beyond=True).hours == 0


def test_where_nothing_tells_a_rate_only_the_cap_is_left():
    assert next_inspection(None, None, 400).hours == 400
    assert next_inspection(None, None, None).hours is None
    dangerous = next_inspection(1000, None, 400, is_safety_critical=True)
    assert dangerous.hours is None
    assert "dangerous" in dangerous.rule
    with pytest.raises(OutOfRange):
        next_inspection(1000, None, 0)


def test_uneven_wear_needs_a_distance_a_drift_and_a_scatter():
    for broken in ((0, 1, 1), (1, 0, 1), (1, 1, 0), (1, 1, float("inf"))):
        with pytest.raises(OutOfRange):
            FirstPassage(*broken)
    passage = FirstPassage(0.1, 1e-5, 1e-9)  # hardly any scatter: the factor alone overflows
    assert passage.survival(0) == 1
    assert passage.survival(9_000) == pytest.approx(1)
    assert passage.survival(11_000) == pytest.approx(0)
    with pytest.raises(OutOfRange):
        passage.survival(-1)
