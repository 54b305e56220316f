"""A planning case in the order of ids, with the look-ups that its formulations need."""

from collections import defaultdict
from collections.abc import Iterable
from functools import cached_property

from shared.decision.planning.case import (
    CasePosition,
    Charge,
    CostClass,
    LeadTable,
    PlanningCase,
    Source,
)


class CaseReader:
    """A case in the order of ids, with the look-ups that every formulation of it needs."""

    def __init__(self, case: PlanningCase) -> None:
        self.case = case
        self.positions = sorted(case.positions, key=lambda position: position.id)
        self.sources = sorted(case.sources, key=lambda source: source.id)
        self.charges = {
            charge.id: charge for charge in sorted(case.charges, key=lambda charge: charge.id)
        }
        self.items = sorted(case.items, key=lambda item: item.id)
        self.weights: dict[tuple[int, str, int], int] = {}
        """By confidence, lead table and day: weights that were asked for."""
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
        if self.case.counts_price:
            return sum([line.price for line in item.lines])
        return sum([line.cost for line in item.lines])

    def side(self, cost: int, price: int) -> int:
        """Which of the two the aim counts."""
        return price if self.case.counts_price else cost

    def freight(self, charge: Charge) -> int:
        """What a charge's freight adds to the aim, minor units."""
        return sum(
            self.side(line.cost, line.price)
            for line in charge.lines
            if line.cost_class is CostClass.FREIGHT
        )

    def waiting_cost(self, day: int) -> int:
        """What being ready on a day adds to the aim; after a table's end as on its last day."""
        return sum(
            self.side(
                waiting.cost_by_day[min(day, len(waiting.cost_by_day) - 1)],
                waiting.price_by_day[min(day, len(waiting.price_by_day) - 1)],
            )
            for waiting in self.case.waiting
        )

    def core_credit(self, source: Source) -> int:
        """What the aim loses with a source's core credit, minor units."""
        return source.core_credit_price if self.case.counts_price else source.core_credit_cost

    @cached_property
    def root(self) -> str:
        """The position without a parent."""
        return next(position.id for position in self.positions if position.parent_id is None)

    @cached_property
    def needing_first(self) -> list[tuple[str, tuple[str, ...]]]:
        """Charge ids, each after those of all the charges that require it, and with these."""
        needing: dict[str, list[str]] = {charge_id: [] for charge_id in self.charges}
        for charge in self.charges.values():
            for other in sorted(set(charge.requires)) if not charge.is_open else ():
                needing[other].append(charge.id)
        done: dict[str, tuple[str, ...]] = {}

        def visit(charge_id: str) -> None:
            if charge_id not in done:
                for other in needing[charge_id]:
                    visit(other)
                done[charge_id] = tuple(needing[charge_id])

        for charge_id in self.charges:
            visit(charge_id)
        return list(done.items())

    @cached_property
    def parts_first(self) -> list[CasePosition]:
        """The positions, each after all those below it."""
        depths = {p.id: sum(1 for _ in self.upward(p.id)) for p in self.positions}
        return sorted(self.positions, key=lambda position: -depths[position.id])

    def resolving(self, position: CasePosition) -> list[Source]:
        """The ways of its whole that leave a position to be filled by itself."""
        if position.parent_id is None:
            return []
        return [source for source in self.at[position.parent_id] if source.resolves_children]

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
    def pieces(self) -> dict[str, dict[str, int]]:
        """Pieces of each item that each source takes."""
        pieces: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
        for source in self.sources:
            for item_id, quantity in source.purchases:
                pieces[item_id][source.id] += quantity
        return pieces

    @cached_property
    def most_pieces(self) -> dict[str, int]:
        """Pieces of each item that a plan needs at the most: one source at each position."""
        most: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
        places = {source.id: source.position_id for source in self.sources}
        for item_id, by_source in self.pieces.items():
            for source_id, quantity in by_source.items():
                at = most[item_id]
                at[places[source_id]] = max(at[places[source_id]], quantity)
        return {item_id: sum(by_position.values()) for item_id, by_position in most.items()}

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
