"""The positions as they are planned, with the verdicts on what sits in them."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from math import prod

from shared.assemblies.model import Characteristic, Position, Ruling
from shared.condition.derived import derived_findings
from shared.condition.model import Finding, Gauge, Verdict
from shared.condition.standing import only_inputs, standing_findings
from shared.condition.verdict import PositionJudgement, judge_position
from shared.decision.building.layout import WHOLE, Layout, PlannedPosition
from shared.decision.snapshot import Snapshot
from shared.salvage.model import DonorGift

__all__ = ["WHOLE", "Bench", "PlannedPosition", "worst_of"]

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


class Bench(Layout):
    """A snapshot laid out for planning, with the verdicts on every unit's positions."""

    def __init__(self, snapshot: Snapshot, proved: Mapping[str, Verdict] | None = None) -> None:
        """``proved``: verdicts taken as settled, by planning id, whatever was found."""
        super().__init__(snapshot)
        self.proved = dict(proved or {})
        self._counted_by_unit: dict[str, tuple[Finding, ...]] = {}

    @cached_property
    def judgements(self) -> dict[str, PositionJudgement]:
        """What each planned position's findings amount to, by planning id."""
        return {planned.id: self._judged(planned) for planned in self.planned}

    def _judged(self, planned: PlannedPosition) -> PositionJudgement:
        found = self.judge(planned.position, self.unit.id, planned.piece)
        verdict = self.proved.get(planned.id)
        if verdict is None:
            return found
        chance = 1.0 if verdict is Verdict.CONFORMING else 0.0
        return PositionJudgement(planned.position.id, verdict, chance, found.findings, ())

    def judge(
        self, position: Position, unit_id: str, piece: int | None = None
    ) -> PositionJudgement:
        """Judge a unit's position, and what is inside it when it is not taken apart.

        What lies inside a position that is never opened, and that nobody could look at, does not
        count as left out, unless it is safety-critical; anything bad that was seen there does.
        """
        inside = [] if self.is_resolved(position) else self.inside(position)
        return self._judge_with(position, inside, self._counted_of(unit_id), piece)

    def judge_whole(self, position: Position, unit_id: str) -> PositionJudgement:
        """Judge a unit's position as it is taken whole: with all that is inside it."""
        return self._judge_with(position, self.inside(position), self._counted_of(unit_id), None)

    def judge_piece(
        self, position: Position, piece: int, findings: Sequence[Finding]
    ) -> PositionJudgement:
        """Judge one piece, with all that is inside it, by these findings of one unit alone."""
        return self._judge_with(position, self.inside(position), self._counted(findings), piece)

    def judge_gift(self, gift: DonorGift, position: Position) -> PositionJudgement:
        """Judge what a donor of another assembly would give to a position, by its findings there.

        With all that is inside it there. What is inspected at the position here and was not there
        does not count as done.
        """
        standing = self._counted_of(gift.unit_id)
        judged = [self._judge_one(gift.position, standing, None)]
        judged += [
            self._judge_one(replace(gift.position, id=inner, quantity=1), standing, None)
            for inner in gift.inner_position_ids
        ]
        if len(judged) > 1 and not self.has_characteristics(gift.position):
            judged = judged[1:]
        here = (position, *self.inside(position))
        if any(self.has_characteristics(one) for one in here):
            judged.append(self._judge_with(position, list(here[1:]), (), None))
        return worst_of(position.id, judged)

    def _judge_with(
        self,
        position: Position,
        inside: list[Position],
        standing: Sequence[Finding],
        piece: int | None,
    ) -> PositionJudgement:
        """``piece`` is one of the position itself: pieces of what is inside are never singled out.

        (A position that holds others is planned with all its pieces as one.)
        """
        if position.serviceability.ruling is Ruling.REPLACE_AS_ASSEMBLY:
            seen = {finding.position_id for finding in standing}
            inside = [p for p in inside if p.id in seen or p.is_safety_critical]
        judged = [
            self._judge_one(position, standing, piece),
            *(self._judge_one(inner, standing, None) for inner in inside),
        ]
        if len(judged) > 1 and not self.has_characteristics(position):
            judged = judged[1:]
        return worst_of(position.id, judged)

    def _judge_one(
        self, position: Position, standing: Sequence[Finding], piece: int | None
    ) -> PositionJudgement:
        chosen = tuple(
            finding
            for finding in standing
            if finding.position_id == position.id
            and (piece is None or finding.piece in (None, piece))
        )
        rules = self.settings.rules
        return judge_position(
            position.id,
            self._characteristics_at.get(position.id, ()),
            chosen,
            rules.conformity_rule,
            float(rules.conformity_probability),
            pieces=1 if piece is not None else position.quantity,
            gauges=self.gauges,
            inputs=self._inputs,
        )

    @cached_property
    def _inputs(self) -> frozenset[str]:
        """What is measured only for a measure that follows from it."""
        return only_inputs(self.snapshot.characteristics)

    def _counted_of(self, unit_id: str) -> tuple[Finding, ...]:
        """What counts of a unit: its standing findings, and the measures that follow from them."""
        known = self._counted_by_unit.get(unit_id)
        if known is None:
            known = self._counted(self.findings_of(unit_id))
            self._counted_by_unit[unit_id] = known
        return known

    def _counted(self, findings: Sequence[Finding]) -> tuple[Finding, ...]:
        """Standing findings of one unit, and the measures that follow from these alone."""
        standing = standing_findings(findings)
        if not standing or not self.derivations:
            return standing
        return (*standing, *derived_findings(self.derivations, standing, self.gauges))

    def findings_of(self, unit_id: str) -> tuple[Finding, ...]:
        """A unit's findings, by id."""
        return self._findings_by_unit.get(unit_id, ())

    @cached_property
    def _findings_by_unit(self) -> dict[str, tuple[Finding, ...]]:
        found: dict[str, list[Finding]] = defaultdict(list)
        for finding in sorted(self.snapshot.findings, key=lambda f: f.id):
            found[finding.unit_id].append(finding)
        return {unit_id: tuple(findings) for unit_id, findings in found.items()}

    @cached_property
    def _characteristics_at(self) -> dict[str, tuple[Characteristic, ...]]:
        found: dict[str, list[Characteristic]] = defaultdict(list)
        for one in sorted(self.snapshot.characteristics, key=lambda c: c.id):
            found[one.position_id].append(one)
        return {position_id: tuple(ones) for position_id, ones in found.items()}

    @cached_property
    def derivations(self) -> tuple[Characteristic, ...]:
        """Characteristics, by id; none where none of them follows from others."""
        found = sorted(self.snapshot.characteristics, key=lambda one: one.id)
        return tuple(found) if any(one.derivation is not None for one in found) else ()

    @cached_property
    def gauges(self) -> dict[str, Gauge]:
        """The shop's gauges that findings name, by id."""
        return {gauge.id: gauge for gauge in self.snapshot.gauges}

    def characteristics_of(self, position: Position) -> tuple[Characteristic, ...]:
        """What the position itself is inspected for, by id."""
        return self._characteristics_at.get(position.id, ())

    def behind(self, characteristic: Characteristic) -> tuple[Characteristic, ...]:
        """What a measure follows from, directly or through another; none where it is measured."""
        found: dict[str, Characteristic] = {}
        waiting = [characteristic]
        while waiting:
            derivation = waiting.pop().derivation
            for term in () if derivation is None else derivation.terms:
                one = self.characteristics_by_id.get(term.characteristic_id)
                if one is not None and one.id not in found:
                    found[one.id] = one
                    waiting.append(one)
        return tuple(found.values())

    def places_behind(self, characteristic: Characteristic) -> frozenset[str]:
        """Ids of the positions whose sizes a measure follows from; none where it is measured."""
        behind = self.behind(characteristic)
        return frozenset(one.position_id for one in behind if one.derivation is None)

    @cached_property
    def characteristics_by_id(self) -> dict[str, Characteristic]:
        """Everything that is inspected, by id."""
        return {one.id: one for one in self.snapshot.characteristics}

    def has_characteristics(self, position: Position) -> bool:
        """Whether the position itself is inspected for anything."""
        return position.id in self._characteristics_at

    def verdict(self, planned: PlannedPosition) -> Verdict:
        """Verdict of the customer's own part in a planned position."""
        return self.judgements[planned.id].verdict
