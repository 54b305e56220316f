"""API 510, 10th edition, 7.1.1, 7.2.1, 6.5.1.1: rates, remaining life, next inspection.

Figures from two public worksheets for wall thickness; years stand where the house has hours. The
clause numbers are from memory.
"""

import pytest

from shared.condition.wear.first_passage import FirstPassage
from shared.condition.wear.inspection import next_inspection
from shared.condition.wear.model import Side, WearPoint
from shared.condition.wear.rates import Term, rate_between, rates_of
from shared.condition.wear.remaining import remaining
from shared.condition.wear.trend import trend_through


def thinning(thickness):
    return -thickness  # wear counts towards the limit


def test_first_worksheet_the_short_term_rate_governs():
    # The worksheet has readings of their own for the long-term and the short-term row.
    short = rate_between((0, thinning(0.5), None), (1, thinning(0.4), None))
    long = rate_between((0, thinning(0.413), None), (5, thinning(0.352), None))
    assert short.per_hour == pytest.approx(0.100, abs=1e-9)
    assert long.per_hour == pytest.approx(0.0122, abs=1e-9)
    readings = [WearPoint(0, 0.5, 0.001), WearPoint(1, 0.4, 0.001)]
    left = remaining(trend_through(readings, Side.LOWER, 0.3)).estimate
    assert left == pytest.approx(1.00, abs=1e-9)
    assert next_inspection(left, None, 10).hours == pytest.approx(0.50, abs=1e-9)


def test_the_greater_of_both_rates_governs_in_one_series():
    worn = [(0, thinning(0.513), None), (4, thinning(0.5), None), (5, thinning(0.4), None)]
    rates = rates_of(worn)
    assert rates.governing_term is Term.SHORT
    assert rates.governing.per_hour == pytest.approx(0.100, abs=1e-9)
    steady = rates_of(
        [(0, thinning(0.9), None), (4, thinning(0.5), None), (5, thinning(0.45), None)]
    )
    assert steady.governing_term is Term.LONG
    assert steady.governing.per_hour == pytest.approx(0.09, abs=1e-9)


def test_second_worksheet_measured_rate_and_the_one_it_divides_by():
    measured = rate_between((0, thinning(7.8), None), (15, thinning(3.24), None))
    assert measured.per_hour == pytest.approx(0.304, abs=1e-9)
    readings = [WearPoint(0, 7.8, 0.01), WearPoint(15, 3.24, 0.01)]
    left = remaining(trend_through(readings, Side.LOWER, 0.37)).estimate
    # The worksheet divides by an assumed 0.34 a year; by its own measured rate the life is 9.441.
    assert left == pytest.approx(9.441, abs=5e-4)
    assumed = FirstPassage(3.24 - 0.37, 0.34, 1e-3).mean
    assert assumed == pytest.approx(8.441, abs=5e-4)
    assert 12 * assumed == pytest.approx(101.3, abs=0.05)


def test_the_cap_counts_where_it_is_less_than_half():
    assert next_inspection(40.0, None, 10.0).hours == 10.0
    assert next_inspection(19.0, None, 10.0).hours == 9.5
