"""Competing risks (series) in the documentation of a public reliability package.

Three kinds of life in series; published, confirmed by quadrature.
"""

from math import log
from statistics import NormalDist

import pytest
from scipy.special import gammaincc

from shared.life.series import mean_life_hours, product_survival
from shared.life.weibull import WeibullLife


def lognormal(hours):
    return 1.0 if hours <= 0 else 1 - NormalDist(4.0, 0.1).cdf(log(hours))


def gamma_life(hours):
    return float(gammaincc(1.5, hours / 30.0))


def test_mean_life_of_the_series():
    system = product_survival([lognormal, WeibullLife(2.0, 50.0).reliability, gamma_life])
    assert mean_life_hours(system) == pytest.approx(27.04449126, abs=1e-5)
