"""ISO 14253-1:2017, decision rules: default 95 % conformance probability. From memory, recomputed.

The text rounds the factor for one active limit to 1.65; 1.645 is the quantile. Earlier editions
guarded by the full expanded uncertainty (factor 2).
"""

import pytest

from shared.condition.conformity import (
    acceptance_limits,
    conformity_probability,
    guard_band,
    judge_conformity,
)
from shared.condition.model import Verdict

U_MM = 0.005
LIMIT_MM = 0.070


def test_the_guard_band_is_1_645_times_the_standard_uncertainty():
    assert guard_band(U_MM, 0.95, upper=LIMIT_MM) == pytest.approx(0.008224, abs=2e-5)


def test_a_reading_two_standard_uncertainties_inside_conforms_with_0_977():
    p = conformity_probability(LIMIT_MM - 2 * U_MM, U_MM, upper=LIMIT_MM)
    assert p == pytest.approx(0.97725, abs=2e-5)


def test_the_zone_of_indecision_is_neither_accepted_nor_rejected():
    band = guard_band(U_MM, 0.95, upper=LIMIT_MM)
    for inside_the_zone in (LIMIT_MM - 0.99 * band, LIMIT_MM, LIMIT_MM + 0.99 * band):
        result = judge_conformity(inside_the_zone, U_MM, upper=LIMIT_MM)
        assert result.verdict is Verdict.INDETERMINATE
    shown_good = judge_conformity(LIMIT_MM - 1.01 * band, U_MM, upper=LIMIT_MM)
    shown_bad = judge_conformity(LIMIT_MM + 1.01 * band, U_MM, upper=LIMIT_MM)
    assert (shown_good.verdict, shown_bad.verdict) == (Verdict.CONFORMING, Verdict.NONCONFORMING)


def test_the_acceptance_limit_is_the_limit_drawn_in_by_the_guard_band():
    band = guard_band(U_MM, 0.95, upper=LIMIT_MM)
    assert acceptance_limits(band, None, LIMIT_MM).upper == pytest.approx(0.061776, abs=2e-5)
