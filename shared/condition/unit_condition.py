"""The condition of one unit: what its findings amount to, position by position."""

from collections.abc import Sequence
from dataclasses import dataclass

from shared.assemblies.model import Characteristic, Position, PositionSet, SetKind
from shared.condition.derived import derived_findings, why_not_derived
from shared.condition.judgement import PositionJudgement
from shared.condition.measured import DerivedFinding
from shared.condition.model import ConformityRule, Finding, Gauge, Unit
from shared.condition.standing import current_findings, only_inputs, standing_findings
from shared.condition.verdict import judge_position


@dataclass(frozen=True, slots=True)
class ConditionRecords:
    """What is on record of a unit and its design, and the shop's rule for readings."""

    unit: Unit
    positions: tuple[Position, ...]
    characteristics: tuple[Characteristic, ...]
    position_sets: tuple[PositionSet, ...]
    findings: tuple[Finding, ...]
    gauges: tuple[Gauge, ...]
    rule: ConformityRule
    acceptance_probability: float


@dataclass(frozen=True, slots=True)
class NotDerived:
    """A measure that follows from others and could not be told, and why."""

    characteristic_id: str
    why: str


@dataclass(frozen=True, slots=True)
class PositionCondition:
    """One position: its judgement, its derived findings, and the positions it stays with."""

    position: Position
    judgement: PositionJudgement
    derived: tuple[DerivedFinding, ...]
    not_derived: tuple[NotDerived, ...]
    matched_position_ids: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class UnitCondition:
    """Positions with characteristics or findings; ``history_ids``: findings of fewer hours."""

    positions: tuple[PositionCondition, ...]
    history_ids: tuple[str, ...]


def condition_of(records: ConditionRecords) -> UnitCondition:
    """Judge every position of a unit that is inspected for something, or has findings.

    By the limits of a kept part, with measures that follow from others beside what was found; a
    position's verdict does not take in what sits inside it. Findings of other positions than those
    given are left out.
    """
    gauges = {gauge.id: gauge for gauge in records.gauges}
    derived = derived_findings(records.characteristics, records.findings, gauges)
    missing = why_not_derived(records.characteristics, records.findings, gauges)
    findings = (*records.findings, *derived)
    inputs = only_inputs(records.characteristics)
    told = []
    for position in records.positions:
        own = [one for one in records.characteristics if one.position_id == position.id]
        found = [one for one in findings if one.position_id == position.id]
        if not own and not found:
            continue
        judgement = judge_position(
            position.id,
            own,
            found,
            records.rule,
            records.acceptance_probability,
            pieces=position.quantity,
            gauges=gauges,
            inputs=inputs,
        )
        told.append(
            PositionCondition(
                position,
                judgement,
                tuple(one for one in derived if one.position_id == position.id),
                tuple(NotDerived(one.id, missing[one.id]) for one in own if one.id in missing),
                _mates(position.id, records.position_sets),
            )
        )
    current = {one.id for one in current_findings(records.findings)}
    standing = standing_findings(records.findings)
    return UnitCondition(tuple(told), tuple(one.id for one in standing if one.id not in current))


def _mates(position_id: str, sets: Sequence[PositionSet]) -> tuple[str, ...]:
    """Return the positions that are renewed from one unit together with this one."""
    mates = {
        mate
        for group in sets
        if group.kind is SetKind.MATCHED and position_id in group.position_ids
        for mate in group.position_ids
    }
    return tuple(sorted(mates - {position_id}))
