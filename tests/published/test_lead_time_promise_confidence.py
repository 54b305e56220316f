"""The single-period inventory ("newsvendor") example: price 7, cost 5, critical ratio 2/7.

Source: a public encyclopaedia, from memory; confirmed by an independent library. Figures printed
with two decimals (tolerance 0.006). The rule that finds the best quantity finds the confidence of
a promise: a day late costs what a missed sale does, a day early what an unsold piece does.
"""

from decimal import Decimal
from math import exp
from statistics import NormalDist

import pytest

from shared.sourcing.lead_time import Z_90, days_within, promise_confidence

MISSED_SALE, UNSOLD_PIECE = Decimal(7 - 5), Decimal(5)
RATIO = float(promise_confidence(MISSED_SALE, UNSOLD_PIECE))


def test_the_critical_ratio_is_two_sevenths() -> None:
    assert pytest.approx(2 / 7) == RATIO


def test_the_published_quantities_follow_for_uniform_and_normal_demand() -> None:
    uniform = 50 + (80 - 50) * RATIO
    assert uniform == pytest.approx(58.57, abs=0.006)
    assert NormalDist(50, 20).inv_cdf(RATIO) == pytest.approx(38.68, abs=0.006)


def test_the_published_quantity_follows_for_lognormal_demand() -> None:
    p90 = Decimal(50 * exp(0.2 * Z_90))
    assert days_within(RATIO, Decimal(50), p90) == pytest.approx(44.65, abs=0.006)
