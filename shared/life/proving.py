"""What trials show of a reliability: how many without a failure, and exact bounds after some.

Symbols: R reliability, C confidence, n trials, k failures. Exact bounds are those of the binomial
distribution itself (Clopper and Pearson, 1934), by quantiles of the beta distribution; they never
claim more than C. Source: exact method, any text on statistics (from memory).

Trials are alike and do not touch one another; that is the caller's to see to.
"""

from dataclasses import dataclass
from math import ceil, log, log1p

from shared.errors import InvalidInput, OutOfRange

MOST_TRIALS = 1_000_000
_A_HAIR = 1e-12
"""Of a whole number of trials: what a float adds to it asks for no trial more."""


@dataclass(frozen=True, slots=True)
class Shown:
    """What trials have shown: bounds of the reliability.

    ``least`` is shown with the confidence (one-sided); ``lower`` and ``upper`` hold the reliability
    between them with it.
    """

    estimate: float
    least: float
    lower: float
    upper: float


def trials_needed(reliability: float, confidence: float, failures: int = 0) -> int:
    """Least number of trials that shows a reliability, with at most so many failures among them.

    Without failures n = ln(1 - C) / ln R, rounded up (success run). Raises OutOfRange unless both
    are between 0 and 1; InvalidInput where more than 10^6 trials would be needed.

    >>> trials_needed(0.9, 0.95)
    29
    """
    for field, value in (("reliability", reliability), ("confidence", confidence)):
        _require_between(field, value)
    _require_count("failures", failures, MOST_TRIALS)
    if failures == 0:
        needed = max(1, ceil(log1p(-confidence) / log(reliability) * (1 - _A_HAIR)))
        if needed > MOST_TRIALS:
            raise _too_many()
        return needed
    low, high = failures, failures + 1
    while least_shown(high, failures, confidence) < reliability:
        low, high = high, 2 * high
        if low > MOST_TRIALS:
            raise _too_many()
    while high - low > 1:
        middle = (low + high) // 2
        if least_shown(middle, failures, confidence) < reliability:
            low = middle
        else:
            high = middle
    if high > MOST_TRIALS:
        raise _too_many()
    return high


def least_shown(trials: int, failures: int, confidence: float) -> float:
    """Reliability that is at least so great with the confidence (one-sided, exact).

    Raises OutOfRange unless 0 <= failures <= trials, 1 <= trials, 0 < confidence < 1.
    """
    _check(trials, failures, confidence)
    return _lower(trials, failures, 1 - confidence)


def shown(trials: int, failures: int, confidence: float) -> Shown:
    """What so many trials with so many failures show.

    Raises OutOfRange unless 0 <= failures <= trials, 1 <= trials, 0 < confidence < 1.
    """
    _check(trials, failures, confidence)
    tail = (1 - confidence) / 2
    return Shown(
        1 - failures / trials,
        _lower(trials, failures, 1 - confidence),
        _lower(trials, failures, tail),
        1 - _lower(trials, trials - failures, tail),
    )


def _lower(trials: int, failures: int, tail: float) -> float:
    """Reliability at which so few failures, or fewer, are seen with a chance of ``tail``."""
    if failures == trials:
        return 0.0
    from scipy.special import betaincinv  # noqa: PLC0415  (slow to import)

    return float(betaincinv(trials - failures, failures + 1, tail))


def _check(trials: int, failures: int, confidence: float) -> None:
    if trials < 1:
        raise OutOfRange("trials", trials, "1 or more")
    _require_count("failures", failures, trials)
    _require_between("confidence", confidence)


def _require_count(field: str, count: int, most: int) -> None:
    if not 0 <= count <= most:
        raise OutOfRange(field, count, f"from 0 to {most}")


def _require_between(field: str, value: float) -> None:
    if not 0 < value < 1:
        raise OutOfRange(field, value, "between 0 and 1, neither of them")


def _too_many() -> InvalidInput:
    return InvalidInput(
        "/reliability",
        f"More than {MOST_TRIALS} trials would be needed.",
        "Ask for a lower reliability or confidence.",
        "out-of-range",
    )
