"""Whether a reading with its doubt shows that the true size lies within limits.

Symbols: reading y, standard uncertainty u, limits T_L and T_U, acceptance probability P, all sizes
in one unit. The probability of conformity is that of the true size lying within the limits, given
the reading and nothing else: normal around y with standard deviation u, or rectangular with
half-width u sqrt(3) where the doubt was stated as plus or minus so much.
Source: JCGM 106:2012 clauses 7 and 8 (from memory); ISO 14253-1:2017, default P = 95 %
(from memory).
"""

from dataclasses import dataclass
from enum import StrEnum
from math import erfc, inf, isfinite, sqrt
from statistics import NormalDist

from shared.condition.halving import narrowed
from shared.condition.model import ConformityRule, Verdict
from shared.errors import InvalidInput, OutOfRange

DEFAULT_ACCEPTANCE_PROBABILITY = 0.95
"""ISO 14253-1:2017, default (from memory)."""

_HALVINGS = 200


class Distribution(StrEnum):
    """How the true size may lie around the reading."""

    NORMAL = "normal"
    RECTANGULAR = "rectangular"


@dataclass(frozen=True, slots=True)
class AcceptanceLimits:
    """The readings that show conformity, both ends included; None: no end on that side."""

    lower: float | None
    upper: float | None


def is_within(value: float, lower: float | None, upper: float | None) -> bool:
    """Whether a value lies within limits, the limits included.

    >>> is_within(0.2, None, 0.2), is_within(0.75, 0.8, None)
    (True, False)
    """
    return (lower is None or value >= lower) and (upper is None or value <= upper)


def conformity_probability(
    value: float,
    u: float,
    lower: float | None = None,
    upper: float | None = None,
    *,
    distribution: Distribution = Distribution.NORMAL,
) -> float:
    """Probability that the true size lies within the limits; one limit may be missing.

    normal: Phi((T_U - y)/u) - Phi((T_L - y)/u). With u = 0 the reading is the size: 1 within the
    limits (included), else 0. All in one unit. Raises OutOfRange for u below 0, InvalidInput for no
    limit at all or limits upside down. Source: JCGM 106:2012 7.3, 7.4 (from memory).

    >>> round(conformity_probability(509.7, 8.6, lower=490.0), 2)
    0.99
    """
    _check(u, lower, upper)
    if u == 0:
        return float(is_within(value, lower, upper))
    below = 0.0 if lower is None else _share_below((lower - value) / u, distribution)
    above = 0.0 if upper is None else _share_below((value - upper) / u, distribution)
    return min(1.0, max(0.0, 1.0 - below - above))


def verdict_of(probability: float, acceptance_probability: float) -> Verdict:
    """Judge by ISO 14253-1: one of three outcomes, never two.

    Conforming if p >= P; nonconforming if p <= 1 - P; else indeterminate: neither is shown, measure
    again or with a better gauge. Raises OutOfRange unless 0.5 <= P < 1. Source: ISO 14253-1:2017
    (from memory).
    """
    _check_acceptance(acceptance_probability)
    if probability >= acceptance_probability:
        return Verdict.CONFORMING
    if probability <= 1 - acceptance_probability:
        return Verdict.NONCONFORMING
    return Verdict.INDETERMINATE


def simple_verdict(value: float, lower: float | None, upper: float | None) -> Verdict:
    """Judge by simple acceptance: what reads within the limits is taken as good.

    The doubt is shared between the shop and its customer. Source: JCGM 106:2012 8.2 (from memory).
    """
    return Verdict.CONFORMING if is_within(value, lower, upper) else Verdict.NONCONFORMING


def guard_band(
    u: float,
    acceptance_probability: float,
    lower: float | None = None,
    upper: float | None = None,
    *,
    distribution: Distribution = Distribution.NORMAL,
) -> float:
    """How far within a limit a reading must lie to show conformity, in the unit of u.

    One limit: the quantile of P times u (1.645 u at 95 %). Two limits: the same distance from both,
    so far that p = P there; infinite where not even a reading in the middle shows conformity: the
    gauge is too coarse for these limits. Raises OutOfRange for u below 0 or unless 0.5 <= P < 1.
    Source: JCGM 106:2012 8.3 (from memory).

    >>> round(guard_band(0.005, 0.95, upper=0.07), 6)
    0.008224
    """
    _check(u, lower, upper)
    _check_acceptance(acceptance_probability)
    if u == 0:
        return 0.0
    if lower is None or upper is None:
        return u * _quantile(acceptance_probability, distribution)
    return _two_sided_guard_band(u, acceptance_probability, upper - lower, distribution)


def acceptance_limits(
    band: float, lower: float | None, upper: float | None
) -> AcceptanceLimits | None:
    """Limits for the reading itself: each limit drawn in by the guard band; None: none is left."""
    if band == inf:
        return None
    inner = AcceptanceLimits(
        None if lower is None else lower + band, None if upper is None else upper - band
    )
    if inner.lower is not None and inner.upper is not None and inner.lower > inner.upper:
        # Drawn in to the very middle: the two ends may cross by a rounding.
        middle = (inner.lower + inner.upper) / 2
        return AcceptanceLimits(middle, middle)
    return inner


@dataclass(frozen=True, slots=True)
class ConformityResult:
    """One reading judged. ``guard_band`` is infinite where nothing could be accepted."""

    probability: float
    verdict: Verdict
    rule: ConformityRule
    guard_band: float
    acceptance_limits: AcceptanceLimits | None
    is_within_limits: bool
    """Doubt left aside."""


def judge_conformity(
    value: float,
    u: float,
    lower: float | None = None,
    upper: float | None = None,
    *,
    rule: ConformityRule = ConformityRule.ISO_14253_1,
    acceptance_probability: float = DEFAULT_ACCEPTANCE_PROBABILITY,
    distribution: Distribution = Distribution.NORMAL,
) -> ConformityResult:
    """Judge a reading by the shop's rule; simple acceptance has a guard band of 0.

    The probability is reported under either rule. A reading within the limits is never
    nonconforming: where its doubt is so great that hardly anything lies between them, the gauge is
    too coarse (ISO 14253-1 rejects what reads beyond a limit; from memory). In one unit. Raises as
    ``conformity_probability`` and ``guard_band`` do.
    """
    _check_acceptance(acceptance_probability)
    probability = conformity_probability(value, u, lower, upper, distribution=distribution)
    if rule is ConformityRule.SIMPLE_ACCEPTANCE:
        verdict, band = simple_verdict(value, lower, upper), 0.0
    else:
        verdict = verdict_of(probability, acceptance_probability)
        if verdict is Verdict.NONCONFORMING and is_within(value, lower, upper):
            # Two limits closer than the gauge can tell: that it reads within condemns nothing.
            verdict = Verdict.INDETERMINATE
        band = guard_band(u, acceptance_probability, lower, upper, distribution=distribution)
    return ConformityResult(
        probability,
        verdict,
        rule,
        band,
        acceptance_limits(band, lower, upper),
        is_within(value, lower, upper),
    )


def _share_below(z: float, distribution: Distribution) -> float:
    """Share of the distribution below z standard uncertainties from its middle."""
    if distribution is Distribution.RECTANGULAR:
        return min(1.0, max(0.0, 0.5 + z / (2 * sqrt(3))))
    # erfc keeps its digits far out, where 1 - erf has none left.
    return 0.5 * erfc(-z / sqrt(2))


def _quantile(probability: float, distribution: Distribution) -> float:
    if distribution is Distribution.RECTANGULAR:
        return sqrt(3) * (2 * probability - 1)
    return NormalDist().inv_cdf(probability)


def _two_sided_guard_band(
    u: float, acceptance_probability: float, width: float, distribution: Distribution
) -> float:
    """Smallest distance from both limits at which p reaches P; p rises up to the middle."""

    def is_enough(distance: float) -> bool:
        p = conformity_probability(distance, u, 0.0, width, distribution=distribution)
        return p >= acceptance_probability

    if not is_enough(width / 2):
        return inf
    enough, _ = narrowed(is_enough, width / 2, 0.0, _HALVINGS)
    return enough


def require_limit(lower: float | None, upper: float | None) -> None:
    """Raise InvalidInput ("/lower_limit") where there is no limit at all."""
    if lower is None and upper is None:
        raise InvalidInput(
            "/lower_limit",
            "There is neither a lower nor an upper limit.",
            "Give at least one limit.",
            "limit-missing",
        )


def _check(u: float, lower: float | None, upper: float | None) -> None:
    if not (isfinite(u) and u >= 0):
        raise OutOfRange("u", u, "0 or more")
    require_limit(lower, upper)
    if lower is not None and upper is not None and lower > upper:
        raise InvalidInput(
            "/upper_limit",
            f"The upper limit {upper:g} is below the lower limit {lower:g}.",
            "Exchange the limits or mend the slip.",
            "limits-upside-down",
        )


def _check_acceptance(probability: float) -> None:
    if not 0.5 <= probability < 1:
        raise OutOfRange("acceptance_probability", probability, "from 0.5 to below 1")
