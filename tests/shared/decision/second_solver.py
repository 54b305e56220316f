"""A second opinion: another formulation, solved by another solver (HiGHS, through scipy).

Written from the rules, not from the planner's formulation: every day has its variable, every charge
its own, nothing is merged, bounded or left out beforehand.
"""

from collections import defaultdict

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from shared.decision.planning.case import CostClass, PlanningCase
from shared.sourcing.model import ArrivalDependence, BelowMinimum
from tests.shared.decision.oracle import weight


def cheapest_objective(
    case: PlanningCase, confidence: int, deadline: int, risk_limit: int | None = None
) -> int | None:
    """Least objective of any plan ready by a day; None: there is none."""
    model = _Model()
    writer = _Writer(case, confidence, deadline, model)
    writer.write()
    if risk_limit is not None:
        model.row([(writer.x[s.id], s.risk) for s in case.sources], -np.inf, risk_limit)
    return model.solve()


class _Model:
    def __init__(self) -> None:
        self.cost: list[float] = []
        self.upper: list[float] = []
        self.whole: list[int] = []
        self.entries: list[tuple[int, int, float]] = []
        self.low: list[float] = []
        self.high: list[float] = []

    def variable(self, cost: float = 0, upper: float = 1, whole: bool = True) -> int:
        self.cost.append(cost)
        self.upper.append(upper)
        self.whole.append(int(whole))
        return len(self.cost) - 1

    def row(self, terms: list[tuple[int, float]], low: float, high: float) -> None:
        """One row; a variable may stand in it more than once."""
        self.entries += [(len(self.low), index, factor) for index, factor in terms]
        self.low.append(low)
        self.high.append(high)

    def solve(self) -> int | None:
        rows, columns, factors = zip(*self.entries, strict=True)
        shape = (len(self.low), len(self.cost))
        result = milp(
            np.array(self.cost),
            integrality=np.array(self.whole),
            bounds=Bounds(0, np.array(self.upper)),
            constraints=LinearConstraint(
                coo_array((factors, (rows, columns)), shape=shape).tocsr(), self.low, self.high
            ),
            options={"mip_rel_gap": 0},
        )
        if result.status == 2:
            return None
        assert result.status == 0, result.message
        return round(result.fun)


class _Writer:
    def __init__(self, case: PlanningCase, confidence: int, deadline: int, model: _Model) -> None:
        self.case, self.model, self.deadline = case, model, deadline
        self.confidence = confidence
        self.is_any = case.arrival_dependence is ArrivalDependence.ANY
        self.budget = weight(confidence)
        if self.is_any:  # in 10^-6, to keep the numbers small
            self.budget = (10**9 - confidence) / 1000 + (0.1 if confidence < 10**9 else 0)
        self.least_chance = 10**9 if confidence == 10**9 else 1
        side = self.side = "price" if case.counts_price else "cost"
        self.x = {
            s.id: model.variable(sum(getattr(line, side) for line in s.lines)) for s in case.sources
        }
        self.y = {
            c.id: model.variable(
                0 if c.is_open else sum(getattr(line, side) for line in c.lines), whole=False
            )
            for c in case.charges
        }
        self.lost = {
            s.id: model.variable(getattr(s, f"core_credit_{side}"), whole=False)
            for s in case.sources
            if s.core_charge
        }
        self.e = [model.variable() for _ in range(deadline + 1)]
        self.parent = {p.id: p.parent_id for p in case.positions}
        self.charges = {c.id: c for c in case.charges}
        self.tables = {t.id: t.chance_by_day for t in case.lead_tables}

    def write(self) -> None:
        self.tree()
        self.openings()
        self.sets()
        self.always()
        self.in_place()
        self.limits()
        self.refit()
        self.orders(self.items())
        self.days()
        self.waiting()

    def items(self) -> dict:
        """Packs of each item: one whole number for each tier, and whether the tier holds."""
        model, worth = self.model, defaultdict(list)
        for item in self.case.items:
            size = item.pack_quantity
            need = [
                (self.x[s.id], n) for s in self.case.sources for i, n in s.purchases if i == item.id
            ]
            most = sum(n for _, n in need)
            big = most + max(tier.from_packs for tier in item.tiers) * size
            less = [(index, -n) for index, n in need]
            packs, held = [], []
            ends = [t.from_packs - 1 for t in item.tiers[1:]] + [big]
            for tier, end in zip(item.tiers, ends, strict=True):
                n = model.variable(getattr(tier, self.side), upper=big)
                holds, at_break = model.variable(), model.variable()
                packs.append((n, size))
                held.append((holds, 1))
                worth[item.order_charge].append((n, tier.cost))
                model.row([(n, 1), (holds, -tier.from_packs)], 0, np.inf)
                model.row([(n, 1), (holds, -end)], -np.inf, 0)
                model.row([(n, 1), (at_break, big)], -np.inf, tier.from_packs + big)
                model.row([(n, size), *less, (at_break, -big * size)], -np.inf, size - 1)
            model.row(held, 0, 1)
            model.row([*held, *((index, -1) for index, _ in need)], -np.inf, 0)
            model.row([*packs, *less], 0, np.inf)
            if item.available is not None:
                model.row(packs, 0, item.available)
        return worth

    def orders(self, worth: dict) -> None:
        model = self.model
        holders = [(self.x[s.id], s) for s in self.case.sources]
        holders += [(self.y[c.id], c) for c in self.case.charges if not c.is_open]
        for index, holder in holders:
            for charge_id, amount in holder.goods_values:
                worth[charge_id].append((index, amount))
        for charge in self.case.charges:
            if charge.order is None:
                continue
            terms, opened, value = charge.order, self.y[charge.id], worth[charge.id]
            free_from = terms.free_from or 0
            top_up = model.variable(1, upper=max(terms.minimum, free_from))
            freight = sum(
                getattr(line, self.side)
                for line in charge.lines
                if line.cost_class is CostClass.FREIGHT
            )
            if terms.below is BelowMinimum.REFUSED:
                model.row([*value, (opened, -terms.minimum)], 0, np.inf)
            else:
                can_fee = float(terms.below is BelowMinimum.FEE)
                small = model.variable(getattr(terms, f"fee_{self.side}"), upper=can_fee)
                all_terms = [(top_up, 1), (opened, -terms.minimum), (small, terms.minimum)]
                model.row([*value, *all_terms], 0, np.inf)
            if terms.free_from is not None:
                free = model.variable(-freight)
                model.row([(free, 1), (opened, -1)], -np.inf, 0)
                model.row([*value, (top_up, 1), (free, -free_from)], 0, np.inf)

    def waiting(self) -> None:
        """One variable for each ready day; ready no sooner than arrival and bench days allow."""
        case, model = self.case, self.model
        if not case.waiting:
            return
        ready = [
            model.variable(sum(getattr(w, f"{self.side}_by_day")[day] for w in case.waiting))
            for day in range(self.deadline + 1)
        ]
        model.row([(index, 1) for index in ready], 1, 1)
        bench_days = model.variable(upper=10**4)
        minutes = [(index, -minutes) for index, minutes in self.minutes()]
        model.row([(bench_days, case.bench_minutes_per_day), *minutes], 0, np.inf)
        terms = [(index, day) for day, index in enumerate(ready)]
        terms += [(index, -day) for day, index in enumerate(self.e)]
        terms.append((bench_days, -1))
        if case.starts_on_day_zero:
            terms.append((self.e[0], 1))
        model.row(terms, 0, np.inf)

    def minutes(self) -> list:
        return [
            *((self.x[s.id], s.bench_minutes) for s in self.case.sources),
            *((self.y[c.id], c.bench_minutes) for c in self.case.charges if not c.is_open),
        ]

    def at(self, position_id):
        return [s for s in self.case.sources if s.position_id == position_id]

    def tree(self) -> None:
        for position in self.case.positions:
            terms = [(self.x[s.id], 1) for s in self.at(position.id)]
            if position.parent_id is None:
                self.model.row(terms, 1, 1)
                continue
            parents = [s for s in self.at(position.parent_id) if s.resolves_children]
            self.model.row(terms + [(self.x[s.id], -1) for s in parents], 0, 0)

    def openings(self) -> None:
        users = defaultdict(list)
        for source in self.case.sources:
            for charge_id in set(source.charges):
                users[charge_id].append(self.x[source.id])
        for charge in self.case.charges:
            for other in set(charge.requires) if not charge.is_open else ():
                users[other].append(self.y[charge.id])
        for charge_id, opened in self.y.items():
            for user in users[charge_id]:
                self.model.row([(user, 1), (opened, -1)], -np.inf, 0)
            self.model.row([(opened, 1), *((u, -1) for u in users[charge_id])], -np.inf, 0)
        for source in self.case.sources:
            if source.core_charge:
                terms = [(self.x[source.id], 1), (self.y[source.core_charge], 1)]
                self.model.row([*terms, (self.lost[source.id], -1)], -np.inf, 1)

    def over(self, position_id):
        """Sources that settle a position: at it, or whole ones above."""
        found = self.at(position_id)
        above = self.parent[position_id]
        while above is not None:
            found = found + [s for s in self.at(above) if not s.resolves_children]
            above = self.parent[above]
        return found

    def equal(self, one, other) -> None:
        terms = defaultdict(int)
        for source_id in one:
            terms[self.x[source_id]] += 1
        for source_id in other:
            terms[self.x[source_id]] -= 1
        self.model.row(list(terms.items()), 0, 0)

    def sets(self) -> None:
        for group in self.case.matched_sets:
            over = [self.over(position_id) for position_id in group.position_ids]
            units = {s.matched_unit or f"source:{s.id}" for sources in over for s in sources}
            for unit in units:
                named = [
                    [s.id for s in sources if (s.matched_unit or f"source:{s.id}") == unit]
                    for sources in over
                ]
                for other in named[1:]:
                    self.equal(named[0], other)
        for group in self.case.renewed_together:
            renewing = [
                [s.id for s in self.over(n) if s.fits_another_part and not s.resolves_children]
                for n in group.position_ids
            ]
            for other in renewing[1:]:
                self.equal(renewing[0], other)

    def always(self) -> None:
        for position in self.case.positions:
            charge_id = position.always_renew_with
            for source in self.at(position.id) if charge_id else ():
                if source.is_unused or source.resolves_children:
                    continue
                if self.charges[charge_id].is_open:
                    self.model.row([(self.x[source.id], 1)], 0, 0)
                else:
                    terms = [(self.x[source.id], 1), (self.y[charge_id], 1)]
                    self.model.row(terms, -np.inf, 1)

    def in_place(self) -> None:
        for source in self.case.sources:
            charge_id = source.only_while_closed
            if charge_id is None:
                continue
            if self.charges[charge_id].is_open:
                self.model.row([(self.x[source.id], 1)], 0, 0)
            else:
                terms = [(self.x[source.id], 1), (self.y[charge_id], 1)]
                self.model.row(terms, -np.inf, 1)

    def limits(self) -> None:
        parts = defaultdict(list)
        for source in self.case.sources:
            for part in set(source.physical_parts):
                parts[part].append((self.x[source.id], 1))
        for terms in parts.values():
            self.model.row(terms, 0, 1)
        for capacity in self.case.capacities:
            terms = [(self.x[source_id], quantity) for source_id, quantity in capacity.uses]
            self.model.row(terms, 0, capacity.available)

    def refit(self) -> None:
        free = {p.id for p in self.case.positions if p.always_renew_with}
        for source in self.case.sources:
            for other in self.case.sources if source.refit_only else ():
                allowed = other.resolves_children or other.is_keep or other.position_id in free
                if other.id != source.id and not allowed:
                    self.model.row([(self.x[source.id], 1), (self.x[other.id], 1)], 0, 1)

    def days(self) -> None:
        case, model = self.case, self.model
        model.row([(e, 1) for e in self.e], 1, 1)
        minutes = self.minutes()
        for day, used in enumerate(self.e):
            working_days = self.deadline - day + (day == 0 and case.starts_on_day_zero)
            minutes.append((used, -working_days * case.bench_minutes_per_day))
        model.row(minutes, -np.inf, 0)
        vans = defaultdict(list)
        for charge in case.charges:
            if charge.lead_table_id:
                vans[charge.shipment or f"alone {charge.id}"].append(charge)
        for day, used in enumerate(self.e):
            total, most = [], 0
            for charges in vans.values():
                slowest = model.variable(upper=self.budget, whole=False)
                total.append((slowest, 1))
                most += self.budget
                for charge in charges:
                    chances = self.tables[charge.lead_table_id]
                    chance = chances[min(day, len(chances) - 1)]
                    weighs = weight(chance) if chance else 0
                    if self.is_any:
                        weighs = (10**9 - chance) / 1000
                    if chance < self.least_chance or weighs > self.budget:
                        model.row([(self.y[charge.id], 1), (used, 1)], -np.inf, 1)
                    else:
                        model.row([(self.y[charge.id], weighs), (slowest, -1)], -np.inf, 0)
            if total:
                model.row([*total, (used, most)], -np.inf, self.budget + most)
