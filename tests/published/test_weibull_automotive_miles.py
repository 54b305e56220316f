"""Automotive set of a public reliability package: 10 failures, 21 right-censored, miles.

Its printed documentation shows 134243 / 1.15586 from an older optimiser; the maximum of the
likelihood is the value here, on which two libraries agree.
"""

import pytest

from shared.life.fit import fit_maximum_likelihood
from shared.life.observed import Observed

FAILURES = [5248, 7454, 16890, 17200, 38700, 45000, 49390, 69040, 72280, 131900]
SUSPENDED = [
    *(3961, 4007, 4734, 6054, 7298, 10190, 23060, 27160, 28690, 37100, 40060),
    *(45670, 53000, 67000, 69630, 77350, 78470, 91680, 105700, 106300, 150400),
]


def test_maximum_likelihood_with_censoring():
    fit = fit_maximum_likelihood(Observed.of(FAILURES, SUSPENDED))
    assert (fit.failures, fit.suspended) == (10, 21)
    assert fit.life.shape == pytest.approx(1.15443, abs=0.0002)
    assert fit.life.scale_hours == pytest.approx(134651.1, abs=5)
    assert fit.log_likelihood == pytest.approx(-128.9738, abs=0.001)
