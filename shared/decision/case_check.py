"""Whether a planning case is sound enough to be solved: ids, tree, ranges.

A case that fails here was built wrongly; the errors name the record and the field.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise

from shared.decision.case import CHANCE_ONE, AmountLine, Charge, PlanningCase, Query, Source
from shared.errors import InvalidInput, OutOfRange

AMOUNT_LIMIT = 10**12
"""Largest amount of one source or charge, minor units, either sign."""
TOTAL_LIMIT = 10**17
"""Largest sum of all amounts of a case: well inside the solver's 63 bits."""
MINUTES_LIMIT = 10**7
QUANTITY_LIMIT = 10**9
DAYS_LIMIT = 10**5


def check_case(case: PlanningCase) -> None:
    """Raise InvalidInput, or OutOfRange for a number, where a case cannot be solved as it stands.

    Amounts of one source or charge lie within 10^12 minor units, all together within 10^17.
    """
    _check_ids(case)
    _check_references(case)
    _check_tree({position.id: position.parent_id for position in case.positions})
    _check_charges(case.charges)
    _check_tables(case)
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
    for capacity in case.capacities:
        for quantity in (capacity.available, *(quantity for _, quantity in capacity.uses)):
            _within("capacities/quantity", quantity, 0, QUANTITY_LIMIT)
    if total > TOTAL_LIMIT:
        raise OutOfRange("lines", total, f"at most {TOTAL_LIMIT} minor units in all")


def _check_source(source: Source) -> None:
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
