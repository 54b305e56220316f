"""Which donors and shelved parts can give one position to a unit, and which cannot.

Read off the draft that a decision would plan with, so that the two never disagree: whoever has a
source there can give, whoever has none cannot. Source: planning method of this project.
"""

from collections.abc import Iterator
from dataclasses import replace

from shared.assemblies.model import Position, RenewalRule
from shared.assemblies.traits import Traits
from shared.condition.model import Unit, UnitKind
from shared.decision.building.build import Built, build
from shared.decision.building.planned import PlannedPosition
from shared.decision.building.shelf_rules import is_for, traits_of
from shared.decision.check import check_snapshot
from shared.decision.giving.compared import compared
from shared.decision.giving.found import (
    CannotGive,
    DonorsFound,
    Giver,
    GiverKind,
    Giving,
    PositionNamed,
)
from shared.decision.giving.given import from_donor, from_shelf
from shared.decision.giving.reasons import (
    donor_reasons,
    gift_reasons,
    said_of_donor,
    said_of_shelf,
    shelf_reasons,
)
from shared.decision.planning.case import Source
from shared.decision.settings import SourceKind
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput
from shared.salvage.model import DonorGift, ShelvedPart


def donors_of(snapshot: Snapshot, position_id: str) -> DonorsFound:
    """Who can give this position to the snapshot's unit: the shelf, then donors, then who cannot.

    Within a kind by the chance that it proves good, then by what is given up. Raises InvalidInput
    (/position_id) for a position that the snapshot does not have, and as check_snapshot does.
    """
    check_snapshot(snapshot)
    built = build(snapshot)
    position = built.bench.positions.get(position_id)
    if position is None:
        raise InvalidInput(
            "/position_id",
            f"The unit's assembly has no position '{position_id}'.",
            "Ask for a position of the assembly.",
            "reference-unknown",
        )
    return _Search(built, position).found()


class _Search:
    """One position of one draft."""

    def __init__(self, built: Built, position: Position) -> None:
        self.built = built
        self.bench = built.bench
        self.position = position
        self.named = PositionNamed(position.id, position.name)
        self.planned = tuple(p for p in built.bench.planned if p.position.id == position.id)
        wanted = {one.id for one in self.planned}
        self.ids = wanted or {position.id}
        self.sources = [
            source
            for key, source in sorted(built.draft.sources.items())
            if source.position_id in wanted and built.draft.facts[key].kind is SourceKind.SALVAGED
        ]

    def found(self) -> DonorsFound:
        givings = sorted((*self._shelf_givings(), *self._donor_givings()), key=_best_first)
        cannot = (*self._shelf_refusals(), *self._held(), *self._donor_refusals())
        select_fit = [
            PositionNamed(one.id, one.name)
            for one in sorted(self.bench.positions.values(), key=lambda p: p.id)
            if one.renewal_rule is RenewalRule.SELECT_FIT
        ]
        is_chosen = self.position.renewal_rule is RenewalRule.SELECT_FIT
        tells_shims = is_chosen or (bool(select_fit) and bool(givings))
        return DonorsFound(
            position=self.named,
            unit_id=self.bench.unit.id,
            pieces=self.position.quantity,
            givings=tuple(givings),
            cannot_give=tuple(sorted(cannot, key=_giver_order)),
            select_fit=tuple(select_fit),
            decided_with=self._decided_with(),
            cautions=(*self.position.cautions, *self.bench.snapshot.assembly.cautions),
            notes=tuple(self._notes(tells_shims)),
        )

    def _notes(self, tells_shims: bool) -> Iterator[str]:
        if tells_shims:
            yield (
                "Shims and whatever else is chosen by measuring stay with the unit they were"
                " measured for: none comes from a donor, all are chosen anew here."
            )
        if not self.planned:
            yield "It is dealt with together with what it lies in, and is not given by itself."
        others = any(gift is not None for _, gift in self._donors())
        if others:
            yield (
                "Hours to take a part out of a donor of another assembly are those of this"
                " position; they may differ there."
            )

    def _decided_with(self) -> PositionNamed | None:
        """The nearest position around this one at which a plan decides."""
        if self.planned:
            return None
        decided = {one.position.id for one in self.bench.planned}
        above = self.position.parent_id
        while above is not None:
            if above in decided:
                return PositionNamed(above, self.bench.positions[above].name)
            above = self.bench.positions[above].parent_id
        return None

    # --- the shelf -----------------------------------------------------------------------------

    def _shelf_sources(self, part: ShelvedPart) -> list[Source]:
        facts = self.built.draft.facts
        return [one for one in self.sources if part.id in facts[one.id].salvaged_part_ids]

    def _shelf(self) -> list[ShelvedPart]:
        return sorted(self.bench.snapshot.salvaged_parts, key=lambda part: part.id)

    def _shelf_givings(self) -> Iterator[Giving]:
        for part in self._shelf():
            sources = self._shelf_sources(part)
            if sources:
                planned = self._planned_of(sources[0])
                yield from_shelf(self.built, planned, self._shelf_giver(part), part, sources)

    def _shelf_refusals(self) -> Iterator[CannotGive]:
        for part in self._shelf():
            if self._shelf_sources(part):
                continue
            said = said_of_shelf(self.built, part.id, self.ids)
            if not said and self.planned and is_for(self.built.draft, part, self.position):
                said = ["enough others lie on the shelf, proved better or worth less: not weighed"]
            if said:
                giver = self._shelf_giver(part)
                donor = self.bench.units[part.donor_unit_id]
                reasons = shelf_reasons(self.built, donor, giver.traits, self.position, said)
                yield CannotGive(giver, reasons)

    def _shelf_giver(self, part: ShelvedPart) -> Giver:
        donor = self.bench.units[part.donor_unit_id]
        origin = self.bench.positions.get(part.position_id)
        giver = self._giver(
            donor,
            GiverKind.SHELF,
            PositionNamed(part.position_id, origin.name if origin else self.position.name),
        )
        traits = traits_of(part, donor)
        return replace(
            giver,
            salvaged_part_id=part.id,
            label=part.label,
            part_id=part.part_id,
            traits=traits,
            compared=compared(self.bench.unit.traits, traits),
            lower_hours=part.lower_hours,
            upper_hours=part.upper_hours,
        )

    def _held(self) -> Iterator[CannotGive]:
        for held in self.bench.snapshot.held_parts:
            if held.position_id == self.position.id:
                giver = Giver(
                    GiverKind.SHELF,
                    None,
                    self.named,
                    Traits(),
                    salvaged_part_id=held.id,
                    part_id=held.part_id,
                )
                yield CannotGive(giver, tuple(said_of_shelf(self.built, held.id, self.ids)))

    # --- donors --------------------------------------------------------------------------------

    def _donors(self) -> Iterator[tuple[Unit, DonorGift | None]]:
        """Donors with what of theirs is meant: this very position, or a gift."""
        for unit in sorted(self.bench.snapshot.units, key=lambda u: u.id):
            if unit.kind is not UnitKind.DONOR or unit.id == self.bench.unit.id:
                continue
            if unit.assembly_id == self.bench.snapshot.assembly.id:
                yield unit, None
                continue
            for gift in self.bench.gifts.get(unit.id, ()):
                if gift.to_position_id == self.position.id:
                    yield unit, gift

    def _donor_sources(self, donor: Unit, gift: DonorGift | None) -> list[Source]:
        there = None if gift is None else gift.position.id
        found = []
        for source in self.sources:
            facts = self.built.draft.facts[source.id]
            is_its = facts.donor_unit_id == donor.id and not facts.salvaged_part_ids
            if is_its and facts.donor_position_id == there:
                found.append(source)
        return found

    def _donor_givings(self) -> Iterator[Giving]:
        for donor, gift in self._donors():
            sources = self._donor_sources(donor, gift)
            if sources:
                planned = self._planned_of(sources[0])
                giver = self._donor_giver(donor, gift)
                yield from_donor(self.built, planned, giver, donor, gift, sources)

    def _donor_refusals(self) -> Iterator[CannotGive]:
        for donor, gift in self._donors():
            if not self.planned or self._donor_sources(donor, gift):
                continue
            said = said_of_donor(self.built, donor, gift, self.ids)
            reasons = (
                donor_reasons(self.built, donor, self.planned[0], said)
                if gift is None
                else gift_reasons(self.built, donor, gift, self.planned[0], said)
            )
            yield CannotGive(self._donor_giver(donor, gift), reasons)

    def _donor_giver(self, donor: Unit, gift: DonorGift | None) -> Giver:
        there = self.position if gift is None else gift.position
        giver = self._giver(donor, GiverKind.DONOR, PositionNamed(there.id, there.name))
        return replace(giver, part_id=there.part_id)

    def _giver(self, donor: Unit, kind: GiverKind, there: PositionNamed) -> Giver:
        return Giver(
            kind=kind,
            unit_id=donor.id,
            position=there,
            traits=donor.traits,
            assembly_id=donor.assembly_id,
            compared=compared(self.bench.unit.traits, donor.traits),
            lower_hours=donor.lower_hours,
            upper_hours=donor.upper_hours,
            provenance=donor.provenance,
            reason_retired=donor.reason_retired,
        )

    def _planned_of(self, source: Source) -> PlannedPosition:
        return next(one for one in self.planned if one.id == source.position_id)


def _giver_order(one: CannotGive) -> tuple[bool, str, str]:
    giver = one.giver
    return giver.kind is GiverKind.DONOR, giver.unit_id or "", giver.salvaged_part_id or ""


def _best_first(one: Giving) -> tuple[bool, float, int, str, str]:
    giver = one.giver
    return (
        giver.kind is GiverKind.DONOR,
        -1.0 if one.chance is None else -one.chance,
        one.loss.given_up,
        giver.unit_id or "",
        giver.salvaged_part_id or giver.position.id,
    )
