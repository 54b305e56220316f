"""Parts out of donors of other assemblies, where the part that sits there may take a place here.

Only a part that the planner would buy for the place, one for one. It is judged by what was found at
the donor's own position; what is inspected here and not there does not count as done. A member of a
matched set, and what is chosen by measuring or renewed always, comes from no other assembly.
Source: planning method of this project.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from shared.assemblies.model import OperationKind, RenewalRule
from shared.condition.judgement import PositionJudgement
from shared.condition.model import Unit, UnitKind, Verdict
from shared.decision.building import charges
from shared.decision.building.donors import donor_charge, donor_name, gift_worth
from shared.decision.building.draft import (
    Along,
    Draft,
    Origin,
    SourceFacts,
    Subject,
    minutes,
    p50_hours,
    p90_minutes,
    spans,
)
from shared.decision.building.goods import (
    choices_along,
    companion_lines,
    goods_along,
    note_rejects,
    notes_along,
    residual_along,
    with_along,
)
from shared.decision.building.harvest import (
    chance_good,
    donor_subject,
    is_giving_elsewhere,
    proof_note,
    why_donor_barred,
    why_run_part_barred,
)
from shared.decision.building.path_notes import path_notes
from shared.decision.building.planned import PlannedPosition
from shared.decision.building.position_facts import (
    candidates_for,
    failure_of,
    fitting_operations,
    hours_range,
    is_allowed,
    is_in_set,
    note_outlook,
    replacement,
    usable_candidate,
)
from shared.decision.building.risk import failure_lines
from shared.decision.building.stand_ins import (
    adaptation,
    is_stand_in,
    kinds_taken,
    why_not_one_for_one,
    worst_outlook,
)
from shared.decision.building.taken import why_gift_gone
from shared.decision.planning.case import Capacity, Source
from shared.decision.result import ReasonCode
from shared.decision.settings import SourceKind
from shared.interchange.candidates import Candidate
from shared.life.weibull import LifeSpec
from shared.salvage.model import DonorGift
from shared.sourcing.model import WarrantyCover


@dataclass(frozen=True, slots=True)
class _Giving:
    """A position of a donor of another assembly, the place that it is to fill, and how sure."""

    gift: DonorGift
    donor: Unit
    planned: PlannedPosition
    candidate: Candidate
    judgement: PositionJudgement
    chance: float
    basis: str


def add_gifts(draft: Draft) -> None:
    """A source for each position that a donor of another assembly can fill, or why it cannot."""
    bench = draft.bench
    for unit_id, gifts in sorted(bench.gifts.items()):
        donor = bench.units[unit_id]
        if donor.kind is not UnitKind.DONOR or not is_giving_elsewhere(draft, donor):
            continue
        why_not = why_donor_barred(draft, donor)
        if why_not is not None:
            draft.bar(donor_subject(donor), None, why_not)
            continue
        for gift in gifts:
            for planned in bench.planned:
                if planned.position.id == gift.to_position_id:
                    _add_gift(draft, donor, gift, planned)


def gift_subject(donor: Unit, gift: DonorGift, planned: PlannedPosition) -> Subject:
    """How a person is told of a gift."""
    told = f"{planned.name} from {donor_name(donor)}, its {gift.position.name}"
    return Subject(told, Origin(donor.id, gift.position.id))


def _add_gift(draft: Draft, donor: Unit, gift: DonorGift, planned: PlannedPosition) -> None:
    subject = gift_subject(donor, gift, planned)
    gone = why_gift_gone(draft.bench, donor, gift)
    if gone is not None:
        draft.bar(subject, planned.id, gone, ReasonCode.TAKEN)
        return
    candidate = usable_candidate(draft, planned.position, gift.position.part_id)
    why_not = _why_not_given(draft, donor, gift, planned, candidate)
    if candidate is None or why_not is not None:
        draft.bar(subject, planned.id, why_not or "it is no part that is planned with here")
        return
    kinds = kinds_taken((candidate,))
    if not all(is_allowed(draft, planned, kind, subject) for kind in kinds):
        return
    judgement = draft.bench.judge_gift(gift, planned.position)
    if judgement.verdict is Verdict.NONCONFORMING:
        bad = judgement.nonconforming
        draft.bar(subject, planned.id, f"nonconforming on the donor: {'; '.join(bad)}")
        return
    chance, basis = chance_good(draft, donor, candidate.part.kind, planned.quantity, judgement)
    if chance is None:
        draft.bar(subject, planned.id, basis)
        return
    giving = _Giving(gift, donor, planned, candidate, judgement, chance, basis)
    needed = companion_lines(candidate.companions, planned.quantity)
    for along in choices_along(draft, planned, needed, subject):
        _add_source(draft, giving, along)


def _why_parted(draft: Draft, gift: DonorGift, planned: PlannedPosition) -> str | None:
    if is_in_set(draft, planned):
        return f"{planned.name} belongs to a matched set: no member comes from another assembly"
    if gift.is_of_matched_set:
        return "it belongs to a matched set where it sits: it is not parted from its mates"
    return None


def _why_not_given(
    draft: Draft,
    donor: Unit,
    gift: DonorGift,
    planned: PlannedPosition,
    candidate: Candidate | None,
) -> str | None:
    """Why a gift does not fill a place; None when nothing but its condition can speak against."""
    there = gift.position
    parted = _why_parted(draft, gift, planned)
    if parted is not None:
        return parted
    if candidate is None:
        return _why_no_candidate(draft, planned, there.part_id)
    if candidate.ratio != 1:
        return f"{why_not_one_for_one(candidate)}: out of a donor only one goes for one"
    if there.renewal_rule is not RenewalRule.ON_CONDITION:
        return {
            RenewalRule.ALWAYS: "renewed always where it sits: one that has run is not reused",
            RenewalRule.SELECT_FIT: "chosen by measuring: it stays with the unit it was measured "
            "for",
        }[there.renewal_rule]
    if there.quantity < planned.quantity:
        return f"it holds {there.quantity} of them, {planned.quantity} are needed"
    return why_run_part_barred(
        draft, planned.position, donor.traits, is_bound_there=there.is_variant_bound
    )


def _why_no_candidate(draft: Draft, planned: PlannedPosition, part_id: str | None) -> str:
    if part_id is None:
        return "which part sits there is not on record"
    _, refused = candidates_for(draft, planned)
    reasons = [one.reason for one in refused if one.part_id == part_id]
    told = "; ".join(reasons) or "nothing on record says that it fits here"
    return f"{draft.bench.number_of(part_id)} is not planned with here: {told}"


def _add_source(draft: Draft, giving: _Giving, along: Sequence[Along]) -> None:
    bench, planned, donor = draft.bench, giving.planned, giving.donor
    position, candidate = planned.position, giving.candidate
    take = bench.work_at(planned, OperationKind.HARVEST)
    fitting = fitting_operations(draft, planned)
    adapting, adapting_work = adaptation(draft, candidate, planned.quantity, planned.name)
    goods, along = goods_along(draft, planned, along)
    age = hours_range(donor.lower_hours, donor.upper_hours)
    outlook = worst_outlook(draft, kinds_taken((candidate,)), candidate.part.kind, age)
    note_outlook(draft, planned, SourceKind.SALVAGED, outlook)
    failure = failure_of(draft, planned, replacement(draft, planned), WarrantyCover.NOTHING)
    draft.assume(
        f"Hours to take '{planned.name}' out of {donor_name(donor)}, which is another assembly, "
        "are those of this assembly."
    )
    source_id = with_along(f"{planned.id}:salvaged:{donor.id}:{giving.gift.position.id}", along)
    draft.add(
        Source(
            id=source_id,
            position_id=planned.id,
            kind=SourceKind.SALVAGED,
            lines=(
                *goods.lines,
                *adapting,
                *draft.pricing.labour(f"take from donor: {planned.name}", p50_hours(take)),
                *draft.pricing.labour(f"fit: {planned.name}", p50_hours(fitting)),
                *residual_along(along),
                *failure_lines(bench.snapshot, planned.name, outlook.spec, failure),
            ),
            charges=(
                donor_charge(draft, donor),
                *gift_worth(draft, donor, giving.gift, candidate.part.kind),
                *goods.deliveries,
                *charges.access_charges(draft, position.access_group_id),
                *charges.disposal_charge(draft),
                *_proof(draft, giving, source_id),
            ),
            bench_minutes=p90_minutes((*take, *fitting))
            + sum(minutes(p90) for _, p90 in adapting_work),
            fits_another_part=True,
            purchases=goods.purchases,
            goods_values=goods.order_values,
        ),
        _facts(draft, giving, along, outlook.spec),
        (*spans((*take, *fitting)), *adapting_work),
    )
    draft.proof_chances[source_id] = giving.chance
    draft.proof_bases[source_id] = giving.basis
    _use_up(draft, giving, source_id)
    note_rejects(draft, source_id, along)


def _facts(
    draft: Draft, giving: _Giving, along: tuple[Along, ...], spec: LifeSpec | None
) -> SourceFacts:
    planned, donor, candidate = giving.planned, giving.donor, giving.candidate
    part = candidate.part
    return SourceFacts(
        kind=SourceKind.SALVAGED,
        description=f"{part.maker} {part.number} from {donor_name(donor)}, another assembly, its "
        f"{giving.gift.position.name}",
        disposition="renew",
        position_name=planned.name,
        piece=planned.piece,
        donor_unit_id=donor.id,
        verdict=giving.judgement.verdict,
        spec=spec,
        notes=(
            proof_note(giving.chance, giving.basis),
            *path_notes(draft.bench, candidate, planned.position.name),
            *notes_along(draft, planned, along),
        ),
        is_stand_in=is_stand_in(candidate),
        candidate=candidate,
        along=along,
        donor_position_id=giving.gift.position.id,
    )


def _proof(draft: Draft, giving: _Giving, source_id: str) -> tuple[str, ...]:
    """The charge under which it has yet to prove good, where it has."""
    if giving.chance >= 1:
        return ()
    key = f"proof:{giving.donor.id}:{source_id}"
    draft.proof_donor[key] = giving.donor.id
    return (key,)


def _use_up(draft: Draft, giving: _Giving, source_id: str) -> None:
    """Count what a source takes out of the donor: each piece once, with what is inside it."""
    gift, donor_id = giving.gift, giving.donor.id
    held = {one.position.id: one.position.quantity for one in draft.bench.gifts[donor_id]}
    uses = {gift.position.id: giving.planned.quantity}
    if gift.inner_position_ids:
        uses = {gift.position.id: held[gift.position.id]}
    uses |= {inner: held.get(inner, 1) for inner in gift.inner_position_ids}
    for position_id, count in sorted(uses.items()):
        key = f"donor:{donor_id}:{position_id}"
        known = draft.capacities.get(key) or Capacity(key, held.get(position_id, 1), ())
        draft.capacities[key] = replace(known, uses=(*known.uses, (source_id, count)))
