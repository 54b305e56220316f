"""Judging an interval: a gauge that goes and one that does not, two blades of a feeler set.

The true size lies between ``at_least`` and ``at_most``; one of them may not be known. Such a
finding has no reading, and the middle of the interval is none.
"""

from dataclasses import dataclass
from math import erfc, exp, inf, pi, sqrt

from shared.condition.conformity import guard_band, is_within, require_limit
from shared.condition.model import ConformityRule, Verdict
from shared.errors import InvalidInput, OutOfRange

_ALMOST_NO_WIDTH = 1e-5


@dataclass(frozen=True, slots=True)
class IntervalResult:
    """An interval judged; ``probability`` None: one of its ends is not known."""

    verdict: Verdict
    probability: float | None


def interval_probability(
    at_least: float,
    at_most: float,
    u: float,
    lower: float | None = None,
    upper: float | None = None,
) -> float:
    """Probability that a size anywhere between two ends, each off by u, lies within limits.

    Every size between the ends is taken as equally likely, smeared by a normal error of standard
    deviation u: P(size <= t) = u/(b - a) (G((t - a)/u) - G((t - b)/u)), G(z) = z Phi(z) + phi(z),
    the integral of Phi. u = 0: the share of the interval that lies within. All in one unit. Raises
    InvalidInput for an interval upside down, OutOfRange for u below 0.

    >>> interval_probability(0.10, 0.15, 0.0, upper=0.14)  # four fifths of the interval
    0.8
    """
    _check(at_least, at_most, u)
    if u == 0 and at_least == at_most:
        return float(is_within(at_least, lower, upper))

    def share_below(limit: float) -> float:
        return _share_below(limit, at_least, at_most, u)

    below = 0.0 if lower is None else share_below(lower)
    up_to = 1.0 if upper is None else share_below(upper)
    return min(1.0, max(0.0, round(up_to - below, 15)))


def judge_interval(
    at_least: float | None,
    at_most: float | None,
    feel: float,
    lower: float | None,
    upper: float | None,
    *,
    rule: ConformityRule,
    acceptance_probability: float,
) -> IntervalResult:
    """Judge what is known of a size by its ends; ``feel``: by how much (u) each end may be off.

    Conforming only if the whole of it, each end moved outward by the feel, lies within the limits
    and the probability reaches P; nonconforming only if the whole of it, so moved, lies outside
    beyond one limit and the probability is at most 1 - P; else indeterminate. With an open end
    there is no probability: the known end must then lie the guard band of P away from its limit. By
    simple acceptance the ends count as they are. A size that spans from below the lower to above
    the upper limit is indeterminate, like one that reaches over either. All in one unit.

    Raises InvalidInput for no end, no limit or an interval upside down, OutOfRange as
    ``guard_band`` does.
    """
    if at_least is None and at_most is None:
        raise InvalidInput(
            "/at_least",
            "The interval has no end.",
            "Give at_least, at_most or both.",
            "interval-missing",
        )
    require_limit(lower, upper)
    probability = None
    if at_least is not None and at_most is not None:
        probability = interval_probability(at_least, at_most, feel, lower, upper)
    move = feel
    if rule is ConformityRule.SIMPLE_ACCEPTANCE:
        move = 0.0
    elif probability is None:
        move = guard_band(feel, acceptance_probability, lower=0.0)
    least = -inf if at_least is None else at_least - move
    most = inf if at_most is None else at_most + move
    is_good = (lower is None or least >= lower) and (upper is None or most <= upper)
    is_bad = (lower is not None and most < lower) or (upper is not None and least > upper)
    if probability is not None and rule is not ConformityRule.SIMPLE_ACCEPTANCE:
        is_good = is_good and probability >= acceptance_probability
        is_bad = is_bad and probability <= 1 - acceptance_probability
    if is_good:
        return IntervalResult(Verdict.CONFORMING, probability)
    verdict = Verdict.NONCONFORMING if is_bad else Verdict.INDETERMINATE
    return IntervalResult(verdict, probability)


def _share_below(limit: float, at_least: float, at_most: float, u: float) -> float:
    width = at_most - at_least
    if u == 0:
        return min(1.0, max(0.0, (limit - at_least) / width))
    if width < _ALMOST_NO_WIDTH * u:
        return _phi_below((limit - (at_least + at_most) / 2) / u)
    return (_integral((limit - at_least) / u) - _integral((limit - at_most) / u)) * u / width


def _phi_below(z: float) -> float:
    return 0.5 * erfc(-z / sqrt(2))


def _integral(z: float) -> float:
    """Integral of the normal distribution function up to z."""
    return z * _phi_below(z) + exp(-z * z / 2) / sqrt(2 * pi)


def _check(at_least: float, at_most: float, u: float) -> None:
    if not u >= 0:
        raise OutOfRange("u", u, "0 or more")
    if at_least > at_most:
        raise InvalidInput(
            "/at_most",
            f"at_most {at_most:g} is below at_least {at_least:g}.",
            "Exchange them or mend the slip.",
            "interval-upside-down",
        )
