"""From points to a trend, or to the reason why there is none.

Two points: the line through them with the doubt of both, the latest counting in the size and in the
rate. More: weighted least squares. Beside it the governing rate (the greater of long and short
term) from the latest point; whichever is worse counts.
"""

from collections.abc import Sequence
from itertools import pairwise
from math import hypot
from statistics import NormalDist
from typing import Any

from shared.condition.wear.fieller import crossing
from shared.condition.wear.line import Line, fit_line, through_two
from shared.condition.wear.model import (
    NoTrend,
    NoTrendReason,
    Side,
    Trend,
    WearPoint,
    is_beyond,
)
from shared.condition.wear.rates import Rates, Term, rates_of
from shared.errors import InvalidInput, OutOfRange

DEFAULT_CONFIDENCE = 0.95
"""Common practice."""

RUNNING_IN_RATIO = 2.0
"""A first stretch worn so many times faster than the rest looks like running in. Common practice,
no source."""


def trend_through(
    points: Sequence[WearPoint],
    side: Side,
    limit: float,
    *,
    unit: str = "mm",
    common_u: float | None = None,
    now_hours: float | None = None,
    confidence: float = DEFAULT_CONFIDENCE,
) -> Trend | NoTrend:
    """Return the trend of points towards a limit, all sizes in ``unit``.

    ``common_u``: the part of u that all readings share, the size when new apart; None: not known,
    taken as large as it can be. ``now_hours``: None: those of the latest point. Raises InvalidInput
    at /points/<n>/hours where hours do not rise, /hours_now where now lies before the latest point,
    OutOfRange for a confidence that is not above 0.5 and below 1.
    """
    found = tuple(points)
    _check(found, now_hours, confidence)
    now = found[-1].hours if now_hours is None and found else now_hours or 0.0
    beyond = is_beyond(found, side, limit)

    def none(reason: NoTrendReason, text: str, **known: Any) -> NoTrend:
        return NoTrend(reason, text, found, beyond, unit=unit, **known)

    if len(found) < 2:
        why = "One point tells no rate: measure again after some hours of running, or say the size"
        text = f"{why} when new." if found else "There is no reading with its hours."
        return none(NoTrendReason.TOO_FEW_POINTS, text)
    rates = rates_of([(one.hours, side.sign * one.size, one.u) for one in found])
    back = _went_back(found, side, confidence, unit)
    if back is not None:
        return none(NoTrendReason.WRONG_WAY, back, rates=rates)
    line = _line(found, side, common_u)
    if rates.governing.per_hour <= 0 or (line is not None and line.slope <= 0):
        text = "On the whole the size does not move towards its limit: no rate of wear is told."
        return none(NoTrendReason.WRONG_WAY, text, rates=rates)
    about = _about_the_points(found, side)
    if line is None:
        text = (
            "Of two points the doubt must be known before the hours have bounds: say with which"
            " gauge each was measured."
        )
        ahead = side.sign * (limit - found[-1].size) / rates.governing.per_hour
        estimate = None if beyond else max(0.0, found[-1].hours + ahead - now)
        return none(
            NoTrendReason.DOUBT_UNKNOWN,
            text,
            rates=rates,
            estimate_hours=estimate,
            warnings=tuple(about),
        )
    lines = (line, *_governing_line(found, side, rates, line))
    bounds = crossing(line, side.sign * limit, confidence)
    if bounds.g is None or bounds.g >= 1:
        text = (
            "The wear is not shown against the doubt of the readings: it may be none, and there is"
            " no greatest life. Measure again later, or with a finer gauge."
        )
        lower = None if beyond else lower_hours(lines, side.sign * limit, now, confidence)
        return none(
            NoTrendReason.NOT_SIGNIFICANT,
            text,
            rates=rates,
            lower_hours=lower,
            warnings=tuple(about),
        )
    warnings = (*about, *_about_the_line(found, side, limit, line, rates, now))
    return Trend(found, side, limit, unit, now, lines, rates, confidence, warnings)


def check_confidence(confidence: float) -> None:
    """Raise OutOfRange unless a confidence is above 0.5 and below 1."""
    if not 0.5 < confidence < 1:
        raise OutOfRange("confidence", confidence, "above 0.5 and below 1")


def lower_hours(
    lines: Sequence[Line], worn_limit: float, now_hours: float, confidence: float
) -> float:
    """Hours from now within which no line reaches the limit, with ``confidence`` each; 0 at least.

    The t at which P(w(t) <= limit) = confidence. Lines that do not rise are left out.
    """
    found = [0.0] if not lines else []
    for line in lines:
        q = line.quantile(confidence)
        if line.at(now_hours) + q * line.u_at(now_hours) >= worn_limit:
            return 0.0
        lower = crossing(line, worn_limit, confidence).lower
        if lower is not None:
            found.append(max(0.0, lower - now_hours))
    return min(found, default=0.0)


def _line(points: Sequence[WearPoint], side: Side, common_u: float | None) -> Line | None:
    known = [one.u for one in points if one.u is not None and not one.is_new]
    shared = min(known, default=0.0) if common_u is None else common_u
    return fit_line(
        [one.hours for one in points],
        [side.sign * one.size for one in points],
        [one.u for one in points],
        shared,
        # The size when new comes from no gauge of the shop.
        [place for place, one in enumerate(points) if one.is_new],
    )


def _governing_line(
    points: Sequence[WearPoint], side: Side, rates: Rates, line: Line
) -> tuple[Line, ...]:
    """Return the line of the governing rate through the latest point, where it is another one."""
    if len(points) == 2:
        return ()
    first = points[-2] if rates.governing_term is Term.SHORT else points[0]
    last = points[-1]
    spread = line.residual_sd or 0.0

    def doubt(point: WearPoint) -> float:
        return spread if point.u is None else point.u

    pair = through_two(
        (first.hours, side.sign * first.size),
        (last.hours, side.sign * last.size),
        (doubt(first), doubt(last)),
        line,
    )
    return (pair,)


def _went_back(points: Sequence[WearPoint], side: Side, confidence: float, unit: str) -> str | None:
    """Say where the size went the wrong way by more than doubt explains."""
    q = NormalDist().inv_cdf(confidence)
    for before, after in pairwise(points):
        back = side.sign * (before.size - after.size)
        if before.u is None or after.u is None or back <= q * hypot(before.u, after.u):
            continue
        return (
            f"From {before.hours:g} h to {after.hours:g} h the size went from {before.size:.6g} to"
            f" {after.size:.6g} {unit}, away from its limit, more than doubt explains: the part was"
            " renewed in between, or one of the readings is wrong."
        )
    return None


def _about_the_points(points: Sequence[WearPoint], side: Side) -> list[str]:
    told = []
    if any(one.is_new for one in points):
        told.append("Counts on the part having been new at 0 hours and never renewed since.")
    return [*told, *_running_in(points, side)]


def _about_the_line(
    points: Sequence[WearPoint], side: Side, limit: float, line: Line, rates: Rates, now: float
) -> list[str]:
    told = []
    if line.is_scattered:
        told.append("The readings scatter more than their doubt explains: bounds are widened.")
    if len(points) > 2:
        told.append(f"The {rates.governing_term} rate governs: the greater of the two.")
    span = points[-1].hours - points[0].hours
    ahead = line.centre_x + (side.sign * limit - line.centre_y) / line.slope - now
    if ahead > span:
        told.append(
            f"The limit lies further ahead ({ahead:.4g} h) than was observed ({span:.4g} h):"
            " measure again well before."
        )
    return told


def _running_in(points: Sequence[WearPoint], side: Side) -> list[str]:
    if len(points) < 3:
        return []
    first, second, last = points[0], points[1], points[-1]
    early = side.sign * (second.size - first.size) / (second.hours - first.hours)
    later = side.sign * (last.size - second.size) / (last.hours - second.hours)
    if early <= RUNNING_IN_RATIO * max(later, 0.0) or early <= 0:
        return []
    return [
        f"The first stretch wore at {early:.3g} an hour, the rest at {later:.3g}: running in, most"
        " likely; the first point makes the long-term rate too high."
    ]


def _check(points: Sequence[WearPoint], now_hours: float | None, confidence: float) -> None:
    check_confidence(confidence)
    for place, (before, after) in enumerate(pairwise(points), start=1):
        if after.hours <= before.hours:
            raise InvalidInput(
                f"/points/{place}/hours",
                f"Got {after.hours:g} h after {before.hours:g} h; wanted rising hours.",
                "Put the points in the order of their hours, one for each.",
                "hours-backwards",
            )
    if now_hours is not None and points and now_hours < points[-1].hours:
        raise InvalidInput(
            "/hours_now",
            f"Now is {now_hours:g} h, before the latest point at {points[-1].hours:g} h.",
            "Give the hours that the unit has run by now.",
            "hours-backwards",
        )
