"""Six units, all failed (hours): a public reliability wiki's life-data reference.

Maximum likelihood from memory, confirmed by an independent library. Rank regression gives shapes of
1.427 to 1.440 on the same six numbers, by how ranks are taken and which way is regressed.
"""

import numpy as np
import pytest

from shared.life.fit import fit_maximum_likelihood, fit_rank_regression
from shared.life.model import LifeMethod
from shared.life.observed import Observed

SIX = Observed.of([16, 34, 53, 75, 93, 120])
PRINTED_MEDIAN_RANKS = [0.1091, 0.2645, 0.4214, 0.5786, 0.7355, 0.8909]


def test_maximum_likelihood_and_what_follows_from_it():
    fit = fit_maximum_likelihood(SIX)
    assert fit.method is LifeMethod.MAXIMUM_LIKELIHOOD
    assert fit.life.shape == pytest.approx(1.933, abs=0.0005)
    assert fit.life.scale_hours == pytest.approx(73.526, abs=0.0005)
    assert fit.life.reliability(15) == pytest.approx(0.954736, abs=2e-6)
    assert fit.life.chance_to_last(30, 10) == pytest.approx(0.876772, abs=2e-6)


def test_rank_regression_is_another_answer():
    fit = fit_rank_regression(SIX)
    assert fit.method is LifeMethod.RANK_REGRESSION
    assert 1.427 <= fit.life.shape <= 1.440
    # The median ranks as printed, which Benard's approximation meets to 0.0003; line by numpy.
    x, y = np.log([16, 34, 53, 75, 93, 120]), np.log(-np.log1p(-np.array(PRINTED_MEDIAN_RANKS)))
    slope, intercept = np.polyfit(y, x, 1)
    assert fit.life.shape == pytest.approx(1 / slope, rel=0.003)
    assert fit.life.scale_hours == pytest.approx(np.exp(intercept), rel=0.001)
