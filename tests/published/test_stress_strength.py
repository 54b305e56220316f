"""Stress 20 with deviation 6 against strength 40 with 7: 1.503 % fail.

Documentation of a public reliability package; checked by quadrature of an independent library.
"""

import pytest
from scipy.integrate import quad
from scipy.stats import norm

from shared.life.interference import Scattered, interference


def test_two_normal_distributions():
    found = interference(Scattered(20.0, 6.0), Scattered(40.0, 7.0))
    assert found.failure_probability == pytest.approx(0.0150298, abs=1e-7)
    assert found.factor == 2


def test_the_chance_is_the_integral_of_density_and_distribution():
    chance, _ = quad(lambda s: norm.pdf(s, 310, 25) * norm.cdf(s, 360, 18), 100, 600)
    found = interference(Scattered(310.0, 25.0), Scattered(360.0, 18.0))
    assert found.failure_probability == pytest.approx(chance, rel=1e-6)
