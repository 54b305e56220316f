"""Buying for a position: single parts by any path, and kits."""

from shared.assemblies.model import RenewalRule
from shared.decision import charges
from shared.decision.case import AmountLine, Capacity, Source
from shared.decision.draft import Draft, SourceFacts, minutes, p50_hours, p90_minutes
from shared.decision.planned import PlannedPosition
from shared.decision.position_facts import (
    UNUSED,
    Again,
    core_amounts,
    core_charge,
    failure_of,
    fitting_operations,
    is_allowed,
    is_in_set,
    note_outlook,
    replacement,
    residual,
    valid_offers,
)
from shared.decision.result import ReasonCode
from shared.decision.risk import failure_lines, prospect
from shared.decision.settings import SourceKind
from shared.interchange.candidates import Candidate, Path
from shared.sourcing.model import GoodsCondition, Offer

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
        again=Again.of(goods),
        matched_unit=None,
        core_credit=credit,
    )


def _may_be_bought(
    draft: Draft, planned: PlannedPosition, kind: SourceKind, offer: Offer, subject: str
) -> bool:
    if not is_allowed(draft, planned, kind, subject):
        return False
    is_unused = (offer.condition or GoodsCondition.NEW) in UNUSED
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
    again: Again,
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
                    failure_of(draft, planned, again, offer.warranty_cover),
                ),
            ),
            charges=(
                delivery,
                *charges.access_charges(draft, position.access_group_id),
                *charges.disposal_charge(draft),
            ),
            bench_minutes=p90_minutes(fitting) + adaptation_minutes,
            fits_another_part=True,
            is_unused=(offer.condition or GoodsCondition.NEW) in UNUSED,
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
            notes=_bought_notes(draft, planned, candidate, offer),
        ),
    )


def _bought_notes(
    draft: Draft, planned: PlannedPosition, candidate: Candidate, offer: Offer
) -> tuple[str, ...]:
    called = planned.position.name
    told = []
    if planned.position.renewal_rule is RenewalRule.SELECT_FIT:
        told.append("the size is known only after measuring: have several at hand, measure again")
    if candidate.path is Path.GENERIC:
        told.append(
            f"same standard designation as the maker's part: {candidate.part.generic_designation}"
        )
        wanted = draft.bench.part_kind(planned.position)
        if wanted != candidate.part.kind:
            told.append(
                f"recorded as '{candidate.part.kind}', the maker's part as '{wanted}': make sure "
                "that the designation is of one and the same standard"
            )
    if candidate.claim is not None:
        claim = candidate.claim
        note = f"interchange for {called} on evidence '{claim.evidence_kind}': {claim.evidence}"
        told += [note, *([f"rework: {claim.rework_note}"] if claim.rework_note else [])]
    if offer.reject_probability > 0:
        told.append(
            f"proves bad on arrival with a chance of {offer.reject_probability:.0%}: NOT counted "
            "in price, date or risk"
        )
    return tuple(told)


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
            # A kit of used or stand-in parts is no better than those parts singly.
            inner = source_kind(candidate, offer)
            if inner not in (SourceKind.NEW, SourceKind.OLD_STOCK) and not is_allowed(
                draft, planned, inner, subject
            ):
                continue
            line = draft.pricing.part(
                f"kit {kit.maker} {kit.number}", offer.price.minor, 1, kit.kind
            )
            core_lines, _ = core_amounts(offer.core, 1, kit.name)
            delivery = charges.kit_charge(draft, offer, (line, *core_lines))
            before = set(draft.sources)
            _add_bought(
                draft,
                planned,
                candidate,
                offer,
                SourceKind.KIT,
                lines=(),
                delivery=delivery,
                again=replacement(draft, planned),
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
