"""Laws of consumer's and producer's risk."""

import pytest

from shared.condition.risk import (
    NormalFamily,
    inspection_risks,
    managed_guard_factor,
    root_sum_square_factor,
    upper_acceptance_limit,
)
from shared.errors import OutOfRange

FAMILY = NormalFamily(mean=10.0, standard_deviation=0.1)


def test_drawing_the_limits_in_trades_one_risk_for_the_other():
    limits = (9.8, 10.2)
    plain = inspection_risks(FAMILY, 0.05, limits)
    guarded = inspection_risks(FAMILY, 0.05, limits, (9.85, 10.15))
    assert guarded.consumer < plain.consumer
    assert guarded.producer > plain.producer
    assert guarded.nonconforming_before_test == plain.nonconforming_before_test


def test_an_acceptance_limit_gives_the_risk_it_was_made_for():
    limit = upper_acceptance_limit(FAMILY, 0.05, 10.2, 0.002)
    risks = inspection_risks(FAMILY, 0.05, (None, 10.2), (None, limit))
    assert risks.consumer == pytest.approx(0.002, abs=1e-8)


def test_what_no_limit_can_give_is_refused():
    with pytest.raises(OutOfRange):
        upper_acceptance_limit(FAMILY, 0.05, 10.2, 0.5)
    with pytest.raises(OutOfRange):
        inspection_risks(FAMILY, 0.0, (None, 10.2))
    with pytest.raises(OutOfRange):
        root_sum_square_factor(0.9)
    with pytest.raises(OutOfRange):
        managed_guard_factor(0.0)
