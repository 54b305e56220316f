"""A plan recomputed by plain arithmetic: every rule, every amount, every day.

The second opinion on the solver: it shares no formulation with it, only the case and the integer
arithmetic of days. A rule that is broken has the key that ``infeasible.py`` uses for it.
"""

from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable, Mapping

from shared.decision.planning.case import (
    AmountLine,
    CasePosition,
    CaseSet,
    Charge,
    CostClass,
    LeadTable,
    Plan,
    PlanningCase,
    Source,
)
from shared.decision.planning.orders import Bought, buy, short_of_orders
from shared.decision.planning.timing import (
    budget_of,
    capped_weight,
    chance_on,
    joint_chance,
    latest_arrival,
    meets_confidence,
    ready_day,
)
from shared.errors import CorewrightError


class PlanError(CorewrightError):
    """A choice of sources breaks rules of its case; ``rules`` has their keys."""

    code = "plan-broken"

    def __init__(self, rules: tuple[str, ...]) -> None:
        super().__init__("The plan breaks: " + ", ".join(rules))
        self.rules = rules


def evaluate(case: PlanningCase, source_ids: Iterable[str], confidence: int) -> Plan:
    """Work out the plan that a choice of sources is, amounts in minor units, days as in the case.

    Packs, top-ups and fees are those that come cheapest. Raises PlanError with every rule broken;
    "arrival" is broken when no day has the confidence (10^-9). Whether the ready day is soon
    enough, and the risk small enough, is the asker's to judge.
    """
    ids = tuple(sorted(set(source_ids)))
    rules = broken_rules(case, ids)
    if rules:
        raise PlanError(rules)
    chosen = _chosen(case, ids)
    opened = _opened(case, chosen)
    arrival = _arrival_day(case, opened, confidence)
    if arrival is None:
        raise PlanError(("arrival",))
    paid = tuple(charge for charge in opened if not charge.is_open)
    minutes = sum(source.bench_minutes for source in chosen)
    minutes += sum(charge.bench_minutes for charge in paid)
    ready = ready_day(case, arrival, minutes)
    bought = buy(case, chosen, paid)
    lines = (
        *_lines(chosen, paid, {charge.id for charge in opened}, bought),
        *_waiting(case, ready),
    )
    return Plan(
        source_ids=ids,
        charge_ids=tuple(charge.id for charge in paid),
        lines=lines,
        objective=sum(line.price if case.counts_price else line.cost for line in lines),
        billed_price=sum(line.price for line in lines if line.is_billed),
        billed_cost=sum(line.cost for line in lines if line.is_billed),
        bench_minutes=minutes,
        ready_day=ready,
        arrival_day=arrival,
        risk=sum(source.risk for source in chosen),
        packs=bought.packs,
    )


def broken_rules(case: PlanningCase, source_ids: Iterable[str]) -> tuple[str, ...]:
    """Keys of the rules that a choice of sources breaks, days left aside; empty: none."""
    ids = set(source_ids)
    known = {source.id for source in case.sources}
    unknown = sorted(f"unknown:{source_id}" for source_id in ids - known)
    if unknown:
        return tuple(unknown)
    chosen = _chosen(case, ids)
    needed = _opened(case, chosen)
    opened = {charge.id for charge in needed}
    opened |= {charge.id for charge in case.charges if charge.is_open}
    return (
        *_unfilled(case, chosen),
        *_uneven_sets(case, chosen),
        *_not_renewed(case, chosen, opened),
        *_not_in_place(chosen, opened),
        *_used_twice(chosen),
        *_beyond_capacity(case, ids),
        *short_of_orders(case, chosen, [charge for charge in needed if not charge.is_open]),
        *_more_than_refit(case, chosen),
    )


def arrival_chance(case: PlanningCase, plan: Plan, day: int) -> float:
    """True chance that all a plan awaits is there by the end of a working day.

    Under any dependence the chance that is certain whatever hangs together.
    """
    opened = _opened(case, _chosen(case, plan.source_ids))
    return joint_chance(shipment_chances(case, opened, day), case.arrival_dependence)


def ready_chance(case: PlanningCase, plan: Plan, day: int) -> float:
    """True chance that a plan is fitted by the end of a working day; its bench time is certain."""
    arrival = latest_arrival(case, plan.bench_minutes, day)
    return 0.0 if arrival is None else arrival_chance(case, plan, arrival)


def shipment_chances(case: PlanningCase, opened: Iterable[Charge], day: int) -> list[int]:
    """Chance (10^-9) of each shipment to be there by the end of a day: that of its slowest line."""
    return [min(chance_on(table, day) for table in tables) for tables in _shipments(case, opened)]


def _shipments(case: PlanningCase, opened: Iterable[Charge]) -> list[list[LeadTable]]:
    """What arrives together, each as the lead tables of its lines."""
    tables: dict[str, LeadTable] = {table.id: table for table in case.lead_tables}
    found: dict[tuple[str, str], list[LeadTable]] = {}
    for charge in opened:
        if charge.lead_table_id is not None:
            key = ("shipment", charge.shipment) if charge.shipment else ("charge", charge.id)
            found.setdefault(key, []).append(tables[charge.lead_table_id])
    return list(found.values())


def _chosen(case: PlanningCase, source_ids: Iterable[str]) -> tuple[Source, ...]:
    ids = set(source_ids)
    return tuple(
        sorted((source for source in case.sources if source.id in ids), key=lambda s: s.id)
    )


def _opened(case: PlanningCase, chosen: Iterable[Source]) -> tuple[Charge, ...]:
    """Charges that the chosen sources need, directly or through another.

    What is open already ends the chain: it costs nothing and calls for nothing.
    """
    by_id = {charge.id: charge for charge in case.charges}
    found: dict[str, Charge] = {}
    waiting = [charge_id for source in chosen for charge_id in source.charges]
    while waiting:
        charge = by_id[waiting.pop()]
        if charge.id not in found:
            found[charge.id] = charge
            waiting.extend(() if charge.is_open else charge.requires)
    return tuple(found[charge_id] for charge_id in sorted(found))


def _lines(
    chosen: Iterable[Source], paid: Iterable[Charge], opened: set[str], bought: Bought
) -> tuple[AmountLine, ...]:
    own = [line for source in chosen for line in source.lines]
    shared = [
        line
        for charge in paid
        for line in charge.lines
        if line.cost_class is not CostClass.FREIGHT or charge.id not in bought.travels_free
    ]
    lost = [
        AmountLine(
            CostClass.CORE_CREDIT,
            f"core credit lost: {source.core_charge}",
            source.core_credit_cost,
            source.core_credit_price,
            is_billed=False,
        )
        for source in chosen
        if source.core_charge in opened
    ]
    return (*own, *bought.goods, *shared, *bought.extras, *lost)


def _waiting(case: PlanningCase, ready: int) -> list[AmountLine]:
    """What waiting until the ready day comes to; after a table's end, what its last day says."""
    lines = [
        AmountLine(
            waiting.cost_class,
            waiting.label,
            waiting.cost_by_day[min(ready, len(waiting.cost_by_day) - 1)],
            waiting.price_by_day[min(ready, len(waiting.price_by_day) - 1)],
            waiting.is_billed,
        )
        for waiting in sorted(case.waiting, key=lambda waiting: waiting.id)
    ]
    return [line for line in lines if line.cost or line.price]


def _unfilled(case: PlanningCase, chosen: Iterable[Source]) -> list[str]:
    """Positions filled not at all, twice, or though their parent is not resolved."""
    count = Counter(source.position_id for source in chosen)
    resolved = {source.position_id for source in chosen if source.resolves_children}
    return [
        f"position:{position.id}"
        for position in case.positions
        if count[position.id] != (position.parent_id is None or position.parent_id in resolved)
    ]


def _uneven_sets(case: PlanningCase, chosen: tuple[Source, ...]) -> list[str]:
    """Matched sets filled from more than one unit, and sets that are renewed in part."""
    matched = [
        f"matched:{group.id}"
        for group in case.matched_sets
        if len({_unit_of(source) for source in _covering(case, chosen, group)}) > 1
    ]
    together = [
        f"together:{group.id}"
        for group in case.renewed_together
        if len({_renews(source) for source in _covering(case, chosen, group)}) > 1
    ]
    return matched + together


def _unit_of(source: Source | None) -> object:
    """The unit a source comes from; one that names none is a unit of its own."""
    if source is None:
        return None
    return ("unit", source.matched_unit) if source.matched_unit else ("source", source.id)


def _renews(source: Source | None) -> bool:
    return source is not None and source.fits_another_part and not source.resolves_children


def _covering(case: PlanningCase, chosen: Iterable[Source], group: CaseSet) -> list[Source | None]:
    """For each position of a set, the source that fills it: its own, or a whole further up."""
    at = {source.position_id: source for source in chosen}
    positions = {position.id: position for position in case.positions}
    return [_source_over(positions, at, position_id) for position_id in group.position_ids]


def _source_over(
    positions: Mapping[str, CasePosition], at: Mapping[str, Source], position_id: str
) -> Source | None:
    if position_id in at:
        return at[position_id]
    parent_id = positions[position_id].parent_id
    while parent_id is not None:
        source = at.get(parent_id)
        if source is not None and not source.resolves_children:
            return source
        parent_id = positions[parent_id].parent_id
    return None


def _not_renewed(case: PlanningCase, chosen: Iterable[Source], opened: set[str]) -> list[str]:
    """Positions whose renewal is due, as their group is open, and that get a part that has run."""
    due = {position.id for position in case.positions if position.always_renew_with in opened}
    return [
        f"always:{source.position_id}"
        for source in chosen
        if source.position_id in due and not source.resolves_children and not source.is_unused
    ]


def _not_in_place(chosen: Iterable[Source], opened: set[str]) -> list[str]:
    """Parts said to stay where they are although the group they lie behind is opened."""
    return [f"closed:{source.id}" for source in chosen if source.only_while_closed in opened]


def _used_twice(chosen: Iterable[Source]) -> list[str]:
    use = Counter(part for source in chosen for part in set(source.physical_parts))
    return [f"physical:{part}" for part in sorted(use) if use[part] > 1]


def _beyond_capacity(case: PlanningCase, ids: set[str]) -> list[str]:
    return [
        f"capacity:{capacity.id}"
        for capacity in case.capacities
        if sum(quantity for source_id, quantity in capacity.uses if source_id in ids)
        > capacity.available
    ]


def _more_than_refit(case: PlanningCase, chosen: tuple[Source, ...]) -> list[str]:
    """A source allowed only at a refit, beside one that is more than a refit."""
    free = {position.id for position in case.positions if position.always_renew_with is not None}
    beyond = {
        source.id
        for source in chosen
        if not source.resolves_children and not source.is_keep and source.position_id not in free
    }
    refit = (source.id for source in chosen if source.refit_only)
    return ["refit"] if any(beyond - {source_id} for source_id in refit) else []


def _arrival_day(case: PlanningCase, opened: tuple[Charge, ...], confidence: int) -> int | None:
    """First day on which all is there with the confidence (10^-9); None: there is none.

    Chances never fall from one day to the next, so that the days may be halved.
    """
    dependence = case.arrival_dependence
    budget = budget_of(confidence, dependence)
    shipments = _shipments(case, opened)

    def is_met(day: int) -> bool:
        chances = [min(chance_on(table, day) for table in tables) for tables in shipments]
        weights = sum(capped_weight(chance, confidence, dependence) for chance in chances)
        return weights <= budget and meets_confidence(chances, confidence, dependence)

    lengths = (len(table.chance_by_day) for tables in shipments for table in tables)
    last = max(lengths, default=1) - 1
    if not is_met(last):
        return None
    return bisect_left(range(last), True, key=is_met)
