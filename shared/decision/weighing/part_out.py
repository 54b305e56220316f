"""What the job's unit would yield if it were retired and taken apart, at the shop's cost.

Which parts to take out and which access groups to open for them is decided exactly: groups are
paid once, an inner one needs its outer one, matched sets come out whole or not at all, pieces that
other jobs want are counted once. It is a planning case of its own, solved as any other.
Source: the closure problem (any text on combinatorial optimisation), here with shared demand.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from shared.assemblies.model import OperationKind
from shared.condition.model import UnitKind
from shared.decision.building.build import Built
from shared.decision.building.draft import p50_hours
from shared.decision.building.planned import WHOLE
from shared.decision.planning.budget import Budget
from shared.decision.planning.case import (
    CHANCE_ONE,
    AmountLine,
    Capacity,
    CasePosition,
    Charge,
    CostClass,
    Plan,
    PlanningCase,
    Query,
    Source,
)
from shared.decision.planning.solver import SolverStopped, solve
from shared.decision.result import PartOut, YieldLine
from shared.decision.weighing.part_worth import Find, finds
from shared.money import Money

_TAKEN, _LEFT = "taken", "left"


def part_out(built: Built, budget: Budget | None = None) -> PartOut | None:
    """What parting the job's unit out would yield; None: no positions are on record.

    Raises SolverStopped where the best choice is not proven within the limit, Cancelled.
    """
    if not built.bench.planned:
        return None
    found = finds(built)
    yard = _Yard(built, found)
    solution = solve(yard.case(), Query(CHANCE_ONE), budget=budget)
    if solution.plan is None or not solution.report.is_proven:
        raise SolverStopped("The search for what to take out was not finished.")
    return yard.answer(solution.plan)


@dataclass(frozen=True, slots=True)
class _Yard:
    """The unit as a planning case of what to take out of it."""

    built: Built
    finds: tuple[Find, ...]

    def case(self) -> PlanningCase:
        """Positions, each left or taken; groups as charges; what is wanted as capacities."""
        taken = {find.planned.id: self._taken(find) for find in self.finds}
        sources = [source for found in taken.values() for source, _ in found]
        sources += [self._left(find) for find in self.finds]
        sources.append(Source(f"{WHOLE}:apart", WHOLE, "apart", resolves_children=True))
        positions = [CasePosition(f.planned.id, f.planned.parent_id) for f in self.finds]
        return PlanningCase(
            positions=tuple(sorted((CasePosition(WHOLE), *positions), key=lambda p: p.id)),
            sources=tuple(sorted(sources, key=lambda s: s.id)),
            charges=tuple(sorted(self._openings(), key=lambda c: c.id)),
            capacities=self._wanted([use for found in taken.values() for use in found]),
            matched_sets=self.built.case.matched_sets,
            counts_price=False,
        )

    def _left(self, find: Find) -> Source:
        """The position left in the unit, or what is inside it dealt with singly."""
        return Source(
            f"{find.planned.id}:{_LEFT}",
            find.planned.id,
            _LEFT,
            resolves_children=self.built.bench.is_resolved(find.planned.position),
            matched_unit=_LEFT if self._is_matched(find) else None,
        )

    def _is_matched(self, find: Find) -> bool:
        return any(find.planned.id in one.position_ids for one in self.built.case.matched_sets)

    def _taken(self, find: Find) -> list[tuple[Source, Find]]:
        """Taken out, with every number of its pieces that may go to other jobs."""
        if find.why_not is not None:
            return []
        access = find.planned.position.access_group_id
        is_closed = access is not None and access in self.built.bench.groups
        labour = AmountLine(CostClass.LABOUR, "take out", find.labour, find.labour)
        return [
            (
                Source(
                    f"{find.planned.id}:{_TAKEN}:{wanted:06}",
                    find.planned.id,
                    _TAKEN,
                    lines=(
                        labour,
                        AmountLine(
                            CostClass.RESIDUAL_WORTH,
                            "worth",
                            -find.worth(wanted),
                            -find.worth(wanted),
                        ),
                    ),
                    charges=(f"access:{access}",) if is_closed else (),
                    matched_unit=_TAKEN,
                ),
                find,
            )
            for wanted in self._shares(find)
        ]

    def _shares(self, find: Find) -> Iterable[int]:
        most = min(find.planned.quantity, find.demand)
        rivals = [
            f for f in self.finds if f.why_not is None and f.part_id == find.part_id and f.demand
        ]
        if len(rivals) < 2 or sum(f.planned.quantity for f in rivals) <= find.demand:
            return (most,)
        return range(most + 1)

    def _wanted(self, uses: Sequence[tuple[Source, Find]]) -> tuple[Capacity, ...]:
        by_part: dict[str, list[tuple[str, int]]] = {}
        demand = {find.part_id: find.demand for _, find in uses if find.part_id and find.demand}
        for source, find in uses:
            if find.part_id in demand:
                by_part.setdefault(find.part_id, []).append((source.id, _wanted_of(source.id)))
        return tuple(
            Capacity(f"wanted:{part}", demand[part], tuple(sorted(found)))
            for part, found in sorted(by_part.items())
        )

    def _openings(self) -> list[Charge]:
        bench = self.built.bench
        return [
            Charge(
                f"access:{group.id}",
                "opening",
                group.name,
                lines=self._opening_lines(group.id),
                requires=(f"access:{group.outer_group_id}",) if group.outer_group_id else (),
                is_open=group.id in bench.open_groups,
            )
            for group in bench.groups.values()
        ]

    def _opening_lines(self, group_id: str) -> tuple[AmountLine, ...]:
        cost = self.built.draft.pricing.labour_cost(self._open_hours(group_id))
        return (AmountLine(CostClass.OPENING, "open", cost, cost),) if cost else ()

    def _open_hours(self, group_id: str) -> Decimal:
        return p50_hours(self.built.bench.operations(OperationKind.OPEN, group_id=group_id))

    # --- the answer ------------------------------------------------------------------------------

    def answer(self, plan: Plan) -> PartOut:
        """The choice in words and amounts; the labour is what the plan's lines say."""
        kept = {
            source_id.rpartition(f":{_TAKEN}:")[0]: _wanted_of(source_id)
            for source_id in plan.source_ids
            if f":{_TAKEN}:" in source_id
        }
        opened = [c.removeprefix("access:") for c in plan.charge_ids if c.startswith("access:")]
        opened = [g for g in opened if g not in self.built.bench.open_groups]
        lines = tuple(self._line(find, kept) for find in self.finds)
        taken = [find for find in self.finds if find.planned.id in kept]
        worth = sum(find.worth(kept[find.planned.id]) for find in taken)
        labour = plan.objective + worth
        disposal = self.built.draft.pricing.rules.disposal
        scrap = disposal.minor if disposal else 0
        return PartOut(
            lines=lines,
            worth=self._money(worth),
            open_hours=sum((self._open_hours(g) for g in opened), Decimal(0)),
            take_hours=sum((find.hours for find in taken), Decimal(0)),
            labour=self._money(labour),
            disposal=self._money(scrap),
            yielded=self._money(worth - labour - scrap),
            is_worthwhile=bool(taken) and worth - labour - scrap > 0,
            notes=tuple(self._notes(taken, opened)),
        )

    def _money(self, minor: int) -> Money:
        return Money.of_minor(minor, self.built.bench.settings.currency)

    def _line(self, find: Find, kept: dict[str, int]) -> YieldLine:
        is_kept = find.planned.id in kept
        wanted = kept.get(find.planned.id, min(find.planned.quantity, find.demand))
        worth = find.worth(wanted) if find.why_not is None else 0
        return YieldLine(
            position_id=find.planned.id,
            position_name=find.planned.name,
            is_kept=is_kept,
            chance_good=find.chance,
            wanted=find.demand,
            worth=self._money(worth),
            hours=find.hours,
            labour=self._money(find.labour),
            net=self._money(worth - find.labour),
            detail=self._detail(find, wanted, kept),
        )

    def _detail(self, find: Find, wanted: int, kept: dict[str, int]) -> str:
        if find.why_not is not None:
            return find.why_not
        if find.planned.id in kept:
            return find.told(wanted)
        above = find.planned.parent_id
        over = {f.planned.id: f.planned for f in self.finds}
        while above in over:
            if above in kept:
                return f"goes with {over[above].name}, taken whole"
            above = over[above].parent_id
        if find.worth(wanted) <= find.labour:
            return f"not worth the hours: {find.told(wanted)}"
        return f"does not pay for what has to be opened, or for its set: {find.told(wanted)}"

    def _notes(self, taken: Sequence[Find], opened: Sequence[str]) -> list[str]:
        bench, told = self.built.bench, []
        if bench.unit.kind is UnitKind.CUSTOMER and bench.unit.released_on is None:
            told.append(
                "The unit is the customer's until it is bought or released in writing: without "
                "that no part of it may be kept. What is paid for it is not counted."
            )
        if opened:
            names = ", ".join(bench.groups[g].name for g in sorted(opened))
            told.append(f"To be opened: {names}.")
        bare = sorted(f.planned.name for f in taken if not f.has_hours)
        if bare:
            told.append(f"No hours on record to take out, none charged: {', '.join(bare)}.")
        unpriced = sorted(
            bench.groups[g].name
            for g in opened
            if not bench.operations(OperationKind.OPEN, group_id=g)
        )
        if unpriced:
            told.append(f"No hours on record to open, none charged: {', '.join(unpriced)}.")
        if self.built.draft.pricing.rules.disposal is None:
            told.append("What disposing of the rest costs is not on record: none charged.")
        percent = bench.settings.policy.shelf_worth_percent
        told.append(
            "A piece that an open job wants counts the cheapest offer of it or of what may stand "
            f"in for it, any other {percent.normalize():f}% of that; each times its chance to be "
            "good."
        )
        return told


def _wanted_of(source_id: str) -> int:
    """How many pieces of what is taken go to other jobs; 0 for what is left."""
    return int(source_id.rpartition(":")[2])
