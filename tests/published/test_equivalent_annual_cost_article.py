"""Equivalent annual cost of two machines.

Source: public encyclopaedia article on equivalent annual cost (from memory, confirmed by an
independent library and the closed form): A 50000 + 13000 a year for 3 years, B 150000 + 7500 a
year for 8 years, 5 %; annuity factors 2.72325 and 6.46321.
"""

import pytest

from shared.decision.economics.economics import (
    annuity_factor,
    equivalent_annual_cost,
    present_value,
)


@pytest.mark.parametrize(
    ("first", "per_year", "years", "factor", "printed"),
    [(50_000, 13_000, 3, 2.72325, 31_360), (150_000, 7_500, 8, 6.46321, 30_708)],
)
def test_equivalent_annual_cost_agrees(first, per_year, years, factor, printed):
    assert annuity_factor(0.05, years) == pytest.approx(factor, abs=5e-6)
    worth = present_value(first, per_year, years, 0.05)
    assert equivalent_annual_cost(worth, 0.05, years) == pytest.approx(printed, abs=0.5)
