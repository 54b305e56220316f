"""Endurance of 23 deep-groove ball bearings, million revolutions.

Journal of Research of the NBS, 1956, widely reprinted; from memory, four libraries agree on the
fit (2.10206, 81.8783).
"""

import pytest
from scipy.stats import weibull_min

from shared.life.fit import fit_maximum_likelihood
from shared.life.observed import Observed

FAILURES = [
    float(text)
    for text in (
        "17.88 28.92 33.00 41.52 42.12 45.60 48.48 51.84 51.96 54.12 55.56 67.80"
        " 68.64 68.64 68.88 84.12 93.12 98.64 105.12 105.84 127.92 128.04 173.40"
    ).split()
]


def test_the_record_is_the_one_reprinted():
    assert len(FAILURES) == 23
    assert sum(FAILURES) / 23 == pytest.approx(72.22, abs=0.005)


def test_maximum_likelihood_gives_2_1_and_81_9():
    fit = fit_maximum_likelihood(Observed.of(FAILURES))
    assert fit.life.shape == pytest.approx(2.1, abs=0.005)
    assert fit.life.scale_hours == pytest.approx(81.9, abs=0.05)
    assert fit.log_likelihood == pytest.approx(-113.691, abs=0.001)


def test_restricted_mean_to_80_million_revolutions():
    # Constructed on the same record; a survival library and the closed form agree.
    life = fit_maximum_likelihood(Observed.of(FAILURES)).life
    assert life.expected_service_hours(80.0) == pytest.approx(61.08536, abs=1e-4)


def test_an_independent_library_agrees():
    life = fit_maximum_likelihood(Observed.of(FAILURES)).life
    shape, _, scale = weibull_min.fit(FAILURES, floc=0)
    assert (life.shape, life.scale_hours) == pytest.approx((shape, scale), rel=1e-4)
