"""Expected number of failures with replacement: the renewal function.

Source: renewal function of Erlang-2 lifetimes, closed form in reliability texts: M(t) = t/2 - 1/4 +
exp(-2t)/4 at stage rate 1; at t = 2 it is 0.7545789097. Our grid is good to some 10^-5.
"""

from math import exp

import pytest

from shared.life.renewal import STEPS, expected_failures, renewals
from shared.life.weibull import LifeSpec


def erlang_2(t: float) -> float:
    return 1 - exp(-t) * (1 + t)


def test_erlang_2_at_t_2():
    step = 2.0 / STEPS
    grid = [erlang_2(i * step) for i in range(STEPS + 1)]
    between = [erlang_2((i + 0.5) * step) for i in range(STEPS)]
    assert renewals(grid, between) == pytest.approx(0.7545789097, abs=2e-5)


def test_a_worn_first_part_fails_sooner_and_later_ones_as_new():
    worn = expected_failures(LifeSpec(2.0, 1000.0, 500.0, 500.0), 1000.0)
    new = expected_failures(LifeSpec(2.0, 1000.0), 1000.0)
    assert new < worn < 1 + new


def test_one_failure_at_most_is_counted_while_failures_are_rare():
    spec = LifeSpec(2.0, 10_000.0)
    assert expected_failures(spec, 200.0) == pytest.approx(1 - spec.survival(200.0), rel=1e-3)
