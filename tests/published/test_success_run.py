"""How many trials show a reliability; exact bounds after trials.

Documentation of a public reliability package and textbook tables (trials); 29 successes of 30 at
95 %: 0.8278 to 0.9992, same documentation, from memory. Checked besides by an independent library.
"""

import pytest
from scipy.stats import binom, binomtest

from shared.life.proving import least_shown, shown, trials_needed


@pytest.mark.parametrize(
    ("reliability", "confidence", "trials"),
    [(0.999, 0.95, 2995), (0.95, 0.95, 59), (0.9, 0.9, 22), (0.9, 0.95, 29)],
)
def test_trials_without_a_failure(reliability, confidence, trials):
    assert trials_needed(reliability, confidence) == trials
    assert (
        least_shown(trials, 0, confidence) >= reliability > least_shown(trials - 1, 0, confidence)
    )


def test_exact_bounds_after_one_failure_in_thirty():
    found = shown(30, 1, 0.95)
    assert found.lower == pytest.approx(0.8278, abs=0.00005)
    assert found.upper == pytest.approx(0.9992, abs=0.00005)


@pytest.mark.parametrize(("trials", "failures"), [(30, 1), (7, 0), (7, 7), (400, 31)])
@pytest.mark.parametrize("confidence", [0.6, 0.95])
def test_exact_bounds_agree_with_an_independent_library(trials, failures, confidence):
    test, found = binomtest(trials - failures, trials), shown(trials, failures, confidence)
    between = test.proportion_ci(confidence, "exact")
    assert (found.lower, found.upper) == pytest.approx((between.low, between.high), abs=1e-9)
    least = binomtest(trials - failures, trials, alternative="greater")
    assert found.least == pytest.approx(least.proportion_ci(confidence, "exact").low, abs=1e-9)


@pytest.mark.parametrize("failures", [1, 3])
def test_trials_with_failures_allowed_are_the_fewest_that_show_it(failures):
    trials = trials_needed(0.9, 0.9, failures)
    assert binom.cdf(failures, trials, 0.1) <= 0.1 < binom.cdf(failures, trials - 1, 0.1)
