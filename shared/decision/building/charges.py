"""What is paid once or awaited once: openings, orders, deliveries, donors, disposal."""

from decimal import Decimal

from shared.assemblies.model import OperationKind
from shared.decision.building.buying import goods_values, order_terms
from shared.decision.building.draft import Draft, minutes, p50_hours, p90_minutes, spans
from shared.decision.building.planned import PlannedPosition
from shared.decision.planning.case import AmountLine, Charge, CostClass, LeadTable
from shared.decision.planning.timing import whole_days
from shared.sourcing.lead_time import chance_by_day
from shared.sourcing.model import DeliveryMode, Offer, Supplier


def access_charges(draft: Draft, group_id: str | None) -> tuple[str, ...]:
    """Charge of the innermost group to open (the outer ones follow), made on first need."""
    bench = draft.bench
    if group_id is None or group_id not in bench.groups:
        return ()
    for group in bench.chain(group_id):
        if f"access:{group.id}" in draft.charges:
            continue
        opening = bench.operations(OperationKind.OPEN, group_id=group.id)
        closing = bench.operations(OperationKind.CLOSE, group_id=group.id)
        is_open = group.id in bench.open_groups
        lines: tuple[AmountLine, ...] = ()
        if not is_open:
            lines = draft.pricing.labour(
                f"open and close: {group.name}", p50_hours((*opening, *closing)), CostClass.OPENING
            )
            if not opening and not closing:
                draft.assume(f"No hours on record to open or close '{group.name}': none charged.")
        draft.charges[f"access:{group.id}"] = Charge(
            id=f"access:{group.id}",
            kind="opening",
            label=group.name,
            lines=lines,
            requires=(f"access:{group.outer_group_id}",) if group.outer_group_id else (),
            bench_minutes=0 if is_open else p90_minutes((*opening, *closing)),
            is_open=is_open,
        )
        if not is_open:
            draft.work[f"access:{group.id}"] = spans((*opening, *closing))
    return (f"access:{group_id}",)


def opening_days(draft: Draft, group_id: str | None) -> int:
    """Working days of bench time before what lies behind a group can be sent away."""
    to_open = [
        operation
        for group in draft.bench.chain(group_id)
        if group.id not in draft.bench.open_groups
        for operation in draft.bench.operations(OperationKind.OPEN, group_id=group.id)
    ]
    return bench_days(draft, p90_minutes(to_open))


def bench_days(draft: Draft, bench_minutes: int) -> int:
    """Working days that take this many minutes, rounded up."""
    per_day = minutes(draft.bench.settings.calendar.bench_hours_per_day)
    return whole_days(bench_minutes, per_day)


def order_charge(draft: Draft, supplier: Supplier) -> str:
    """The order to a supplier: freight, paid once."""
    key = f"order:{supplier.id}"
    if key not in draft.charges:
        cost = supplier.freight.minor
        label = f"freight, {supplier.name}"
        lines = (draft.pricing.freight(label, cost),) if cost else ()
        terms = order_terms(draft, supplier)
        draft.charges[key] = Charge(key, "order", supplier.name, lines, order=terms)
    return key


def delivery_charge(draft: Draft, offer: Offer, earliest_order_day: int = 0) -> str:
    """The arrival of an offer's goods, or the return of work sent out; needs its order.

    Consolidated: lines of one supplier arrive together, with the slowest.
    """
    supplier = draft_supplier(draft, offer)
    key = f"delivery:{offer.id}"
    if key not in draft.charges:
        order = order_charge(draft, supplier)
        day = max(order_day(draft, supplier), earliest_order_day)
        table = lead_table(draft, offer.p50_days, offer.p90_days, day)
        together = supplier.delivery is DeliveryMode.CONSOLIDATED
        draft.charges[key] = Charge(
            id=key,
            kind="delivery",
            label=f"{offer.description}, {supplier.name}",
            lead_table_id=table.id,
            shipment=order if together else None,
            requires=(order,),
        )
    return key


def kit_charge(draft: Draft, offer: Offer, lines: tuple[AmountLine, ...], goods: int) -> str:
    """A kit, bought once however many of its parts are used; ``goods`` is its cost."""
    key = f"kit:{offer.id}"
    if key not in draft.charges:
        delivery = delivery_charge(draft, offer)
        draft.charges[key] = Charge(
            key,
            "kit",
            offer.description,
            lines,
            requires=(delivery,),
            goods_values=goods_values(draft, f"order:{offer.supplier_id}", goods),
        )
    return key


def draft_supplier(draft: Draft, offer: Offer) -> Supplier:
    """The supplier of an offer."""
    return draft.bench.suppliers[offer.supplier_id]


def order_day(draft: Draft, supplier: Supplier) -> int:
    """Index of the working day on which an order to a supplier goes out."""
    return draft.order_day_of[supplier.order_cutoff]


def lead_table(draft: Draft, p50_days: Decimal, p90_days: Decimal, day: int) -> LeadTable:
    """Chance by working day that what is ordered on ``day`` with these quotes has arrived."""
    key = f"lead:{p50_days:f}:{p90_days:f}:{day}"
    if key not in draft.lead_tables:
        chances = chance_by_day(p50_days, p90_days, day, draft.last_day)
        draft.lead_tables[key] = LeadTable(key, chances)
    return draft.lead_tables[key]


def disposal_charge(draft: Draft) -> tuple[str, ...]:
    """Taking away old parts and oil: once, where something stays behind."""
    lines = draft.pricing.disposal()
    if not lines:
        return ()
    draft.charges.setdefault("disposal", Charge("disposal", "disposal", "disposal", lines))
    return ("disposal",)


def reopening_hours(draft: Draft, planned: PlannedPosition) -> Decimal:
    """Hours to do a position's work again after a comeback: open, renew, close."""
    known = draft.reopening_at.get(planned.id)
    if known is None:
        known = _reopening_hours(draft, planned)
        draft.reopening_at[planned.id] = known
    return known


def _reopening_hours(draft: Draft, planned: PlannedPosition) -> Decimal:
    bench = draft.bench
    operations = list(bench.work_at(planned, OperationKind.RENEW))
    for group in bench.chain(planned.position.access_group_id):
        operations += bench.operations(OperationKind.OPEN, group_id=group.id)
        operations += bench.operations(OperationKind.CLOSE, group_id=group.id)
    return p50_hours(operations)
