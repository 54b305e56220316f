"""The American Statistician 27 (1973): the first of four data sets with one regression line.

Data and figures from memory, confirmed by an independent library; the crossing of a limit and its
Fieller interval are constructed on it, by closed form and by the root of the confidence band.
"""

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.stats import linregress, t

from shared.condition.wear.fieller import crossing
from shared.condition.wear.line import fit_line

X = [10.0, 8.0, 13.0, 9.0, 11.0, 14.0, 6.0, 4.0, 12.0, 7.0, 5.0]
Y = [8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68]
LINE = fit_line(X, Y, [None] * len(X))


def test_slope_intercept_and_their_standard_errors():
    assert LINE.slope == pytest.approx(0.5001, abs=5e-5)
    assert LINE.at(0) == pytest.approx(3.0001, abs=5e-5)
    assert LINE.variance_of_slope**0.5 == pytest.approx(0.1179, abs=5e-5)
    assert LINE.u_at(0) == pytest.approx(1.1247, abs=5e-5)
    assert LINE.residual_sd == pytest.approx(1.2366, abs=5e-5)
    assert LINE.degrees_of_freedom == 9
    assert 1 - 9 * LINE.residual_sd**2 / (11 * np.var(Y)) == pytest.approx(0.6665, abs=5e-5)
    library = linregress(X, Y)
    assert LINE.slope == pytest.approx(library.slope, rel=1e-12)
    assert LINE.u_at(0) == pytest.approx(library.intercept_stderr, rel=1e-9)


def test_crossing_of_twelve_and_its_interval():
    found = crossing(LINE, 12.0, 0.975)  # each side 97.5 %: 95 % between both
    assert found.estimate == pytest.approx(17.996546, abs=1e-5)
    assert found.lower == pytest.approx(14.57713, abs=1e-5)
    assert found.upper == pytest.approx(28.568917, abs=1e-5)


def test_the_interval_is_where_the_confidence_band_reaches_the_limit():
    q = t.ppf(0.975, 9)
    centre, spread = np.mean(X), np.sum((np.array(X) - np.mean(X)) ** 2)

    def band(x, sign):
        half = q * 1.2366033227 * np.sqrt(1 / 11 + (x - centre) ** 2 / spread)
        return 3.0000909091 + 0.5000909091 * x + sign * half - 12.0

    found = crossing(LINE, 12.0, 0.975)
    assert found.lower == pytest.approx(brentq(band, 10, 20, args=(1,)), rel=1e-7)
    assert found.upper == pytest.approx(brentq(band, 18, 60, args=(-1,)), rel=1e-7)


def test_known_doubt_weighs_as_an_independent_library_weighs():
    u = [0.5, 1.0, 0.7, 0.9, 1.2, 2.0, 0.8, 1.5, 1.1, 0.6, 1.0]
    line = fit_line(X, Y, u, 0.0)
    (slope, intercept), covariance = np.polyfit(X, Y, 1, w=1 / np.array(u), cov="unscaled")
    assert line.slope == pytest.approx(slope, rel=1e-10)
    assert line.at(0) == pytest.approx(intercept, rel=1e-9)
    chi_square = sum(((y - line.at(x)) / one) ** 2 for x, y, one in zip(X, Y, u, strict=True))
    widening = max(1.0, chi_square / 9)
    assert line.variance_of_slope == pytest.approx(covariance[0, 0] * widening, rel=1e-9)
    assert line.u_at(0) ** 2 == pytest.approx(covariance[1, 1] * widening, rel=1e-9)
