"""Parts from donors: what each donor may give, and the chance that it proves good.

What happens when it does not: proofs.py.
Source: planning method of this project; the chance is the shop's beta-binomial experience.
"""

from decimal import Decimal

from shared.assemblies.model import OperationKind, Position, RenewalRule
from shared.assemblies.traits import Traits
from shared.beliefs import prior_belief
from shared.condition.judgement import PositionJudgement
from shared.condition.model import Unit, UnitKind, Verdict
from shared.decision.building import charges
from shared.decision.building.built_with import why_built_otherwise
from shared.decision.building.donors import donor_charge, donor_name, part_worth
from shared.decision.building.draft import (
    Draft,
    Origin,
    SourceFacts,
    Subject,
    p50_hours,
    p90_minutes,
    spans,
)
from shared.decision.building.kinds import why_other_traits
from shared.decision.building.planned import PlannedPosition
from shared.decision.building.position_facts import (
    failure_of,
    fitting_operations,
    hours_range,
    is_allowed,
    note_outlook,
    replacement,
)
from shared.decision.building.risk import failure_lines, prospect
from shared.decision.building.taken import why_gone, why_set_broken
from shared.decision.planning.case import Source
from shared.decision.result import ReasonCode
from shared.decision.settings import SourceKind
from shared.decision.telling.figures import percent_down
from shared.evidence import ReasonRetired
from shared.salvage.model import SalvageExperience
from shared.sourcing.model import WarrantyCover


def add_harvests(draft: Draft) -> None:
    """A source for each position that a donor can give, or why it cannot."""
    for donor in sorted(draft.bench.snapshot.units, key=lambda u: u.id):
        if donor.kind is not UnitKind.DONOR or donor.id == draft.bench.unit.id:
            continue
        if is_giving_elsewhere(draft, donor):
            continue
        why_not = why_donor_barred(draft, donor)
        if why_not is not None:
            draft.bar(donor_subject(donor), None, why_not)
            continue
        for planned in draft.bench.planned:
            _add_harvest(draft, donor, planned)


def donor_subject(donor: Unit) -> Subject:
    """How a person is told of a donor altogether."""
    return Subject(donor_name(donor), Origin(donor.id))


def is_giving_elsewhere(draft: Draft, donor: Unit) -> bool:
    """Whether a donor is of another assembly, and some part of it may take a place here."""
    return donor.assembly_id != draft.bench.snapshot.assembly.id and donor.id in draft.bench.gifts


def why_donor_barred(draft: Draft, donor: Unit) -> str | None:
    """Why a donor may give nothing to this job; None when it may."""
    is_own = donor.assembly_id == draft.bench.snapshot.assembly.id
    if not is_own and donor.id not in draft.bench.gifts:
        return "it is another assembly"
    if donor.donor is None:
        return "it has no donor terms (price or worth, stripping hours)"
    return why_origin_barred(draft, donor)


def why_origin_barred(draft: Draft, donor: Unit) -> str | None:
    """Why the policy takes nothing out of a donor, because of how it ended; None when it may."""
    if donor.reason_retired in draft.bench.settings.policy.barred_donor_reasons:
        return f"the shop's policy takes nothing from donors retired by {donor.reason_retired}"
    return None


def _add_harvest(draft: Draft, donor: Unit, planned: PlannedPosition) -> None:
    bench, position = draft.bench, planned.position
    subject = Subject(f"{planned.name} from {donor_name(donor)}", Origin(donor.id))
    gone = why_gone(bench, donor, position) or why_set_broken(bench, donor, position)
    if gone is not None:
        draft.bar(subject, planned.id, gone, ReasonCode.TAKEN)
        return
    why_not = why_run_part_barred(draft, position, donor.traits)
    why_not = why_not or why_built_otherwise(draft, position, donor.traits)
    if why_not is not None:
        draft.bar(subject, planned.id, why_not)
        return
    if not is_allowed(draft, planned, SourceKind.SALVAGED, subject):
        return
    judgement = bench.judge_whole(position, donor.id)
    chance, basis = proves_good(draft, donor, planned, judgement)
    if judgement.verdict is Verdict.NONCONFORMING:
        details = judgement.nonconforming
        draft.bar(subject, planned.id, f"nonconforming on the donor: {'; '.join(details)}")
        return
    if chance is None:
        draft.bar(subject, planned.id, basis)
        return
    take = bench.work_at(planned, OperationKind.HARVEST)
    fitting = fitting_operations(draft, planned)
    age = hours_range(donor.lower_hours, donor.upper_hours)
    outlook = prospect(bench.snapshot, SourceKind.SALVAGED, bench.part_kind(position), age)
    note_outlook(draft, planned, SourceKind.SALVAGED, outlook)
    failure = failure_of(draft, planned, replacement(draft, planned), WarrantyCover.NOTHING)
    own_set = bench.matched_set_of(position.id)
    lost, shared = part_worth(draft, donor, planned)
    needs = [
        donor_charge(draft, donor),
        *shared,
        *charges.access_charges(draft, position.access_group_id),
        *charges.disposal_charge(draft),
    ]
    if own_set or chance < 1:
        proof = f"proof:{donor.id}:{own_set.id if own_set else planned.id}"
        draft.proof_donor[proof] = donor.id
        needs.append(proof)
    draft.add(
        Source(
            id=f"{planned.id}:salvaged:{donor.id}",
            position_id=planned.id,
            kind=SourceKind.SALVAGED,
            lines=(
                *lost,
                *draft.pricing.labour(f"take from donor: {planned.name}", p50_hours(take)),
                *draft.pricing.labour(f"fit: {planned.name}", p50_hours(fitting)),
                *failure_lines(bench.snapshot, planned.name, outlook.spec, failure),
            ),
            charges=tuple(needs),
            bench_minutes=p90_minutes((*take, *fitting)),
            fits_another_part=True,
            matched_unit=f"unit:{donor.id}" if own_set else None,
            physical_parts=_physical_parts(draft, donor, planned),
        ),
        SourceFacts(
            kind=SourceKind.SALVAGED,
            description=f"from {donor_name(donor)}",
            disposition="renew",
            position_name=planned.name,
            piece=planned.piece,
            donor_unit_id=donor.id,
            verdict=judgement.verdict,
            spec=outlook.spec,
            notes=(proof_note(chance, basis),),
        ),
        spans((*take, *fitting)),
    )
    draft.proof_chances[f"{planned.id}:salvaged:{donor.id}"] = chance
    draft.proof_bases[f"{planned.id}:salvaged:{donor.id}"] = basis


def proof_note(chance: float, basis: str) -> str:
    """How sure it is that a donor's part proves good, and by what."""
    return f"proves good with a chance of {percent_down(Decimal(repr(chance)))}: {basis}"


def why_run_part_barred(
    draft: Draft, position: Position, traits: Traits, *, is_bound_there: bool = False
) -> str | None:
    """Why a part that ran in a unit of these traits does not go here; None when it may.

    ``is_bound_there``: whether it depended on the traits where it sat.
    """
    if position.renewal_rule is RenewalRule.ALWAYS:
        return "renewed always: only a part never run will do"
    if position.renewal_rule is RenewalRule.SELECT_FIT:
        return "chosen by measuring: it stays with the unit it was measured for"
    taken = (position, *draft.bench.inside(position))
    if not is_bound_there and not any(one.is_variant_bound for one in taken):
        return None
    return why_other_traits(draft.bench.unit.traits, traits)


def proves_good(
    draft: Draft, donor: Unit, planned: PlannedPosition, judgement: PositionJudgement
) -> tuple[float | None, str]:
    """Chance that a donor's part, with all its pieces, proves good once it is out; and its basis.

    Measured on the donor and conforming: 1. Otherwise the shop's experience with donors retired
    for the same reason and parts of the same kind, the nearest heading first; none: unknown. A
    reading on the donor that does not settle it counts where it promises less than experience.
    Pieces are taken to be good independently of one another, which is the safe side.
    """
    part_kind = draft.bench.part_kind(planned.position)
    return chance_good(draft, donor, part_kind, planned.quantity, judgement)


def chance_good(
    draft: Draft,
    donor: Unit,
    part_kind: str | None,
    pieces: int,
    judgement: PositionJudgement,
) -> tuple[float | None, str]:
    """As ``proves_good``, of so many pieces of a part of this kind."""
    if judgement.verdict is Verdict.CONFORMING:
        return 1.0, "measured on the donor, conforming"
    record = _salvage_record(draft, donor.reason_retired, part_kind)
    if record is None:
        return None, "no experience on record of how often such a part proves good"
    belief = prior_belief(float(record.prior_mean), float(record.prior_weight))
    experience = belief.after(record.good, record.trials).mean ** pieces
    read = judgement.probability
    if read is not None and read < experience:
        return read, "the reading on the donor, worse than experience"
    basis = record.basis or "shop's own experience"
    return experience, basis if pieces == 1 else f"all {pieces}: {basis}"


def _salvage_record(
    draft: Draft, reason_retired: ReasonRetired | None, part_kind: str | None
) -> SalvageExperience | None:
    """The nearest heading: this reason before any, and within it this kind of part before any."""
    for reason in dict.fromkeys((reason_retired, None)):
        for kind in dict.fromkeys((part_kind, None)):
            for record in draft.bench.settings.salvage_experience:
                if (record.reason_retired, record.part_kind) == (reason, kind):
                    return record
    return None


def _physical_parts(draft: Draft, donor: Unit, planned: PlannedPosition) -> tuple[str, ...]:
    """The donor's parts that a harvest uses up: the position's own, or all those inside it."""
    piece = f"#{planned.piece}" if planned.piece else ""
    return tuple(
        sorted(
            f"{donor.id}:{position.id}{piece}"
            for position in (planned.position, *draft.bench.inside(planned.position))
            if not draft.bench.children.get(position.id)
        )
    )
