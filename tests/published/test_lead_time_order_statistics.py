"""Expected greatest of n standard normal variables.

Source: order-statistics tables, five decimals; from memory, confirmed by an independent library
(quadrature) and in closed form for n = 2, 1/sqrt(pi), and n = 3, 3/(2 sqrt(pi)).
Tolerance: half of the last printed digit, rounded up (6e-6).
"""

from statistics import NormalDist

import pytest

from shared.sourcing.arrivals import mean_of_greatest


@pytest.mark.parametrize(
    ("count", "printed"), [(2, 0.56419), (3, 0.84628), (5, 1.16296), (10, 1.53875)]
)
def test_the_mean_of_the_greatest_normal_agrees_with_the_tables(count: int, printed: float) -> None:
    points = [float(z) for z in range(-10, 11)]
    found = mean_of_greatest([NormalDist().cdf] * count, points)
    assert found == pytest.approx(printed, abs=6e-6)
