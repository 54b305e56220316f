"""Services on the customer's own part (a sleeve, plating): back to its limits when new."""

from shared.assemblies.model import RenewalRule
from shared.condition.model import Verdict
from shared.decision.building import charges
from shared.decision.building.buying import goods_values
from shared.decision.building.draft import Again, Draft, SourceFacts, p50_hours, p90_minutes, spans
from shared.decision.building.kept import is_crack
from shared.decision.building.planned import PlannedPosition
from shared.decision.building.position_facts import (
    OWN_UNIT,
    failure_of,
    fitting_operations,
    is_allowed,
    is_in_set,
    note_outlook,
    valid_offers,
)
from shared.decision.building.risk import failure_lines, prospect
from shared.decision.building.taken import why_gone
from shared.decision.planning.case import Source
from shared.decision.result import ReasonCode
from shared.decision.settings import SourceKind
from shared.sourcing.model import Offer


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
        gone = why_gone(bench, bench.unit, position)
        if gone is not None:
            draft.bar(subject, planned.id, gone, ReasonCode.TAKEN)
            continue
        if cracked:
            draft.bar(subject, planned.id, f"a cracked part is not reworked: {cracked[0]}")
            continue
        if position.renewal_rule is RenewalRule.ALWAYS:
            draft.bar(subject, planned.id, "renewed always: a reworked part is not unused")
            continue
        if not is_allowed(draft, planned, SourceKind.REWORK, subject):
            continue
        _add_rework(draft, planned, offer)


def _add_rework(draft: Draft, planned: PlannedPosition, offer: Offer) -> None:
    bench, position = draft.bench, planned.position
    supplier = charges.draft_supplier(draft, offer)
    cost = offer.price.minor * planned.quantity
    work = draft.pricing.service(f"{planned.name}: {offer.description}", cost)
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
                work,
                *draft.pricing.labour(f"fit: {planned.name}", p50_hours(fitting)),
                *failure_lines(
                    bench.snapshot,
                    planned.name,
                    outlook.spec,
                    failure_of(draft, planned, Again.of(work), offer.warranty_cover),
                ),
            ),
            charges=(
                delivery,
                *charges.access_charges(draft, position.access_group_id),
            ),
            bench_minutes=p90_minutes(fitting),
            matched_unit=OWN_UNIT if is_in_set(draft, planned) else None,
            goods_values=goods_values(draft, charges.order_charge(draft, supplier), work.cost),
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
            notes=_left_open(draft, planned),
        ),
        spans(fitting),
    )
    if offer.reject_probability > 0:
        draft.rejects.append((f"{planned.id}:rework:{offer.id}", offer.id, planned.quantity))


def _left_open(draft: Draft, planned: PlannedPosition) -> tuple[str, ...]:
    """What a rework must put right, and what nobody has settled on the part that goes out."""
    judgement = draft.bench.judgements[planned.id]
    bad = judgement.nonconforming
    unsettled = [f.detail for f in judgement.findings if f.verdict is Verdict.INDETERMINATE]
    unsettled += [f"not inspected: {name}" for name in judgement.not_inspected]
    return (
        *((f"has to put right: {'; '.join(bad)}",) if bad else ()),
        *(
            (f"not settled, and no rework proves it good: {'; '.join(unsettled)}",)
            if unsettled
            else ()
        ),
    )
