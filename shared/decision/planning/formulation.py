"""A planning case as a linear problem in whole numbers: variables, rows, an aim.

Knows nothing of any solver. Binary: a source is chosen, a charge is opened, a core credit is lost,
an item is bought in a tier or up to its break, freight is free, a fee is paid, an arrival day and a
ready day are those planned with. Whole numbers: packs, top-ups. Rows are built so that a charge is
opened exactly when a chosen source needs it. Everything is taken in the order of ids, so that a
case gives the same problem however its records were sorted.
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence

from shared.decision.planning.case import Query
from shared.decision.planning.case_reader import CaseReader
from shared.decision.planning.formulation_orders import purchases
from shared.decision.planning.formulation_rules import rules
from shared.decision.planning.formulation_time import ready_by_deadline
from shared.decision.planning.problem import Formulation, Row, Slip

__all__ = ["CaseReader", "Formulation", "Row", "Slip", "formulate"]


def formulate(
    reader: CaseReader,
    query: Query,
    relaxed: frozenset[str] = frozenset(),
    slips: Sequence[Slip] = (),
) -> Formulation:
    """Write a case and a query down as a linear problem.

    ``relaxed``: keys of requirements to leave out: "deadline" (nothing is awaited then, and waiting
    costs nothing), "position:<id>", "matched:<id>", "together:<id>", "always:<position id>",
    "physical:<part>", "capacity:<id>", "available:<item id>", "minimum:<charge id>",
    "forced:<source id>", "refit", "risk". ``slips``: what earlier solves found to miss the
    confidence.
    """
    problem = Formulation()
    _choices(problem, reader, query, relaxed)
    _openings(problem, reader)
    rules(problem, reader, relaxed)
    _amounts(problem, reader)
    purchases(problem, reader, relaxed)
    if query.risk_limit is not None and "risk" not in relaxed:
        _risk(problem, reader, query.risk_limit)
    if "deadline" not in relaxed:
        ready_by_deadline(problem, reader, query, relaxed, slips)
    problem.aim = problem.lessened(problem.aim)
    return problem


def _choices(
    problem: Formulation, reader: CaseReader, query: Query, relaxed: frozenset[str]
) -> None:
    """The tree: one source at the root, and at each child of a position that is resolved."""
    for source in reader.sources:
        if source.id not in query.barred_sources:
            problem.source_at[source.id] = problem.variable()
    at = problem.source_at
    for position in reader.parts_first:
        parts = [at[source.id] for source in reader.at[position.id] if source.id in at]
        wholes = [at[source.id] for source in reader.resolving(position) if source.id in at]
        due = 1 if position.parent_id is None else 0
        is_due = f"position:{position.id}" not in relaxed
        terms = {**dict.fromkeys(parts, 1), **dict.fromkeys(wholes, -1)}
        problem.row(terms, due if is_due else None, due)
        if is_due and not due and parts:
            problem.fillings.append((tuple(parts), tuple(wholes)))
    for source_id in sorted(query.forced_sources):
        if f"forced:{source_id}" not in relaxed:
            problem.row({at[source_id]: 1} if source_id in at else {}, 1, 1)


def _openings(problem: Formulation, reader: CaseReader) -> None:
    """A charge is opened exactly when a chosen source, or an opened charge, needs it."""
    cores = {source.core_charge for source in reader.sources}
    users: dict[str, dict[str, list[int]]] = defaultdict(lambda: defaultdict(list))
    for source in reader.sources:
        index = problem.source_at.get(source.id)
        if index is not None:
            for charge_id in dict.fromkeys(source.charges):
                users[charge_id][source.position_id].append(index)
    nobody: dict[str, list[int]] = {}
    for charge_id, needing in reader.needing_first:
        if not reader.charges[charge_id].is_open or charge_id in cores:
            above = [problem.charge_at[c] for c in needing if c in problem.charge_at]
            _opening(problem, charge_id, users.get(charge_id, nobody), above)


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


def _amounts(problem: Formulation, reader: CaseReader) -> None:
    """The aim: amounts of sources and opened charges, and core credits lost."""
    for source in reader.sources:
        if source.id in problem.source_at:
            problem.pay(problem.source_at[source.id], reader.amount(source))
    for charge in reader.charges.values():
        if charge.id in problem.charge_at and not charge.is_open:
            problem.pay(problem.charge_at[charge.id], reader.amount(charge))
    for source in reader.sources:
        credit = reader.core_credit(source)
        if credit and source.core_charge in problem.charge_at and source.id in problem.source_at:
            lost = problem.variable()
            chosen, opened = problem.source_at[source.id], problem.charge_at[source.core_charge]
            both = {chosen: 1, opened: 1} if chosen != opened else {chosen: 2}
            problem.row({**both, lost: -1}, None, 1)
            problem.pay(lost, credit)


def _risk(problem: Formulation, reader: CaseReader, limit: int) -> None:
    """The weights of a comeback add up to no more than the limit."""
    weights = {
        problem.source_at[source.id]: source.risk
        for source in reader.sources
        if source.id in problem.source_at
    }
    if limit < 0 or sum(weights.values()) > limit:
        problem.row(problem.lessened(weights), None, limit)
