"""The ways to fill one position: keep, rework, buy, kit. Harvests from donors are in harvest.py."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from shared.assemblies.model import LabourOperation, OperationKind, RenewalRule, SetKind
from shared.condition.model import Verdict
from shared.decision import charges
from shared.decision.case import AmountLine, Capacity, CostClass, Source
from shared.decision.draft import Draft, SourceFacts, minutes, p50_hours, p90_minutes
from shared.decision.planned import PlannedPosition
from shared.decision.result import ReasonCode
from shared.decision.risk import Failure, Prospect, failure_lines, prospect
from shared.decision.settings import Permission, SourceKind
from shared.interchange.candidates import Candidate, Path, RefusedClaim, candidates
from shared.life.model import ExperienceKind
from shared.money import times
from shared.sourcing.model import CoreTerms, GoodsCondition, Offer, OfferKind, WarrantyCover

OWN_UNIT = "unit:own"
_BY_CONDITION = {
    GoodsCondition.OLD_STOCK: SourceKind.OLD_STOCK,
    GoodsCondition.USED: SourceKind.USED,
    GoodsCondition.REBUILT: SourceKind.EXCHANGE,
}
_BY_PATH = {
    Path.ITSELF: SourceKind.NEW,
    Path.GENERIC: SourceKind.GENERIC,
    Path.INTERCHANGE: SourceKind.INTERCHANGE,
}
_UNUSED = frozenset({GoodsCondition.NEW, GoodsCondition.OLD_STOCK})


def add_position_sources(draft: Draft, planned: PlannedPosition) -> None:
    """All sources of a position that need no donor, or why there are none of a kind."""
    add_keep(draft, planned)
    add_reworks(draft, planned)
    found, refused = candidates_for(draft, planned)
    for one in refused:
        stand_in = draft.bench.parts[one.claim.stand_in_part_id]
        draft.bar(
            f"{stand_in.maker} {stand_in.number} in place of {planned.name}",
            planned.id,
            f"claim not used: {one.reason}",
        )
    for candidate in found:
        for offer in valid_offers(draft, part_id=candidate.part.id):
            add_goods(draft, planned, candidate, offer)
    add_kits(draft, planned, found)


def candidates_for(
    draft: Draft, planned: PlannedPosition
) -> tuple[tuple[Candidate, ...], tuple[RefusedClaim, ...]]:
    """Candidate parts of a position for this unit, and refused claims."""
    snapshot = draft.bench.snapshot
    return candidates(
        planned.position,
        draft.bench.unit.serial_number,
        snapshot.parts,
        snapshot.claims,
        snapshot.settings.policy.accepted_evidence,
    )


def valid_offers(
    draft: Draft,
    part_id: str | None = None,
    position_id: str | None = None,
    assembly_id: str | None = None,
) -> Iterable[Offer]:
    """Offers for exactly this target that are valid on the day of the decision, by id."""
    today = draft.bench.today
    for offer in sorted(draft.bench.snapshot.offers, key=lambda o: o.id):
        if (offer.part_id, offer.position_id, offer.assembly_id) != (
            part_id,
            position_id,
            assembly_id,
        ):
            continue
        if _is_valid(offer, today):
            yield offer
        else:
            draft.bar(
                f"{offer.description} from {charges.draft_supplier(draft, offer).name}",
                position_id,
                f"the offer is not valid on {today} (from {offer.valid_from or 'any day'} "
                f"until {offer.valid_until or 'further notice'})",
            )


def _is_valid(offer: Offer, today: date) -> bool:
    return (offer.valid_from is None or offer.valid_from <= today) and (
        offer.valid_until is None or today <= offer.valid_until
    )


def is_allowed(draft: Draft, planned: PlannedPosition, kind: SourceKind, subject: str) -> bool:
    """Whether the shop's policy lets a safety-critical position take this kind of source."""
    allowed = draft.bench.settings.policy.safety_critical_sources
    if planned.position.is_safety_critical and kind not in allowed:
        draft.bar(
            subject,
            planned.id,
            f"{planned.name} is safety-critical; the shop's policy allows there only: "
            + ", ".join(allowed),
        )
        return False
    return True


def is_in_set(draft: Draft, planned: PlannedPosition) -> bool:
    """Whether the position belongs to a matched set."""
    return draft.bench.matched_set_of(planned.position.id) is not None


# --- keep -----------------------------------------------------------------------------------


def add_keep(draft: Draft, planned: PlannedPosition) -> None:
    """Put back what was in there, where its verdict, the ruling and the policy allow it."""
    bench, position = draft.bench, planned.position
    if bench.is_resolved(position):
        return
    judgement = bench.judgements[planned.id]
    subject = f"keep {planned.name}"
    why_not = why_not_kept(draft, planned)
    if why_not is not None:
        draft.bar(subject, planned.id, why_not)
        return
    is_reached = position.access_group_id is None or position.access_group_id in bench.open_groups
    refit = bench.operations(OperationKind.REFIT, position.id) if is_reached else ()
    age = unit_age(draft)
    outlook = prospect(
        bench.snapshot,
        SourceKind.KEEP,
        bench.part_kind(position),
        age,
        judgement.verdict,
        judgement.probability,
    )
    note_outlook(draft, planned, SourceKind.KEEP, outlook)
    failure = failure_of(draft, planned, replacement_cost(draft, planned), WarrantyCover.NOTHING)
    notes = _doubts(judgement.verdict)
    draft.add(
        Source(
            id=f"{planned.id}:keep",
            position_id=planned.id,
            kind=SourceKind.KEEP,
            lines=(
                *draft.pricing.labour(f"clean and refit: {planned.name}", p50_hours(refit)),
                *failure_lines(bench.snapshot, planned.name, outlook.spec, failure),
            ),
            bench_minutes=p90_minutes(refit),
            is_keep=True,
            refit_only=judgement.verdict is Verdict.NONCONFORMING,
            matched_unit=OWN_UNIT if is_in_set(draft, planned) else None,
        ),
        SourceFacts(
            kind=SourceKind.KEEP,
            description="put back as found",
            disposition="keep",
            position_name=planned.name,
            piece=planned.piece,
            verdict=judgement.verdict,
            spec=outlook.spec,
            notes=notes,
        ),
    )


def why_not_kept(draft: Draft, planned: PlannedPosition) -> str | None:
    """Why a position's own part may not be kept; None when it may."""
    bench, position = draft.bench, planned.position
    policy = bench.settings.policy
    verdict = bench.verdict(planned)
    if bench.is_due(position):
        return (
            "renewed always: its access group is open"
            if position.access_group_id
            else ("renewed always")
        )
    if verdict is Verdict.CONFORMING:
        return None
    if position.is_safety_critical:
        return f"safety-critical and {verdict}: it is kept only when it conforms"
    if verdict is Verdict.NONCONFORMING:
        return _why_nonconforming_not_kept(draft, planned)
    permission = (
        policy.keep_indeterminate if verdict is Verdict.INDETERMINATE else policy.keep_not_inspected
    )
    if permission is Permission.BARRED:
        return f"{verdict}: the shop's policy bars keeping it"
    return None


def _why_nonconforming_not_kept(draft: Draft, planned: PlannedPosition) -> str | None:
    judgement = draft.bench.judgements[planned.id]
    detail = "; ".join(f.detail for f in judgement.findings if f.verdict is Verdict.NONCONFORMING)
    if draft.bench.settings.policy.refit_nonconforming is Permission.BARRED:
        return f"nonconforming: {detail}"
    outlook = prospect(
        draft.bench.snapshot,
        SourceKind.KEEP,
        draft.bench.part_kind(planned.position),
        None,
        Verdict.NONCONFORMING,
    )
    if outlook.spec is None:
        return (
            f"nonconforming: {detail}. The policy allows it at its risk, but there is no "
            f"experience '{ExperienceKind.KEEP_NONCONFORMING}' on record to price that risk"
        )
    return None


def _doubts(verdict: Verdict) -> tuple[str, ...]:
    if verdict is Verdict.NOT_INSPECTED:
        return ("not inspected: its condition is not known",)
    if verdict is Verdict.INDETERMINATE:
        return ("indeterminate: the readings do not settle it",)
    if verdict is Verdict.NONCONFORMING:
        return ("NONCONFORMING, refitted at its risk by the shop's policy",)
    return ()


def unit_age(draft: Draft) -> tuple[Decimal, Decimal] | None:
    """Range of hours that the customer's unit has run."""
    return hours_range(draft.bench.unit.lower_hours, draft.bench.unit.upper_hours)


def hours_range(lower: Decimal | None, upper: Decimal | None) -> tuple[Decimal, Decimal] | None:
    """A range of hours from what is known of its ends."""
    if lower is None and upper is None:
        return None
    low = lower if lower is not None else upper
    high = upper if upper is not None else lower
    if low is None or high is None:
        return None
    return (low, high)


# --- rework ---------------------------------------------------------------------------------


def add_reworks(draft: Draft, planned: PlannedPosition) -> None:
    """Services on the customer's own part (a sleeve, plating): back to its limits when new."""
    bench, position = draft.bench, planned.position
    if bench.is_resolved(position):
        return
    for offer in valid_offers(draft, position_id=position.id):
        supplier = charges.draft_supplier(draft, offer)
        subject = f"{offer.description} by {supplier.name}"
        cracked = [
            f.detail
            for f in bench.judgements[planned.id].findings
            if f.verdict is Verdict.NONCONFORMING and is_crack(draft, f.characteristic_id)
        ]
        if cracked:
            draft.bar(subject, planned.id, f"a cracked part is not reworked: {cracked[0]}")
            continue
        if position.renewal_rule is RenewalRule.ALWAYS:
            draft.bar(subject, planned.id, "renewed always: a reworked part is not unused")
            continue
        if not is_allowed(draft, planned, SourceKind.REWORK, subject):
            continue
        _add_rework(draft, planned, offer)


def is_crack(draft: Draft, characteristic_id: str) -> bool:
    """Whether a characteristic is looked at for cracks."""
    return any(
        c.id == characteristic_id and c.is_crack for c in draft.bench.snapshot.characteristics
    )


def _add_rework(draft: Draft, planned: PlannedPosition, offer: Offer) -> None:
    bench, position = draft.bench, planned.position
    supplier = charges.draft_supplier(draft, offer)
    cost = offer.price.minor * planned.quantity
    away_from = charges.opening_days(draft, position.access_group_id)
    delivery = charges.delivery_charge(draft, offer, away_from)
    outlook = prospect(bench.snapshot, SourceKind.REWORK, bench.part_kind(position), None)
    note_outlook(draft, planned, SourceKind.REWORK, outlook)
    fitting = fitting_operations(draft, planned)
    draft.add(
        Source(
            id=f"{planned.id}:rework:{offer.id}",
            position_id=planned.id,
            kind=SourceKind.REWORK,
            lines=(
                draft.pricing.service(f"{planned.name}: {offer.description}", cost),
                *draft.pricing.labour(f"fit: {planned.name}", p50_hours(fitting)),
                *failure_lines(
                    bench.snapshot,
                    planned.name,
                    outlook.spec,
                    failure_of(draft, planned, cost, offer.warranty_cover),
                ),
            ),
            charges=(
                delivery,
                *charges.access_charges(draft, position.access_group_id),
            ),
            bench_minutes=p90_minutes(fitting),
            matched_unit=OWN_UNIT if is_in_set(draft, planned) else None,
        ),
        SourceFacts(
            kind=SourceKind.REWORK,
            description=offer.description,
            disposition="rework",
            position_name=planned.name,
            piece=planned.piece,
            supplier_name=supplier.name,
            offer_id=offer.id,
            verdict=bench.verdict(planned),
            spec=outlook.spec,
        ),
    )
    if offer.reject_probability > 0:
        draft.rejects.append((f"{planned.id}:rework:{offer.id}", offer.id))


# --- goods ----------------------------------------------------------------------------------


def source_kind(candidate: Candidate, offer: Offer) -> SourceKind:
    """What kind of source an offer for a candidate part is: its condition first, then its path."""
    condition = offer.condition or GoodsCondition.NEW
    return _BY_CONDITION.get(condition, _BY_PATH[candidate.path])


def add_goods(draft: Draft, planned: PlannedPosition, candidate: Candidate, offer: Offer) -> None:
    """One offer for one candidate part, as a source of a position."""
    supplier = charges.draft_supplier(draft, offer)
    kind = source_kind(candidate, offer)
    subject = f"{offer.description} from {supplier.name}"
    if is_in_set(draft, planned):
        draft.bar(
            subject,
            planned.id,
            f"{planned.name} belongs to a matched set; a single part does not complete it",
            ReasonCode.SET_INCOMPLETE,
        )
        return
    if not _may_be_bought(draft, planned, kind, offer, subject):
        return
    piece_cost = offer.price.minor
    goods = draft.pricing.part(
        f"{planned.quantity} x {candidate.part.maker} {candidate.part.number} ({planned.name})",
        piece_cost,
        planned.quantity,
        candidate.part.kind,
    )
    core_lines, credit = core_amounts(offer.core, planned.quantity, planned.name)
    _add_bought(
        draft,
        planned,
        candidate,
        offer,
        kind,
        lines=(goods, *core_lines),
        delivery=charges.delivery_charge(draft, offer),
        repeat_cost=piece_cost * planned.quantity,
        matched_unit=None,
        core_credit=credit,
    )


def _may_be_bought(
    draft: Draft, planned: PlannedPosition, kind: SourceKind, offer: Offer, subject: str
) -> bool:
    if not is_allowed(draft, planned, kind, subject):
        return False
    is_unused = (offer.condition or GoodsCondition.NEW) in _UNUSED
    if planned.position.renewal_rule is RenewalRule.ALWAYS and not is_unused:
        draft.bar(subject, planned.id, "renewed always: only a part never run will do")
        return False
    return True


def _add_bought(
    draft: Draft,
    planned: PlannedPosition,
    candidate: Candidate,
    offer: Offer,
    kind: SourceKind,
    *,
    lines: tuple[AmountLine, ...],
    delivery: str,
    repeat_cost: int,
    matched_unit: str | None,
    core_credit: int,
) -> None:
    bench, position = draft.bench, planned.position
    supplier = charges.draft_supplier(draft, offer)
    outlook_kind = kind if kind is not SourceKind.KIT else _BY_PATH[candidate.path]
    outlook = prospect(bench.snapshot, outlook_kind, candidate.part.kind, None)
    note_outlook(draft, planned, kind, outlook)
    fitting = fitting_operations(draft, planned)
    adaptation, adaptation_minutes = _adaptation(draft, planned, candidate)
    worth_left = (
        residual(offer, planned.quantity, planned.name) if kind is not SourceKind.KIT else ()
    )
    draft.add(
        Source(
            id=f"{planned.id}:{kind}:{offer.id}:{candidate.part.id}",
            position_id=planned.id,
            kind=kind,
            lines=(
                *lines,
                *adaptation,
                *draft.pricing.labour(f"fit: {planned.name}", p50_hours(fitting)),
                *worth_left,
                *failure_lines(
                    bench.snapshot,
                    planned.name,
                    outlook.spec,
                    failure_of(draft, planned, repeat_cost, offer.warranty_cover),
                ),
            ),
            charges=(
                delivery,
                *charges.access_charges(draft, position.access_group_id),
                *charges.disposal_charge(draft),
            ),
            bench_minutes=p90_minutes(fitting) + adaptation_minutes,
            fits_another_part=True,
            is_unused=(offer.condition or GoodsCondition.NEW) in _UNUSED,
            matched_unit=matched_unit,
            core_charge=core_charge(draft) if core_credit else None,
            core_credit_price=core_credit,
            core_credit_cost=core_credit,
        ),
        SourceFacts(
            kind=kind,
            description=offer.description,
            disposition="renew",
            position_name=planned.name,
            piece=planned.piece,
            supplier_name=supplier.name,
            offer_id=offer.id,
            verdict=bench.verdict(planned),
            spec=outlook.spec,
            notes=_bought_notes(planned, candidate),
        ),
    )


def _bought_notes(planned: PlannedPosition, candidate: Candidate) -> tuple[str, ...]:
    called = planned.position.name
    if candidate.path is Path.GENERIC:
        return (
            f"same standard designation as the maker's part: {candidate.part.generic_designation}",
        )
    if candidate.claim is not None:
        claim = candidate.claim
        note = f"interchange for {called} on evidence '{claim.evidence_kind}': {claim.evidence}"
        return (note, *((f"rework: {claim.rework_note}",) if claim.rework_note else ()))
    return ()


def _adaptation(
    draft: Draft, planned: PlannedPosition, candidate: Candidate
) -> tuple[tuple[AmountLine, ...], int]:
    """What it takes to make an interchange part fit, for all pieces of the position."""
    claim = candidate.claim
    if claim is None:
        return (), 0
    pieces = planned.quantity
    label = f"adapt {candidate.part.number} to {planned.name}"
    lines = draft.pricing.labour(label, claim.rework_p50_hours * pieces)
    if claim.rework_cost is not None:
        lines = (*lines, draft.pricing.service(label, claim.rework_cost.minor * pieces))
    return lines, minutes(claim.rework_p90_hours * pieces)


def add_kits(draft: Draft, planned: PlannedPosition, found: tuple[Candidate, ...]) -> None:
    """Kits that hold a candidate part; in a matched set only kits that complete the set."""
    own_set = draft.bench.matched_set_of(planned.position.id)
    for kit in sorted(draft.bench.parts.values(), key=lambda p: p.id):
        inside = {line.part_id: line.quantity for line in kit.kit_lines}
        candidate = next((c for c in found if c.part.id in inside), None)
        if candidate is None:
            continue
        for offer in valid_offers(draft, part_id=kit.id):
            subject = f"{offer.description} from {charges.draft_supplier(draft, offer).name}"
            if not _may_be_bought(draft, planned, SourceKind.KIT, offer, subject):
                continue
            line = draft.pricing.part(
                f"kit {kit.maker} {kit.number}", offer.price.minor, 1, kit.kind
            )
            delivery = charges.kit_charge(draft, offer, line)
            before = set(draft.sources)
            _add_bought(
                draft,
                planned,
                candidate,
                offer,
                SourceKind.KIT,
                lines=(),
                delivery=delivery,
                repeat_cost=replacement_cost(draft, planned),
                matched_unit=f"kit:{offer.id}" if own_set else None,
                core_credit=0,
            )
            for added in set(draft.sources) - before:
                _count_kit_use(draft, offer, candidate.part.id, inside, added, planned.quantity)


def _count_kit_use(
    draft: Draft,
    offer: Offer,
    part_id: str,
    inside: dict[str, int],
    source_id: str,
    quantity: int,
) -> None:
    key = f"kit:{offer.id}:{part_id}"
    known = draft.capacities.get(key)
    uses = (*(known.uses if known else ()), (source_id, quantity))
    draft.capacities[key] = Capacity(key, inside[part_id], uses)


# --- common to all --------------------------------------------------------------------------


def fitting_operations(draft: Draft, planned: PlannedPosition) -> tuple[LabourOperation, ...]:
    """Labour to fit something at a position."""
    found = draft.bench.operations(OperationKind.RENEW, planned.position.id)
    if not found:
        draft.assume(f"No hours on record to fit '{planned.position.name}': none charged for it.")
    return found


def core_amounts(
    core: CoreTerms | None, quantity: int, name: str
) -> tuple[tuple[AmountLine, ...], int]:
    """Deposit, paid now, and expected credit for the core; and the credit that could be lost.

    The credit is max(0, chance of acceptance x refund - return freight): a core not worth sending
    is kept.
    """
    if core is None:
        return (), 0
    deposit = core.deposit.minor * quantity
    refund = (core.refund or core.deposit).minor * quantity
    freight = core.return_freight.minor if core.return_freight else 0
    credit = max(0, times(refund, core.acceptance_probability) - freight)
    lines = [AmountLine(CostClass.CORE_DEPOSIT, f"core deposit, {name}", deposit, deposit)]
    if credit:
        label = f"core credit expected, {name}, less return freight"
        lines.append(AmountLine(CostClass.CORE_CREDIT, label, -credit, -credit, is_billed=False))
    return tuple(lines), credit


def core_charge(draft: Draft) -> str:
    """Charge that, once opened, uses up the unit which would go back as core."""
    return f"donor:{draft.bench.job.core_unit_id or draft.bench.unit.id}"


def residual(offer: Offer, quantity: int, name: str) -> tuple[AmountLine, ...]:
    """What the item is still worth to its owner at the horizon, as an expectation."""
    if offer.residual_worth is None or offer.residual_worth.minor == 0:
        return ()
    worth = offer.residual_worth.minor * quantity
    label = f"worth left at the horizon, {name}"
    return (AmountLine(CostClass.RESIDUAL_WORTH, label, 0, -worth, is_billed=False),)


def failure_of(
    draft: Draft, planned: PlannedPosition, repeat_cost: int, cover: WarrantyCover
) -> Failure:
    """What a failure at a position costs: the work again, the part again, the rest."""
    hours = charges.reopening_hours(draft, planned.position.access_group_id, planned.position.id)
    fixed = draft.bench.settings.warranty.comeback_fixed_cost
    fixed_minor = fixed.minor if fixed else 0
    labour = 0 if cover is WarrantyCover.PART_AND_LABOUR else draft.pricing.labour_cost(hours)
    part = repeat_cost if cover is WarrantyCover.NOTHING else 0
    again = draft.pricing.part("again", repeat_cost, 1, draft.bench.part_kind(planned.position))
    return Failure(
        shop_cost=fixed_minor + labour + part,
        customer_price=draft.pricing.labour_price(hours) + again.price,
    )


def replacement_cost(draft: Draft, planned: PlannedPosition) -> int:
    """What renewing a kept part after a failure would cost in goods: the cheapest that fits.

    Nothing fits: the cheapest whole unit. No unit either: nothing, and the answer says so.
    """
    found, _ = candidates_for(draft, planned)
    wanted = {candidate.part.id for candidate in found}
    kits = {
        part.id
        for part in draft.bench.parts.values()
        if any(line.part_id in wanted for line in part.kit_lines)
    }
    in_set = is_in_set(draft, planned)
    today = draft.bench.today
    prices = [
        offer.price.minor * (1 if offer.part_id in kits else planned.quantity)
        for offer in draft.bench.snapshot.offers
        if _is_valid(offer, today)
        and offer.kind is OfferKind.GOODS
        and (offer.part_id in kits or (offer.part_id in wanted and not in_set))
    ]
    if not prices:
        assembly = draft.bench.snapshot.assembly
        prices = [
            offer.price.minor
            for offer in draft.bench.snapshot.offers
            if _is_valid(offer, today)
            and offer.kind is OfferKind.GOODS
            and (
                offer.assembly_id == assembly.id
                or (offer.part_id is not None and offer.part_id == assembly.part_id)
            )
        ]
    if not prices:
        draft.assume(
            f"No offer replaces '{planned.name}': the part itself is left out of what a failure "
            "of it would cost."
        )
    return min(prices, default=0)


def note_outlook(
    draft: Draft, planned: PlannedPosition, kind: SourceKind, outlook: Prospect
) -> None:
    """Tell, once, where a chance of failure comes from, or that there is none on record."""
    part_kind = draft.bench.part_kind(planned.position) or "part"
    if outlook.spec is None:
        draft.assume(
            f"Failure of a {part_kind} by source '{kind}': {outlook.basis}; its cost and risk are "
            "not counted."
        )
    else:
        draft.assume(f"Failure of a {part_kind} by source '{kind}': {outlook.basis}.")


def complete_matched_sets(draft: Draft) -> None:
    """Drop sources of a matched set's unit that does not give every member, with that reason."""
    for matched in draft.bench.sets(SetKind.MATCHED):
        members = [p for p in draft.bench.planned if p.position.id in matched.position_ids]
        wanted = {p.id for p in members}
        if len({p.position.id for p in members}) < len(matched.position_ids):
            continue
        by_unit: dict[str, set[str]] = {}
        for source in draft.sources.values():
            if source.position_id in wanted and source.matched_unit:
                by_unit.setdefault(source.matched_unit, set()).add(source.position_id)
        for unit, filled in sorted(by_unit.items()):
            if filled == wanted:
                continue
            for source in [s for s in draft.sources.values() if s.matched_unit == unit]:
                if source.position_id not in wanted:
                    continue
                facts = draft.facts.pop(source.id)
                del draft.sources[source.id]
                missing = ", ".join(sorted(p.name for p in members if p.id not in filled))
                draft.bar(
                    f"{facts.description} ({facts.position_name})",
                    source.position_id,
                    f"matched set '{matched.name}' incomplete: no {missing} from the same unit",
                    ReasonCode.SET_INCOMPLETE,
                )
