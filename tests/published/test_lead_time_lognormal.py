"""Lognormal lead times given by P50 and P90, alone and three together.

Source: constructed; two independent computations agree on each figure (closed form and a
statistics library for the single one, root finding and a simulation of four million draws for the
three together). Tolerances as handed down with the figures: 2e-6 and 2e-5.
"""

from decimal import Decimal
from math import log

import pytest

from shared.sourcing.arrivals import joint_cdf, joint_mean_days, joint_quantile
from shared.sourcing.lead_time import LeadTime, days_within, log_spread, mean_days

FIVE, NINE = Decimal(5), Decimal(9)
THREE = [LeadTime(Decimal(p50), Decimal(p90)) for p50, p90 in ((2, 4), (5, 9), (6, 14))]


def test_p50_of_5_and_p90_of_9_give_the_published_lognormal() -> None:
    assert log(days_within(0.5, FIVE, NINE)) == pytest.approx(1.6094379, abs=2e-6)
    assert log_spread(FIVE, NINE) == pytest.approx(0.4586524, abs=2e-6)
    assert mean_days(FIVE, NINE) == pytest.approx(5.5545583, abs=2e-6)
    assert days_within(0.95, FIVE, NINE) == pytest.approx(10.631847, abs=2e-6)


@pytest.mark.parametrize(("chance", "days"), [(0.5, 7.417887), (0.9, 14.515639), (0.95, 18.086269)])
def test_the_last_of_three_deliveries_keeps_the_published_quantiles(
    chance: float, days: float
) -> None:
    assert joint_quantile(THREE, chance) == pytest.approx(days, abs=2e-5)


def test_the_last_of_three_deliveries_has_the_published_mean() -> None:
    assert joint_mean_days(THREE) == pytest.approx(8.713749, abs=2e-5)


def test_the_greatest_single_p90_is_not_the_p90_of_all_three() -> None:
    assert joint_cdf(THREE, 14) == pytest.approx(0.888708, abs=2e-5)
