"""A worth at the end lowers the equivalent annual cost.

Source: public worked answer: 92000 first cost, 18000 salvage at 6 years, 13000 a year, 7 %; and
54000 + 18000 a year, replaced every 3 years. The page prints 38,576.91 in its summary line and
38,576.79 in its working: the second is right.
"""

import pytest

from shared.decision.economics.economics import equivalent_annual_cost, present_value


@pytest.mark.parametrize(
    ("first", "per_year", "years", "left", "printed"),
    [(54_000, 18_000, 3, 0, 38_576.79), (92_000, 13_000, 6, 18_000, 29_784.89)],
)
def test_equivalent_annual_cost_with_salvage_agrees(first, per_year, years, left, printed):
    worth = present_value(first, per_year, years, 0.07, left)
    assert equivalent_annual_cost(worth, 0.07, years) == pytest.approx(printed, abs=0.02)
