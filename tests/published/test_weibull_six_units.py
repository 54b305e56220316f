"""Six units, all failed (hours): a public reliability wiki's life-data reference.

From memory, confirmed by an independent library. Rank regression gives shapes of 1.427 to 1.440 on
the same six numbers.
"""

import pytest

from shared.life.fit import fit_maximum_likelihood

FAILURES = [16, 34, 53, 75, 93, 120]


def test_maximum_likelihood_and_what_follows_from_it():
    fit = fit_maximum_likelihood(FAILURES)
    assert fit.method == "maximum likelihood"
    assert fit.life.shape == pytest.approx(1.933, abs=0.0005)
    assert fit.life.scale_hours == pytest.approx(73.526, abs=0.0005)
    assert fit.life.reliability(15) == pytest.approx(0.954736, abs=2e-6)
    assert fit.life.chance_to_last(30, 10) == pytest.approx(0.876772, abs=2e-6)
