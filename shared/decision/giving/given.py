"""One giving told: chance and its basis, hours, what comes along, what is given up."""

from collections.abc import Sequence
from decimal import Decimal

from shared.assemblies.model import LabourOperation, OperationKind
from shared.condition.model import Unit, Verdict
from shared.decision.building.build import Built
from shared.decision.building.draft import p50_hours
from shared.decision.building.harvest import proof_note
from shared.decision.building.planned import PlannedPosition
from shared.decision.building.shelf_rules import judged
from shared.decision.giving.found import Giver, Giving, Loss, PositionNamed
from shared.decision.giving.losses import loss_of
from shared.decision.giving.remarks import (
    buying_notes,
    hours_notes,
    unbound_notes,
    worth_notes,
)
from shared.decision.planning.case import Source
from shared.salvage.model import DonorGift, ShelvedPart

_ZERO = Decimal(0)


def from_donor(
    built: Built,
    planned: PlannedPosition,
    giver: Giver,
    donor: Unit,
    gift: DonorGift | None,
    sources: Sequence[Source],
) -> Giving:
    """What a donor gives by these sources, one for each piece that is planned singly."""
    facts = built.draft.facts[sources[0].id]
    chance, basis = _proof(built, sources[0])
    along = _comes_along(built, planned)
    taken = (
        [planned.position.id, *(one.id for one in along)]
        if gift is None
        else [gift.position.id, *gift.inner_position_ids]
    )
    used = [*sources, *_set_sources(built, sources[0], along)]
    take = _taking(built, planned, along)
    operations = [one for work in take for one in work]
    terms = donor.donor
    loss = loss_of(built, donor, taken, used)
    return Giving(
        giver=giver,
        pieces=planned.quantity,
        verdict=facts.verdict or Verdict.NOT_INSPECTED,
        chance=chance,
        basis=basis,
        take_p50_hours=p50_hours(operations),
        take_p90_hours=sum((one.p90_hours for one in operations), _ZERO),
        strip_p50_hours=terms.strip_p50_hours if terms else _ZERO,
        strip_p90_hours=terms.strip_p90_hours if terms else _ZERO,
        has_take_hours=all(take),
        loss=loss,
        candidate=facts.candidate,
        comes_along=along,
        cautions=() if gift is None else gift.position.cautions,
        notes=(
            *(note for note in facts.notes if note != _told_of_chance(built, sources[0])),
            *unbound_notes(giver.compared),
            *buying_notes(donor),
            *hours_notes(all(take)),
            *worth_notes(loss),
        ),
    )


def from_shelf(
    built: Built,
    planned: PlannedPosition,
    giver: Giver,
    part: ShelvedPart,
    sources: Sequence[Source],
) -> Giving:
    """What a part on the shelf gives: it is out already, and was looked at."""
    judgement = judged(built.bench, part, planned.position)
    is_good = judgement.verdict is Verdict.CONFORMING
    facts = built.draft.facts[sources[0].id]
    chance = 1.0 if is_good else judgement.probability
    basis = "inspected, conforming" if is_good else "nothing on record tells"
    if not is_good and chance is not None:
        basis = "the readings, which do not settle it"
    return Giving(
        giver=giver,
        pieces=1,
        verdict=judgement.verdict,
        chance=chance,
        basis=basis,
        take_p50_hours=_ZERO,
        take_p90_hours=_ZERO,
        strip_p50_hours=_ZERO,
        strip_p90_hours=_ZERO,
        has_take_hours=True,
        loss=Loss(taken=part.worth),
        candidate=facts.candidate,
        comes_along=_comes_along(built, planned),
        notes=(
            *(facts.notes if len(facts.salvaged_part_ids) == 1 else _own_notes(part, facts.notes)),
            *unbound_notes(giver.compared),
        ),
    )


def _taking(
    built: Built, planned: PlannedPosition, along: Sequence[PositionNamed]
) -> list[tuple[LabourOperation, ...]]:
    """Operations by which it is taken, then those of each that comes along."""
    wanted = {one.id for one in along}
    mates = [one for one in built.bench.planned if one.position.id in wanted]
    return [built.bench.work_at(one, OperationKind.HARVEST) for one in (planned, *mates)]


def _own_notes(part: ShelvedPart, notes: Sequence[str]) -> tuple[str, ...]:
    """Of notes on several parts those that speak of this one."""
    return tuple(note for note in notes if note.startswith(f"{part.label}: "))


def _told_of_chance(built: Built, source: Source) -> str:
    """The note that repeats what stands in members of its own here."""
    return proof_note(built.draft.proof_chances[source.id], built.draft.proof_bases[source.id])


def _proof(built: Built, source: Source) -> tuple[float, str]:
    """Chance that what is taken proves good, and what it stands on.

    In a matched set the least chance among its members holds for each.
    """
    own, basis = built.draft.proof_chances[source.id], built.draft.proof_bases[source.id]
    proofs = (built.draft.proofs.get(charge) for charge in source.charges)
    chance = next((proof.chance for proof in proofs if proof is not None), own)
    if chance < own:
        basis = f"the least likely part of its matched set; by itself: {basis}"
    return chance, basis


def _comes_along(built: Built, planned: PlannedPosition) -> tuple[PositionNamed, ...]:
    """Other members of its matched set: they come from the same unit."""
    matched = built.bench.matched_set_of(planned.position.id)
    if matched is None:
        return ()
    members = sorted(built.bench.members(matched) - {planned.position.id})
    return tuple(PositionNamed(one, built.bench.positions[one].name) for one in members)


def _set_sources(built: Built, source: Source, along: Sequence[PositionNamed]) -> list[Source]:
    """Sources of the members that come along from the same unit."""
    wanted = {one.id for one in along}
    ids = {planned.id for planned in built.bench.planned if planned.position.id in wanted}
    return [
        one
        for one in built.draft.sources.values()
        if one.position_id in ids and one.matched_unit == source.matched_unit
    ]
