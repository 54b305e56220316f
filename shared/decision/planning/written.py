"""The problems of one case, each written down once, and what a query asks of them besides."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from shared.decision.planning.case import Query
from shared.decision.planning.formulation import CaseReader, Formulation, Row, Slip, formulate
from shared.decision.planning.search import Change, Model

MODELS_KEPT = 48
"""Problems that are kept for the next query."""


@dataclass(frozen=True, slots=True)
class Cut:
    """At most so many of these sources together."""

    source_ids: tuple[str, ...]
    at_most: int


class Problems:
    """Problems by deadline, confidence and what is left out of them."""

    def __init__(self, reader: CaseReader) -> None:
        self.reader = reader
        self.slips: dict[int, list[Slip]] = defaultdict(list)
        """By confidence: what earlier searches found to miss it."""
        self._models: dict[object, Model] = {}

    def model(self, query: Query, relaxed: frozenset[str], *, leaves_out: bool) -> Model:
        """The problem of a query: sources are barred and forced, and risk limited, by a change.

        Where most sources are barred they are left out: the problem is so much smaller then;
        ``leaves_out``: they are left out in any case.
        """
        barred = query.barred_sources
        is_smaller = leaves_out or 2 * len(barred) > len(self.reader.sources)
        left_out = barred if is_smaller else frozenset()
        lacking = frozenset(key for key in relaxed if not key.startswith("forced:"))
        slips = self.slips[query.confidence]
        key = (query.deadline, query.confidence, lacking, left_out, len(slips))
        if key not in self._models:
            while len(self._models) >= MODELS_KEPT:
                del self._models[next(iter(self._models))]
            asked = Query(query.confidence, query.deadline, left_out)
            self._models[key] = Model(formulate(self.reader, asked, lacking, slips))
        return self._models[key]


def change_of(
    reader: CaseReader,
    problem: Formulation,
    query: Query,
    cuts: Sequence[Cut],
    extra: Iterable[Row],
    relaxed: frozenset[str],
) -> Change:
    """What a query asks of a problem besides: barred, forced, risk, cuts and further rows."""
    at = problem.source_at
    fixed = {at[source_id]: 0 for source_id in query.barred_sources if source_id in at}
    forced = [s for s in sorted(query.forced_sources) if f"forced:{s}" not in relaxed]
    is_possible = all(s in at and at[s] not in fixed for s in forced)
    fixed.update((at[source_id], 1) for source_id in forced if source_id in at)
    rows = [Row({at[s]: 1 for s in cut.source_ids if s in at}, None, cut.at_most) for cut in cuts]
    if query.risk_limit is not None and "risk" not in relaxed:
        risks = {at[s.id]: s.risk for s in reader.sources if s.id in at and s.risk}
        rows.append(Row(problem.lessened(risks), None, query.risk_limit))
    is_possible = is_possible and all(row.terms or (row.high or 0) >= 0 for row in rows)
    kept = [row for row in (*rows, *extra) if row.terms]
    return Change(kept, dict(sorted(fixed.items())), is_possible=is_possible)


def chosen_ids(problem: Formulation, values: Sequence[int]) -> list[str]:
    """Sources that a solution chooses."""
    return [source_id for source_id, index in problem.source_at.items() if values[index]]
