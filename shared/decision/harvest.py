"""Parts from donors, and services that may be refused: sources that have yet to prove good.

Such a source carries the chance q that it proves good. When it does not, the cheapest source that
needs no donor takes its place, ordered on the day on which the part is judged: its cost counts
with 1 - q, and its delivery with 1 - q in the chance to be ready. One q per matched set.
Source: planning method of this project; the chance q is the shop's beta-binomial experience.
"""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from shared.assemblies.model import OperationKind, Position, RenewalRule
from shared.condition.judgement import PositionJudgement
from shared.condition.model import Unit, UnitKind, Verdict
from shared.decision import charges
from shared.decision.case import CHANCE_ONE, AmountLine, Charge, CostClass, LeadTable, Source
from shared.decision.draft import Draft, SourceFacts, p50_hours, p90_minutes
from shared.decision.planned import PlannedPosition
from shared.decision.position_facts import (
    failure_of,
    fitting_operations,
    hours_range,
    is_allowed,
    note_outlook,
    replacement,
)
from shared.decision.risk import failure_lines, prospect
from shared.decision.settings import Permission, SourceKind
from shared.decision.taken import why_gone, why_set_broken
from shared.evidence import ReasonRetired
from shared.life.experience import prior_belief
from shared.money import times
from shared.salvage.model import SalvageExperience
from shared.sourcing.model import Offer, WarrantyCover

_NO_FALLBACK = frozenset(
    {SourceKind.KEEP, SourceKind.SALVAGED, SourceKind.REWORK, SourceKind.PART_BY_PART}
)


def add_harvests(draft: Draft) -> None:
    """A source for each position that a donor can give, or why it cannot."""
    for donor in sorted(draft.bench.snapshot.units, key=lambda u: u.id):
        if donor.kind is not UnitKind.DONOR or donor.id == draft.bench.unit.id:
            continue
        name = f"donor {donor.serial_number or donor.id}"
        why_not = why_donor_barred(draft, donor)
        if why_not is not None:
            draft.bar(name, None, why_not)
            continue
        for planned in draft.bench.planned:
            _add_harvest(draft, donor, planned)


def why_donor_barred(draft: Draft, donor: Unit) -> str | None:
    """Why a donor may give nothing to this job; None when it may."""
    bench = draft.bench
    if donor.assembly_id != bench.snapshot.assembly.id:
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
    subject = f"{planned.name} from donor {donor.serial_number or donor.id}"
    why_not = _why_not_taken(draft, donor, position)
    if why_not is not None:
        draft.bar(subject, planned.id, why_not)
        return
    if not is_allowed(draft, planned, SourceKind.SALVAGED, subject):
        return
    judgement = bench.judge_whole(position, donor.id)
    chance, basis = proves_good(draft, donor, position, judgement)
    if judgement.verdict is Verdict.NONCONFORMING:
        details = [f.detail for f in judgement.findings if f.verdict is Verdict.NONCONFORMING]
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
    needs = [
        charges.donor_charge(draft, donor),
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
            description=f"from donor {donor.serial_number or donor.id}",
            disposition="renew",
            position_name=planned.name,
            piece=planned.piece,
            donor_unit_id=donor.id,
            verdict=judgement.verdict,
            spec=outlook.spec,
            notes=(f"proves good with a chance of {chance:.0%}: {basis}",),
        ),
    )
    draft.proof_chances[f"{planned.id}:salvaged:{donor.id}"] = chance


def _why_not_taken(draft: Draft, donor: Unit, position: Position) -> str | None:
    bench = draft.bench
    gone = why_gone(bench, donor, position) or why_set_broken(bench, donor, position)
    return gone or why_run_part_barred(draft, position, donor.variant)


def why_run_part_barred(draft: Draft, position: Position, variant: str | None) -> str | None:
    """Why a part that ran in a donor (of this variant) does not go here; None when it may."""
    if position.renewal_rule is RenewalRule.ALWAYS:
        return "renewed always: only a part never run will do"
    if position.renewal_rule is RenewalRule.SELECT_FIT:
        return "chosen by measuring: it stays with the unit it was measured for"
    taken = (position, *draft.bench.inside(position))
    if any(one.is_variant_bound for one in taken):
        own, other = draft.bench.unit.variant, variant
        if own is None or other is None:
            return "depends on the variant (ratio, hand), and that of one unit is not on record"
        if own != other:
            return f"depends on the variant: the donor is '{other}', the unit is '{own}'"
    return None


def proves_good(
    draft: Draft, donor: Unit, position: Position, judgement: PositionJudgement
) -> tuple[float | None, str]:
    """Chance that a donor's part proves good once it is out, and where that comes from.

    Measured on the donor and conforming: 1. Otherwise the shop's experience with donors retired
    for the same reason and parts of the same kind, the nearest heading first; none: unknown. A
    reading on the donor that does not settle it counts where it promises less than experience.
    """
    if judgement.verdict is Verdict.CONFORMING:
        return 1.0, "measured on the donor, conforming"
    record = _salvage_record(draft, donor.reason_retired, draft.bench.part_kind(position))
    if record is None:
        return None, "no experience on record of how often such a part proves good"
    belief = prior_belief(float(record.prior_mean), float(record.prior_weight))
    experience = belief.after(record.good, record.trials).mean
    read = judgement.probability
    if read is not None and read < experience:
        return read, "the reading on the donor, worse than experience"
    return experience, record.basis or "shop's own experience"


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


def add_proofs(draft: Draft) -> None:
    """Settle every source that has yet to prove good against its fallback.

    Called once all other sources are known. Without a fallback the source is barred, unless the
    shop's policy allows it; then the job may simply not be ready, with 1 - q.
    """
    by_proof: dict[str, list[str]] = {}
    for source in draft.sources.values():
        for charge in source.charges:
            if charge in draft.proof_donor:
                by_proof.setdefault(charge, []).append(source.id)
    for key, source_ids in sorted(by_proof.items()):
        chance = min(draft.proof_chances[source_id] for source_id in source_ids)
        if chance == 1:
            _drop_charge(draft, key, source_ids)
            continue
        judged = _donor_judged_day(draft, draft.bench.units[draft.proof_donor[key]], source_ids)
        _add_proof(draft, key, sorted(source_ids), chance, judged)
    for source_id, offer_id in draft.rejects:
        if source_id not in draft.sources:
            continue  # left out meanwhile: its matched set is incomplete
        offer = next(o for o in draft.bench.snapshot.offers if o.id == offer_id)
        key = f"proof:{offer_id}:{source_id}"
        draft.sources[source_id] = replace(
            draft.sources[source_id], charges=(*draft.sources[source_id].charges, key)
        )
        judged = _arrival_p90(draft, draft.charges[f"delivery:{offer_id}"])
        chance = 1 - float(offer.reject_probability)
        _add_proof(draft, key, [source_id], chance, judged)


def _drop_charge(draft: Draft, key: str, source_ids: Sequence[str]) -> None:
    for source_id in source_ids:
        source = draft.sources[source_id]
        kept = tuple(charge for charge in source.charges if charge != key)
        draft.sources[source_id] = replace(source, charges=kept)


def _donor_judged_day(draft: Draft, donor: Unit, source_ids: Sequence[str]) -> int:
    charge = draft.charges[f"donor:{donor.id}"]
    work = charge.bench_minutes + sum(draft.sources[s].bench_minutes for s in source_ids)
    return _arrival_p90(draft, charge) + max(1, charges.bench_days(draft, work))


def _arrival_p90(draft: Draft, charge: Charge) -> int:
    table = draft.lead_tables.get(charge.lead_table_id or "")
    if table is None:
        return 0
    wanted = CHANCE_ONE * 9 // 10
    days = (day for day, chance in enumerate(table.chance_by_day) if chance >= wanted)
    return next(days, len(table.chance_by_day))


def _add_proof(
    draft: Draft, key: str, source_ids: list[str], chance: float, judged_day: int
) -> None:
    positions = [draft.sources[source_id].position_id for source_id in source_ids]
    fallback = cheapest_fallback(draft, positions)
    policy = draft.bench.settings.policy
    names = ", ".join(draft.facts[source_id].position_name for source_id in source_ids)
    if fallback is None and policy.harvest_without_fallback is Permission.BARRED:
        for source_id in source_ids:
            facts = draft.facts.pop(source_id)
            position_id = draft.sources.pop(source_id).position_id
            draft.bar(
                f"{facts.position_name} {facts.description}",
                position_id,
                "it may prove bad, and nothing else on offer could take its place",
            )
        return
    failing = Decimal(repr(1 - chance))
    lines: tuple[AmountLine, ...] = ()
    table = tuple([round(chance * CHANCE_ONE)] * (draft.last_day + 1))
    if fallback is not None:
        what, price, cost, offers = fallback
        label = f"if {names} proves bad ({failing:.0%}): {what}"
        lines = (
            AmountLine(
                CostClass.FALLBACK,
                label,
                times(cost, failing),
                times(price, failing),
                is_billed=False,
            ),
        )
        table = _proof_table(draft, chance, judged_day, offers)
    draft.lead_tables[key] = LeadTable(key, table)
    draft.charges[key] = Charge(key, "proof", f"{names} proves good", lines, lead_table_id=key)


def _proof_table(
    draft: Draft, chance: float, judged_day: int, offers: Sequence[Offer]
) -> tuple[int, ...]:
    """q + (1 - q) x chance that the fallback, ordered on the day of judgement, is here."""
    here = [1.0] * (draft.last_day + 1)
    for offer in offers:
        arrival = charges.lead_table(
            draft, offer.p50_days, offer.p90_days, judged_day
        ).chance_by_day
        here = [a * b / CHANCE_ONE for a, b in zip(here, arrival, strict=True)]
    return tuple(int((chance + (1 - chance) * p) * CHANCE_ONE) for p in here)


def cheapest_fallback(
    draft: Draft, position_ids: Sequence[str]
) -> tuple[str, int, int, tuple[Offer, ...]] | None:
    """The cheapest way to fill these positions without donor, rework or keeping what is in there.

    Returns its description, price and cost in full (freight, kit included), and its offers; None
    when some position has none. In a matched set all positions come from one set offer.
    """
    choices: list[tuple[int, int, str, tuple[Source, ...]]] = []
    per_position = [
        [
            source
            for source in sorted(draft.sources.values(), key=lambda s: s.id)
            if source.position_id == position_id and source.kind not in _NO_FALLBACK
        ]
        for position_id in position_ids
    ]
    if not all(per_position):
        return None
    if len(per_position) == 1:
        candidates: list[tuple[Source, ...]] = [(source,) for source in per_position[0]]
    else:
        units = {source.matched_unit for source in per_position[0]}
        candidates = [
            tuple(next(s for s in sources if s.matched_unit == unit) for sources in per_position)
            for unit in sorted(u for u in units if u is not None)
            if all(any(s.matched_unit == unit for s in sources) for sources in per_position)
        ]
    for sources in candidates:
        price, cost = _full_amounts(draft, sources)
        choices.append((price, cost, sources[0].id, sources))
    if not choices:
        return None
    price, cost, _, chosen = min(choices, key=lambda c: c[:3])
    facts = draft.facts[chosen[0].id]
    offer_ids = {draft.facts[source.id].offer_id for source in chosen}
    offers = tuple(o for o in draft.bench.snapshot.offers if o.id in offer_ids)
    return f"{facts.description} from {facts.supplier_name}", price, cost, offers


def _full_amounts(draft: Draft, sources: Sequence[Source]) -> tuple[int, int]:
    """Price and cost of sources with what they order, openings left out (they are paid anyway)."""
    needed: set[str] = set()
    waiting = [charge for source in sources for charge in source.charges]
    while waiting:
        key = waiting.pop()
        if key not in needed:
            needed.add(key)
            waiting.extend(draft.charges[key].requires)
    lines = [line for source in sources for line in source.lines]
    for key in needed:
        if draft.charges[key].kind not in ("opening", "disposal"):
            lines += draft.charges[key].lines
    return sum(line.price for line in lines), sum(line.cost for line in lines)
