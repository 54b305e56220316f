"""The lower present value is the dearer machine.

Source: Principles of Corporate Finance (from memory, confirmed by an independent library): machine
A 15 + 5 a year for 3 years, B 10 + 6 a year for 2 years, 6 %, in thousands.
"""

import pytest

from shared.decision.economics.economics import equivalent_annual_cost, present_value


@pytest.mark.parametrize(
    ("first", "per_year", "years", "worth", "annual"),
    [(15, 5, 3, 28.37, 10.61), (10, 6, 2, 21.00, 11.45)],
)
def test_two_machines_of_unequal_life(first, per_year, years, worth, annual):
    found = present_value(first, per_year, years, 0.06)
    assert found == pytest.approx(worth, abs=0.006)
    assert equivalent_annual_cost(found, 0.06, years) == pytest.approx(annual, abs=0.006)
