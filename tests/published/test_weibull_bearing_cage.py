"""Bearing-cage field data: 6 failures among 1703 units, hours.

Weibull Analysis Handbook, AFWAL-TR-83-2079, 1983, widely reprinted; from memory, confirmed by an
independent library.
"""

import pytest

from shared.life.fit import fit_assumed_shape, fit_maximum_likelihood

FAILURES = [230, 334, 423, 990, 1009, 1510]
SUSPENDED_COUNTS = {
    **{50: 288, 150: 148, 250: 124, 350: 111, 450: 106, 550: 99, 650: 110, 750: 114, 850: 119},
    **{950: 127, 1050: 123, 1150: 93, 1250: 47, 1350: 41, 1450: 27, 1550: 11, 1650: 6},
    **{1850: 1, 2050: 2},
}
SUSPENDED = [hours for hours, count in SUSPENDED_COUNTS.items() for _ in range(count)]


def test_maximum_likelihood_on_a_heavily_censored_record():
    fit = fit_maximum_likelihood(FAILURES, SUSPENDED)
    assert fit.failures + fit.suspended == 1703
    assert fit.life.shape == pytest.approx(2.035, abs=0.002)
    assert fit.life.scale_hours == pytest.approx(11792, abs=30)


def test_an_assumed_shape_of_1_5_moves_the_scale_far():
    fit = fit_assumed_shape(1.5, FAILURES, SUSPENDED)
    assert fit.method == "assumed shape"
    assert fit.life.scale_hours == pytest.approx(28982.2, abs=0.5)
