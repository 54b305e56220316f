"""JCGM 100:2008 (GUM): combining uncertainties, degrees of freedom, resolution.

H.1 as printed; G.4.1 and F.2.2.1 from memory, confirmed by an independent library.
"""

from math import sqrt

import pytest

from shared.condition.uncertainty import (
    Contribution,
    combined_uncertainty,
    coverage_factor,
    effective_degrees_of_freedom,
    resolution_uncertainty,
)


def test_g_4_1_product_of_three_inputs():
    # Relative u in %: 0.25, 0.57, 0.82 with 9, 4, 14 degrees of freedom.
    parts = [Contribution(0.25, 9), Contribution(0.57, 4), Contribution(0.82, 14)]
    u = combined_uncertainty(part.uncertainty for part in parts)
    nu = effective_degrees_of_freedom(parts)
    t95 = coverage_factor(0.95, nu)
    assert u == pytest.approx(1.03, abs=0.005)
    assert nu == pytest.approx(19.0, abs=0.06)
    assert t95 == pytest.approx(2.09, abs=0.005)
    assert t95 * u == pytest.approx(2.2, abs=0.06)


def test_h_1_end_gauge_calibration():
    # First-order terms in nm. Printed: 32 nm, 16 degrees of freedom, 93 nm at 99 % (the standard
    # cuts 16.7 to 16 and multiplies rounded figures: hence the wide tolerance).
    standard_nm, expansion_per_k = 50_000_623, 11.5e-6
    comparison = combined_uncertainty([5.8, 3.9, 6.7])
    comparison_nu = effective_degrees_of_freedom(
        [Contribution(5.8, 24), Contribution(3.9, 5), Contribution(6.7, 8)]
    )
    expansion_difference = standard_nm * 0.1 * 1e-6 / sqrt(3)
    temperature_difference = standard_nm * expansion_per_k * 0.05 / sqrt(3)
    parts = [
        Contribution(25, 18),
        Contribution(comparison, comparison_nu),
        Contribution(expansion_difference, 50),
        Contribution(temperature_difference, 2),
    ]
    u = combined_uncertainty(part.uncertainty for part in parts)
    nu = effective_degrees_of_freedom(parts)
    # l = l_S + d - l_S (delta alpha theta + alpha_S delta theta), both differences 0 on average.
    assert standard_nm + 215 == 50_000_838
    assert u == pytest.approx(32, abs=0.5)
    assert nu == pytest.approx(16, abs=1)
    assert coverage_factor(0.99, int(nu)) * u == pytest.approx(93, abs=1.5)


def test_f_2_2_1_resolution_of_an_indicating_device():
    assert resolution_uncertainty(0.01) == pytest.approx(0.0029, abs=5e-5)
    assert resolution_uncertainty(0.05) == pytest.approx(0.0144, abs=5e-5)
