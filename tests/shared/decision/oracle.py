"""Brute force: every choice of sources, judged straight from the rules as they are worded.

Shares no code with the planner: not its formulation, not its evaluator, not its arithmetic of days.
Logarithms are taken with fifty digits, so that the planner's floating ones are checked too.
"""

from decimal import ROUND_FLOOR, Decimal, localcontext
from functools import cache
from itertools import product
from typing import NamedTuple

from shared.decision.planning.case import CostClass, PlanningCase, Source
from shared.sourcing.model import ArrivalDependence, BelowMinimum

ONE = 10**9


class Choice(NamedTuple):
    """One feasible choice; sorts by what the planner promises to prefer."""

    objective: int
    ready_day: int
    charge_count: int
    by_position: tuple[str, ...]
    source_ids: tuple[str, ...]


@cache
def weight(chance: int) -> int:
    with localcontext() as context:
        context.prec = 50
        exact = -(Decimal(chance) / ONE).ln() * 10**6
        return int(exact.to_integral_value(ROUND_FLOOR))


def all_choices(case: PlanningCase, confidence: int, risk_limit: int | None = None) -> list[Choice]:
    """Every choice that keeps the rules and arrives at some time, best first."""
    judge = _Judge(case, confidence)
    judged = (
        judge.judge(sources)
        for sources in judge.choices(judge.root)
        if risk_limit is None or sum(source.risk for source in sources) <= risk_limit
    )
    return sorted(choice for choice in judged if choice is not None)


def best_by(choices: list[Choice], deadline: int) -> Choice | None:
    return next((choice for choice in choices if choice.ready_day <= deadline), None)


def front(choices: list[Choice], last_day: int) -> list[Choice]:
    """The best choice of every day, soonest first, each once."""
    best = [best_by(choices, day) for day in range(last_day + 1)]
    return list(dict.fromkeys(choice for choice in best if choice is not None))


class _Judge:
    def __init__(self, case: PlanningCase, confidence: int) -> None:
        self.case = case
        self.confidence = confidence
        self.budget = weight(confidence)
        self.charges = {charge.id: charge for charge in case.charges}
        self.tables = {table.id: table.chance_by_day for table in case.lead_tables}
        self.parent = {p.id: p.parent_id for p in case.positions}
        self.root = next(p.id for p in case.positions if p.parent_id is None)
        self.order = sorted(self.parent)
        self.always = {p.id: p.always_renew_with for p in case.positions if p.always_renew_with}
        self.days = max([len(chances) for chances in self.tables.values()] or [1]) + 1

    def choices(self, position_id: str) -> list[tuple[Source, ...]]:
        children = [p for p in self.order if self.parent[p] == position_id]
        below: list[list[tuple[Source, ...]]] | None = None
        found: list[tuple[Source, ...]] = []
        for source in self.case.sources:
            if source.position_id != position_id:
                continue
            if not source.resolves_children:
                found.append((source,))
                continue
            if below is None:
                below = [self.choices(child) for child in children]
            found.extend((source, *sum(parts, ())) for parts in product(*below))
        return found

    def above(self, position_id: str) -> list[str]:
        chain = [position_id]
        while self.parent[chain[-1]] is not None:
            chain.append(self.parent[chain[-1]])
        return chain

    def judge(self, sources: tuple[Source, ...]) -> Choice | None:
        needed = self.needed(sources)
        paid = [c for c in needed if not self.charges[c].is_open]
        if not (self.is_sound(sources, needed) and self.is_within(sources)):
            return None
        waiting = self.waiting(paid)
        if waiting is None:
            return None
        bought = self.bought(sources, paid)
        if bought is None:
            return None
        minutes = sum(s.bench_minutes for s in sources)
        minutes += sum(self.charges[c].bench_minutes for c in paid)
        at = {s.position_id: s.id for s in sources}
        ready = self.ready(waiting, minutes)
        return Choice(
            self.objective(sources, needed, paid) + bought + self.waited(ready),
            ready,
            len(paid),
            tuple(at.get(p, "\U0010ffff") for p in self.order),
            tuple(sorted(s.id for s in sources)),
        )

    def needed(self, sources: tuple[Source, ...]) -> set[str]:
        needed = {c for s in sources for c in s.charges}
        while True:
            more = {
                r for c in needed if not self.charges[c].is_open for r in self.charges[c].requires
            }
            if more <= needed:
                return needed
            needed |= more

    def is_sound(self, sources: tuple[Source, ...], needed: set[str]) -> bool:
        for group in self.case.matched_sets:
            if not self.is_equal(self.units_at(sources, n) for n in group.position_ids):
                return False
        for group in self.case.renewed_together:
            if not self.is_equal(self.renewals_at(sources, n) for n in group.position_ids):
                return False
        open_now = needed | {c.id for c in self.case.charges if c.is_open}
        if any(s.only_while_closed in open_now for s in sources):
            return False
        return not any(
            self.always.get(s.position_id) in open_now
            and not s.is_unused
            and not s.resolves_children
            for s in sources
        )

    @staticmethod
    def is_equal(values) -> bool:
        first, *others = list(values)
        return all(value == first for value in others)

    def units_at(self, sources: tuple[Source, ...], position_id: str) -> dict[str, int]:
        """X of each unit at a position: its own source, and wholes further up."""
        count: dict[str, int] = {}
        chain = self.above(position_id)
        for source in sources:
            here = source.position_id == position_id
            if here or (source.position_id in chain and not source.resolves_children):
                key = source.matched_unit or f"source:{source.id}"
                count[key] = count.get(key, 0) + 1
        return count

    def renewals_at(self, sources: tuple[Source, ...], position_id: str) -> int:
        chain = self.above(position_id)
        return sum(
            s.position_id in chain and s.fits_another_part and not s.resolves_children
            for s in sources
        )

    def is_within(self, sources: tuple[Source, ...]) -> bool:
        parts = [part for s in sources for part in s.physical_parts]
        if len(parts) != len(set(parts)):
            return False
        chosen = {s.id for s in sources}
        for capacity in self.case.capacities:
            if sum(q for source_id, q in capacity.uses if source_id in chosen) > capacity.available:
                return False
        for source in sources:
            for other in sources if source.refit_only else ():
                is_more = not (other.resolves_children or other.is_keep)
                if other is not source and is_more and other.position_id not in self.always:
                    return False
        return True

    def objective(self, sources: tuple[Source, ...], needed: set[str], paid: list[str]) -> int:
        side = "price" if self.case.counts_price else "cost"
        lines = [line for s in sources for line in s.lines]
        lines += [line for c in paid for line in self.charges[c].lines]
        lost = sum(getattr(s, f"core_credit_{side}") for s in sources if s.core_charge in needed)
        return sum(getattr(line, side) for line in lines) + lost

    def bought(self, sources: tuple[Source, ...], paid: list[str]) -> int | None:
        """Least that packs, top-ups and fees come to, less freight waived; None: not to be had.

        Every number of packs up to the last break and the need is tried, every top-up that makes a
        difference, with and without fee and freight.
        """
        side = "price" if self.case.counts_price else "cost"
        orders = [c for c in paid if self.charges[c].order is not None]
        total = 0
        grouped: dict[str | None, list] = {c: [] for c in [None, *orders]}
        for item in self.case.items:
            pieces = sum(n for s in sources for i, n in s.purchases if i == item.id)
            at = item.order_charge if item.order_charge in orders else None
            grouped[at].append(self.numbers(item, pieces))
        for order, items in grouped.items():
            value = sum(
                amount
                for holder in [*sources, *(self.charges[c] for c in paid)]
                for charge_id, amount in holder.goods_values
                if charge_id == order
            )
            amounts = [
                amount
                for bought in product(*items)
                for extra in self.extras(order, value + sum(p.cost * n for n, p in bought), side)
                for amount in [sum(getattr(p, side) * n for n, p in bought) + extra]
            ]
            if not amounts:
                return None
            total += min(amounts)
        return total

    @staticmethod
    def numbers(item, pieces: int) -> list:
        """(Packs, tier) that are allowed for so many pieces."""
        if pieces == 0:
            return [(0, item.tiers[0])]
        highest = max(item.tiers[-1].from_packs, pieces)
        allowed = []
        for packs in range(1, highest + 1):
            just_enough = packs * item.pack_quantity >= pieces > (packs - 1) * item.pack_quantity
            enough = packs * item.pack_quantity >= pieces
            begins = packs in [tier.from_packs for tier in item.tiers]
            if not just_enough and not (enough and begins):
                continue
            if item.available is not None and packs * item.pack_quantity > item.available:
                continue
            tier = [t for t in item.tiers if t.from_packs <= packs][-1:]
            allowed += [(packs, t) for t in tier]
        return allowed

    def extras(self, order: str | None, value: int, side: str) -> list[int]:
        """What top-up and fee may come to, less the freight that is not paid then."""
        if order is None:
            return [0]
        terms = self.charges[order].order
        freight = sum(
            getattr(line, side)
            for line in self.charges[order].lines
            if line.cost_class is CostClass.FREIGHT
        )
        found = []
        for top_up in {0, terms.minimum - value, (terms.free_from or 0) - value}:
            if top_up < 0:
                continue
            short = value + top_up < terms.minimum
            if terms.below is BelowMinimum.REFUSED:
                short = value < terms.minimum
            if short and terms.below is not BelowMinimum.FEE:
                continue
            amount = top_up + short * getattr(terms, f"fee_{side}")
            is_free = terms.free_from is not None and value + top_up >= terms.free_from
            found.append(amount - is_free * freight)
        return found

    def waited(self, ready: int) -> int:
        side = "price_by_day" if self.case.counts_price else "cost_by_day"
        return sum(
            (getattr(w, side) + (getattr(w, side)[-1],) * (ready + 1))[ready]
            for w in self.case.waiting
        )

    def waiting(self, paid: list[str]) -> int | None:
        vans: dict[str, list[str]] = {}
        for charge_id in paid:
            charge = self.charges[charge_id]
            if charge.lead_table_id:
                vans.setdefault(charge.shipment or f"alone {charge_id}", []).append(
                    charge.lead_table_id
                )
        for day in range(self.days):
            slowest = [min(self.on(table, day) for table in tables) for tables in vans.values()]
            if self.case.arrival_dependence is ArrivalDependence.ANY:
                late = sum(ONE - chance for chance in slowest)
                left = ONE - self.confidence
                if late <= left + (100 if left else 0) and 0 not in slowest:
                    return day
                continue
            if 0 in slowest or (self.confidence == ONE and any(c < ONE for c in slowest)):
                continue
            if sum(min(self.budget + 1, weight(c)) for c in slowest) > self.budget:
                continue
            true_chance = Decimal(1)
            for chance in slowest:
                true_chance *= Decimal(chance) / ONE
            if true_chance >= Decimal(self.confidence) / ONE - Decimal("0.00001"):
                return day
        return None

    def on(self, table_id: str, day: int) -> int:
        chances = self.tables[table_id]
        return chances[day] if day < len(chances) else chances[-1]

    def ready(self, arrival: int, minutes: int) -> int:
        days = 0
        while days * self.case.bench_minutes_per_day < minutes:
            days += 1
        if arrival == 0 and self.case.starts_on_day_zero:
            return days - 1 if days else 0
        return arrival + days
