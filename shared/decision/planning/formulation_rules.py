"""Rows of the rules that say which sources go together."""

from collections import defaultdict
from collections.abc import Mapping, Sequence

from shared.decision.planning.case import CaseSet
from shared.decision.planning.case_reader import CaseReader
from shared.decision.planning.problem import Formulation


def rules(problem: Formulation, reader: CaseReader, relaxed: frozenset[str]) -> None:
    """Sets, renewals, what exists once or so many times, refit: as far as they are not relaxed."""
    _sets(problem, reader, relaxed)
    _always(problem, reader, relaxed)
    _left_in_place(problem, reader)
    _limits(problem, reader, relaxed)
    _refit(problem, reader, relaxed)


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
