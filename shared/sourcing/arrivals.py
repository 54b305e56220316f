"""When the last of several deliveries is there, in continuous time.

Counted in working days after day zero; deliveries are independent (what comes in one parcel is
one delivery). The greatest of the single P90 is *not* the P90 of the last: that one is later.
"""

from collections.abc import Callable, Sequence
from functools import partial
from itertools import pairwise
from math import ceil, exp, prod

from shared.errors import OutOfRange
from shared.sourcing.lead_time import LeadTime, chance_within, days_within, is_on_shelf, log_spread


def joint_cdf(leads: Sequence[LeadTime], days: float) -> float:
    """Chance that all deliveries are there ``days`` working days after day zero.

    The product of the single chances. Source: distribution of the greatest of independent random
    variables (textbook). Raises InvalidInput for quotes that cannot be, as ``check_quotes``.
    """
    return prod(_chance_by(lead, days) for lead in leads)


def joint_quantile(leads: Sequence[LeadTime], chance: float) -> float:
    """Working days after day zero by which all deliveries are there with ``chance``.

    0 < chance < 1, else OutOfRange; 0 where nothing is awaited. Found by halving an interval that
    is sure to hold it.

    >>> from decimal import Decimal
    >>> three = [LeadTime(Decimal(a), Decimal(b)) for a, b in ((2, 4), (5, 9), (6, 14))]
    >>> round(joint_quantile(three, 0.9), 4)
    14.5156
    """
    if not 0 < chance < 1:
        raise OutOfRange("chance", chance, "above 0 and below 1")
    if not leads:
        return 0.0
    # All are there no sooner than each one; if each has the n-th root of the chance, all have it.
    low = max(_days_by(lead, chance) for lead in leads)
    if joint_cdf(leads, low) >= chance:
        return low
    high = max(_days_by(lead, chance ** (1 / len(leads))) for lead in leads)
    while low < (middle := (low + high) / 2) < high and high - low > 1e-13 * high:
        low, high = (low, middle) if joint_cdf(leads, middle) >= chance else (middle, high)
    return high


def joint_mean_days(leads: Sequence[LeadTime]) -> float:
    """Mean time until all deliveries are there, in working days after day zero.

    Good to one part in a million up to P90 / P50 = 60; wider, the far tail is lost to rounding.
    """
    points = {0.0}.union(*(_panel_ends(lead) for lead in leads))
    return mean_of_greatest([partial(_chance_by, lead) for lead in leads], sorted(points))


def mean_of_greatest(chances: Sequence[Callable[[float], float]], points: Sequence[float]) -> float:
    """Mean of the greatest of independent random variables, given by their distribution functions.

    Integrates 1 - F1(t) F2(t) ... from the first of the rising ``points`` to the last, by 20-point
    Gauss-Legendre between neighbours. Nothing may lie outside the points, and a function may jump
    only at one of them. Source: mean as the integral of the survival function (textbook).
    """
    from numpy.polynomial.legendre import leggauss  # noqa: PLC0415 - slow to load, seldom needed

    nodes, weights = (values.tolist() for values in leggauss(20))
    total = points[0]
    for start, end in pairwise(points):
        half = (end - start) / 2
        total += half * sum(
            weight * (1 - prod(chance(start + half * (1 + node)) for chance in chances))
            for node, weight in zip(nodes, weights, strict=True)
        )
    return total


def _chance_by(lead: LeadTime, days: float) -> float:
    if is_on_shelf(lead.p50_days, lead.p90_days):
        return 1.0 if days >= 0 else 0.0
    return chance_within(days - lead.order_day, lead.p50_days, lead.p90_days)


def _days_by(lead: LeadTime, chance: float) -> float:
    if is_on_shelf(lead.p50_days, lead.p90_days):
        return 0.0
    return lead.order_day + days_within(chance, lead.p50_days, lead.p90_days)


def _panel_ends(lead: LeadTime) -> set[float]:
    """Points between which one delivery's distribution is smooth and nearly all of its mean."""
    if is_on_shelf(lead.p50_days, lead.p90_days):
        return {0.0}
    sigma = log_spread(lead.p50_days, lead.p90_days)
    # A lognormal's mean sits sigma standard deviations above its median: reach 9 beyond that, in
    # panels whose ends differ by a factor e at most.
    per_deviation = ceil(sigma) or 1
    reach = range(-9 * per_deviation, (9 + ceil(sigma)) * per_deviation + 1)
    p50 = float(lead.p50_days)
    return {lead.order_day + p50 * exp(sigma * step / per_deviation) for step in reach}
