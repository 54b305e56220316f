"""At which readings the verdict of a position turns, on the grid of the reading."""

from collections.abc import Callable, Mapping
from decimal import Decimal
from itertools import pairwise

from shared.assemblies.model import Characteristic
from shared.condition.doubt import NO_GAUGES, doubt_of
from shared.condition.model import Finding, Gauge, Verdict
from shared.decision.building.planned import Bench, PlannedPosition
from shared.decision.weighing.nearness import UNCERTAINTIES_IN_ONE
from shared.decision.weighing.what_if import Grid, Input
from shared.errors import CorewrightError
from shared.quantities import Quantity, convert
from shared.quantities.units import CANONICAL_UNITS, kind_of

REACH = 2
"""Readings are looked at up to twice the distance to the farthest limit."""


def limits_of(characteristic: Characteristic, unit: str) -> tuple[Decimal, ...]:
    """All limits of a characteristic, rising, in a unit; of another kind: none."""
    given: tuple[Quantity | None, ...] = (
        characteristic.new_lower,
        characteristic.new_upper,
        characteristic.service_lower,
        characteristic.service_upper,
    )
    try:
        found = {convert(one.value, one.unit, unit) for one in given if one is not None}
    except CorewrightError:
        return ()
    return tuple(sorted(found))


def scale_of(
    finding: Finding, limits: tuple[Decimal, ...], gauges: Mapping[str, Gauge] = NO_GAUGES
) -> Decimal | None:
    """Distance of a reading that counts as 1 (``nearness.py``), in its own unit; None: its value.

    Ten standard uncertainties, as stated or as known of its gauge (``gauges`` by id); else the
    tolerance's width.
    """
    u = _doubt_of(finding, gauges)
    if u:
        return UNCERTAINTIES_IN_ONE * u
    return limits[-1] - limits[0] if len(limits) > 1 else None


def _doubt_of(finding: Finding, gauges: Mapping[str, Gauge]) -> Decimal | None:
    """Standard uncertainty of a reading as it is judged by, in its own unit; None: not known."""
    measured = finding.measured
    assert measured is not None
    kind = kind_of(measured.unit)
    doubt = doubt_of(finding, measured, kind, gauges)
    if doubt is None:
        return None
    unit = CANONICAL_UNITS[kind]
    zero, one = (convert(Decimal(number), unit, measured.unit) for number in (0, 1))
    return Decimal(repr(doubt.u)) * (one - zero)


def turn_guess(
    finding: Finding,
    limits: tuple[Decimal, ...],
    gauges: Mapping[str, Gauge] = NO_GAUGES,
    *,
    is_up: bool,
) -> Decimal | None:
    """About where a verdict turns: at the nearest limit ahead; None: none is ahead or just behind.

    A reading just past a limit (within two standard uncertainties) is still in doubt: that ends
    about there. Only to know where to look first.
    """
    assert finding.measured is not None
    value = finding.measured.value
    ahead = [limit for limit in limits if (limit >= value if is_up else limit <= value)]
    if ahead:
        return min(ahead) if is_up else max(ahead)
    near = limits[-1] if is_up else limits[0]
    band = 2 * (_doubt_of(finding, gauges) or Decimal(0))
    end = near + band if is_up else near - band
    return end if (end > value if is_up else end < value) else None


def range_of(finding: Finding, limits: tuple[Decimal, ...]) -> tuple[Decimal, Decimal]:
    """Readings that are looked at; a size that is not below 0 does not come to lie below 0."""
    assert finding.measured is not None
    value = finding.measured.value
    reach = REACH * max(abs(limit - value) for limit in limits)
    lowest = value - reach
    return (max(Decimal(0), lowest) if value >= 0 else lowest), value + reach


def verdict_at(bench: Bench, planned: PlannedPosition, moved: Input, value: Decimal) -> Verdict:
    """Verdict of a position were a reading another."""
    other = Bench(moved.moved(bench.snapshot, value))
    return other.judge(planned.position, other.unit.id, planned.piece).verdict


def turns(
    grid: Grid, limits: tuple[Decimal, ...], verdict: Callable[[int], Verdict]
) -> list[tuple[int, Verdict]]:
    """Grid numbers from which on the verdict is another, rising, each with that verdict.

    Between two limits, or a limit and the middle of two, a verdict turns one way only.
    """
    middles = [(a + b) / 2 for a, b in pairwise(limits)]
    marks = {0, grid.last}
    for value in (*limits, *middles):
        number = grid.number(value)
        marks |= {number, min(grid.last, number + 1)}
    known: dict[int, Verdict] = {}

    def at(number: int) -> Verdict:
        if number not in known:
            known[number] = verdict(number)
        return known[number]

    def between(low: int, high: int) -> list[tuple[int, Verdict]]:
        if at(low) is at(high):
            return []
        if high - low == 1:
            return [(high, at(high))]
        middle = (low + high) // 2
        return between(low, middle) + between(middle, high)

    return [turn for low, high in pairwise(sorted(marks)) for turn in between(low, high)]


def worth_looking(found: list[tuple[int, Verdict]], last: int) -> list[int]:
    """Grid numbers at which a plan may have to change: both ends of every zone of open verdict."""
    numbers = set()
    ends = [number - 1 for number, _ in found[1:]] + [last]
    for (number, verdict), end in zip(found, ends, strict=True):
        numbers.add(number)
        if verdict in (Verdict.INDETERMINATE, Verdict.NOT_INSPECTED):
            numbers.add(end)
    return sorted(numbers)
