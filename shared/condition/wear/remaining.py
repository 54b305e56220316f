"""Hours left to the limit, with bounds, and the chance to reach it within so many hours."""

from dataclasses import dataclass
from math import sqrt

from shared.condition.wear.fieller import crossing
from shared.condition.wear.line import Line
from shared.condition.wear.model import Trend
from shared.condition.wear.trend import check_confidence, lower_hours
from shared.errors import OutOfRange


@dataclass(frozen=True, slots=True)
class Remaining:
    """Running hours from now to the limit; each bound holds with ``confidence`` by itself."""

    estimate: float
    lower: float
    upper: float
    confidence: float


def remaining(trend: Trend, confidence: float | None = None) -> Remaining:
    """Hours from now until the size is at its limit: never below 0, and 0 where it is already.

    ``estimate`` is the lesser of that by the fitted line and by the governing rate. ``lower``: the
    t at which P(w(t) <= limit) = confidence, by the worse of both lines; ``upper`` by the fitted
    line. Source: API 510, 10th edition, 7.2.1 for the estimate (from memory). A confidence above
    the trend's own may find no upper bound: OutOfRange.
    """
    level = trend.confidence if confidence is None else confidence
    check_confidence(level)
    if trend.is_beyond:
        return Remaining(0.0, 0.0, 0.0, level)
    worn_limit = trend.side.sign * trend.limit
    found = [crossing(line, worn_limit, level) for line in trend.lines]
    upper = found[0].upper
    if upper is None:
        raise OutOfRange("confidence", level, "one at which the wear is shown")
    estimates = [one.estimate for one in found if one.estimate is not None]
    estimate = max(0.0, min(estimates) - trend.now_hours)
    lower = lower_hours(trend.lines, worn_limit, trend.now_hours, level)
    return Remaining(estimate, min(lower, estimate), max(estimate, upper - trend.now_hours), level)


def u_of_remaining(trend: Trend) -> float:
    """First-order standard uncertainty of the hours by the fitted line (GUM 5.1.2).

    The latest reading counts in the size and in the rate: u = u_w(t) / rate at the crossing. Hours;
    the bounds of ``remaining`` are better, for the distribution is skewed.
    """
    line = trend.lines[0]
    at = line.centre_x + (trend.side.sign * trend.limit - line.centre_y) / line.slope
    return line.u_at(at) / line.slope


def chance_beyond(trend: Trend, hours: float) -> float:
    """Probability that the size reaches its limit within so many further hours, from now.

    By the worse of the fitted line and the governing rate; never falling with the hours; 1 where
    the latest reading is at the limit already. Raises OutOfRange for hours below 0.
    """
    if not hours >= 0:
        raise OutOfRange("hours", hours, "0 or more")
    if trend.is_beyond:
        return 1.0
    worn_limit = trend.side.sign * trend.limit
    start, end = trend.now_hours, trend.now_hours + hours
    return max(_chance(line, worn_limit, start, end) for line in trend.lines)


def told(trend: Trend, confidence: float | None = None) -> str:
    """Return rate and hours in words: what an answer gives as its basis."""
    if trend.is_beyond:
        return "by its wear: at the limit already"
    left = remaining(trend, confidence)
    both = 100 * (2 * left.confidence - 1)
    return (
        f"by its wear: {trend.rates.governing.per_hour:.3g} {trend.unit}/h, at the limit in"
        f" {left.lower:.4g} to {left.upper:.4g} h ({both:.3g} %)"
    )


def _chance(line: Line, worn_limit: float, start: float, end: float) -> float:
    """Greatest probability of w(x) >= limit for x from start to end."""
    at = [start, end]
    away = worn_limit - line.centre_y
    if away < 0 and line.variance_of_slope > 0:
        # The line is beyond at its centre: the quotient has its greatest value at one place.
        turn = line.centre_x - line.slope * line.variance_of_centre / (
            away * line.variance_of_slope
        )
        at.append(min(max(turn, start), end))
    return max(_chance_at(line, worn_limit, x) for x in at)


def _chance_at(line: Line, worn_limit: float, x: float) -> float:
    u, over = line.u_at(x), line.at(x) - worn_limit
    if u <= sqrt(2.3e-308):
        return 1.0 if over >= 0 else 0.0
    return line.share_below(over / u)
