"""Wear from quantities, each in its own unit: rates, hours to the limit, when to measure again."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from shared.assemblies.model import ServiceLimitKind
from shared.condition.wear.first_passage import FirstPassage
from shared.condition.wear.inspection import NextInspection, next_inspection
from shared.condition.wear.model import NoTrend, Side, Trend, WearPoint
from shared.condition.wear.remaining import chance_beyond, remaining
from shared.condition.wear.trend import trend_through
from shared.condition.wear.uneven import uneven_bounds, uneven_chance
from shared.errors import InvalidInput
from shared.quantities import Quantity
from shared.quantities.units import (
    canonical,
    canonical_unit,
    canonical_without_doubt,
    check_quantity,
    kind_of,
    standard_uncertainty,
)

MOST_SIZE = 1e9
"""Beyond it, in the canonical unit of its kind (mm), a figure is a slip."""


@dataclass(frozen=True, slots=True)
class SizeAtHours:
    """A size as measured, and the hours at which it was."""

    hours: Decimal
    size: Quantity


@dataclass(frozen=True, slots=True)
class WearAsked:
    """Sizes over hours, the limit on the side of wear, and how the answer is wanted.

    ``new_size``: at 0 hours; limits when new as their middle with half their width as
    ``plus_minus``. ``common_uncertainty``: the part of doubt that all readings share.
    ``process_scatter``: of the wear itself, for each square root of an hour.
    """

    points: tuple[SizeAtHours, ...]
    limit: Quantity
    wears_towards: Side
    new_size: Quantity | None = None
    limit_is: ServiceLimitKind | None = None
    confidence: Decimal = Decimal("0.95")
    common_uncertainty: Quantity | None = None
    process_scatter: Quantity | None = None
    hours_now: Decimal | None = None
    inspection_cap_hours: Decimal | None = None
    is_safety_critical: bool = False
    chance_within_hours: Decimal | None = None


@dataclass(frozen=True, slots=True)
class WearFound:
    """The trend, or why there is none; hours from now, None where nothing tells them."""

    trend: Trend | NoTrend
    limit: float
    unit: str
    estimate: float | None
    lower: float | None
    upper: float | None
    chance: float | None
    inspection: NextInspection
    passage: FirstPassage | None
    warnings: tuple[str, ...]


def wear_to_limit(asked: WearAsked) -> WearFound:
    """Answer how long a size has until its limit.

    Raises InvalidInput with a pointer to the member: of another kind than the limit, a temperature,
    doubt where none belongs, hours that do not rise, ``new_size`` beside a point at 0 hours, a
    confidence outside its range.
    """
    kind = kind_of(asked.limit.unit)
    if kind in {"temperature", "temperature-difference"}:
        raise InvalidInput(
            "/limit/unit",
            "A temperature is no size that wears.",
            "Give a size, such as one in mm.",
            "unit-wrong-dimension",
        )
    limit = canonical_without_doubt(
        asked.limit,
        kind,
        "/limit",
        detail="The limit states an uncertainty; a limit is what it says.",
        fix="Leave it out; the doubt belongs to the readings.",
    )
    _credible(limit, "/limit")
    scatter = _positive(asked.process_scatter, kind, "/process_scatter")
    trend = trend_through(
        _points(asked, kind),
        asked.wears_towards,
        limit,
        unit=canonical_unit(kind),
        common_u=_positive(asked.common_uncertainty, kind, "/common_uncertainty", or_zero=True),
        now_hours=None if asked.hours_now is None else float(asked.hours_now),
        confidence=float(asked.confidence),
    )
    return _found(asked, trend, limit, scatter, canonical_unit(kind))


def _found(
    asked: WearAsked, trend: Trend | NoTrend, limit: float, scatter: float | None, unit: str
) -> WearFound:
    estimate, lower, upper = hours_left(trend)
    warnings = list(trend.warnings)
    passage = None
    if scatter is not None and isinstance(trend, Trend) and estimate:
        rate = trend.rates.governing.per_hour
        passage = FirstPassage(rate * estimate, rate, scatter)
        lower, upper = uneven_bounds(trend, scatter, remaining(trend))
        warnings.append("The bounds hold the readings' doubt and the wear's own scatter together.")
    if asked.limit_is is None:
        warnings.append("Say whether the limit is one of service or of discard.")
    cap = asked.inspection_cap_hours
    return WearFound(
        trend,
        limit,
        unit,
        estimate,
        lower,
        upper,
        _chance(asked, trend, scatter),
        next_inspection(
            estimate,
            lower,
            None if cap is None else float(cap),
            is_safety_critical=asked.is_safety_critical,
            is_beyond=trend.is_beyond,
        ),
        passage,
        tuple(warnings),
    )


def hours_left(trend: Trend | NoTrend) -> tuple[float | None, float | None, float | None]:
    """Estimate, lower and upper bound of the hours from now, as far as they can be told."""
    if trend.is_beyond:
        return 0.0, 0.0, 0.0
    if isinstance(trend, NoTrend):
        return trend.estimate_hours, trend.lower_hours, None
    left = remaining(trend)
    return left.estimate, left.lower, left.upper


def _chance(asked: WearAsked, trend: Trend | NoTrend, scatter: float | None) -> float | None:
    if asked.chance_within_hours is None:
        return None
    if trend.is_beyond:
        return 1.0
    if isinstance(trend, NoTrend):
        return None
    hours = float(asked.chance_within_hours)
    if scatter is None:
        return chance_beyond(trend, hours)
    return uneven_chance(trend, scatter, hours)


def _points(asked: WearAsked, kind: str) -> Sequence[WearPoint]:
    points = [
        WearPoint(float(one.hours), *_size(one.size, kind, f"/points/{place}/size"))
        for place, one in enumerate(asked.points)
    ]
    if asked.new_size is None:
        return points
    if points and points[0].hours <= 0:
        raise InvalidInput(
            "/new_size",
            "There is a point at 0 hours already, and new_size is the size at 0 hours.",
            "Keep one of them.",
            "given-twice",
        )
    new = WearPoint(0.0, *_size(asked.new_size, kind, "/new_size"), is_new=True)
    return [new, *points]


def _size(size: Quantity, kind: str, pointer: str) -> tuple[float, float | None]:
    check_quantity(size, kind, pointer)
    return _credible(canonical(size, kind), pointer), standard_uncertainty(size, kind)


def _credible(size: float, pointer: str) -> float:
    if abs(size) > MOST_SIZE:
        raise InvalidInput(
            f"{pointer}/value",
            f"Got {size:g}; no part is larger than {MOST_SIZE:g} in its unit.",
            "Check the number and its unit.",
            "out-of-range",
        )
    return size


def _positive(
    amount: Quantity | None, kind: str, pointer: str, *, or_zero: bool = False
) -> float | None:
    if amount is None:
        return None
    found = canonical_without_doubt(
        amount,
        kind,
        pointer,
        detail="It states an uncertainty of its own, which is not taken into account.",
        fix="Leave it out.",
    )
    _credible(found, pointer)
    if not (found >= 0 if or_zero else found > 0):
        wanted = "0 or more" if or_zero else "more than 0"
        raise InvalidInput(
            f"{pointer}/value", f"Got {amount.value:f}; wanted {wanted}.", f"Give {wanted}."
        )
    return found
