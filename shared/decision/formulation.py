"""A planning case as a linear problem in whole numbers: variables, rows, an aim.

Knows nothing of any solver. Binary: a source is chosen, a charge is opened, a core credit is lost,
an arrival day is the one planned with. Rows are built so that a charge is opened exactly when a
chosen source needs it. Everything is taken in the order of ids, so that a case gives the same
problem however its records were sorted.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from shared.decision.case import (
    CaseSet,
    Charge,
    LeadTable,
    PlanningCase,
    Query,
    Source,
)
from shared.decision.timing import capped_weight, chance_on, minutes_left, weight_of

Terms = Mapping[int, int]
"""Variable index to coefficient."""


@dataclass(frozen=True, slots=True)
class Row:
    """low <= sum of coefficient times variable <= high; None: no bound on that side."""

    terms: Terms
    low: int | None
    high: int | None


@dataclass(frozen=True, slots=True)
class Slip:
    """These charges together are not there by a day after all (``timing.meets_confidence``)."""

    day: int
    charge_ids: frozenset[str]


@dataclass
class Formulation:
    """The problem. Variable i is a whole number from 0 to ``highs[i]``."""

    highs: list[int] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    aim: dict[int, int] = field(default_factory=dict)
    source_at: dict[str, int] = field(default_factory=dict)
    charge_at: dict[str, int] = field(default_factory=dict)
    is_possible: bool = True
    """False: found impossible while it was written down."""

    def variable(self, high: int = 1) -> int:
        """Add a variable, return its index."""
        self.highs.append(high)
        return len(self.highs) - 1

    def row(self, terms: Terms, low: int | None, high: int | None) -> None:
        """Add a row; one without terms is settled at once."""
        kept = {index: factor for index, factor in terms.items() if factor}
        if kept:
            self.rows.append(Row(kept, low, high))
        elif (low is not None and low > 0) or (high is not None and high < 0):
            self.is_possible = False


class CaseReader:
    """A case in the order of ids, with the look-ups that every formulation of it needs."""

    def __init__(self, case: PlanningCase) -> None:
        self.case = case
        self.positions = sorted(case.positions, key=lambda position: position.id)
        self.sources = sorted(case.sources, key=lambda source: source.id)
        self.charges = {
            charge.id: charge for charge in sorted(case.charges, key=lambda charge: charge.id)
        }
        self.tables: dict[str, LeadTable] = {table.id: table for table in case.lead_tables}
        self.parents = {position.id: position.parent_id for position in self.positions}
        self.children: dict[str, list[str]] = defaultdict(list)
        for position in self.positions:
            if position.parent_id is not None:
                self.children[position.parent_id].append(position.id)
        self.at: dict[str, list[Source]] = defaultdict(list)
        for source in self.sources:
            self.at[source.position_id].append(source)

    def amount(self, item: Source | Charge) -> int:
        """What an item adds to the aim, minor units."""
        return sum(line.price if self.case.counts_price else line.cost for line in item.lines)

    def core_credit(self, source: Source) -> int:
        """What the aim loses with a source's core credit, minor units."""
        return source.core_credit_price if self.case.counts_price else source.core_credit_cost

    @cached_property
    def root(self) -> str:
        """The position without a parent."""
        return next(position.id for position in self.positions if position.parent_id is None)

    def upward(self, position_id: str) -> Iterable[str]:
        """The positions above one, nearest first."""
        parent_id = self.parents[position_id]
        while parent_id is not None:
            yield parent_id
            parent_id = self.parents[parent_id]

    def covering(self, position_id: str) -> list[Source]:
        """Sources that fill a position: its own, and the wholes further up."""
        above = (
            source
            for parent_id in self.upward(position_id)
            for source in self.at[parent_id]
            if not source.resolves_children
        )
        return [*self.at[position_id], *above]

    @cached_property
    def minutes_range(self) -> tuple[int, int]:
        """Bounds on the bench minutes of any plan."""
        low, high = self._source_minutes(self.root)
        charges = sum(charge.bench_minutes for charge in self.charges.values())
        return low, high + charges

    def _source_minutes(self, position_id: str) -> tuple[int, int]:
        below: tuple[int, int] | None = None
        bounds: list[tuple[int, int]] = []
        for source in self.at[position_id]:
            low = high = source.bench_minutes
            if source.resolves_children:
                if below is None:
                    parts = [self._source_minutes(child) for child in self.children[position_id]]
                    below = (sum(part[0] for part in parts), sum(part[1] for part in parts))
                low, high = low + below[0], high + below[1]
            bounds.append((low, high))
        return min((b[0] for b in bounds), default=0), max((b[1] for b in bounds), default=0)


def formulate(
    reader: CaseReader,
    query: Query,
    relaxed: frozenset[str] = frozenset(),
    slips: Sequence[Slip] = (),
) -> Formulation:
    """Write a case and a query down as a linear problem.

    ``relaxed``: keys of requirements to leave out: "deadline", "position:<id>", "matched:<id>",
    "together:<id>", "always:<position id>", "physical:<part>", "capacity:<id>", "forced:<source
    id>", "refit". ``slips``: what earlier solves found to miss the confidence.
    """
    problem = Formulation()
    _choices(problem, reader, query, relaxed)
    _openings(problem, reader)
    _sets(problem, reader, relaxed)
    _always(problem, reader, relaxed)
    _left_in_place(problem, reader)
    _limits(problem, reader, relaxed)
    _refit(problem, reader, relaxed)
    _amounts(problem, reader)
    if "deadline" not in relaxed:
        _time(problem, reader, query, relaxed, slips)
    return problem


def _choices(
    problem: Formulation, reader: CaseReader, query: Query, relaxed: frozenset[str]
) -> None:
    """The tree: one source at the root, and at each child of a position that is resolved."""
    for source in reader.sources:
        if source.id not in query.barred_sources:
            problem.source_at[source.id] = problem.variable()
    at = problem.source_at
    for position in reader.positions:
        terms = {at[source.id]: 1 for source in reader.at[position.id] if source.id in at}
        if position.parent_id is not None:
            for source in reader.at[position.parent_id]:
                if source.resolves_children and source.id in at:
                    terms[at[source.id]] = -1
        due = 1 if position.parent_id is None else 0
        need = None if f"position:{position.id}" in relaxed else due
        problem.row(terms, need, due)
    for source_id in sorted(query.forced_sources):
        if f"forced:{source_id}" not in relaxed:
            problem.row({at[source_id]: 1} if source_id in at else {}, 1, 1)


def _openings(problem: Formulation, reader: CaseReader) -> None:
    """A charge is opened exactly when a chosen source, or an opened charge, needs it."""
    cores = {source.core_charge for source in reader.sources}
    users: dict[str, dict[str, list[int]]] = defaultdict(lambda: defaultdict(list))
    for source in reader.sources:
        if source.id in problem.source_at:
            for charge_id in sorted(set(source.charges)):
                users[charge_id][source.position_id].append(problem.source_at[source.id])
    needing: dict[str, list[str]] = defaultdict(list)
    for charge in reader.charges.values():
        for other in sorted(set(charge.requires)) if not charge.is_open else ():
            needing[other].append(charge.id)
    for charge_id in _needing_first(reader.charges, needing):
        if not reader.charges[charge_id].is_open or charge_id in cores:
            above = [problem.charge_at[c] for c in needing[charge_id] if c in problem.charge_at]
            _opening(problem, charge_id, users[charge_id], above)


def _needing_first(charges: Mapping[str, Charge], needing: Mapping[str, list[str]]) -> list[str]:
    """Charge ids, each after all the charges that require it."""
    done: dict[str, None] = {}

    def visit(charge_id: str) -> None:
        if charge_id not in done:
            for other in needing.get(charge_id, ()):
                visit(other)
            done[charge_id] = None

    for charge_id in charges:
        visit(charge_id)
    return list(done)


def _opening(
    problem: Formulation, charge_id: str, users: Mapping[str, list[int]], above: list[int]
) -> None:
    """One charge; what only one source or charge needs is the same variable as that one."""
    single = [index for indices in users.values() for index in indices] + above
    if not single:
        return
    if len(single) == 1:
        problem.charge_at[charge_id] = single[0]
        return
    opened = problem.variable()
    problem.charge_at[charge_id] = opened
    at_most = dict.fromkeys(single, -1)
    problem.row({opened: 1, **at_most}, None, 0)
    for indices in users.values():
        problem.row({opened: -1, **dict.fromkeys(indices, 1)}, None, 0)
    for index in above:
        problem.row({opened: -1, index: 1}, None, 0)


def _sets(problem: Formulation, reader: CaseReader, relaxed: frozenset[str]) -> None:
    """Matched sets come from one unit; what is renewed together is renewed at all or none."""
    for group in sorted(reader.case.matched_sets, key=lambda group: group.id):
        if f"matched:{group.id}" not in relaxed:
            _matched(problem, reader, group)
    for group in sorted(reader.case.renewed_together, key=lambda group: group.id):
        if f"together:{group.id}" not in relaxed:
            renewals = [_renewals(problem, reader, member) for member in group.position_ids]
            _equal(problem, renewals)


def _matched(problem: Formulation, reader: CaseReader, group: CaseSet) -> None:
    by_unit: dict[tuple[str, str], list[dict[int, int]]] = {}
    for place, position_id in enumerate(group.position_ids):
        for source in reader.covering(position_id):
            if source.id in problem.source_at:
                unit = (
                    ("unit", source.matched_unit) if source.matched_unit else ("source", source.id)
                )
                sums = by_unit.setdefault(unit, [{} for _ in group.position_ids])
                sums[place][problem.source_at[source.id]] = 1
    for _, sums in sorted(by_unit.items()):
        _equal(problem, sums)


def _renewals(problem: Formulation, reader: CaseReader, position_id: str) -> dict[int, int]:
    return {
        problem.source_at[source.id]: 1
        for source in reader.covering(position_id)
        if source.fits_another_part
        and not source.resolves_children
        and source.id in problem.source_at
    }


def _equal(problem: Formulation, sums: Sequence[Mapping[int, int]]) -> None:
    """All these sums are equal; what stands in both sides of a row falls out."""
    for other in sums[1:]:
        first = sums[0]
        difference = {index: 1 for index in first if index not in other}
        difference.update({index: -1 for index in other if index not in first})
        if difference:
            problem.row(difference, 0, 0)


def _always(problem: Formulation, reader: CaseReader, relaxed: frozenset[str]) -> None:
    """A position whose group is opened gets no part that has run."""
    for position in reader.positions:
        charge_id = position.always_renew_with
        if charge_id is None or f"always:{position.id}" in relaxed:
            continue
        run = {
            problem.source_at[source.id]: 1
            for source in reader.at[position.id]
            if not source.is_unused
            and not source.resolves_children
            and source.id in problem.source_at
        }
        if reader.charges[charge_id].is_open:
            problem.row(run, None, 0)
        elif charge_id in problem.charge_at:
            opened = problem.charge_at[charge_id]
            # A source that alone opens the group is that same variable, and so ruled out.
            problem.row({**run, opened: run.get(opened, 0) + 1}, None, 1)


def _left_in_place(problem: Formulation, reader: CaseReader) -> None:
    """A part left where it is excludes the opening of the group it lies behind."""
    for source in reader.sources:
        charge_id = source.only_while_closed
        if charge_id is None or source.id not in problem.source_at:
            continue
        chosen = problem.source_at[source.id]
        if reader.charges[charge_id].is_open:
            problem.row({chosen: 1}, None, 0)
        elif charge_id in problem.charge_at:
            opened = problem.charge_at[charge_id]
            terms = {chosen: 1}
            terms[opened] = terms.get(opened, 0) + 1
            problem.row(terms, None, 1)


def _limits(problem: Formulation, reader: CaseReader, relaxed: frozenset[str]) -> None:
    """Parts that exist once, and quantities on hand."""
    uses: dict[str, dict[int, int]] = defaultdict(dict)
    for source in reader.sources:
        for part in source.physical_parts:
            if source.id in problem.source_at:
                uses[part][problem.source_at[source.id]] = 1
    for part, terms in sorted(uses.items()):
        if len(terms) > 1 and f"physical:{part}" not in relaxed:
            problem.row(terms, None, 1)
    for capacity in sorted(reader.case.capacities, key=lambda capacity: capacity.id):
        terms = defaultdict(int)
        for source_id, quantity in capacity.uses:
            if source_id in problem.source_at:
                terms[problem.source_at[source_id]] += quantity
        if sum(terms.values()) > capacity.available and f"capacity:{capacity.id}" not in relaxed:
            problem.row(terms, None, capacity.available)


def _refit(problem: Formulation, reader: CaseReader, relaxed: frozenset[str]) -> None:
    """A source allowed only at a refit bars every source that is more than a refit."""
    refit = [s for s in reader.sources if s.refit_only and s.id in problem.source_at]
    if not refit or "refit" in relaxed:
        return
    free = {p.id for p in reader.positions if p.always_renew_with is not None}
    beyond = [
        source
        for source in reader.sources
        if source.id in problem.source_at
        and not source.resolves_children
        and not source.is_keep
        and source.position_id not in free
    ]
    is_refit = problem.variable()
    for source in refit:
        problem.row({problem.source_at[source.id]: 1, is_refit: -1}, None, 0)
    for source in beyond:
        terms = {problem.source_at[source.id]: 1}
        if not source.refit_only:
            problem.row({**terms, is_refit: 1}, None, 1)
            continue
        for other in refit:
            if other.id != source.id:
                problem.row({**terms, problem.source_at[other.id]: 1}, None, 1)


def _amounts(problem: Formulation, reader: CaseReader) -> None:
    """The aim: amounts of sources and opened charges, and core credits lost."""
    aim: dict[int, int] = defaultdict(int)
    for source in reader.sources:
        if source.id in problem.source_at:
            aim[problem.source_at[source.id]] += reader.amount(source)
    for charge in reader.charges.values():
        if charge.id in problem.charge_at and not charge.is_open:
            aim[problem.charge_at[charge.id]] += reader.amount(charge)
    for source in reader.sources:
        credit = reader.core_credit(source)
        if credit and source.core_charge in problem.charge_at and source.id in problem.source_at:
            lost = problem.variable()
            chosen, opened = problem.source_at[source.id], problem.charge_at[source.core_charge]
            both = {chosen: 1, opened: 1} if chosen != opened else {chosen: 2}
            problem.row({**both, lost: -1}, None, 1)
            aim[lost] += credit
    problem.aim = {index: factor for index, factor in aim.items() if factor}


@dataclass(frozen=True, slots=True)
class _Shipment:
    """What arrives together: for each lead table, the variables of the charges that have it."""

    lines: tuple[tuple[LeadTable, tuple[int, ...]], ...]


def _time(
    problem: Formulation,
    reader: CaseReader,
    query: Query,
    relaxed: frozenset[str],
    slips: Sequence[Slip],
) -> None:
    """Ready by the deadline: all there by one of the arrival days, fitted from then on."""
    case = reader.case
    ready_by = case.last_day if query.deadline is None else query.deadline
    shipments = _shipments(problem, reader)
    least, most = reader.minutes_range
    if any(key.startswith("position:") for key in relaxed):
        least = 0
    days = _arrival_days(reader, shipments, ready_by, query.confidence, (least, most))
    if not days:
        problem.is_possible = False
        return
    used = {day: problem.variable() for day in days} if len(days) > 1 else {}
    if used:
        problem.row(dict.fromkeys(used.values(), 1), 1, 1)
    _bench(problem, reader, used, days, ready_by)
    opened = _line_variables(problem, shipments)
    for day in days:
        _arrivals(problem, opened, day, used.get(day), query.confidence)
        for slip in slips:
            if day <= slip.day:
                _bar(problem, slip, used.get(day))


def _shipments(problem: Formulation, reader: CaseReader) -> list[_Shipment]:
    lines: dict[tuple[str, str], dict[str, list[int]]] = defaultdict(lambda: defaultdict(list))
    for charge in reader.charges.values():
        if charge.lead_table_id is not None and charge.id in problem.charge_at:
            key = ("shipment", charge.shipment) if charge.shipment else ("charge", charge.id)
            lines[key][charge.lead_table_id].append(problem.charge_at[charge.id])
    return [
        _Shipment(
            tuple((reader.tables[table_id], tuple(v)) for table_id, v in sorted(by_table.items()))
        )
        for _, by_table in sorted(lines.items())
    ]


def _arrival_days(
    reader: CaseReader,
    shipments: Sequence[_Shipment],
    ready_by: int,
    confidence: int,
    minutes_range: tuple[int, int],
) -> list[int]:
    """Arrival days worth planning with: between too late to fit and needlessly early.

    A later day is kept only where something has a better chance by it than by the one before.
    """
    least, most = minutes_range
    left = {day: minutes_left(reader.case, day, ready_by) for day in range(ready_by + 1)}
    fits = [day for day, minutes in left.items() if minutes >= least]
    free = [day for day in fits if left[day] >= most]
    kept: list[int] = []
    before: list[int] | None = None
    for day in fits[len(free) - 1 :] if free else fits:
        weights = [
            capped_weight(chance_on(table, day), confidence)
            for shipment in shipments
            for table, _ in shipment.lines
        ]
        if weights != before:
            kept.append(day)
            before = weights
    return kept


def _bench(
    problem: Formulation,
    reader: CaseReader,
    used: Mapping[int, int],
    days: Sequence[int],
    ready_by: int,
) -> None:
    """Bench minutes fit between arrival and deadline."""
    left = {day: minutes_left(reader.case, day, ready_by) for day in days}
    if min(left.values()) >= reader.minutes_range[1]:
        return
    terms: dict[int, int] = defaultdict(int)
    for source in reader.sources:
        if source.id in problem.source_at:
            terms[problem.source_at[source.id]] += source.bench_minutes
    for charge in reader.charges.values():
        if charge.id in problem.charge_at and not charge.is_open:
            terms[problem.charge_at[charge.id]] += charge.bench_minutes
    for day, index in used.items():
        terms[index] -= left[day]
    problem.row(terms, None, 0 if used else left[days[0]])


def _line_variables(
    problem: Formulation, shipments: Sequence[_Shipment]
) -> list[list[tuple[LeadTable, int]]]:
    """For each shipment and lead table one variable: some charge of it is opened."""
    return [
        [(table, _any_of(problem, indices)) for table, indices in shipment.lines]
        for shipment in shipments
    ]


def _any_of(problem: Formulation, indices: Sequence[int]) -> int:
    distinct = sorted(set(indices))
    if len(distinct) == 1:
        return distinct[0]
    some = problem.variable()
    for index in distinct:
        problem.row({index: 1, some: -1}, None, 0)
    return some


def _arrivals(
    problem: Formulation,
    shipments: Sequence[Sequence[tuple[LeadTable, int]]],
    day: int,
    used: int | None,
    confidence: int,
) -> None:
    """If this arrival day is used, the weights of all shipments by it stay within the budget."""
    total: dict[int, int] = defaultdict(int)
    budget, most = weight_of(confidence), 0
    for lines in shipments:
        weights: dict[int, int] = {}
        for table, index in lines:
            weight = capped_weight(chance_on(table, day), confidence)
            if weight > budget:
                problem.row({index: 1} if used is None else {index: 1, used: 1}, None, _one(used))
            elif weight:
                weights[index] = max(weight, weights.get(index, 0))
        if len(weights) == 1:
            ((index, weight),) = weights.items()
            total[index] += weight
        elif weights:
            total[_slowest(problem, weights)] += 1
        most += max(weights.values(), default=0)
    if most <= budget:
        return
    if used is not None:
        total[used] += most - budget
    problem.row(total, None, budget if used is None else most)


def _one(used: int | None) -> int:
    return 0 if used is None else 1


def _slowest(problem: Formulation, weights: Mapping[int, int]) -> int:
    """A variable no smaller than the weight of any line that is opened."""
    slowest = problem.variable(max(weights.values()))
    for index, weight in weights.items():
        problem.row({index: weight, slowest: -1}, None, 0)
    return slowest


def _bar(problem: Formulation, slip: Slip, used: int | None) -> None:
    if not slip.charge_ids <= problem.charge_at.keys():
        return
    terms = {problem.charge_at[charge_id]: 1 for charge_id in sorted(slip.charge_ids)}
    if used is not None:
        terms[used] = 1
    problem.row(terms, None, len(terms) - 1)
