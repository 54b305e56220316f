"""JCGM 106:2012 (ISO/IEC Guide 98-4:2012), the role of measurement uncertainty in conformity.

The diode, container, oil and resistor figures are from memory, recomputed. The ball-bearing figures
were seen in print beside a public implementation and confirmed by quadrature.
"""

import pytest

from shared.condition.conformity import conformity_probability
from shared.condition.risk import (
    GammaFamily,
    NormalFamily,
    inspection_risks,
    upper_acceptance_limit,
)

BALL_BEARINGS = GammaFamily(shape=4, scale=0.25)
RESISTORS = NormalFamily(mean=1500.0, standard_deviation=0.12)
RESISTOR_LIMITS = (1499.8, 1500.2)


def test_zener_diode_below_its_upper_limit_conforms_with_probability_0_92():
    # Clause 7, one-sided upper limit, from memory: -5.47 V, u 0.05 V, at most -5.40 V.
    assert conformity_probability(-5.47, 0.05, upper=-5.40) == pytest.approx(0.92, abs=0.005)


def test_container_burst_strength_has_a_conformance_probability_of_0_99():
    # Clause 7.3, from memory; printed to two places.
    assert conformity_probability(509.7, 8.6, lower=490.0) == pytest.approx(0.99, abs=0.005)


def test_motor_oil_within_both_limits_conforms_only_with_probability_0_66():
    # Clause 7.4, from memory; printed to two places. The estimate lies inside the limits.
    p = conformity_probability(13.6, 1.8, lower=12.5, upper=16.3)
    assert p == pytest.approx(0.66, abs=0.005)


def test_resistor_line_with_guard_band_has_the_printed_risks():
    # Clause 9, from memory: 90 % conform before test, consumer's risk 1 %, producer's 7 %.
    risks = inspection_risks(RESISTORS, 0.04, RESISTOR_LIMITS, (1499.82, 1500.18))
    assert 1 - risks.nonconforming_before_test == pytest.approx(0.90, abs=0.005)
    assert risks.consumer == pytest.approx(0.01, abs=0.005)
    assert risks.producer == pytest.approx(0.07, abs=0.005)


def test_ball_bearings_before_and_after_simple_acceptance():
    # Clause 9.5.4: 4.2 % before, 0.8 % accepted though out of limits; digits from the notebook.
    risks = inspection_risks(BALL_BEARINGS, 0.25, (None, 2.0))
    assert risks.nonconforming_before_test == pytest.approx(0.042380112, abs=1e-6)
    assert risks.consumer == pytest.approx(0.0080191119, abs=1e-6)


def test_ball_bearings_acceptance_limit_for_a_consumers_risk_of_one_in_a_thousand():
    # Clause 9.5.4: limit 1.67 micrometres, guard band 0.33.
    limit = upper_acceptance_limit(BALL_BEARINGS, 0.25, 2.0, 0.001)
    assert limit == pytest.approx(1.67183, abs=0.0002)
    assert 2.0 - limit == pytest.approx(0.32817, abs=0.0002)
