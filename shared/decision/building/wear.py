"""A kept part that wears: how long until its limit, by its own readings over the unit's hours.

Where its readings tell a trend, the chance to be at its limit counts beside what else is on record,
and the worse of the two is taken. Reaching the limit is taken as failing, which is the safe side.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from math import floor, prod

from shared.assemblies.model import Characteristic
from shared.condition.model import Finding, Verdict
from shared.condition.verdict import standing_findings
from shared.condition.wear.inspection import NextInspection, next_inspection
from shared.condition.wear.model import NoTrend, NoTrendReason, Trend
from shared.condition.wear.remaining import chance_beyond, remaining, told
from shared.condition.wear.trends_of_findings import trends_of
from shared.decision.building.planned import Bench, PlannedPosition
from shared.decision.building.risk import Prospect, horizon_hours, worse_of
from shared.decision.building.wear_life import SUREST_FAILURE, wear_life
from shared.life.weibull import LifeSpec

_SILENT = frozenset({NoTrendReason.NO_LIMIT, NoTrendReason.TOO_FEW_POINTS})
"""Reasons without a trend that nobody needs to be told of: nothing was looked for."""


@dataclass(frozen=True, slots=True)
class Worn:
    """How a kept part is expected to last, its wear counted, and what a person must know of it."""

    outlook: Prospect
    notes: tuple[str, ...] = ()


def with_wear(bench: Bench, planned: PlannedPosition, outlook: Prospect) -> Worn:
    """The prospect of the customer's own part in a position: as before, or by its wear if worse.

    A part that does not conform is priced as such, not by a trend. Of several trends whichever
    reaches its limit first ends it, as if they knew nothing of each other (a series).
    """
    if bench.verdict(planned) is Verdict.NONCONFORMING:
        return Worn(outlook)
    notes: list[str] = []
    usable: list[tuple[str, Trend]] = []
    for characteristic, trend in _trends(bench, planned):
        notes += _notes(bench, planned, characteristic, trend)
        if isinstance(trend, Trend):
            usable.append((characteristic.name, trend))
    spec = _life(
        tuple(trend for _, trend in usable),
        float(bench.settings.warranty.warranty_hours),
        horizon_hours(bench.snapshot),
        bench.proved.get(planned.id) is Verdict.CONFORMING,
    )
    if spec is not None:
        basis = "; ".join(f"{told(trend)} ({name})" for name, trend in usable)
        if outlook.spec is None:
            basis += "; nothing else on record"
        outlook = worse_of(bench.snapshot, outlook, Prospect(spec, basis))
    return Worn(outlook, tuple(notes))


def tells_wear(bench: Bench, finding: Finding) -> bool:
    """Whether a reading on the customer's unit is a point of a trend, or looked for as one."""
    if finding.unit_hours is None:
        return False
    position = bench.positions.get(finding.position_id)
    standing = standing_findings(bench.findings_of(bench.unit.id))
    return position is not None and any(
        _is_told(one.trend)
        for characteristic in bench.characteristics_of(position)
        if characteristic.id == finding.characteristic_id
        for one in trends_of(characteristic, standing, bench.gauges, _hours_now(bench))
    )


def _is_told(trend: Trend | NoTrend) -> bool:
    return isinstance(trend, Trend) or trend.reason not in _SILENT


def _hours_now(bench: Bench) -> float | None:
    """Hours that the unit has run, at most; None: not on record."""
    unit = bench.unit
    hours = unit.upper_hours if unit.upper_hours is not None else unit.lower_hours
    return None if hours is None else float(hours)


def _trends(
    bench: Bench, planned: PlannedPosition
) -> Iterator[tuple[Characteristic, Trend | NoTrend]]:
    """Trends of all that is inspected of a position that stays whole, and of what is inside it."""
    places = [planned.position, *bench.inside(planned.position)]
    findings = standing_findings(bench.findings_of(bench.unit.id))
    now = _hours_now(bench)
    for place in places:
        piece = planned.piece if place is planned.position else None
        for characteristic in bench.characteristics_of(place):
            own = _own(findings, characteristic, piece)
            if not any(finding.unit_hours is not None for finding in own):
                continue
            for one in trends_of(characteristic, own, bench.gauges, now):
                yield characteristic, one.trend


def _own(
    findings: tuple[Finding, ...], characteristic: Characteristic, piece: int | None
) -> list[Finding]:
    return [
        finding
        for finding in findings
        if finding.characteristic_id == characteristic.id
        and (piece is None or finding.piece in (None, piece))
    ]


@lru_cache(maxsize=512)
def _life(
    trends: tuple[Trend, ...], warranty_hours: float, horizon: float, is_proved: bool
) -> LifeSpec | None:
    """Life until the first of the limits; ``is_proved``: taken as at none of them yet.

    None: out of reach, or there is no trend.
    """
    if not trends:
        return None

    def chance(hours: float) -> float:
        return 1 - prod(1 - chance_beyond(trend, hours) for trend in trends)

    at_once = chance(0.0)
    if not is_proved or at_once == 0:
        return wear_life(chance, warranty_hours, horizon)
    if at_once >= SUREST_FAILURE:
        return None

    def since(hours: float) -> float:
        return (chance(hours) - at_once) / (1 - at_once)

    return wear_life(since, warranty_hours, horizon)


def _notes(
    bench: Bench,
    planned: PlannedPosition,
    characteristic: Characteristic,
    trend: Trend | NoTrend,
) -> Iterator[str]:
    name = characteristic.name
    cap = bench.settings.rules.inspection_cap_hours
    capped = None if cap is None else float(cap)
    is_critical = planned.holds_safety_critical
    if isinstance(trend, NoTrend):
        if trend.reason in _SILENT:
            return
        yield f"no trend of wear of {name}: {trend.text}"
        following = next_inspection(
            None,
            trend.lower_hours,
            capped,
            is_safety_critical=is_critical,
            is_beyond=trend.is_beyond,
        )
    else:
        yield f"{name} {told(trend)}"
        left = remaining(trend)
        following = next_inspection(
            left.estimate,
            left.lower,
            capped,
            is_safety_critical=is_critical,
            is_beyond=trend.is_beyond,
        )
    yield _told_inspection(name, following)
    if isinstance(trend, Trend) and trend.warnings:
        said = "; ".join(one[0].lower() + one[1:].removesuffix(".") for one in trend.warnings)
        yield f"what this wear stands on: {said}"


def _told_inspection(name: str, following: NextInspection) -> str:
    if following.hours is None:
        return f"when to measure {name} again is not known: {following.rule}"
    return f"measure {name} again after {floor(following.hours)} h at the latest: {following.rule}"
