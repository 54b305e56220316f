"""Factor a1 for reliability: ISO 281:2007 (from memory), beside the values of 1990.

The older ones follow a Weibull slope of 1.5; the table of 2007 does not and gives more life.
"""

from decimal import Decimal
from math import log

import pytest

from shared.life.bearing_rating import reliability_factor

ROWS = [
    *[("0.95", 0.64, 0.62), ("0.96", 0.55, 0.53), ("0.97", 0.47, 0.44), ("0.98", 0.37, 0.33)],
    ("0.99", 0.25, 0.21),
]


@pytest.mark.parametrize(("reliability", "of_2007", "of_1990"), ROWS)
def test_the_table_of_2007_counts(reliability, of_2007, of_1990):
    assert reliability_factor(Decimal(reliability)) == (Decimal(reliability), of_2007)
    by_slope = (log(1 / float(reliability)) / log(1 / 0.9)) ** (1 / 1.5)
    assert by_slope == pytest.approx(of_1990, abs=0.006)
    assert of_2007 > of_1990


def test_nine_in_ten_is_the_rating_itself():
    assert reliability_factor(Decimal("0.9")) == (Decimal("0.90"), 1.0)
