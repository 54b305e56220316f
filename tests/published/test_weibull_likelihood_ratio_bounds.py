"""Five failures at 10, 20, 30, 40 and 50 hours: bounds by the likelihood ratio at 90 %.

A public reliability reference's worked example: shape 2.2938 and scale 33.9428 as printed; the
bounds of the shape, 1.142 and 3.950, from memory (read off a contour).
"""

import pytest

from shared.life.bounds import LikelihoodBounds
from shared.life.fit import fit_maximum_likelihood
from shared.life.observed import Observed

FIVE = Observed.of([10, 20, 30, 40, 50])


def test_the_fit_is_the_one_printed():
    life = fit_maximum_likelihood(FIVE).life
    assert life.shape == pytest.approx(2.2938, abs=0.00005)
    assert life.scale_hours == pytest.approx(33.9428, abs=0.0002)


def test_the_bounds_of_the_shape():
    bounds = LikelihoodBounds(fit_maximum_likelihood(FIVE), FIVE, 0.9).shape()
    assert bounds.lower == pytest.approx(1.142, abs=0.0005)
    assert bounds.upper == pytest.approx(3.950, abs=0.003)
