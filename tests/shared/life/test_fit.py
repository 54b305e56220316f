"""Laws of fitting a life to a record."""

import pytest

from shared.errors import InvalidInput, OutOfRange
from shared.life.fit import fit_assumed_shape, fit_maximum_likelihood, log_likelihood
from shared.life.weibull import WeibullLife

FAILURES, RUNNING = [410.0, 700.0, 960.0, 1300.0], [1500.0, 1500.0]


def test_no_neighbour_is_likelier_than_the_fit():
    fit = fit_maximum_likelihood(FAILURES, RUNNING)
    for shape, scale in ((1.01, 1), (0.99, 1), (1, 1.01), (1, 0.99)):
        other = WeibullLife(fit.life.shape * shape, fit.life.scale_hours * scale)
        assert log_likelihood(other, FAILURES, RUNNING) < fit.log_likelihood


def test_the_unit_of_time_does_not_change_the_shape():
    hours = fit_maximum_likelihood(FAILURES, RUNNING).life
    seconds = fit_maximum_likelihood([3600 * t for t in FAILURES], [3600 * t for t in RUNNING]).life
    assert seconds.shape == pytest.approx(hours.shape)
    assert seconds.scale_hours == pytest.approx(3600 * hours.scale_hours)


def test_parts_still_running_speak_for_a_longer_life():
    with_them = fit_assumed_shape(2.0, FAILURES, RUNNING).life
    assert with_them.scale_hours > fit_assumed_shape(2.0, FAILURES).life.scale_hours


def test_one_time_of_failure_does_not_make_a_shape():
    with pytest.raises(InvalidInput) as refused:
        fit_maximum_likelihood([400.0, 400.0], RUNNING)
    assert refused.value.code == "too-few-failures"


def test_a_record_that_cannot_be_is_refused():
    for call in (
        lambda: fit_assumed_shape(2.0, [], []),
        lambda: fit_assumed_shape(2.0, [0.0]),
        lambda: fit_assumed_shape(2.0, FAILURES, confidence=0.9),
        lambda: fit_assumed_shape(2.0, [], RUNNING, confidence=1.0),
        lambda: fit_maximum_likelihood([-3.0, 4.0]),
    ):
        with pytest.raises((InvalidInput, OutOfRange)):
            call()
