"""Buying for a position: single parts by any path, and kits."""

from shared.assemblies.model import RenewalRule
from shared.decision.building import charges
from shared.decision.building.buying import (
    goods_values,
    is_pooled,
    purchase_notes,
    stock_item,
    why_not_sold,
)
from shared.decision.building.core import NO_CORE, CoreOutcome, core_charge, core_outcome
from shared.decision.building.draft import (
    Again,
    Draft,
    SourceFacts,
    Spans,
    minutes,
    p50_hours,
    p90_minutes,
    spans,
)
from shared.decision.building.planned import PlannedPosition
from shared.decision.building.position_facts import (
    UNUSED,
    bought_again,
    failure_of,
    fitting_operations,
    is_allowed,
    is_in_set,
    note_outlook,
    reject_notes,
    residual,
)
from shared.decision.building.risk import Prospect, failure_lines, prospect
from shared.decision.planning.case import AmountLine, Source
from shared.decision.result import ReasonCode
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
    if not may_be_bought(draft, planned, kinds_of(candidate, offer), offer, subject):
        return
    why_not = why_not_sold(offer, planned.quantity)
    if why_not is not None:
        draft.bar(subject, planned.id, why_not)
        return
    delivery = charges.delivery_charge(draft, offer)
    order = charges.order_charge(draft, supplier)
    part = candidate.part
    core = core_outcome(draft, offer, planned.quantity, planned)
    lines: tuple[AmountLine, ...] = ()
    purchases: tuple[tuple[str, int], ...] = ()
    values: tuple[tuple[str, int], ...] = ()
    if is_pooled(offer):
        label = f"{part.maker} {part.number}, {supplier.name}"
        item = stock_item(draft, offer, label, part.kind, order)
        purchases = ((item, planned.quantity),)
        again = bought_again(draft, offer, planned.quantity, part.kind) or Again(0, 0)
    else:
        label = f"{planned.quantity} x {part.maker} {part.number} ({planned.name})"
        goods = draft.pricing.part(label, offer.price.minor, planned.quantity, part.kind)
        lines, again = (goods,), Again.of(goods)
        values = goods_values(draft, order, goods.cost)
    source = add_bought(
        draft,
        planned,
        candidate,
        offer,
        kind,
        lines=(*lines, *core.lines),
        delivery=delivery,
        again=again,
        matched_unit=None,
        core=core,
        purchases=purchases,
        order_values=values,
    )
    if offer.reject_probability > 0:
        draft.doubtful.append((source, offer.id, planned.quantity))


def kinds_of(candidate: Candidate, offer: Offer) -> tuple[SourceKind, ...]:
    """All that an offer for a candidate part is: by its condition, and by what it stands in for.

    Old stock of another number is both; whoever bars one of the two does not want it.
    """
    kind = source_kind(candidate, offer)
    is_itself = candidate.path is Path.ITSELF
    return (kind,) if is_itself else tuple(dict.fromkeys((kind, _BY_PATH[candidate.path])))


def may_be_bought(
    draft: Draft,
    planned: PlannedPosition,
    kinds: tuple[SourceKind, ...],
    offer: Offer,
    subject: str,
) -> bool:
    """Whether policy and renewal rule let an offer of these kinds in; if not, it is told."""
    if not all(is_allowed(draft, planned, kind, subject) for kind in kinds):
        return False
    is_unused = (offer.condition or GoodsCondition.NEW) in UNUSED
    if planned.position.renewal_rule is RenewalRule.ALWAYS and not is_unused:
        draft.bar(subject, planned.id, "renewed always: only a part never run will do")
        return False
    return True


def add_bought(
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
    core: CoreOutcome = NO_CORE,
    purchases: tuple[tuple[str, int], ...] = (),
    order_values: tuple[tuple[str, int], ...] = (),
) -> str:
    """Add a source of bought goods; returns its id."""
    bench, position = draft.bench, planned.position
    supplier = charges.draft_supplier(draft, offer)
    outlook = _outlook(draft, candidate, offer)
    note_outlook(draft, planned, kind, outlook)
    fitting = fitting_operations(draft, planned)
    adaptation, adaptation_work = _adaptation(draft, planned, candidate)
    worth_left = (
        residual(offer, planned.quantity, planned.name) if kind is not SourceKind.KIT else ()
    )
    source_id = f"{planned.id}:{kind}:{offer.id}:{candidate.part.id}"
    draft.add(
        Source(
            id=source_id,
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
            bench_minutes=p90_minutes(fitting) + sum(minutes(p90) for _, p90 in adaptation_work),
            fits_another_part=True,
            is_unused=(offer.condition or GoodsCondition.NEW) in UNUSED,
            matched_unit=matched_unit,
            core_charge=core_charge(draft) if core.credit else None,
            core_credit_price=core.credit,
            core_credit_cost=core.credit,
            purchases=purchases,
            goods_values=order_values,
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
            notes=(*_bought_notes(draft, planned, candidate, offer), *core.notes),
            is_stand_in=candidate.path is not Path.ITSELF,
        ),
        (*spans(fitting), *adaptation_work),
    )
    return source_id


def _outlook(draft: Draft, candidate: Candidate, offer: Offer) -> Prospect:
    """How it is expected to last; what is two kinds at once as the worse of those known."""
    snapshot = draft.bench.snapshot
    warranty = float(snapshot.settings.warranty.warranty_hours)
    found = [
        prospect(snapshot, kind, candidate.part.kind, None) for kind in kinds_of(candidate, offer)
    ]
    known = [(one.spec.survival(warranty), one) for one in found if one.spec is not None]
    return min(known, key=lambda one: one[0])[1] if known else found[0]


def _bought_notes(
    draft: Draft, planned: PlannedPosition, candidate: Candidate, offer: Offer
) -> tuple[str, ...]:
    called = planned.position.name
    told = []
    if planned.position.renewal_rule is RenewalRule.SELECT_FIT:
        told.append("the size is known only after measuring: have several at hand, measure again")
    if candidate.path is Path.GENERIC:
        told.append(
            f"same size by its standard designation: {candidate.part.generic_designation}"
            if candidate.notes
            else "same standard designation as the maker's part: "
            f"{candidate.part.generic_designation}"
        )
        told += candidate.notes
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
    if offer.part_id == candidate.part.id:
        told += purchase_notes(offer, planned.quantity)
    return (*told, *reject_notes(offer))


def _adaptation(
    draft: Draft, planned: PlannedPosition, candidate: Candidate
) -> tuple[tuple[AmountLine, ...], Spans]:
    """What it takes to make an interchange part fit, for all pieces of the position."""
    claim = candidate.claim
    if claim is None:
        return (), ()
    pieces = planned.quantity
    label = f"adapt {candidate.part.number} to {planned.name}"
    lines = draft.pricing.labour(label, claim.rework_p50_hours * pieces)
    if claim.rework_cost is not None:
        lines = (*lines, draft.pricing.service(label, claim.rework_cost.minor * pieces))
    return lines, ((claim.rework_p50_hours * pieces, claim.rework_p90_hours * pieces),)
