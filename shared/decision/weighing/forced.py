"""Why each unchosen source is not in the plan: the first reason that holds.

Too late by itself; unable to be in any plan that meets what is asked; no better than another source
wherever it could be used; dearer in a plan that has to use it, by exactly so much.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal

from shared.decision.building.build import Built
from shared.decision.planning.case import CHANCE_ONE, CostClass, Plan, Query, Source
from shared.decision.planning.dominance import Dominance
from shared.decision.planning.infeasible import Relaxed, Relaxing, explain_infeasible
from shared.decision.planning.solver import Planner, Solution
from shared.decision.planning.timing import CHANCE_TOLERANCE, latest_arrival
from shared.decision.result import ClassAmount, Exclusion, ReasonCode, Relaxation
from shared.decision.telling.figures import amount_told, percent_down
from shared.decision.weighing.required import (
    in_short,
    names_of,
    requirement,
    requirements_told,
    subject_of,
)
from shared.money import Money


class Weighing:
    """Weighs every unchosen source against the best plan."""

    def __init__(self, built: Built, best: Plan, planner: Planner) -> None:
        self.built = built
        self.best = best
        self.query = Query(built.confidence, built.deadline)
        self.planner = planner.asking(self.query)
        self.relaxing = Relaxing(self.planner)
        self.dominance = Dominance(built.case, built.confidence)
        self.due = {f"always:{p.id}" for p in built.case.positions if p.always_renew_with}
        self.names = names_of(built)
        self.contradictions: dict[frozenset[str], None] = {}
        """Sets found so far, without the source that was forced."""

    def exclusions(self) -> tuple[Exclusion, ...]:
        """One reason for each source that fills a position, or the whole, and is not chosen."""
        chosen = frozenset(self.best.source_ids)
        unchosen = [
            source
            for source in self.built.case.sources
            if source.id not in chosen
            and not source.resolves_children
            and source.only_while_closed is None  # to a person one way with refitting it
        ]
        late = {s.id: told for s in unchosen if (told := self._too_late(s)) is not None}
        left = [source for source in unchosen if source.id not in late]
        better = {
            source.id: other
            for source in left
            if (other := self.dominance.better_than(source, chosen)) is not None
        }
        to_force = [source.id for source in left if source.id not in better]
        # No cheapest plan needs what another does as well, or what comes too late by itself.
        idle = frozenset(late) | (frozenset(better) - chosen)
        asked = replace(self.query, barred_sources=idle)
        planner = self.planner.asking(asked, leaves_out=True)
        forced = planner.forced_each(to_force, self.built.deadline)
        found = dict(late)
        # By what they are called: what is found for one is tried for the next.
        for source in sorted(left, key=lambda s: (subject_of(self.built, s.id), s.id)):
            found[source.id] = self._weighed(source, better.get(source.id), forced)
        return tuple(found[source.id] for source in unchosen)

    def _weighed(
        self, source: Source, better: Source | None, forced: dict[str, Solution]
    ) -> Exclusion:
        if better is None:
            return self._forced(source, forced[source.id])
        solution = forced.get(better.id)
        if solution is not None and solution.plan is None and solution.report.is_proven:
            return self._infeasible(source)
        return self._dominated(source, better)

    def _forced(self, source: Source, solution: Solution) -> Exclusion:
        is_short = solution.plan is not None and solution.plan.objective < self.best.objective
        if is_short or not solution.report.is_proven:  # short: the best was not proven to be it
            self.planner.budget.leave_out("what some of the other sources would cost more")
            return self._reason(
                source, ReasonCode.NOT_WORKED_OUT, "not worked out within the search limit"
            )
        if solution.plan is None:
            return self._infeasible(source)
        return self._dearer(source, solution.plan)

    def _dearer(self, source: Source, plan: Plan) -> Exclusion:
        extra = self._money(plan.objective - self.best.objective)
        told = self._reason(
            source,
            ReasonCode.NOT_CHEAPEST,
            f"{amount_told(extra)} dearer in expected total"
            if extra.minor
            else "equally dear; the tie goes to the plan ready first, then to the one with fewer "
            "orders and openings",
        )
        by_class = difference_by_class(self.built, plan, self.best)
        return replace(told, extra=extra, extra_by_class=by_class)

    def _dominated(self, source: Source, better: Source) -> Exclusion:
        name = subject_of(self.built, better.id)
        told = self._reason(
            source,
            ReasonCode.DOMINATED,
            f"wherever it could be used, '{name}' is no dearer and no later and asks for no more",
        )
        return replace(told, better=name)

    def _infeasible(self, source: Source) -> Exclusion:
        key = f"forced:{source.id}"
        query = replace(self.query, forced_sources=frozenset({source.id}))
        keys = explain_infeasible(
            self.built.case,
            query,
            planner=self.planner,
            likely=[others | {key} for others in (*self.contradictions, *self._likely(source))],
            needed=frozenset({key}),
            names=self.names,
        )
        others = frozenset(keys) - {key}
        if not others:
            return self._reason(source, ReasonCode.INFEASIBLE, "no complete plan with it")
        self.contradictions[others] = None
        relaxed = self.relaxing.cheapest(query, others)
        requirements = requirements_told(self.built, others)
        told = self._reason(
            source,
            ReasonCode.INFEASIBLE,
            f"no complete plan with it: {in_short(requirements)}",
        )
        return replace(
            told,
            requirements=requirements,
            relaxation=None if relaxed is None else relaxation(self.built, relaxed),
        )

    def _likely(self, source: Source) -> list[frozenset[str]]:
        """Requirements that are likely to be in the way: the source's own, the date, the others."""
        case, here = self.built.case, source.position_id
        own = {
            "deadline",
            "refit",
            f"always:{here}",
            *(f"physical:{part}" for part in source.physical_parts),
            *(f"available:{item_id}" for item_id, _ in source.purchases),
            *(f"minimum:{charge_id}" for charge_id, _ in source.goods_values),
            *(f"capacity:{c.id}" for c in case.capacities if source.id in dict(c.uses)),
            *(f"matched:{one.id}" for one in case.matched_sets if here in one.position_ids),
            *(f"together:{o.id}" for o in case.renewed_together if here in o.position_ids),
        }
        guesses = [frozenset(own)]
        if source.only_while_closed is not None:
            guesses = [frozenset(f"position:{position.id}" for position in case.positions)]
        if f"always:{here}" in self.due and not source.is_unused:
            guesses.insert(0, frozenset({f"always:{here}"}))
        return guesses

    def _too_late(self, source: Source) -> Exclusion | None:
        """Why a source cannot be there in time even when nothing else is awaited."""
        deadline, case = self.built.deadline, self.built.case
        if deadline is None or deadline < 0:
            return None
        by = latest_arrival(case, source.bench_minutes, deadline)
        for table_id in sorted(awaited(self.built, source.charges)) if by is not None else ():
            table = self.built.draft.lead_tables[table_id].chance_by_day
            chance = table[min(by or 0, len(table) - 1)]
            if chance < self.built.confidence - CHANCE_TOLERANCE:
                told = self._reason(source, ReasonCode.TOO_LATE, self._late(by or 0, chance))
                return replace(told, probability=Decimal(chance) / CHANCE_ONE)
        return None

    def _late(self, by: int, chance: int) -> str:
        when = f"{self.built.bench.job.required_by_on}"
        if by != self.built.deadline:
            when = f"{self.built.days[by]}, the last day that leaves time to fit it,"
        return f"there by {when} with a chance of only {percent_down(Decimal(chance) / CHANCE_ONE)}"

    def _reason(self, source: Source, code: ReasonCode, detail: str) -> Exclusion:
        subject = subject_of(self.built, source.id)
        return Exclusion(subject, source.position_id, code, detail, source_id=source.id)

    def _money(self, minor: int) -> Money:
        return Money.of_minor(minor, self.built.bench.settings.currency)


def difference_by_class(built: Built, plan: Plan, best: Plan) -> tuple[ClassAmount, ...]:
    """By how much a plan exceeds the best in each class of cost; what is equal is left out.

    What is compared counts, billed or not, so that the prices (the costs, where the shop's cost is
    made least) add up to the difference of what was made least.
    """
    sums: dict[CostClass, list[int]] = defaultdict(lambda: [0, 0])
    for lines, sign in ((plan.lines, 1), (best.lines, -1)):
        for line in lines:
            sums[line.cost_class][0] += sign * line.price
            sums[line.cost_class][1] += sign * line.cost
    currency = built.bench.settings.currency
    return tuple(
        ClassAmount(
            cost_class,
            Money.of_minor(sums[cost_class][0], currency),
            Money.of_minor(sums[cost_class][1], currency),
        )
        for cost_class in CostClass
        if cost_class in sums and any(sums[cost_class])
    )


def relaxation(built: Built, relaxed: Relaxed) -> Relaxation:
    """The cheapest single way out, in words."""
    plan = relaxed.plan
    total = Money.of_minor(plan.objective, built.bench.settings.currency)
    promise = built.days[plan.ready_day]
    asked = requirement(built, relaxed.key)
    return Relaxation(
        asked,
        f"Leaving aside this one ({asked}), the cheapest plan comes to {amount_told(total)} in "
        f"expected total and is ready by {promise}.",
        total,
        promise,
    )


def awaited(built: Built, charge_ids: Iterable[str]) -> set[str]:
    """Lead tables behind charges; what is open already is not awaited."""
    waiting = list(charge_ids)
    seen, tables = set[str](), set[str]()
    while waiting:
        charge = built.draft.charges[waiting.pop()]
        if charge.id in seen or charge.is_open:
            continue
        seen.add(charge.id)
        waiting.extend(charge.requires)
        if charge.lead_table_id is not None:
            tables.add(charge.lead_table_id)
    return tables
