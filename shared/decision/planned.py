"""The positions as they are planned: pieces told apart, the tree, the verdicts."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from math import prod

from shared.assemblies.model import (
    AccessGroup,
    Characteristic,
    LabourOperation,
    OperationKind,
    Position,
    PositionSet,
    RenewalRule,
    Ruling,
    SetKind,
)
from shared.condition.model import Finding, Unit, Verdict
from shared.condition.verdict import PositionJudgement, judge_position, standing_findings
from shared.decision.snapshot import Snapshot
from shared.interchange.model import Part
from shared.sourcing.calendar import local_time
from shared.sourcing.model import Supplier

WHOLE = "whole"
"""Planning position of the whole unit, root of the tree."""


@dataclass(frozen=True, slots=True)
class PlannedPosition:
    """A position, or one piece of it when findings tell its pieces apart."""

    id: str
    position: Position
    piece: int | None
    quantity: int
    parent_id: str
    is_safety_critical: bool
    """Its own flag, or that of anything around it: what is inside a brake is brake.

    Of a position that is not taken apart also the flag of anything inside.
    """
    holds_safety_critical: bool
    """Whether it or anything inside it is: whoever fills it whole fills that too."""

    @property
    def name(self) -> str:
        """The position's name, with the piece where there are several."""
        return self.position.name if self.piece is None else f"{self.position.name} ({self.piece})"


_WORST_LAST = (
    Verdict.CONFORMING,
    Verdict.NOT_INSPECTED,
    Verdict.INDETERMINATE,
    Verdict.NONCONFORMING,
)


def worst_of(position_id: str, judged: Sequence[PositionJudgement]) -> PositionJudgement:
    """One judgement of a position and what is inside it: the worst counts."""
    chances = [one.probability for one in judged if one.probability is not None]
    return PositionJudgement(
        position_id,
        max((one.verdict for one in judged), key=_WORST_LAST.index),
        prod(chances) if chances else None,
        tuple(finding for one in judged for finding in one.findings),
        tuple(name for one in judged for name in one.not_inspected),
    )


class Bench:
    """A snapshot laid out for planning: look-ups by id, the tree of positions, the verdicts."""

    def __init__(self, snapshot: Snapshot) -> None:
        self.snapshot = snapshot
        self.settings = snapshot.settings
        self.job = snapshot.job
        self.parts: dict[str, Part] = {part.id: part for part in snapshot.parts}
        self.positions: dict[str, Position] = {p.id: p for p in snapshot.positions}
        self.groups: dict[str, AccessGroup] = {g.id: g for g in snapshot.access_groups}
        self.suppliers: dict[str, Supplier] = {s.id: s for s in snapshot.suppliers}
        self.units: dict[str, Unit] = {unit.id: unit for unit in snapshot.units}
        self.unit = self.units[snapshot.job.unit_id]

    @cached_property
    def today(self) -> date:
        """The day of the decision on the shop's own clock."""
        return local_time(self.snapshot.as_of, self.settings.calendar).date()

    @cached_property
    def children(self) -> dict[str | None, tuple[Position, ...]]:
        """Positions below each position (None: directly in the assembly), by id."""
        below: dict[str | None, list[Position]] = defaultdict(list)
        for position in sorted(self.snapshot.positions, key=lambda p: p.id):
            below[position.parent_id].append(position)
        return {parent: tuple(group) for parent, group in below.items()}

    @cached_property
    def planned(self) -> tuple[PlannedPosition, ...]:
        """Every position that a plan can come to decide, parents before children.

        Below a position that is not ruled serviceable nothing is decided: it is dealt with whole.
        """
        return tuple(self._planned_below(None, is_critical=False))

    def _planned_below(self, parent: str | None, *, is_critical: bool) -> Iterator[PlannedPosition]:
        for position in self.children.get(parent, ()):
            critical = is_critical or position.is_safety_critical
            holds = critical or any(p.is_safety_critical for p in self.inside(position))
            own = critical if self.is_resolved(position) else holds
            for piece in self._pieces(position):
                key = position.id if piece is None else f"{position.id}#{piece}"
                quantity = position.quantity if piece is None else 1
                above = parent or WHOLE
                yield PlannedPosition(key, position, piece, quantity, above, own, holds)
            if self.is_resolved(position):
                yield from self._planned_below(position.id, is_critical=critical)

    def _pieces(self, position: Position) -> tuple[int | None, ...]:
        tells_apart = position.quantity > 1 and not self.children.get(position.id)
        if tells_apart and any(
            f.position_id == position.id and f.piece is not None for f in self.snapshot.findings
        ):
            return tuple(range(1, position.quantity + 1))
        return (None,)

    def is_resolved(self, position: Position) -> bool:
        """Whether the position may be taken apart and its inner positions chosen singly."""
        return (
            bool(self.children.get(position.id))
            and position.serviceability.ruling is Ruling.SERVICEABLE
        )

    def part_of(self, position: Position) -> Part | None:
        """The part that the maker fits in a position."""
        return self.parts.get(position.part_id or "")

    def part_kind(self, position: Position) -> str | None:
        """The shop's word for what sits in a position."""
        part = self.part_of(position)
        return part.kind if part else None

    def sets(self, kind: SetKind) -> tuple[PositionSet, ...]:
        """Declared sets of a kind, by id."""
        chosen = (s for s in self.snapshot.position_sets if s.kind is kind)
        return tuple(sorted(chosen, key=lambda s: s.id))

    def members(self, one: PositionSet) -> frozenset[str]:
        """Positions at which the members of a set are decided.

        A member inside something that is not taken apart goes where that goes.
        """
        return frozenset(self._decided_at(position_id) for position_id in one.position_ids)

    def _decided_at(self, position_id: str) -> str:
        decided, above = position_id, self.positions[position_id].parent_id
        while above is not None:
            if not self.is_resolved(self.positions[above]):
                decided = above
            above = self.positions[above].parent_id
        return decided

    def matched_set_of(self, position_id: str) -> PositionSet | None:
        """The matched set to which a position, or what is inside it, belongs with others."""
        return self._matched_sets.get(position_id)

    @cached_property
    def _matched_sets(self) -> dict[str, PositionSet]:
        found: dict[str, PositionSet] = {}
        for one in self.sets(SetKind.MATCHED):
            members = self.members(one)
            if len(members) > 1:
                found.update((m, one) for m in members if m not in found)
        return found

    def operations(
        self,
        kind: OperationKind,
        position_id: str | None = None,
        group_id: str | None = None,
    ) -> tuple[LabourOperation, ...]:
        """Labour operations of a kind at exactly this position and group, by id."""
        return tuple(
            operation
            for operation in self._operations_at.get((kind, position_id), ())
            if position_id is not None or operation.access_group_id == group_id
        )

    @cached_property
    def _operations_at(self) -> dict[tuple[OperationKind, str | None], list[LabourOperation]]:
        found: dict[tuple[OperationKind, str | None], list[LabourOperation]] = defaultdict(list)
        for operation in sorted(self.snapshot.operations, key=lambda o: o.id):
            found[operation.kind, operation.position_id].append(operation)
        return dict(found)

    def work_at(self, planned: PlannedPosition, kind: OperationKind) -> tuple[LabourOperation, ...]:
        """Operations of a kind at a planned position.

        Hours on record are for all pieces of a position; one piece of several takes its share.
        """
        found = self.operations(kind, planned.position.id)
        if planned.piece is None:
            return found
        pieces = planned.position.quantity
        return tuple(
            replace(one, p50_hours=one.p50_hours / pieces, p90_hours=one.p90_hours / pieces)
            for one in found
        )

    def chain(self, group_id: str | None) -> tuple[AccessGroup, ...]:
        """A group and the groups around it, innermost first."""
        found: list[AccessGroup] = []
        while group_id is not None and group_id in self.groups:
            group = self.groups[group_id]
            found.append(group)
            group_id = group.outer_group_id
        return tuple(found)

    @cached_property
    def open_groups(self) -> frozenset[str]:
        """Groups that the inspection left open; an inner one cannot be open in a closed one."""
        return frozenset(
            group.id for opened in self.job.opened_group_ids for group in self.chain(opened)
        )

    def is_due(self, position: Position) -> bool:
        """Renewed whatever its condition: always, and nothing covers it or its cover is off."""
        return position.renewal_rule is RenewalRule.ALWAYS and (
            position.access_group_id is None or position.access_group_id in self.open_groups
        )

    @cached_property
    def judgements(self) -> dict[str, PositionJudgement]:
        """What each planned position's findings amount to, by planning id."""
        return {
            planned.id: self.judge(planned.position, self.unit.id, planned.piece)
            for planned in self.planned
        }

    def judge(
        self, position: Position, unit_id: str, piece: int | None = None
    ) -> PositionJudgement:
        """Judge a unit's position, and what is inside it when it is not taken apart.

        What lies inside a position that is never opened, and that nobody could look at, does not
        count as left out, unless it is safety-critical; anything bad that was seen there does.
        """
        inside = [] if self.is_resolved(position) else self.inside(position)
        return self._judge_with(position, inside, self.findings_of(unit_id), piece)

    def judge_whole(self, position: Position, unit_id: str) -> PositionJudgement:
        """Judge a unit's position as it is taken whole: with all that is inside it."""
        return self._judge_with(position, self.inside(position), self.findings_of(unit_id), None)

    def judge_piece(
        self, position: Position, piece: int, findings: Sequence[Finding]
    ) -> PositionJudgement:
        """Judge one piece, with all that is inside it, by these findings of one unit alone."""
        return self._judge_with(position, self.inside(position), findings, piece)

    def _judge_with(
        self,
        position: Position,
        inside: list[Position],
        findings: Sequence[Finding],
        piece: int | None,
    ) -> PositionJudgement:
        """``piece`` is one of the position itself: pieces of what is inside are never singled out.

        (A position that holds others is planned with all its pieces as one.)
        """
        if position.serviceability.ruling is Ruling.REPLACE_AS_ASSEMBLY:
            seen = {finding.position_id for finding in findings}
            inside = [p for p in inside if p.id in seen or p.is_safety_critical]
        judged = [
            self._judge_one(position, findings, piece),
            *(self._judge_one(inner, findings, None) for inner in inside),
        ]
        if len(judged) > 1 and not self.has_characteristics(position):
            judged = judged[1:]
        return worst_of(position.id, judged)

    def _judge_one(
        self, position: Position, findings: Sequence[Finding], piece: int | None
    ) -> PositionJudgement:
        chosen = tuple(
            finding
            for finding in standing_findings(findings)
            if piece is None or finding.piece in (None, piece)
        )
        rules = self.settings.rules
        return judge_position(
            position.id,
            self._characteristics,
            chosen,
            rules.conformity_rule,
            float(rules.conformity_probability),
            pieces=1 if piece is not None else position.quantity,
        )

    def findings_of(self, unit_id: str) -> tuple[Finding, ...]:
        """A unit's findings, by id."""
        chosen = (f for f in self.snapshot.findings if f.unit_id == unit_id)
        return tuple(sorted(chosen, key=lambda f: f.id))

    @cached_property
    def _characteristics(self) -> tuple[Characteristic, ...]:
        return tuple(sorted(self.snapshot.characteristics, key=lambda c: c.id))

    def has_characteristics(self, position: Position) -> bool:
        """Whether the position itself is inspected for anything."""
        return any(c.position_id == position.id for c in self._characteristics)

    def inside(self, position: Position) -> list[Position]:
        """All positions below a position, however deep."""
        found: list[Position] = []
        for child in self.children.get(position.id, ()):
            found += [child, *self.inside(child)]
        return found

    def verdict(self, planned: PlannedPosition) -> Verdict:
        """Verdict of the customer's own part in a planned position."""
        return self.judgements[planned.id].verdict
