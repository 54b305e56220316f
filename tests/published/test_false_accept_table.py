"""Draft recommended practice on measurement decision risk: unconditional false-accept risk.

Table as held in the public test suite of an uncertainty library, confirmed by quadrature. Its ratio
is standard deviation over standard deviation (4), not tolerance over expanded uncertainty.
"""

from statistics import NormalDist

import pytest

from shared.condition.risk import NormalFamily, inspection_risks

ROWS = [
    (0.60, 4.83860326),
    (0.70, 3.92234109),
    (0.80, 2.85583037),
    (0.90, 1.59995312),
    (0.95, 0.87100925),
    (0.99, 0.19991684),
]


@pytest.mark.parametrize(("in_tolerance", "false_accept_percent"), ROWS)
def test_false_accept_risk_agrees_with_the_table(in_tolerance, false_accept_percent):
    deviation = 1 / NormalDist().inv_cdf((1 + in_tolerance) / 2)
    risks = inspection_risks(NormalFamily(0.0, deviation), deviation / 4, (-1.0, 1.0))
    assert 100 * risks.consumer == pytest.approx(false_accept_percent, abs=2e-5)
