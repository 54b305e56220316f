"""The graph as one place sees it: which steps hold there, which are barred, what was refused."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Final, TypeVar

from shared.designations.model import StandIn
from shared.interchange.conditions import Judged, holds, not_accepted, pieces_of
from shared.interchange.confidence import belief_in, step_confidence
from shared.interchange.differences import (
    conditions_of,
    differences_of,
    duty_to_check,
    sameness_by_name,
)
from shared.interchange.equals import Equal
from shared.interchange.found import Holds, Place, Refused, Step, StepKind
from shared.interchange.graph import Edge, Graph, generic_edge
from shared.interchange.model import (
    DutyDifference,
    InterchangeClaim,
    PartLine,
    Sameness,
    Supersession,
)
from shared.interchange.parallel import said_otherwise, went_wrong
from shared.interchange.supersession_rules import Rules

_Seen = TypeVar("_Seen")
_MOST_TOLD: Final = 3

MOST_LOOKED_AT: Final = 5_000
"""Steps looked at for one place; what lies beyond is told as not looked at."""


@dataclass(frozen=True, slots=True)
class Hop:
    """An edge, and whether it holds here; what differs along it, and what to check.

    ``companions`` go in with one piece of the part that it starts from. ``cautions``: what speaks
    against it that the shop's policy does not count.
    """

    edge: Edge
    step: Step
    companions: tuple[tuple[str, Fraction], ...] = ()
    differences: tuple[DutyDifference, ...] = ()
    to_check: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    sameness: tuple[Sameness, Sameness, Sameness] = (Sameness.NOT_TOLD,) * 3
    """Form, fit and function."""


@dataclass(slots=True)
class Here:
    """One place on the graph. Steps are judged when they are first asked for, and each once."""

    graph: Graph
    place: Place
    hops: list[Hop] = field(default_factory=list)
    """Every step looked at, in order."""
    said_no: list[Step] = field(default_factory=list)
    """Claims that a part does not fit, as steps that do not hold: for drawing."""
    is_cut: bool = False
    """Whether there were more steps than are looked at."""
    is_beyond_measure: bool = False
    """Whether a path was given up because its pieces multiply beyond all use."""
    differing: dict[str, tuple[str, Equal]] = field(default_factory=dict)
    """Parts of the size of one that was looked from, which differ in what matters."""
    _looked_at: int = 0
    _by_record: dict[str, list[Hop]] = field(default_factory=dict)
    _generic: dict[str, list[Hop]] = field(default_factory=dict)
    _rules: dict[str, Rules] = field(default_factory=dict)
    _denied: dict[str, dict[str, str]] = field(default_factory=dict)
    _doubted: dict[str, dict[str, tuple[str, ...]]] = field(default_factory=dict)
    _refused: dict[tuple[str, str | None], Refused] = field(default_factory=dict)
    _alike: dict[str, tuple[str, ...]] | None = None

    def by_record(self, part_id: str) -> list[Hop]:
        """Steps by claims and supersessions where a part is called for."""
        if part_id not in self._by_record:
            edges = self._within(self.graph.edges.get(part_id, []))
            hops = _with_others([self._hop(edge) for edge in edges])
            self._by_record[part_id] = _with_failures(hops)
            self.hops += self._by_record[part_id]
        return self._by_record[part_id]

    def generic(self, part_id: str) -> list[Hop]:
        """Steps to generic equals where a part is called for."""
        if part_id not in self._generic:
            sized = self._within(self.graph.of_its_size(part_id))
            found = []
            for part, equal in sized:
                if equal.is_candidate:
                    found.append(self._hop(generic_edge(part_id, part.id, equal)))
                else:
                    self.differing.setdefault(part.id, (part_id, equal))
            self._generic[part_id] = found
            self.hops += found
        return self._generic[part_id]

    def denied(self, part_id: str) -> dict[str, str]:
        """Parts that do not fit where a part is called for, by evidence that counts, with why."""
        if part_id not in self._denied:
            self._judge_denials(part_id)
        return self._denied[part_id]

    def doubts(self, part_id: str) -> dict[str, tuple[str, ...]]:
        """Parts claimed not to fit where a part is called for, by evidence that does not count."""
        self.denied(part_id)
        return self._doubted[part_id]

    def like_denied(self, part_id: str) -> tuple[str, ...]:
        """Tell which parts that a standard names the same as one do not fit at the place."""
        if self._alike is None:
            self._alike = {}
            denied = self.denied(self.place.part_id)
            for other, why in denied.items():
                if other not in self.graph.parts:
                    continue
                for part, equal in self.graph.of_its_size(other):
                    if equal.outcome is StandIn.SAME:
                        told = f"'{self.graph.parts[other].number}', which its standard names the "
                        told += f"same, is {why}"
                        self._alike[part.id] = (*self._alike.get(part.id, ()), told)
        return self._alike.get(part_id, ())

    def rules(self, part_id: str) -> Rules:
        """Return the supersessions of a part as they hold here."""
        if part_id not in self._rules:
            own = self.graph.supersessions.get(part_id, ())
            self._rules[part_id] = Rules.at(own, self.place, self.graph.accepted)
        return self._rules[part_id]

    def standing_rules(self) -> list[Supersession]:
        """Supersessions that were looked at and do not say no here."""
        return [
            rule for rules in self._rules.values() for rule in rules.records if rules.may_hold(rule)
        ]

    def refused(self) -> list[Refused]:
        """What was refused so far, each part and record once."""
        return list(self._refused.values())

    def _within(self, seen: Sequence[_Seen]) -> Sequence[_Seen]:
        """As many as may still be looked at."""
        room = MOST_LOOKED_AT - self._looked_at
        self.is_cut = self.is_cut or len(seen) > room
        self._looked_at += min(len(seen), room)
        return seen[:room]

    def _hop(self, edge: Edge) -> Hop:
        companions = self._companions(edge)
        outcome, reason = self._judged(edge, companions)
        step = Step(
            edge.kind,
            edge.from_part_id,
            edge.to_part_id,
            outcome,
            edge.confidence,
            edge.confidence_lower,
            edge.record_id,
            None if edge.record is None else edge.record.evidence_kind,
            None if edge.record is None else edge.record.evidence,
            reason,
        )
        cautions = self.doubts(edge.from_part_id).get(edge.to_part_id, ())
        if edge.equal is not None:
            wanted, offered = (
                self.graph.parts[one].generic_designation or ""
                for one in (edge.from_part_id, edge.to_part_id)
            )
            to_check = (*conditions_of(edge.equal), *duty_to_check(wanted, offered))
            sameness = sameness_by_name(wanted, offered, edge.equal)
            return Hop(edge, step, (), differences_of(edge.equal), to_check, cautions, sameness)
        if edge.supersession is None or outcome is Holds.NO:
            return Hop(edge, step, companions, cautions=cautions)
        to_check = tuple(self._may_take_more(edge.supersession, edge.kind))
        cautions = (*cautions, *self._spoken_against(edge.supersession))
        return Hop(edge, step, companions, (), to_check, cautions)

    def _companions(self, edge: Edge) -> tuple[tuple[str, Fraction], ...]:
        """What goes in along: of a supersession by every record that says the same."""
        rule = edge.supersession
        if rule is None or edge.kind is StepKind.SUPERSESSION_BACK:
            return edge.companions
        rules = self.rules(rule.earlier_part_id)
        if not rules.may_hold(rule):
            return edge.companions
        along = rules.along(rule).companions
        if not (along or rule.companion_lines):
            return edge.companions
        along = along | pieces_of(rule.companion_lines)
        return (*edge.companions, *((one, Fraction(many)) for one, many in sorted(along.items())))

    def _may_take_more(self, rule: Supersession, kind: StepKind) -> Iterator[str]:
        """Tell what may have to be changed besides what surely has."""
        rules = self.rules(rule.earlier_part_id)
        along = rules.along(rule)
        if kind is not StepKind.SUPERSESSION_BACK:
            yield from rules.may_take_more(rule, besides=rule)
        elif along.companions or along.may_add:
            yield (
                "What was changed along with the later number may have to be of the earlier kind "
                f"again: see the supersession '{rule.id}'."
            )

    def _spoken_against(self, rule: Supersession) -> Iterator[str]:
        """Tell what records say otherwise that the shop's policy does not count."""
        for other in self.rules(rule.earlier_part_id).spoken_against(rule):
            later, along = map(self._numbers, (other.later_lines, other.companion_lines))
            told = f"superseded by {later}" if later else "ended without a later number"
            told += f" with {along} along" if along else ""
            yield (
                f"supersession '{other.id}' has '{self.number(other.earlier_part_id)}' {told} "
                f"({other.evidence_kind}: {other.evidence}); {not_accepted(other)}"
            )

    def _numbers(self, lines: Sequence[PartLine]) -> str:
        return ", ".join(self.number(line.part_id) for line in lines)

    def number(self, part_id: str) -> str:
        """Return the number of a part; its id where it is not in the catalogue."""
        part = self.graph.parts.get(part_id)
        return part_id if part is None else part.number

    def _judged(self, edge: Edge, companions: Sequence[tuple[str, Fraction]]) -> Judged:
        """Whether an edge may be walked here; what its own record says against it is kept."""
        for start in (self.place.part_id, edge.from_part_id):
            why = self.denied(start).get(edge.to_part_id)
            if why is not None:
                return Holds.NO, why
        outcome, reason = self._by_its_record(edge, companions)
        if outcome is Holds.NO and edge.to_part_id != self.place.part_id:
            named = "claim" if edge.kind is StepKind.CLAIM else "supersession"
            self._refuse(edge.to_part_id, f"{named} not used: {reason}", edge.record_id)
        return outcome, reason

    def _by_its_record(self, edge: Edge, companions: Sequence[tuple[str, Fraction]]) -> Judged:
        for one, _ in companions:
            if one not in self.graph.parts:
                return Holds.NO, f"'{one}', which goes in with it, is not in the catalogue"
        if edge.claim is not None:
            return holds(edge.claim, self.place)
        if edge.supersession is not None:
            return self.rules(edge.supersession.earlier_part_id).here[edge.supersession.id]
        return Holds.YES, None

    def _judge_denials(self, part_id: str) -> None:
        denied: dict[str, str] = {}
        doubted: dict[str, tuple[str, ...]] = {}
        for claim in self.graph.denials.get(part_id, ()):
            other = claim.stand_in_part_id
            outcome, question = holds(claim, self.place)
            if outcome is Holds.NO or other in {part_id, self.place.part_id}:
                continue
            why = _why_denied(claim, question)
            if claim.evidence_kind in self.graph.accepted:
                denied.setdefault(other, why)
                if other in self.graph.parts:
                    self._refuse(other, why, claim.id)
                    self.said_no.append(self._barred(claim, why))
            else:
                doubted[other] = (*doubted.get(other, ()), f"{why}; {not_accepted(claim)}")
        self._denied[part_id], self._doubted[part_id] = denied, doubted

    def _barred(self, claim: InterchangeClaim, why: str) -> Step:
        mean, lower = step_confidence(belief_in(claim.evidence_kind, self.graph.rules))
        return Step(
            StepKind.CLAIM,
            claim.part_id,
            claim.stand_in_part_id,
            Holds.NO,
            mean,
            lower,
            claim.id,
            claim.evidence_kind,
            claim.evidence,
            why,
        )

    def _refuse(self, part_id: str, reason: str, record_id: str | None) -> None:
        self._refused.setdefault((part_id, record_id), Refused(part_id, reason, record_id))


def _with_others(hops: Sequence[Hop]) -> list[Hop]:
    """Return the steps, those by claims with what other claims for the same step ask for."""
    told = said_otherwise(
        hop.edge.claim
        for hop in hops
        if hop.edge.claim is not None and hop.step.holds is not Holds.NO
    )
    return [
        replace(hop, to_check=(*hop.to_check, *told[hop.step.record_id]))
        if hop.step.record_id in told and hop.edge.claim is not None
        else hop
        for hop in hops
    ]


def _with_failures(hops: Sequence[Hop]) -> list[Hop]:
    """Return the steps, with what went wrong here by another claim for the same two parts."""
    wrong = went_wrong((hop.edge.to_part_id, hop.edge.count) for hop in hops)
    if not wrong:
        return list(hops)
    found = []
    for hop in hops:
        told = wrong.get(hop.edge.to_part_id, {})
        others = tuple(text for one, text in told.items() if one != hop.step.record_id)
        found.append(replace(hop, cautions=(*hop.cautions, *others[:_MOST_TOLD])))
    return found


def _why_denied(claim: InterchangeClaim, question: str | None) -> str:
    told = f"claimed not to fit ({claim.evidence_kind}: {claim.evidence})"
    return (
        told if question is None else f"{told}; whether that holds here cannot be told: {question}"
    )
