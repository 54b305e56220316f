"""Services on the customer's own part (a sleeve, plating): back to its limits when new."""

from decimal import Decimal

from shared.assemblies.model import Characteristic, RenewalRule
from shared.condition.model import Verdict
from shared.decision.building import charges
from shared.decision.building.buying import goods_values
from shared.decision.building.draft import (
    Again,
    Along,
    Draft,
    SourceFacts,
    Spans,
    minutes,
    p50_hours,
    p90_minutes,
    spans,
)
from shared.decision.building.goods import (
    Goods,
    choices_along,
    companion_lines,
    goods_along,
    note_rejects,
    notes_along,
    residual_along,
    together,
    with_along,
)
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
from shared.decision.planning.case import AmountLine, Source
from shared.decision.result import ReasonCode
from shared.decision.settings import SourceKind
from shared.interchange.model import PartLine
from shared.sourcing.model import Offer, ReworkKind, ReworkTerms

REWORK_WORDS = {
    ReworkKind.SLEEVE: "sleeved",
    ReworkKind.OVERSIZE_PART: "made to take an oversize part",
    ReworkKind.PLATING: "plated",
    ReworkKind.WELDING: "built up by welding",
    ReworkKind.GRINDING: "ground",
    ReworkKind.OTHER: "reworked",
}
"""How a part is brought back to size, in a sentence."""


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
        terms = offer.rework
        why_not = None if terms is None else _why_not_put_right(draft, planned, terms)
        if why_not is not None:
            draft.bar(subject, planned.id, why_not)
            continue
        if not is_allowed(draft, planned, SourceKind.REWORK, subject):
            continue
        parts = terms.parts if terms is not None else ()
        needed = companion_lines(
            (PartLine(one.part_id, one.quantity) for one in parts), planned.quantity
        )
        for along in choices_along(draft, planned, needed, subject, offer):
            _add_rework(draft, planned, offer, along)


def _why_not_put_right(draft: Draft, planned: PlannedPosition, terms: ReworkTerms) -> str | None:
    """What was found beyond its limits and the rework leaves so; None: it puts all of it right.

    A measure that follows from a size that is put right is another afterwards: it is told as open.
    """
    if not terms.puts_right:
        return None
    changed = {*terms.puts_right, *(one.id for one in _following(draft, planned, terms))}
    left = [
        f.detail
        for f in draft.bench.judgements[planned.id].findings
        if f.verdict is Verdict.NONCONFORMING and f.characteristic_id not in changed
    ]
    return f"does not put right: {'; '.join(left)}" if left else None


def _following(draft: Draft, planned: PlannedPosition, terms: ReworkTerms) -> list[Characteristic]:
    """Measures of the position that follow from a size which the rework puts right."""
    bench = draft.bench
    right = set(terms.puts_right)
    return [
        one
        for place in (planned.position, *bench.inside(planned.position))
        for one in bench.characteristics_of(place)
        if one.id not in right and right & {behind.id for behind in bench.behind(one)}
    ]


def _add_rework(
    draft: Draft, planned: PlannedPosition, offer: Offer, along: tuple[Along, ...]
) -> None:
    bench, position = draft.bench, planned.position
    supplier = charges.draft_supplier(draft, offer)
    cost = offer.price.minor * planned.quantity
    work = draft.pricing.service(f"{planned.name}: {offer.description}", cost)
    away_from = charges.opening_days(draft, position.access_group_id)
    delivery = charges.delivery_charge(draft, offer, away_from)
    outlook = prospect(bench.snapshot, SourceKind.REWORK, bench.part_kind(position), None)
    note_outlook(draft, planned, SourceKind.REWORK, outlook)
    fitting = fitting_operations(draft, planned)
    own_hours, own_work = own_bench(draft, planned, offer)
    more, along = goods_along(draft, planned, along)
    order = charges.order_charge(draft, supplier)
    own_values = Goods(order_values=goods_values(draft, order, work.cost), again=Again.of(work))
    taken = together((own_values, more))
    source_id = with_along(f"{planned.id}:rework:{offer.id}", along)
    draft.add(
        Source(
            id=source_id,
            position_id=planned.id,
            kind=SourceKind.REWORK,
            lines=(
                work,
                *own_hours,
                *more.lines,
                *draft.pricing.labour(f"fit: {planned.name}", p50_hours(fitting)),
                *residual_along(along),
                *failure_lines(
                    bench.snapshot,
                    planned.name,
                    outlook.spec,
                    failure_of(
                        draft,
                        planned,
                        taken.again,
                        offer.warranty_cover,
                        _own_hours(planned, offer),
                    ),
                ),
            ),
            charges=(
                delivery,
                *more.deliveries,
                *charges.access_charges(draft, position.access_group_id),
            ),
            bench_minutes=p90_minutes(fitting) + sum(minutes(p90) for _, p90 in own_work),
            matched_unit=OWN_UNIT if is_in_set(draft, planned) else None,
            purchases=more.purchases,
            goods_values=taken.order_values,
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
            notes=(
                *_terms_told(draft, planned, offer),
                *_left_open(draft, planned),
                *notes_along(draft, planned, along),
            ),
            along=along,
        ),
        (*spans(fitting), *own_work),
    )
    if offer.reject_probability > 0:
        draft.rejects.append((source_id, offer.id, planned.quantity))
    note_rejects(draft, source_id, along)


def own_bench(
    draft: Draft, planned: PlannedPosition, offer: Offer
) -> tuple[tuple[AmountLine, ...], Spans]:
    """What a rework takes of the shop's own bench besides the fitting: amounts, and the work."""
    terms = offer.rework
    if terms is None:
        return (), ()
    p50, p90 = _own_hours(planned, offer), terms.p90_hours * planned.quantity
    lines = draft.pricing.labour(f"{REWORK_WORDS[terms.kind]}, own bench: {planned.name}", p50)
    return lines, ((p50, p90),) if p90 else ()


def _own_hours(planned: PlannedPosition, offer: Offer) -> Decimal:
    """Hours of the shop's own bench, at the P50, that a rework of all pieces takes."""
    return Decimal(0) if offer.rework is None else offer.rework.p50_hours * planned.quantity


def _terms_told(draft: Draft, planned: PlannedPosition, offer: Offer) -> tuple[str, ...]:
    """How a rework brings the part back to size, what of it, and what is to be measured anew."""
    terms = offer.rework
    if terms is None:
        return ()
    known = draft.bench.characteristics_by_id
    right = ", ".join(known[key].name if key in known else key for key in terms.puts_right)
    told = REWORK_WORDS[terms.kind]
    following = ", ".join(one.name for one in _following(draft, planned, terms))
    return (
        f"{told}; puts right: {right}" if right else told,
        *((f"follows from what is put right, measure anew: {following}",) if following else ()),
    )


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
