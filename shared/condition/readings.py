"""Several readings of one size: which of them count, and how sure each is.

Readings with one plane and one direction are repeats at one place: their mean counts there.
Readings that lack one of the two are taken as repeats only while they agree as repeats do; a worn
bore that was read all around without a word must not be averaged into a good one.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import fsum, inf, sqrt
from typing import Final

from shared.assemblies.model import ReadingsCount
from shared.condition.conformity import Distribution
from shared.condition.doubt import NO_GAUGES, Doubt, doubt_of
from shared.condition.model import Finding, Gauge
from shared.quantities.units import canonical

REPEATABILITY_FACTOR: Final = 2.8
"""Two repeats differ by less than 2.8 of their standard deviation in 95 of 100 cases: the
repeatability limit of ISO 5725-6 (from memory)."""


@dataclass(frozen=True, slots=True)
class Point:
    """The size at one place: the mean of the readings there, and its doubt (None: not known).

    Sizes in the canonical unit. ``readings``: how many; ``deviation``: their standard deviation,
    None for a single one.
    """

    value: float
    doubt: Doubt | None
    plane: str | None = None
    direction: str | None = None
    readings: int = 1
    deviation: float | None = None

    @property
    def u(self) -> float | None:
        """Standard uncertainty; None: not known."""
        return None if self.doubt is None else self.doubt.u


@dataclass(frozen=True, slots=True)
class Spread:
    """What several readings amount to, in the canonical unit."""

    number: int
    mean: float
    deviation: float | None
    """Standard deviation of all of them; None for a single one."""
    least: float
    greatest: float


def points_of(
    finding: Finding,
    kind: str,
    gauges: Mapping[str, Gauge] = NO_GAUGES,
    counted_by: ReadingsCount | None = None,
) -> tuple[Point, ...]:
    """Return the places at which a finding gives a size, in the order of their first readings.

    A single reading is one place. The doubt of a mean of n: u^2 = c^2 + max(s^2, u_r^2 - c^2) / n
    where the common part c of the gauge's u_r is known, else u^2 = u_r^2 + s^2 / n (type A by
    JCGM 100:2008 4.2.3, from memory; s^2 / n taken as if known well, which for two or three
    readings it is not: hence never less than the gauge's own). Where any reading of a place has no
    known doubt, the place has none. Readings without plane or direction that lie further apart than
    2.8 u are places of their own, unless their mean is what counts. Raises as ``canonical`` does.
    """
    if finding.measured is not None:
        value = canonical(finding.measured, kind)
        return (Point(value, doubt_of(finding, finding.measured, kind, gauges)),)
    places: dict[tuple[str | None, str | None], list[Point]] = {}
    for reading in finding.readings:
        single = Point(
            canonical(reading.size, kind),
            doubt_of(finding, reading.size, kind, gauges),
            reading.plane,
            reading.direction,
        )
        places.setdefault((reading.plane, reading.direction), []).append(single)
    found: list[Point] = []
    for place, singles in places.items():
        is_apart = None in place and counted_by is not ReadingsCount.MEAN
        if is_apart and not _agree(singles):
            found.extend(singles)
        else:
            found.append(mean_of(singles))
    return tuple(found)


def counted_points(points: Sequence[Point], counted_by: ReadingsCount | None) -> tuple[Point, ...]:
    """Return the points that are judged: by the rule, or both extremes where there is none."""
    # Of equal ones the surest, whatever the order: what is less sure is asked about besides.
    least = min(points, key=lambda point: (point.value, _unsureness(point)))
    greatest = max(points, key=lambda point: (point.value, -_unsureness(point)))
    if counted_by is ReadingsCount.GREATEST:
        return (greatest,)
    if counted_by is ReadingsCount.LEAST:
        return (least,)
    if counted_by is ReadingsCount.MEAN:
        return (mean_of_places(points),)
    return (greatest,) if least == greatest else (greatest, least)


def least_sure(points: Sequence[Point]) -> Point:
    """Return the place of the greatest doubt, one of unknown doubt before all."""
    return max(points, key=_unsureness)


def _unsureness(point: Point) -> float:
    return inf if point.u is None else point.u


def mean_of(singles: Sequence[Point]) -> Point:
    """Return one place from repeated readings at it; at least one must be given."""
    first, number = singles[0], len(singles)
    if number == 1:
        return first
    spread = spread_of([single.value for single in singles])
    assert spread.deviation is not None
    worst = _worst_doubt(singles)
    doubt = None
    if worst is not None:
        type_a = spread.deviation**2 / number
        if worst.common is None:
            variance = worst.u**2 + type_a
        else:
            own = (worst.u**2 - worst.common**2) / number
            variance = worst.common**2 + max(type_a, own)
        doubt = Doubt(sqrt(variance), Distribution.NORMAL, worst.note, worst.common)
    return Point(spread.mean, doubt, first.plane, first.direction, number, spread.deviation)


def mean_of_places(points: Sequence[Point]) -> Point:
    """Return the mean over places; each place counts once.

    What differs between places is form, not doubt: only what is the gauge's own averages out, and
    that only where its common part is known.
    """
    number = len(points)
    if number == 1:
        return points[0]
    mean = fsum(point.value for point in points) / number
    worst = _worst_doubt(points)
    doubt = None
    if worst is not None:
        u = worst.u
        if worst.common is not None:
            u = sqrt(worst.common**2 + (worst.u**2 - worst.common**2) / number)
        doubt = Doubt(u, Distribution.NORMAL, worst.note, worst.common)
    return Point(mean, doubt, readings=sum(point.readings for point in points))


def spread_of(values: Sequence[float]) -> Spread:
    """Return number, mean, standard deviation (n - 1) and extremes of values; at least one.

    >>> spread_of([1.0, 2.0, 3.0]).deviation
    1.0
    """
    number = len(values)
    mean = fsum(values) / number
    deviation = None
    if number > 1:
        deviation = sqrt(fsum((value - mean) ** 2 for value in values) / (number - 1))
    return Spread(number, mean, deviation, min(values), max(values))


def _agree(singles: Sequence[Point]) -> bool:
    """Whether readings lie as close together as repeats of one place do."""
    worst = _worst_doubt(singles)
    if worst is None:
        return len(singles) == 1
    values = [single.value for single in singles]
    return max(values) - min(values) <= REPEATABILITY_FACTOR * worst.u


def _worst_doubt(points: Sequence[Point]) -> Doubt | None:
    """Return the greatest doubt, with the greatest common part; None: one doubt is not known."""
    doubts = [point.doubt for point in points]
    known = [doubt for doubt in doubts if doubt is not None]
    if len(known) < len(doubts):
        return None
    worst = max(known, key=lambda doubt: doubt.u)
    commons = [doubt.common for doubt in known]
    if None in commons:
        return Doubt(worst.u, worst.distribution, worst.note, None)
    greatest = max(common for common in commons if common is not None)
    return Doubt(worst.u, worst.distribution, worst.note, min(greatest, worst.u))
