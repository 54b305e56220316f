"""Wear that runs unevenly, with the doubt of the readings besides: chance and bounds.

Both doubts are independent and add up (sigma^2 t + u^2), as in ``FirstPassage.survival``.
"""

from collections.abc import Callable
from statistics import NormalDist

from shared.condition.halving import narrowed
from shared.condition.wear.first_passage import FirstPassage
from shared.condition.wear.line import Line
from shared.condition.wear.model import Trend
from shared.condition.wear.remaining import Remaining

_FARTHEST_HOURS = 1e9
_HALVINGS = 100


def uneven_chance(trend: Trend, scatter: float, hours: float) -> float:
    """Probability that the size reaches its limit within so many further hours, from now.

    ``scatter``: of the wear itself, per square root of an hour. By the worse of the fitted line and
    the governing rate; 1 where the latest reading is at the limit already. Raises OutOfRange for
    hours below 0 and a scatter not above 0.
    """
    if trend.is_beyond:
        return 1.0
    return max(1 - _survival(trend, line, scatter, hours) for line in trend.lines)


def uneven_bounds(trend: Trend, scatter: float, even: Remaining) -> tuple[float, float | None]:
    """Lower and upper bound of the hours left, those of even wear given, each at its confidence.

    The lower by the worse of all lines, the upper by the fitted one. None: out of reach (10^9 h).
    """
    if trend.is_beyond:
        return 0.0, 0.0

    def by_the_worst(hours: float) -> float:
        return min(_survival(trend, line, scatter, hours) for line in trend.lines)

    def by_the_fit(hours: float) -> float:
        return _survival(trend, trend.lines[0], scatter, hours)

    level, far = even.confidence, max(even.upper, 1.0)
    lower = _last_hours(by_the_worst, level, even.lower)
    while by_the_fit(far) > 1 - level:
        far *= 2
        if far > _FARTHEST_HOURS:
            return lower, None
    return lower, max(even.upper, _last_hours(by_the_fit, 1 - level, far))


def _survival(trend: Trend, line: Line, scatter: float, hours: float) -> float:
    distance = trend.side.sign * trend.limit - line.at(trend.now_hours)
    if distance <= 0 or line.slope <= 0:
        return 0.0
    # Doubt that was estimated has wider tails than a normal one: as wide at the confidence.
    tails = line.quantile(trend.confidence) / NormalDist().inv_cdf(trend.confidence)
    u = tails * line.u_at(trend.now_hours + hours)
    return FirstPassage(distance, line.slope, scatter).survival(hours, u)


def _last_hours(survival: Callable[[float], float], level: float, most: float) -> float:
    """Hours up to ``most`` that are survived with a probability of ``level``."""
    if survival(most) >= level:
        return most
    before, _ = narrowed(lambda hours: survival(hours) > level, 0.0, most, _HALVINGS)
    return before
