"""Bearing-cage field data: 6 failures among 1703 units, hours.

Weibull Analysis Handbook, AFWAL-TR-83-2079, 1983, widely reprinted; from memory, confirmed by an
independent library. The time by which one in ten has failed, and its 95 % bounds by the likelihood
ratio: Statistical Methods for Reliability Data, 1998, example 8.16, as quoted in public test code.
"""

import pytest

from shared.life.bounds import LikelihoodBounds, assumed_shape_scale, quantile_hours
from shared.life.fit import fit_assumed_shape, fit_maximum_likelihood
from shared.life.model import LifeMethod
from shared.life.observed import Alike, Observed

FAILURES = [230, 334, 423, 990, 1009, 1510]
SUSPENDED_COUNTS = {
    **{50: 288, 150: 148, 250: 124, 350: 111, 450: 106, 550: 99, 650: 110, 750: 114, 850: 119},
    **{950: 127, 1050: 123, 1150: 93, 1250: 47, 1350: 41, 1450: 27, 1550: 11, 1650: 6},
    **{1850: 1, 2050: 2},
}
CAGES = Observed(
    tuple(map(Alike, FAILURES)),
    tuple(Alike(hours, count) for hours, count in SUSPENDED_COUNTS.items()),
)


def test_maximum_likelihood_on_a_heavily_censored_record():
    fit = fit_maximum_likelihood(CAGES)
    assert fit.failures + fit.suspended == 1703
    assert fit.life.shape == pytest.approx(2.035, abs=0.002)
    assert fit.life.scale_hours == pytest.approx(11792, abs=30)
    assert fit.log_likelihood == pytest.approx(-76.436896, abs=1e-5)


def test_counts_are_the_same_as_single_parts():
    single = [hours for hours, count in SUSPENDED_COUNTS.items() for _ in range(count)]
    plain = fit_maximum_likelihood(Observed.of(FAILURES, single)).life
    assert fit_maximum_likelihood(CAGES).life.shape == pytest.approx(plain.shape, rel=1e-9)


def test_one_in_ten_has_failed_by_3903_h_known_from_2093_to_22144():
    fit = fit_maximum_likelihood(CAGES)
    assert quantile_hours(fit.life, 0.1) == pytest.approx(3903, abs=1)
    bounds = LikelihoodBounds(fit, CAGES, 0.95).quantile(0.1)
    assert bounds.lower == pytest.approx(2093, rel=0.001)  # printed 2093; 2094.3 here
    assert bounds.upper == pytest.approx(22144, abs=1)


def test_an_assumed_shape_of_1_5_moves_the_scale_far():
    fit = fit_assumed_shape(1.5, CAGES)
    assert fit.method is LifeMethod.ASSUMED_SHAPE
    assert fit.life.scale_hours == pytest.approx(28982.2, abs=0.5)


def test_six_failures_do_not_tell_1_5_from_3():
    shape = LikelihoodBounds(fit_maximum_likelihood(CAGES), CAGES, 0.95).shape()
    assert shape.lower < 1.5
    assert shape.upper > 3
    bounds = assumed_shape_scale(1.5, CAGES, 0.9)
    assert bounds.lower < 28982 < bounds.upper
