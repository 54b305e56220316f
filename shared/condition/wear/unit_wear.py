"""The wear of one unit: every characteristic of which a size was found at known hours."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from shared.assemblies.model import Characteristic, Position
from shared.condition.model import Finding, Gauge, Unit
from shared.condition.standing import standing_findings
from shared.condition.wear.calculation import hours_left
from shared.condition.wear.inspection import NextInspection, next_inspection
from shared.condition.wear.model import NoTrend, Trend
from shared.condition.wear.trend import check_confidence
from shared.condition.wear.trends_of_findings import trends_of


@dataclass(frozen=True, slots=True)
class WearRecords:
    """What is on record of a unit's wear; the shop's cap of hours between inspections, if any."""

    unit: Unit
    positions: tuple[Position, ...]
    characteristics: tuple[Characteristic, ...]
    findings: tuple[Finding, ...]
    gauges: tuple[Gauge, ...] = ()
    inspection_cap_hours: Decimal | None = None


@dataclass(frozen=True, slots=True)
class CharacteristicWear:
    """One characteristic of one piece: its trend, hours from now, when to measure again."""

    characteristic: Characteristic
    position: Position
    piece: int | None
    trend: Trend | NoTrend
    estimate: float | None
    lower: float | None
    upper: float | None
    inspection: NextInspection


def hours_now(records: WearRecords) -> float | None:
    """Return the hours that the unit has run: the most that anything on record says."""
    said = [records.unit.lower_hours, records.unit.upper_hours]
    said += [finding.unit_hours for finding in standing_findings(records.findings)]
    return max((float(hours) for hours in said if hours is not None), default=None)


def unit_wear(records: WearRecords, confidence: float) -> tuple[CharacteristicWear, ...]:
    """Return the wear of each characteristic with a size at known hours, the soonest limit first.

    Raises OutOfRange for a confidence that is not above 0.5 and below 1.
    """
    check_confidence(confidence)
    found = sorted(_each(records, confidence), key=_urgency)
    return tuple(found)


def _each(records: WearRecords, confidence: float) -> Iterator[CharacteristicWear]:
    now = hours_now(records)
    gauges = {gauge.id: gauge for gauge in records.gauges}
    positions = {position.id: position for position in records.positions}
    cap = records.inspection_cap_hours
    sized = {
        finding.characteristic_id
        for finding in standing_findings(records.findings)
        if finding.unit_hours is not None and finding.grade is None
    }
    for characteristic in records.characteristics:
        position = positions.get(characteristic.position_id)
        if characteristic.id not in sized or position is None:
            continue
        for one in trends_of(characteristic, records.findings, gauges, now, confidence=confidence):
            estimate, lower, upper = hours_left(one.trend)
            inspection = next_inspection(
                estimate,
                lower,
                float(cap) if cap else None,
                is_safety_critical=position.is_safety_critical,
                is_beyond=one.trend.is_beyond,
            )
            yield CharacteristicWear(
                characteristic, position, one.piece, one.trend, estimate, lower, upper, inspection
            )


def _urgency(wear: CharacteristicWear) -> tuple[float, str, int]:
    hours = wear.inspection.hours
    return (
        float("inf") if hours is None else hours,
        wear.characteristic.id,
        wear.piece or 0,
    )
