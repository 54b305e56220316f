"""The ways to deal with the unit as a whole, and the way part by part."""

from decimal import Decimal

from shared.assemblies.model import OperationKind
from shared.condition.model import Unit, UnitKind
from shared.decision.building import charges
from shared.decision.building.buying import goods_values, purchase_alone, purchase_notes
from shared.decision.building.cause import common_cause_lines, note_cause
from shared.decision.building.core import core_charge, core_outcome
from shared.decision.building.draft import Draft, SourceFacts, p50_hours, p90_minutes, spans
from shared.decision.building.kinds import TRAITS, why_another_kind, why_other_traits
from shared.decision.building.planned import WHOLE
from shared.decision.building.position_facts import (
    hours_range,
    reject_notes,
    residual,
    valid_offers,
)
from shared.decision.building.risk import Failure, failure_lines, prospect
from shared.decision.building.taken import why_incomplete
from shared.decision.planning.case import AmountLine, CostClass, Source
from shared.decision.result import ReasonCode
from shared.decision.settings import SourceKind
from shared.sourcing.model import GoodsCondition, Offer, OfferKind, WarrantyCover

UNIT_PART_KIND = "unit"
"""Part kind under which the shop keeps its experience with whole units."""

_ROUTE_KIND = {
    GoodsCondition.NEW: SourceKind.NEW,
    GoodsCondition.OLD_STOCK: SourceKind.OLD_STOCK,
    GoodsCondition.USED: SourceKind.USED,
    GoodsCondition.REBUILT: SourceKind.EXCHANGE,
}


def add_whole_sources(draft: Draft) -> None:
    """Sources of the whole: part by part, offers for the unit, services on it, stock units."""
    note_cause(draft)
    if draft.bench.planned:
        _add_part_by_part(draft)
    assembly = draft.bench.snapshot.assembly
    for offer in valid_offers(draft, assembly_id=assembly.id):
        _add_offer(draft, offer)
    if assembly.part_id is not None:
        for offer in valid_offers(draft, part_id=assembly.part_id):
            _add_offer(draft, offer)
    for unit in sorted(draft.bench.snapshot.units, key=lambda u: u.id):
        if unit.kind is UnitKind.STOCK and unit.id != draft.bench.unit.id:
            _add_stock_unit(draft, unit)


def _add_part_by_part(draft: Draft) -> None:
    bench = draft.bench
    left_open = [
        operation
        for group_id in sorted(bench.open_groups)
        for operation in bench.operations(OperationKind.CLOSE, group_id=group_id)
    ]
    prove = bench.operations(OperationKind.PROVE)
    all_groups = [
        operation
        for group_id in sorted(bench.groups)
        for kind in (OperationKind.OPEN, OperationKind.CLOSE)
        for operation in bench.operations(kind, group_id=group_id)
    ]
    draft.add(
        Source(
            id=f"{WHOLE}:{SourceKind.PART_BY_PART}",
            position_id=WHOLE,
            kind=SourceKind.PART_BY_PART,
            lines=(
                *draft.pricing.labour(
                    "close what the inspection left open", p50_hours(left_open), CostClass.OPENING
                ),
                *draft.pricing.labour("prove the unit", p50_hours(prove)),
                *common_cause_lines(draft, p50_hours((*all_groups, *prove))),
            ),
            bench_minutes=p90_minutes((*left_open, *prove)),
            resolves_children=True,
        ),
        SourceFacts(SourceKind.PART_BY_PART, "part by part", "rebuild", "the whole unit"),
        spans((*left_open, *prove)),
    )


def _unit_failure(draft: Draft, repeat_cost: int, cover: WarrantyCover) -> Failure:
    hours = p50_hours(draft.bench.operations(OperationKind.RENEW))
    fixed = draft.bench.settings.warranty.comeback_fixed_cost
    labour = 0 if cover is WarrantyCover.PART_AND_LABOUR else draft.pricing.labour_cost(hours)
    again = draft.pricing.unit("again", repeat_cost)
    return Failure(
        shop_cost=(fixed.minor if fixed else 0)
        + labour
        + (repeat_cost if cover is WarrantyCover.NOTHING else 0),
        customer_price=draft.pricing.labour_price(hours) + again.price,
    )


def _add_offer(draft: Draft, offer: Offer) -> None:
    """An offer for a whole unit, or a service on the customer's own unit."""
    is_service = offer.kind is OfferKind.SERVICE
    kind = SourceKind.SEND_OUT if is_service else _goods_kind(offer)
    bought = purchase_alone(offer, 1)
    if bought is None:
        return  # told already: not even one can be had
    line = (
        draft.pricing.service(offer.description, bought.cost)
        if is_service
        else draft.pricing.unit(offer.description, bought.cost)
    )
    delivery = charges.delivery_charge(draft, offer)
    order = charges.order_charge(draft, charges.draft_supplier(draft, offer))
    core = core_outcome(draft, offer, 1, None)
    goes_away = is_service or core.credit > 0  # a core not worth sending back is scrap
    stays = () if goes_away else charges.disposal_charge(draft)
    source_id = f"{WHOLE}:{kind}:{offer.id}"
    _add_whole(
        draft,
        source_id=source_id,
        kind=kind,
        lines=(line, *core.lines, *residual(offer, 1, "whole unit")),
        needs=(delivery, *stays),
        failure=_unit_failure(draft, bought.cost, offer.warranty_cover),
        age=None,
        core_credit=core.credit,
        description=offer.description,
        supplier=charges.draft_supplier(draft, offer).name,
        offer_id=offer.id,
        notes=(*_unit_notes(draft, kind, offer), *core.notes),
        order_values=goods_values(draft, order, bought.cost),
    )
    if offer.reject_probability > 0 and is_service:
        draft.rejects.append((source_id, offer.id, 1))
    elif offer.reject_probability > 0:
        draft.doubtful.append((source_id, offer.id, bought.pieces))


def _goods_kind(offer: Offer) -> SourceKind:
    """A core to hand in makes an exchange unit of it; a used unit stays a used one all the same."""
    kind = _ROUTE_KIND[offer.condition or GoodsCondition.NEW]
    return SourceKind.EXCHANGE if offer.core and kind is not SourceKind.USED else kind


def _add_stock_unit(draft: Draft, unit: Unit) -> None:
    """A unit of the shop's own stock, at the worth that is given up."""
    name = f"stock unit {unit.serial_number or unit.id}"
    own = draft.bench.unit
    if unit.assembly_id != draft.bench.snapshot.assembly.id:
        return
    another = why_another_kind(own.traits, unit.traits)
    if another is not None:
        draft.bar(name, WHOLE, another)
        return
    incomplete = why_incomplete(draft.bench, unit)
    if incomplete is not None:
        draft.bar(name, WHOLE, incomplete, ReasonCode.TAKEN)
        return
    why_not = _why_not_fitted(draft, unit)
    if why_not is not None:
        draft.bar(name, WHOLE, why_not)
        return
    terms = unit.donor
    worth = (terms.undisturbed_worth if terms.is_owned else terms.price) if terms else None
    if terms is None or worth is None:
        draft.bar(name, WHOLE, "no worth is on record for it")
        return
    _add_whole(
        draft,
        source_id=f"{WHOLE}:{SourceKind.USED}:{unit.id}",
        kind=SourceKind.USED,
        lines=(draft.pricing.unit(f"{name}, worth given up", worth.minor),),
        needs=charges.disposal_charge(draft),
        failure=_unit_failure(draft, worth.minor, WarrantyCover.NOTHING),
        age=hours_range(unit.lower_hours, unit.upper_hours),
        core_credit=0,
        description=name,
        supplier=None,
        offer_id=None,
        donor_unit_id=unit.id,
        notes=_unit_notes(draft, SourceKind.USED, None),
    )


def _why_not_fitted(draft: Draft, unit: Unit) -> str | None:
    """Why a stock unit is not put in as it stands; None when nothing on record speaks against."""
    bench = draft.bench
    if unit.reason_retired in bench.settings.policy.barred_donor_reasons:
        return f"the shop's policy takes nothing from units retired by {unit.reason_retired}"
    is_bound = any(position.is_variant_bound for position in bench.snapshot.positions)
    why_not = why_other_traits(bench.unit.traits, unit.traits) if is_bound else None
    if why_not is not None:
        return why_not
    for position in bench.snapshot.positions:
        bad = bench.judge(position, unit.id).nonconforming
        if bad:
            return f"nonconforming, {position.name}: {'; '.join(bad)}"
    return None


def _unit_notes(draft: Draft, kind: SourceKind, offer: Offer | None) -> tuple[str, ...]:
    """What a person must know of a whole unit before it is fitted."""
    snapshot = draft.bench.snapshot
    told = []
    own = draft.bench.unit.traits
    for trait in TRAITS:
        wanted = getattr(own, trait)
        if offer is not None and kind is not SourceKind.SEND_OUT and wanted is not None:
            told.append(
                f"make sure that it is of the {trait} '{wanted}': an offer does not state it"
            )
    critical = sorted({p.name for p in snapshot.positions if p.is_safety_critical})
    if kind is SourceKind.USED and critical:
        told.append(
            "holds safety-critical parts that have run: inspect before fitting: "
            + ", ".join(critical)
        )
    if offer is not None and offer.kind is OfferKind.GOODS:
        told += [*purchase_notes(offer, 1), *reject_notes(offer)]
    incomplete = why_incomplete(draft.bench, draft.bench.unit)
    if kind is SourceKind.SEND_OUT and incomplete is not None:
        told.append(
            f"the unit is not complete, {incomplete}: ask whether it is taken, at what price"
        )
    return tuple(told)


def _add_whole(
    draft: Draft,
    *,
    source_id: str,
    kind: SourceKind,
    lines: tuple[AmountLine, ...],
    needs: tuple[str, ...],
    failure: Failure,
    age: tuple[Decimal, Decimal] | None,
    core_credit: int,
    description: str,
    supplier: str | None,
    offer_id: str | None,
    donor_unit_id: str | None = None,
    notes: tuple[str, ...] = (),
    order_values: tuple[tuple[str, int], ...] = (),
) -> None:
    fitting = draft.bench.operations(OperationKind.RENEW)
    if not fitting:
        draft.assume("No hours on record to fit a whole unit: none charged for it.")
    hours = p50_hours(fitting)
    outlook = prospect(draft.bench.snapshot, kind, UNIT_PART_KIND, age)
    draft.note_outlook(f"whole unit ({kind})", outlook)
    draft.add(
        Source(
            id=source_id,
            position_id=WHOLE,
            kind=kind,
            lines=(
                *lines,
                *draft.pricing.labour("fit the whole unit", hours),
                *common_cause_lines(draft, hours),
                *failure_lines(draft.bench.snapshot, "whole unit", outlook.spec, failure),
            ),
            charges=needs,
            bench_minutes=p90_minutes(fitting),
            fits_another_part=kind is not SourceKind.SEND_OUT,
            is_unused=kind in (SourceKind.NEW, SourceKind.OLD_STOCK),
            core_charge=core_charge(draft) if core_credit else None,
            core_credit_price=core_credit,
            core_credit_cost=core_credit,
            goods_values=order_values,
        ),
        SourceFacts(
            kind=kind,
            description=description,
            disposition="renew" if kind is not SourceKind.SEND_OUT else "rework",
            position_name="the whole unit",
            supplier_name=supplier,
            offer_id=offer_id,
            donor_unit_id=donor_unit_id,
            spec=outlook.spec,
            notes=notes,
        ),
        spans(fitting),
    )
