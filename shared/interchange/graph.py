"""The catalogue as a directed graph: from a part, what may serve where it is called for.

Built once, asked for many places: which steps hold is judged for each place.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction

from shared.evidence import EvidenceKind
from shared.interchange.confidence import belief_in, belief_in_equals, step_confidence
from shared.interchange.equals import Equal, equal_by_designation, equivalence_key
from shared.interchange.found import Catalogue, StepKind
from shared.interchange.model import (
    ClaimSays,
    FitmentCount,
    InterchangeClaim,
    Part,
    PartLine,
    Supersession,
)
from shared.interchange.rules import InterchangeRules


@dataclass(frozen=True, slots=True)
class Edge:
    """A step that may be taken where ``from_part_id`` is called for, whatever the place.

    ``ratio`` pieces of the later part for one of the earlier; ``companions`` likewise for one of
    the earlier; of a supersession its further later lines only: what goes in along is for the place
    to say, by every record of the same later lines. ``is_accepted``: whether the shop's policy
    takes evidence of its kind.
    """

    kind: StepKind
    from_part_id: str
    to_part_id: str
    confidence: float
    confidence_lower: float
    ratio: Fraction = Fraction(1)
    companions: tuple[tuple[str, Fraction], ...] = ()
    is_accepted: bool = True
    claim: InterchangeClaim | None = None
    supersession: Supersession | None = None
    count: FitmentCount | None = None
    equal: Equal | None = None
    record_id: str | None = None
    is_supersession: bool = False
    """Whether it follows the maker's numbers, forward or back."""

    @property
    def record(self) -> InterchangeClaim | Supersession | None:
        """The claim or supersession that it stands on; None for a generic equal."""
        return self.claim or self.supersession


@dataclass(slots=True)
class Graph:
    """Steps by the part that they start from, claims that say no, rules by the earlier part.

    Steps of a part stand by rising record id. ``denials``: claims that something does not fit.
    """

    parts: dict[str, Part]
    rules: InterchangeRules
    accepted: frozenset[EvidenceKind]
    left_out: int
    edges: dict[str, list[Edge]]
    denials: dict[str, list[InterchangeClaim]]
    supersessions: dict[str, list[Supersession]]
    _groups: dict[str, list[Part]] | None = None
    _compared: dict[tuple[str, str], Equal | None] = field(default_factory=dict)

    @classmethod
    def of(cls, catalogue: Catalogue) -> "Graph":
        """Build the graph of a catalogue; a record that stands there twice counts once.

        Steps to parts that are not in the catalogue are left out. Raises
        OutOfRange for beliefs and fitments that are no figures of chances.
        """
        parts = {part.id: part for part in catalogue.parts}
        claims = {claim.id: claim for claim in catalogue.claims}
        rules = {rule.id: rule for rule in catalogue.supersessions}
        counts = {count.claim_id: count for count in catalogue.fitments}
        builder = _Builder(catalogue.rules, frozenset(catalogue.accepted))
        edges: dict[str, list[Edge]] = defaultdict(list)
        denials: dict[str, list[InterchangeClaim]] = defaultdict(list)
        by_earlier: dict[str, list[Supersession]] = defaultdict(list)
        for _, claim in sorted(claims.items()):
            if claim.says is ClaimSays.DOES_NOT_FIT:
                denials[claim.part_id].append(claim)
            else:
                edges[claim.part_id].append(builder.by_claim(claim, counts.get(claim.id)))
        for _, rule in sorted(rules.items()):
            by_earlier[rule.earlier_part_id].append(rule)
            for edge in builder.by_supersession(rule):
                edges[edge.from_part_id].append(edge)
        known = {
            start: [one for one in ends if one.to_part_id in parts and one.to_part_id != start]
            for start, ends in edges.items()
        }
        return cls(parts, catalogue.rules, builder.accepted, catalogue.left_out, known,
                   dict(denials), dict(by_earlier))  # fmt: skip

    def of_its_size(self, part_id: str) -> list[tuple[Part, Equal]]:
        """Parts whose designations are of the size of a part's own, by id, and how they compare."""
        wanted = self.parts[part_id].generic_designation
        if not wanted:
            return []
        found = []
        for part in self._by_key().get(equivalence_key(wanted), ()):
            equal = self._compare(wanted, part.generic_designation or "")
            if part.id != part_id and equal is not None:
                found.append((part, equal))
        return found

    def _by_key(self) -> dict[str, list[Part]]:
        # Reading designations is the slow part, and many places never ask for their equals.
        if self._groups is None:
            self._groups = defaultdict(list)
            for _, part in sorted(self.parts.items()):
                if part.generic_designation:
                    self._groups[equivalence_key(part.generic_designation)].append(part)
        return self._groups

    def _compare(self, wanted: str, offered: str) -> Equal | None:
        pair = (wanted, offered)
        if pair not in self._compared:
            self._compared[pair] = equal_by_designation(wanted, offered)
        return self._compared[pair]


@dataclass(slots=True)
class _Builder:
    """Turns records into edges, by the rules of one shop."""

    rules: InterchangeRules
    accepted: frozenset[EvidenceKind]

    def by_claim(self, claim: InterchangeClaim, count: FitmentCount | None) -> Edge:
        ratio = Fraction(claim.stand_in_quantity, claim.part_quantity)
        mean, lower = step_confidence(belief_in(claim.evidence_kind, self.rules, count))
        return Edge(
            StepKind.CLAIM,
            claim.part_id,
            claim.stand_in_part_id,
            mean,
            lower,
            ratio,
            _times(claim.companion_lines, ratio),
            claim.evidence_kind in self.accepted,
            claim=claim,
            count=count,
            record_id=claim.id,
        )

    def by_supersession(self, rule: Supersession) -> Iterable[Edge]:
        if not rule.later_lines:
            return
        mean, lower = step_confidence(belief_in(rule.evidence_kind, self.rules))
        first, *further = rule.later_lines
        yield Edge(
            StepKind.SUPERSESSION,
            rule.earlier_part_id,
            first.part_id,
            mean,
            lower,
            Fraction(first.quantity),
            _times(further, Fraction(1)),
            rule.evidence_kind in self.accepted,
            supersession=rule,
            record_id=rule.id,
            is_supersession=True,
        )
        if rule.may_go_back and not further:
            yield Edge(
                StepKind.SUPERSESSION_BACK,
                first.part_id,
                rule.earlier_part_id,
                mean,
                lower,
                Fraction(1, first.quantity),
                (),
                rule.evidence_kind in self.accepted,
                supersession=rule,
                record_id=rule.id,
                is_supersession=True,
            )


def generic_edge(from_part_id: str, to_part_id: str, equal: Equal) -> Edge:
    """Return the step to a part that a standard names the same."""
    mean, lower = step_confidence(belief_in_equals())
    return Edge(StepKind.GENERIC, from_part_id, to_part_id, mean, lower, equal=equal)


def _times(lines: Iterable[PartLine], ratio: Fraction) -> tuple[tuple[str, Fraction], ...]:
    return tuple((line.part_id, line.quantity * ratio) for line in lines)
