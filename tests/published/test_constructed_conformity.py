"""Constructed cases, not published: two independent computations (quadrature, library) agree."""

from statistics import NormalDist

import pytest

from shared.condition.conformity import judge_conformity
from shared.condition.model import Verdict
from shared.condition.risk import NormalFamily, inspection_risks
from shared.condition.uncertainty import combined_uncertainty


def test_a_test_uncertainty_ratio_of_four_with_95_percent_in_tolerance():
    # TUR 4: u is an eighth of the tolerance half-width. Compare 0.871 % at a ratio of deviations.
    deviation = 1 / NormalDist().inv_cdf(0.975)
    risks = inspection_risks(NormalFamily(0.0, deviation), 0.125, (-1.0, 1.0))
    assert risks.consumer == pytest.approx(0.0085826648, abs=1e-7)
    assert risks.producer == pytest.approx(0.015536513, abs=1e-7)


def test_resistor_line_without_guard_band():
    risks = inspection_risks(NormalFamily(1500.0, 0.12), 0.04, (1499.8, 1500.2))
    assert risks.consumer == pytest.approx(0.0189, abs=5e-5)
    assert risks.producer == pytest.approx(0.0372, abs=5e-5)


def test_running_clearance_from_two_instruments():
    bore_mm, shaft_mm = (50.045, 0.004), (49.985, 0.003)
    clearance_mm = bore_mm[0] - shaft_mm[0]
    u_mm = combined_uncertainty([bore_mm[1], shaft_mm[1]])
    result = judge_conformity(clearance_mm, u_mm, upper=0.07)
    assert clearance_mm == pytest.approx(0.06, abs=1e-9)
    assert u_mm == pytest.approx(0.005, abs=1e-9)
    assert result.probability == pytest.approx(0.97725, abs=1e-5)
    assert result.verdict is Verdict.CONFORMING
    assert result.acceptance_limits.upper == pytest.approx(0.061776, abs=1e-6)
