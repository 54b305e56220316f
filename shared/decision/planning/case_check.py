"""Whether a planning case is sound enough to be solved: ids, tree, ranges.

A case that fails here was built wrongly; the errors name the record and the field.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

from shared.decision.planning.case import (
    CHANCE_ONE,
    AmountLine,
    Charge,
    CostClass,
    PlanningCase,
    Query,
    Source,
    StockItem,
)
from shared.errors import InvalidInput, OutOfRange

AMOUNT_LIMIT = 10**12
"""Largest amount of one source or charge, minor units, either sign."""
TOTAL_LIMIT = 10**17
"""Largest sum of all amounts of a case: well inside the solver's 63 bits."""
MINUTES_LIMIT = 10**7
QUANTITY_LIMIT = 10**9
DAYS_LIMIT = 10**5
RISK_LIMIT = 10**9


def check_case(case: PlanningCase) -> None:
    """Raise InvalidInput, or OutOfRange for a number, where a case cannot be solved as it stands.

    Amounts of one source or charge lie within 10^12 minor units, all together within 10^17.
    """
    _check_ids(case)
    _check_references(case)
    _check_tree({position.id: position.parent_id for position in case.positions})
    _check_charges(case.charges)
    _check_tables(case)
    for item in case.items:
        _check_item(item)
    _check_waiting(case)
    _check_amounts(case)
    _within("bench_minutes_per_day", case.bench_minutes_per_day, 1, MINUTES_LIMIT)
    _within("last_day", case.last_day, 0, DAYS_LIMIT)


def check_query(case: PlanningCase, query: Query) -> None:
    """Raise OutOfRange for an impossible confidence, InvalidInput for an unknown forced source."""
    check_confidence(query.confidence)
    if query.deadline is not None and query.deadline > DAYS_LIMIT:
        raise OutOfRange("deadline", query.deadline, f"at most {DAYS_LIMIT} working days")
    known = {source.id for source in case.sources}
    for source_id in sorted(query.forced_sources - known):
        raise _wrong("/forced_sources", f"source {source_id} is not in the case")


def check_confidence(confidence: int) -> None:
    """Raise OutOfRange unless a confidence in 10^-9 lies above 0 and at most at 10^9."""
    _within("confidence", confidence, 1, CHANCE_ONE)


def _check_ids(case: PlanningCase) -> None:
    kinds: Mapping[str, Iterable[str]] = {
        "positions": (position.id for position in case.positions),
        "sources": (source.id for source in case.sources),
        "charges": (charge.id for charge in case.charges),
        "lead_tables": (table.id for table in case.lead_tables),
        "capacities": (capacity.id for capacity in case.capacities),
        "matched_sets": (group.id for group in case.matched_sets),
        "renewed_together": (group.id for group in case.renewed_together),
        "items": (item.id for item in case.items),
        "waiting": (waiting.id for waiting in case.waiting),
    }
    for kind, ids in kinds.items():
        for record_id, count in Counter(ids).items():
            if count > 1:
                raise _wrong(f"/{kind}", f"{record_id} is there {count} times")


def _check_references(case: PlanningCase) -> None:
    positions = {position.id for position in case.positions}
    charges = {charge.id for charge in case.charges}
    sources = {source.id for source in case.sources}
    tables = {table.id for table in case.lead_tables}
    items = {item.id for item in case.items}
    values = [s.goods_values for s in case.sources] + [c.goods_values for c in case.charges]
    sets = (*case.matched_sets, *case.renewed_together)
    named: Sequence[tuple[str, Iterable[str | None], set[str]]] = (
        ("sources/position_id", (s.position_id for s in case.sources), positions),
        ("sources/charges", (c for s in case.sources for c in s.charges), charges),
        ("sources/only_while_closed", (s.only_while_closed for s in case.sources), charges),
        ("sources/core_charge", (s.core_charge for s in case.sources), charges),
        ("charges/requires", (r for c in case.charges for r in c.requires), charges),
        ("charges/lead_table_id", (c.lead_table_id for c in case.charges), tables),
        ("positions/always_renew_with", (p.always_renew_with for p in case.positions), charges),
        ("sets/position_ids", (p for g in sets for p in g.position_ids), positions),
        ("sources/purchases", (i for s in case.sources for i, _ in s.purchases), items),
        ("items/order_charge", (i.order_charge for i in case.items), charges),
        ("goods_values", (c for valued in values for c, _ in valued), charges),
        ("capacities/uses", (s for c in case.capacities for s, _ in c.uses), sources),
    )
    for field, ids, known in named:
        for record_id in ids:
            if record_id is not None and record_id not in known:
                raise _wrong(f"/{field}", f"{record_id} is not in the case")


def _check_tree(parents: Mapping[str, str | None]) -> None:
    roots = [position_id for position_id, parent_id in parents.items() if parent_id is None]
    if len(roots) != 1:
        raise _wrong("/positions", f"{len(roots)} positions have no parent, one must")
    sound = set(roots)
    for position_id in parents:
        path: list[str] = []
        at: str | None = position_id
        while at is not None and at not in sound:
            if at in path:
                raise _wrong("/positions", f"{at} lies below itself")
            if at not in parents:
                raise _wrong("/positions", f"parent {at} is not in the case")
            path.append(at)
            at = parents[at]
        sound.update(path)


def _check_charges(charges: Iterable[Charge]) -> None:
    requires = {charge.id: charge.requires for charge in charges}
    done: set[str] = set()

    def visit(charge_id: str, above: tuple[str, ...]) -> None:
        if charge_id in above:
            raise _wrong("/charges/requires", f"charge {charge_id} requires itself")
        if charge_id not in done:
            for other in requires[charge_id]:
                visit(other, (*above, charge_id))
            done.add(charge_id)

    for charge in charges:
        visit(charge.id, ())
        _within("charges/bench_minutes", charge.bench_minutes, 0, MINUTES_LIMIT)
        if charge.is_open and charge.lead_table_id is not None:
            raise _wrong("/charges", f"charge {charge.id} is open already, yet awaited")
        _check_order(charge)


def _check_order(charge: Charge) -> None:
    """Terms on what is ordered with a charge: none on an open one, nothing below 0."""
    for _, amount in charge.goods_values:
        _within("charges/goods_values", amount, 0, AMOUNT_LIMIT)
    terms = charge.order
    if terms is None:
        return
    if charge.is_open:
        raise _wrong("/charges/order", f"charge {charge.id} is open already, yet has order terms")
    for amount in (terms.minimum, terms.fee_cost, terms.fee_price, terms.free_from or 0):
        _within("charges/order", amount, 0, AMOUNT_LIMIT)
    freight = (line for line in charge.lines if line.cost_class is CostClass.FREIGHT)
    if any(line.cost < 0 or line.price < 0 for line in freight):
        raise _wrong("/charges/lines", f"the freight of charge {charge.id} is below nought")


def _check_item(item: StockItem) -> None:
    _within("items/pack_quantity", item.pack_quantity, 1, QUANTITY_LIMIT)
    _within("items/available", item.available or 0, 0, QUANTITY_LIMIT)
    if not item.tiers:
        raise _wrong("/items/tiers", f"item {item.id} has no price")
    for tier in item.tiers:
        _within("items/tiers/from_packs", tier.from_packs, 1, QUANTITY_LIMIT)
        for amount in (tier.cost, tier.price):
            _within("items/tiers", amount, 0, AMOUNT_LIMIT)
    if any(later.from_packs <= earlier.from_packs for earlier, later in pairwise(item.tiers)):
        raise _wrong("/items/tiers", f"the tiers of item {item.id} do not rise in packs")


def _check_waiting(case: PlanningCase) -> None:
    """Waiting has its price on every day of the calendar, and no day costs less than one before."""
    for waiting in case.waiting:
        for amounts in (waiting.cost_by_day, waiting.price_by_day):
            if len(amounts) <= case.last_day:
                raise _wrong("/waiting", f"{waiting.id} ends before the calendar")
            if any(later < earlier for earlier, later in pairwise(amounts)):
                raise _wrong("/waiting", f"{waiting.id} falls from one day to the next")
            for amount in (amounts[0], amounts[-1]):
                _within("waiting/amounts", amount, 0, AMOUNT_LIMIT)


def _check_tables(case: PlanningCase) -> None:
    for table in case.lead_tables:
        chances = table.chance_by_day
        if not chances or chances[0] < 0 or chances[-1] > CHANCE_ONE:
            raise _wrong("/lead_tables", f"{table.id} has no chances, or some outside 0 to 10^9")
        if any(later < earlier for earlier, later in pairwise(chances)):
            raise _wrong("/lead_tables", f"{table.id} falls from one day to the next")
        _within("lead_tables/chance_by_day", len(chances), 1, DAYS_LIMIT)


def _check_amounts(case: PlanningCase) -> None:
    total = sum(_amount("sources/lines", source.lines) for source in case.sources)
    total += sum(_amount("charges/lines", charge.lines) for charge in case.charges)
    for source in case.sources:
        _check_source(source)
        total += max(source.core_credit_price, source.core_credit_cost)
    for charge in case.charges:
        if charge.order is not None:
            terms = charge.order
            total += max(terms.minimum, terms.free_from or 0, terms.fee_cost, terms.fee_price)
    total += sum(max(w.cost_by_day[-1], w.price_by_day[-1]) for w in case.waiting)
    total += sum(_largest_purchase(case, item) for item in case.items)
    for capacity in case.capacities:
        for quantity in (capacity.available, *(quantity for _, quantity in capacity.uses)):
            _within("capacities/quantity", quantity, 0, QUANTITY_LIMIT)
    if total > TOTAL_LIMIT:
        raise OutOfRange("lines", total, f"at most {TOTAL_LIMIT} minor units in all")


def _largest_purchase(case: PlanningCase, item: StockItem) -> int:
    """No plan pays more for an item than this, which must lie within the limit."""
    pieces = sum(n for s in case.sources for item_id, n in s.purchases if item_id == item.id)
    packs = max(-(-pieces // item.pack_quantity), item.tiers[-1].from_packs)
    largest = packs * max(max(tier.cost, tier.price) for tier in item.tiers)
    _within("items/tiers", largest, 0, AMOUNT_LIMIT)
    return largest


def _check_source(source: Source) -> None:
    for _, pieces in source.purchases:
        _within("sources/purchases", pieces, 1, QUANTITY_LIMIT)
    for _, amount in source.goods_values:
        _within("sources/goods_values", amount, 0, AMOUNT_LIMIT)
    _within("sources/risk", source.risk, 0, RISK_LIMIT)
    _within("sources/core_credit_price", source.core_credit_price, 0, AMOUNT_LIMIT)
    _within("sources/core_credit_cost", source.core_credit_cost, 0, AMOUNT_LIMIT)
    _within("sources/bench_minutes", source.bench_minutes, 0, MINUTES_LIMIT)


def _amount(field: str, lines: Iterable[AmountLine]) -> int:
    """Sum of the amounts taken without their sign, each side within the limit."""
    price = cost = 0
    for line in lines:
        price += abs(line.price)
        cost += abs(line.cost)
    for amount in (price, cost):
        _within(field, amount, 0, AMOUNT_LIMIT)
    return max(price, cost)


def _within(field: str, value: int, low: int, high: int) -> None:
    if not low <= value <= high:
        raise OutOfRange(field, value, f"from {low} to {high}")


def _wrong(pointer: str, detail: str) -> InvalidInput:
    return InvalidInput(pointer, f"{detail}.", "Mend the planning case.", "case-unsound")
