"""Laws of fitting a life to a record."""

import numpy as np
import pytest

from shared.errors import InvalidInput, OutOfRange
from shared.life.fit import (
    fit_assumed_shape,
    fit_maximum_likelihood,
    fit_rank_regression,
    log_likelihood,
)
from shared.life.observed import MOST_TIMES, Alike, Observed
from shared.life.weibull import WeibullLife

FAILURES, RUNNING = [410.0, 700.0, 960.0, 1300.0], [1500.0, 1500.0]
RECORD, FAILED_ALONE = Observed.of(FAILURES, RUNNING), Observed.of(FAILURES)


def test_no_neighbour_is_likelier_than_the_fit():
    fit = fit_maximum_likelihood(RECORD)
    for shape, scale in ((1.01, 1), (0.99, 1), (1, 1.01), (1, 0.99)):
        other = WeibullLife(fit.life.shape * shape, fit.life.scale_hours * scale)
        assert log_likelihood(other, RECORD) < fit.log_likelihood


@pytest.mark.parametrize("fit", [fit_maximum_likelihood, fit_rank_regression])
def test_the_unit_of_time_does_not_change_the_shape(fit):
    hours = fit(RECORD).life
    seconds = fit(Observed.of([3600 * t for t in FAILURES], [3600 * t for t in RUNNING])).life
    assert seconds.shape == pytest.approx(hours.shape)
    assert seconds.scale_hours == pytest.approx(3600 * hours.scale_hours)


def test_parts_still_running_speak_for_a_longer_life():
    with_them = fit_assumed_shape(2.0, RECORD).life
    assert with_them.scale_hours > fit_assumed_shape(2.0, FAILED_ALONE).life.scale_hours
    assert fit_rank_regression(RECORD).life.scale_hours > (
        fit_rank_regression(FAILED_ALONE).life.scale_hours
    )


def test_suspended_parts_raise_the_ranks_of_those_that_fail_after_them():
    # Failed at 100 and 300, one suspended at 200 between: ranks 1 and 1 + (3 + 1 - 1) / (1 + 1).
    record = Observed((Alike(300.0), Alike(100.0)), (Alike(200.0),))
    ranks = np.array([1.0, 2.5])
    y = np.log(-np.log(1 - (ranks - 0.3) / 3.4))
    slope, intercept = np.polyfit(y, np.log([100.0, 300.0]), 1)
    life = fit_rank_regression(record).life
    assert life.shape == pytest.approx(1 / slope)
    assert life.scale_hours == pytest.approx(np.exp(intercept))


@pytest.mark.parametrize("fit", [fit_maximum_likelihood, fit_rank_regression])
def test_a_large_record_gives_back_the_life_it_was_drawn_from(fit):
    hours = 1000 * np.random.default_rng(3).weibull(1.8, 4000)
    life = fit(Observed.of(hours.tolist())).life
    assert life.shape == pytest.approx(1.8, rel=0.04)
    assert life.scale_hours == pytest.approx(1000, rel=0.03)


def test_counts_are_single_parts_put_together():
    counted = Observed((Alike(400.0, 3), Alike(900.0, 2)), (Alike(1000.0, 4),))
    single = Observed.of([400.0] * 3 + [900.0] * 2, [1000.0] * 4)
    for fit in (fit_maximum_likelihood, fit_rank_regression):
        assert fit(counted).life.shape == pytest.approx(fit(single).life.shape)
    assert (counted.failure_count, counted.suspended_count, counted.longest_hours) == (5, 4, 1000)


@pytest.mark.parametrize("fit", [fit_maximum_likelihood, fit_rank_regression])
def test_one_time_of_failure_does_not_make_a_shape(fit):
    with pytest.raises(InvalidInput) as refused:
        fit(Observed.of([400.0, 400.0], RUNNING))
    assert refused.value.code == "too-few-failures"


@pytest.mark.parametrize("fit", [fit_maximum_likelihood, fit_rank_regression])
def test_a_shape_beyond_any_part_is_refused(fit):
    with pytest.raises(InvalidInput) as refused:
        fit(Observed.of([400.0, 400.001]))
    assert refused.value.code == "shape-out-of-range"


def test_a_record_that_cannot_be_is_refused():
    for call in (
        lambda: Observed.of([]),
        lambda: Observed.of([0.0]),
        lambda: Observed.of([-3.0, 4.0]),
        lambda: Observed.of([float("nan")]),
        lambda: Observed((Alike(5.0, 0),)),
        lambda: Observed((Alike(5.0, 1_000_001),)),
        lambda: Observed.of([5.0] * (MOST_TIMES + 1)),
        lambda: fit_assumed_shape(0.05, RECORD),
        lambda: fit_rank_regression(Observed((Alike(5.0, 99_999), Alike(6.0, 2)))),
    ):
        with pytest.raises((InvalidInput, OutOfRange)):
            call()
