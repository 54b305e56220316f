"""A snapshot laid out: look-ups by id, the positions as they are planned, sets, groups, work."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

from shared.assemblies.model import (
    AccessGroup,
    LabourOperation,
    OperationKind,
    Position,
    PositionSet,
    RenewalRule,
    Ruling,
    SetKind,
)
from shared.condition.model import Unit
from shared.decision.snapshot import Snapshot
from shared.interchange.found import Catalogue
from shared.interchange.graph import Graph
from shared.interchange.model import Part
from shared.salvage.model import DonorGift
from shared.sourcing.calendar import local_time
from shared.sourcing.model import Offer, Supplier

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


class Layout:
    """A snapshot laid out for planning: look-ups by id, the tree of positions, sets and groups."""

    def __init__(self, snapshot: Snapshot) -> None:
        self.snapshot = snapshot
        self.settings = snapshot.settings
        self.job = snapshot.job
        self.parts: dict[str, Part] = {part.id: part for part in snapshot.parts}
        self.positions: dict[str, Position] = {p.id: p for p in snapshot.positions}
        self.groups: dict[str, AccessGroup] = {g.id: g for g in snapshot.access_groups}
        self.suppliers: dict[str, Supplier] = {s.id: s for s in snapshot.suppliers}
        self.offers: dict[str, Offer] = {offer.id: offer for offer in snapshot.offers}
        self.units: dict[str, Unit] = {unit.id: unit for unit in snapshot.units}
        self.unit = self.units[snapshot.job.unit_id]

    @cached_property
    def today(self) -> date:
        """The day of the decision on the shop's own clock."""
        return local_time(self.snapshot.as_of, self.settings.calendar).date()

    def number_of(self, part_id: str) -> str:
        """Maker and number of a part; its id where the snapshot does not hold it."""
        part = self.parts.get(part_id)
        return f"{part.maker} {part.number}" if part else part_id

    @cached_property
    def kits(self) -> tuple[Part, ...]:
        """Parts that hold others, by id."""
        return tuple(self.parts[key] for key in sorted(self.parts) if self.parts[key].kit_lines)

    @cached_property
    def graph(self) -> Graph:
        """What may stand in for what, by the catalogue and the shop's own rules and fitments."""
        snapshot = self.snapshot
        return Graph.of(
            Catalogue(
                parts=snapshot.parts,
                claims=snapshot.claims,
                supersessions=snapshot.supersessions,
                fitments=snapshot.fitment_counts,
                rules=snapshot.settings.interchange,
                accepted=snapshot.settings.policy.accepted_evidence,
                left_out=snapshot.claims_left_out,
            )
        )

    @cached_property
    def gifts(self) -> dict[str, tuple[DonorGift, ...]]:
        """What donors of other assemblies may give, by donor."""
        found: dict[str, list[DonorGift]] = defaultdict(list)
        for gift in sorted(
            self.snapshot.gifts, key=lambda g: (g.unit_id, g.position.id, g.to_position_id)
        ):
            found[gift.unit_id].append(gift)
        return {unit_id: tuple(gifts) for unit_id, gifts in found.items()}

    def offers_for(self, target: tuple[str | None, str | None, str | None]) -> list[Offer]:
        """Offers for exactly this part, position or assembly, whatever the day, by id."""
        return self._offers_by_target.get(target, [])

    @cached_property
    def _offers_by_target(self) -> dict[tuple[str | None, str | None, str | None], list[Offer]]:
        found: dict[tuple[str | None, str | None, str | None], list[Offer]] = defaultdict(list)
        for offer in sorted(self.snapshot.offers, key=lambda o: o.id):
            found[offer.part_id, offer.position_id, offer.assembly_id].append(offer)
        return dict(found)

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

    def inside(self, position: Position) -> list[Position]:
        """All positions below a position, however deep."""
        found: list[Position] = []
        for child in self.children.get(position.id, ()):
            found += [child, *self.inside(child)]
        return found
