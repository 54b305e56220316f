"""Mean of the greater of two normal variables, N(10, 3) and N(12, 2).

Source: the formula of "The greatest of a finite set of random variables", Operations Research,
1961: m1 Phi(a) + m2 Phi(-a) + s phi(a), s^2 = s1^2 + s2^2, a = (m1 - m2) / s. The figures are
constructed; the closed form and a library's quadrature agree on 12.6541959. Tolerance 1e-6.
"""

from statistics import NormalDist

import pytest

from shared.sourcing.arrivals import mean_of_greatest


def test_the_mean_of_the_greater_of_two_normals_agrees_with_the_closed_form() -> None:
    chances = [NormalDist(10, 3).cdf, NormalDist(12, 2).cdf]
    points = [float(days) for days in range(-30, 60)]
    assert mean_of_greatest(chances, points) == pytest.approx(12.6541959, abs=1e-6)
