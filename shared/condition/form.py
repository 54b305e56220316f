"""Form from sizes at several places: out-of-round and taper, with their doubt.

From readings across a diameter alone: lobes of an odd number do not show in them (a general rule of
two-point measurement, from memory). Differences of extremes read too great rather than too small.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

from shared.assemblies.model import DerivationKind
from shared.condition.readings import Point, least_sure


@dataclass(frozen=True, slots=True)
class FormResult:
    """A form deviation: its value, u (None: not known), and the two places it is between."""

    value: float
    u: float | None
    greater: Point
    lesser: Point
    why_no_u: str | None = None


def form_of(kind: DerivationKind, points: Sequence[Point]) -> FormResult | str:
    """Return a form deviation of any kind but a sum; text: why the readings tell none."""
    if kind is DerivationKind.OUT_OF_ROUND:
        return out_of_round(points)
    if kind is DerivationKind.OUT_OF_ROUND_OVERALL:
        return out_of_round_overall(points)
    return taper(points)


def out_of_round(points: Sequence[Point]) -> FormResult | str:
    """Greatest less least size of one plane, of the plane with the most.

    Points without a plane are of one plane. Needs two directions in some plane: one reading says
    nothing of roundness.
    """
    planes: dict[str | None, list[Point]] = {}
    for point in points:
        if point.direction is not None:
            planes.setdefault(point.plane, []).append(point)
    measured = [ones for ones in planes.values() if len({one.direction for one in ones}) > 1]
    if not measured:
        return "readings in two directions of one plane are wanted: one says nothing of roundness"
    return max((_between(ones, ones) for ones in measured), key=_size)


def out_of_round_overall(points: Sequence[Point]) -> FormResult | str:
    """Greatest size in one direction less the least in another, whatever the plane; at least 0.

    The two directions with the most. Needs readings in two directions.
    """
    directions: dict[str, list[Point]] = {}
    for point in points:
        if point.direction is not None:
            directions.setdefault(point.direction, []).append(point)
    pairs = [
        _between(ones, others)
        for name, ones in directions.items()
        for other, others in directions.items()
        if name != other
    ]
    if not pairs:
        return "readings in two directions are wanted: one says nothing of roundness"
    return max(pairs, key=_size)


def taper(points: Sequence[Point]) -> FormResult | str:
    """Greatest less least of the planes' greatest sizes. Needs two planes."""
    planes: dict[str, Point] = {}
    for point in points:
        if point.plane is None:
            continue
        known = planes.get(point.plane)
        if known is None or point.value > known.value:
            planes[point.plane] = point
    if len(planes) < 2:
        return "readings in two planes are wanted: one says nothing of taper"
    return _between(tuple(planes.values()), tuple(planes.values()))


def _between(greater: Sequence[Point], lesser: Sequence[Point]) -> FormResult:
    high = max(greater, key=lambda point: point.value)
    low = min(lesser, key=lambda point: point.value)
    # Any of the places may be an extreme one that is less sure: the least sure count.
    u, why = difference_u(least_sure(greater), least_sure(lesser))
    return FormResult(high.value - low.value, u, high, low, why)


def _size(result: FormResult) -> tuple[float, float]:
    return result.value, -1.0 if result.u is None else result.u


def difference_u(high: Point, low: Point) -> tuple[float | None, str | None]:
    """Return u of the difference of two places read with one gauge, and why there is none.

    u^2 = u_1^2 + u_2^2 - 2 c_1 c_2, sqrt(2 (u^2 - c^2)) for equal ones: what the readings share
    cancels; where it is not known it is taken as nothing, the greater doubt. (JCGM 100:2008 5.2.2,
    from memory.)
    """
    if high.doubt is None or low.doubt is None:
        return None, "no uncertainty known of the readings"
    common = 0.0
    if high.doubt.common is not None and low.doubt.common is not None:
        common = high.doubt.common * low.doubt.common
    whole = high.doubt.u**2 + low.doubt.u**2
    left = whole - 2 * common
    if left <= 1e-12 * whole:
        return None, "the doubts cancel to nothing, which no gauge does: say what is not shared"
    return sqrt(left), None
