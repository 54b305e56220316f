"""Laws of what trials show, of stress against strength, and of a series of parts."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import beta

from shared.errors import InvalidInput, OutOfRange
from shared.life.interference import Scattered, interference
from shared.life.proving import MOST_TRIALS, least_shown, shown, trials_needed
from shared.life.series_life import MOST_PARTS, CommonCause, SeriesPart, series_life
from shared.life.weibull import LifeSpec


@settings(deadline=None, max_examples=40)
@given(st.integers(1, 3000), st.floats(0.5, 0.99), st.data())
def test_bounds_hold_the_share_and_more_failures_show_less(trials, confidence, data):
    failures = data.draw(st.integers(0, trials))
    found = shown(trials, failures, confidence)
    assert 0 <= found.lower <= found.least <= found.estimate <= found.upper <= 1
    if failures < trials:
        assert least_shown(trials, failures + 1, confidence) < found.least
    assert least_shown(trials + 1, failures, confidence) > found.least or failures == trials


def test_a_whole_number_of_trials_asks_for_none_more():
    assert trials_needed(0.9, 0.19) == 2  # 0.9 x 0.9 = 1 - 0.19
    assert trials_needed(0.5, 0.875) == 3
    assert trials_needed(0.9, 0.01) == 1


def test_the_bound_is_a_quantile_of_the_beta_distribution():
    assert least_shown(50, 2, 0.9) == pytest.approx(beta.ppf(0.1, 48, 3))


@pytest.mark.parametrize(
    "call",
    [
        lambda: trials_needed(1.0, 0.9),
        lambda: trials_needed(0.9, 0.0),
        lambda: trials_needed(0.9, 0.9, -1),
        lambda: shown(0, 0, 0.9),
        lambda: shown(5, 6, 0.9),
        lambda: least_shown(5, 0, 1.0),
    ],
)
def test_trials_that_cannot_be_are_refused(call):
    with pytest.raises(OutOfRange):
        call()


def test_more_trials_than_anybody_makes_are_refused():
    for failures in (0, 2):
        with pytest.raises(InvalidInput) as refused:
            trials_needed(1 - 1 / MOST_TRIALS, 0.9, failures)
        assert refused.value.pointer == "/reliability"


def test_equal_means_fail_every_other_time():
    found = interference(Scattered(300.0, 20.0), Scattered(300.0, 5.0))
    assert found.failure_probability == pytest.approx(0.5)
    assert len(found.assumptions) == 2


def test_a_stress_that_pulls_the_other_way_has_no_factor():
    found = interference(Scattered(-10.0, 1.0), Scattered(5.0, 0.0))
    assert found.factor is None
    assert len(found.assumptions) == 3  # far out in the tail, and said so


@pytest.mark.parametrize(
    ("stress", "strength", "pointer"),
    [
        ((1.0, -1.0), (2.0, 1.0), "/stress/standard_deviation"),
        ((1.0, 1.0), (float("inf"), 1.0), "/strength/mean"),
        ((1.0, 0.0), (2.0, 0.0), "/strength/standard_deviation"),
    ],
)
def test_scatter_that_cannot_be_is_refused(stress, strength, pointer):
    with pytest.raises(InvalidInput) as refused:
        interference(Scattered(*stress), Scattered(*strength))
    assert refused.value.pointer == pointer


def test_equal_parts_in_one_place_are_as_many_places():
    bearing = LifeSpec(1.5, 9000.0, 500.0, 500.0)
    one_place = series_life([SeriesPart("Bearing", bearing, 3)], 2000.0)
    three = series_life([SeriesPart("Bearing", bearing)] * 3, 2000.0)
    assert one_place.reliability == pytest.approx(three.reliability)
    assert one_place.mean_hours == pytest.approx(three.mean_hours)
    assert one_place.expected_service_hours == pytest.approx(three.expected_service_hours)


def test_a_common_cause_strikes_all_parts_and_comes_on_top():
    parts = [
        SeriesPart("Bearing", LifeSpec(1.5, 9000.0)),
        SeriesPart("Seal", LifeSpec(2.0, 6000.0)),
    ]
    apart = series_life(parts, 2000.0)
    hit = series_life(parts, 2000.0, CommonCause(0.02, 500.0))
    # 2 % within 500 h at a constant hazard: 0.98^4 are spared for 2000 h.
    assert hit.common_cause == pytest.approx(0.98**4)
    assert hit.reliability == pytest.approx(0.98**4 * apart.reliability)
    assert hit.expected_service_hours < apart.expected_service_hours
    assert hit.mean_hours < apart.mean_hours
    assert (hit.parts, apart.common_cause) == (apart.parts, None)
    assert "comes on top" in apart.assumptions[0] and "Apart from" in hit.assumptions[0]
    for cause, pointer in (((1.0, 500.0), "probability"), ((0.1, 0.0), "within")):
        with pytest.raises(OutOfRange) as refused:
            series_life(parts, 2000.0, CommonCause(*cause))
        assert refused.value.pointer == f"/common_cause/{pointer}"


def test_a_life_beyond_any_figure_has_no_mean():
    assert series_life([SeriesPart("Cover", LifeSpec(0.1, 1e9))], 100.0).mean_hours is None


@pytest.mark.parametrize(
    ("parts", "horizon", "pointer"),
    [
        ([], 1.0, "/parts"),
        ([SeriesPart("Seal", LifeSpec(1.0, 10.0))] * (MOST_PARTS + 1), 1.0, "/parts"),
        ([SeriesPart("Seal", LifeSpec(1.0, 10.0), 0)], 1.0, "/parts/0/quantity"),
        ([SeriesPart("Seal", LifeSpec(1.0, 10.0))], -1.0, "/horizon"),
    ],
)
def test_a_series_that_cannot_be_is_refused(parts, horizon, pointer):
    with pytest.raises(InvalidInput) as refused:
        series_life(parts, horizon)
    assert refused.value.pointer == pointer
