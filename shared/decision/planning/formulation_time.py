"""Rows of time: all is there by an arrival day, the work is done from then on.

Where the ready day costs nothing, only the arrival days that differ in what can have come and still
leave time are planned with. Where it has its price, every day has a variable, as an arrival day
and as a ready day.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import gcd

from shared.decision.planning.case import LeadTable, Query
from shared.decision.planning.case_reader import CaseReader
from shared.decision.planning.problem import Formulation, Slip
from shared.decision.planning.timing import (
    budget_of,
    capped_weight,
    chance_on,
    minutes_left,
    ready_day,
)

Lines = Sequence[Sequence[tuple[LeadTable, int]]]
"""For each shipment its lead tables, each with the variable that says something of it is opened."""


@dataclass(frozen=True, slots=True)
class _Shipment:
    """What arrives together: for each lead table, the variables of the charges that have it."""

    lines: tuple[tuple[LeadTable, tuple[int, ...]], ...]


@dataclass(frozen=True)
class _Times:
    """The case, the question, and what of it every row below needs."""

    reader: CaseReader
    confidence: int
    ready_by: int
    least_minutes: int
    most_minutes: int

    def weight(self, table: LeadTable, day: int) -> int:
        """Weight of a table's chance by a day, one above the budget at most."""
        key = (self.confidence, table.id, day)
        known = self.reader.weights.get(key)
        if known is None:
            dependence = self.reader.case.arrival_dependence
            known = capped_weight(chance_on(table, day), self.confidence, dependence)
            self.reader.weights[key] = known
        return known

    @cached_property
    def budget(self) -> int:
        """What the weights of a plan may add up to."""
        return budget_of(self.confidence, self.reader.case.arrival_dependence)


def ready_by_deadline(
    problem: Formulation,
    reader: CaseReader,
    query: Query,
    relaxed: frozenset[str],
    slips: Sequence[Slip],
) -> None:
    """Ready by the deadline, the end of the calendar if none is asked; waiting has its price."""
    ready_by = reader.case.last_day if query.deadline is None else query.deadline
    least, most = reader.minutes_range
    if any(key.startswith("position:") for key in relaxed):
        least = 0
    times = _Times(reader, query.confidence, ready_by, least, most)
    shipments = _shipments(problem, reader)
    levels = _levels(times)
    if len(levels) > 1:
        days = _days_of_waiting(times, shipments, has_slips=bool(slips))
    else:
        days = _arrival_days(times, shipments)
        _pay_once(problem, levels)
    if not days:
        problem.is_possible = False
        return
    used: dict[int, int] = {}
    if len(days) > 1 or len(levels) > 1:
        used = {day: problem.variable() for day in days}
        problem.row(dict.fromkeys(used.values(), 1), 1, 1)
    if len(levels) > 1:
        _wait(problem, times, used, levels)
    else:
        _bench(problem, times, used, days)
    opened = _line_variables(problem, shipments)
    _too_late(problem, times, opened, days, used)
    for day in days:
        by_then = [index for other, index in used.items() if other <= day]
        _arrivals(problem, times, opened, day, by_then if len(by_then) < len(days) else [])
        for slip in slips:
            if day <= slip.day:
                _bar(problem, slip, used.get(day))


def _levels(times: _Times) -> dict[int, int]:
    """What waiting costs: for each amount, the last ready day that costs it. Empty: no waiting."""
    reader = times.reader
    if not reader.case.waiting:
        return {}
    soonest = min(ready_day(reader.case, 0, times.least_minutes), times.ready_by)
    levels: dict[int, int] = {}
    for day in range(max(soonest, 0), times.ready_by + 1):
        levels[reader.waiting_cost(day)] = day
    return {day: cost for cost, day in levels.items()}


def _pay_once(problem: Formulation, levels: Mapping[int, int]) -> None:
    """Waiting that costs the same whatever day it is: no choice, yet part of the aim."""
    for cost in levels.values():
        if cost:
            certain = problem.variable()
            problem.row({certain: 1}, 1, 1)
            problem.pay(certain, cost)


def _days_of_waiting(
    times: _Times, shipments: Sequence[_Shipment], *, has_slips: bool
) -> list[int]:
    """Arrival days worth planning with where sooner is never dearer.

    A day is left out where nothing has a better chance by it than by the one before, and after a
    day by which everything may have been ordered; not so once plans were found to miss the
    confidence by a hair, which a day more may mend.
    """
    kept: list[int] = []
    before: list[list[int]] | None = None
    for day in range(times.ready_by + 1):
        if minutes_left(times.reader.case, day, times.ready_by) < times.least_minutes:
            continue
        weights = [[times.weight(table, day) for table, _ in s.lines] for s in shipments]
        if has_slips or weights != before:
            kept.append(day)
        before = weights
        if not has_slips and sum(max(shipment) for shipment in weights) <= times.budget:
            break
    return kept


def _wait(
    problem: Formulation, times: _Times, used: Mapping[int, int], levels: Mapping[int, int]
) -> None:
    """Choose what is paid for waiting: the work is done by the last day of that amount."""
    case = times.reader.case
    problem.arrival_at = dict(used)
    paid = {day: problem.variable() for day in levels}
    problem.row(dict.fromkeys(paid.values(), 1), 1, 1)
    for day, index in paid.items():
        problem.pay(index, levels[day])
        # Nothing that arrives too late even for the least work is ready by then.
        late = {i: 1 for a, i in used.items() if ready_day(case, a, times.least_minutes) > day}
        sooner = {i: 1 for by, i in paid.items() if by <= day}
        if late and len(sooner) < len(paid):
            problem.row({**sooner, **late}, None, 1)
    terms = _bench_minutes(problem, times.reader)
    for day, index in used.items():
        terms[index] = terms.get(index, 0) - minutes_left(case, day, 0)
    for day, index in paid.items():
        terms[index] = terms.get(index, 0) - day * case.bench_minutes_per_day
    _at_most(problem, terms, 0)


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


def _arrival_days(times: _Times, shipments: Sequence[_Shipment]) -> list[int]:
    """Arrival days worth planning with: between too late to fit and needlessly early.

    A later day is kept only where something has a better chance by it than by the one before.
    """
    case, ready_by = times.reader.case, times.ready_by
    left = {day: minutes_left(case, day, ready_by) for day in range(ready_by + 1)}
    fits = [day for day, minutes in left.items() if minutes >= times.least_minutes]
    free = [day for day in fits if left[day] >= times.most_minutes]
    kept: list[int] = []
    before: list[int] | None = None
    for day in fits[len(free) - 1 :] if free else fits:
        weights = [times.weight(table, day) for s in shipments for table, _ in s.lines]
        if weights != before:
            kept.append(day)
            before = weights
    return kept


def _bench_minutes(problem: Formulation, reader: CaseReader) -> dict[int, int]:
    """Bench minutes of the plan, as terms."""
    terms: dict[int, int] = defaultdict(int)
    for source in reader.sources:
        if source.id in problem.source_at:
            terms[problem.source_at[source.id]] += source.bench_minutes
    for charge in reader.charges.values():
        if charge.id in problem.charge_at and not charge.is_open:
            terms[problem.charge_at[charge.id]] += charge.bench_minutes
    return terms


def _bench(
    problem: Formulation, times: _Times, used: Mapping[int, int], days: Sequence[int]
) -> None:
    """Bench minutes fit between arrival and deadline."""
    left = {day: minutes_left(times.reader.case, day, times.ready_by) for day in days}
    if min(left.values()) >= times.most_minutes:
        return
    terms = _bench_minutes(problem, times.reader)
    for day, index in used.items():
        terms[index] = terms.get(index, 0) - left[day]
    _at_most(problem, terms, 0 if used else left[days[0]])


def _at_most(problem: Formulation, minutes: Mapping[int, int], most: int) -> None:
    """A bound on minutes, in the largest unit in which all of them are whole."""
    terms = problem.lessened(minutes)
    unit = gcd(*terms.values()) or 1
    problem.row({index: factor // unit for index, factor in terms.items()}, None, most // unit)


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


def _too_late(
    problem: Formulation,
    times: _Times,
    shipments: Lines,
    days: Sequence[int],
    used: Mapping[int, int],
) -> None:
    """What cannot have come alone by some of the days is not opened with any of these."""
    for lines in shipments:
        for table, index in lines:
            early = [day for day in days if times.weight(table, day) > times.budget]
            if early:
                # Without a choice of days there is one, and that is too early.
                days_used = {used[day]: 1 for day in early if used}
                problem.row({**days_used, index: 1}, None, 1 if used else 0)


def _arrivals(
    problem: Formulation, times: _Times, shipments: Lines, day: int, by_then: Sequence[int]
) -> None:
    """The weights of all shipments by a day stay within the budget, if all is to be there by then.

    ``by_then``: the variables of the arrival days up to this one; none: it is the last. What meets
    the confidence by a sooner day meets it by this one.
    """
    total: dict[int, int] = defaultdict(int)
    budget, most = times.budget, 0
    for lines in shipments:
        weights: dict[int, int] = {}
        for table, index in lines:
            weight = times.weight(table, day)
            if 0 < weight <= budget and weight > weights.get(index, 0):
                weights[index] = weight
        if not weights:
            continue
        if len(weights) == 1:
            total[index := next(iter(weights))] += weights[index]
        else:
            total[_slowest(problem, weights)] += 1
        most += max(weights.values())
    if most <= budget:
        return
    for used in by_then:
        total[used] += most - budget
    problem.row(total, None, most if by_then else budget)


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
