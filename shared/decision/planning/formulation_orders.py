"""Rows of what is bought by the pack, and of the terms on what an order comes to.

An item is bought exactly as it is needed, or up to where one of its tiers begins. The goods value
of an order is what is needed of it at cost, packs as they are bought.
"""

from collections import defaultdict
from collections.abc import Mapping
from itertools import zip_longest
from typing import NamedTuple

from shared.decision.planning.case import OrderTerms, StockItem, Tier
from shared.decision.planning.case_reader import CaseReader
from shared.decision.planning.problem import Formulation
from shared.sourcing.model import BelowMinimum


def purchases(problem: Formulation, reader: CaseReader, relaxed: frozenset[str]) -> None:
    """Packs of every item, and minimum, fee, top-up, free freight of every order with terms."""
    values = _GoodsValues(problem, reader)
    for item in reader.items:
        needs = {
            problem.source_at[source_id]: pieces
            for source_id, pieces in reader.pieces.get(item.id, {}).items()
            if source_id in problem.source_at
        }
        if needs:
            is_bounded = f"available:{item.id}" not in relaxed
            _Buying(problem, reader, item, needs, values, is_bounded=is_bounded).write()
    for charge in reader.charges.values():
        if charge.order is not None and charge.id in problem.charge_at and not charge.is_open:
            opened, freight = problem.charge_at[charge.id], reader.freight(charge)
            order = _Order(charge.order, opened, freight, values.of(charge.id))
            order.write(problem, reader, is_bound=f"minimum:{charge.id}" not in relaxed)


class _GoodsValues:
    """What each order charge comes to, as terms over the variables."""

    def __init__(self, problem: Formulation, reader: CaseReader) -> None:
        self._terms: dict[str, dict[int, int]] = defaultdict(lambda: defaultdict(int))
        for source in reader.sources:
            if source.id in problem.source_at:
                for charge_id, amount in source.goods_values:
                    self.add(charge_id, problem.source_at[source.id], amount)
        for charge in reader.charges.values():
            if charge.id in problem.charge_at and not charge.is_open:
                for charge_id, amount in charge.goods_values:
                    self.add(charge_id, problem.charge_at[charge.id], amount)

    def add(self, charge_id: str | None, index: int, amount: int) -> None:
        if charge_id is not None:
            self._terms[charge_id][index] += amount

    def of(self, charge_id: str) -> Mapping[int, int]:
        return self._terms.get(charge_id, {})


class _Bought(NamedTuple):
    """So many packs for each unit of a variable, at the price of a tier."""

    variable: int
    packs: int
    tier: Tier


class _Buying:
    """The rows of one item; ``needs``: pieces for each unit of a variable."""

    def __init__(
        self,
        problem: Formulation,
        reader: CaseReader,
        item: StockItem,
        needs: Mapping[int, int],
        values: _GoodsValues,
        *,
        is_bounded: bool,
    ) -> None:
        self.problem, self.reader, self.item, self.values = problem, reader, item, values
        self.needs = needs
        self.most = -(-reader.most_pieces[item.id] // item.pack_quantity)
        self.limit: int | None = None
        if is_bounded and item.available is not None:
            self.limit = item.available // item.pack_quantity

    def write(self) -> None:
        tiers = self.item.tiers
        if len(tiers) == 1 and tiers[0].from_packs == 1:
            self._by_need(tiers[0])
        else:
            self._by_tier()

    def _by_need(self, tier: Tier) -> None:
        """One price from the first pack on: nothing but what is needed is bought."""
        size = self.item.pack_quantity
        highest = self.most if self.limit is None else min(self.most, self.limit)
        if size == 1:
            for index, pieces in self.needs.items():
                self._pay(_Bought(index, pieces, tier))
            if highest < self.most:
                self.problem.row(self.needs, None, highest)
            return
        packs = self.problem.variable(highest)
        self._rows([_Bought(packs, 1, tier)], [])
        self._pay(_Bought(packs, 1, tier))

    def _by_tier(self) -> None:
        """As needed, in the tier where that falls; or up to where a tier begins."""
        exact, breaks, choices = [], [], []
        for tier, after in zip_longest(self.item.tiers, self.item.tiers[1:]):
            begins, highest = tier.from_packs, self.most if after is None else after.from_packs - 1
            if self.limit is not None:
                highest = min(highest, self.limit)
            if begins <= min(highest, self.most):
                choices.append(self.problem.variable())
                exact.append(self._within(choices[-1], tier, min(highest, self.most)))
            if begins > 1 and (self.limit is None or begins <= self.limit):
                choices.append(self.problem.variable())
                breaks.append(_Bought(choices[-1], begins, tier))
        self.problem.row(dict.fromkeys(choices, 1), None, 1)
        # What nobody needs is not bought, not even to reach an order's minimum.
        self.problem.row({**dict.fromkeys(choices, 1), **dict.fromkeys(self.needs, -1)}, None, 0)
        self._rows(exact, breaks)
        for bought in (*exact, *breaks):
            self._pay(bought)

    def _within(self, chosen: int, tier: Tier, highest: int) -> _Bought:
        """Packs from the tier's first to the highest, if it is chosen, else none."""
        if highest == tier.from_packs:
            return _Bought(chosen, highest, tier)
        packs = self.problem.variable(highest)
        self.problem.row({packs: 1, chosen: -highest}, None, 0)
        self.problem.row({packs: 1, chosen: -tier.from_packs}, 0, None)
        return _Bought(packs, 1, tier)

    def _rows(self, exact: list[_Bought], breaks: list[_Bought]) -> None:
        """Enough is bought, and without a break no more than the last pack begun."""
        size = self.item.pack_quantity
        needs = {index: -pieces for index, pieces in self.needs.items()}
        as_needed = {bought.variable: bought.packs * size for bought in exact}
        up_to = {bought.variable: bought.packs * size for bought in breaks}
        self.problem.row({**needs, **as_needed, **up_to}, 0, None)
        self.problem.row({**needs, **as_needed}, None, size - 1)

    def _pay(self, bought: _Bought) -> None:
        tier = bought.tier
        amount = self.reader.side(tier.cost, tier.price)
        self.problem.pay(bought.variable, amount * bought.packs)
        self.values.add(self.item.order_charge, bought.variable, tier.cost * bought.packs)


class _Order(NamedTuple):
    """One order with terms: its opening, what its freight adds to the aim, its goods value."""

    terms: OrderTerms
    opened: int
    freight: int
    value: Mapping[int, int]

    def write(self, problem: Formulation, reader: CaseReader, *, is_bound: bool) -> None:
        """Minimum and free freight; a relaxed minimum (``is_bound`` False) bars nothing."""
        least, free_from = self.terms.minimum, self.terms.free_from
        is_refused = self.terms.below is BelowMinimum.REFUSED
        if is_refused and least and is_bound:
            problem.row(self._sum({self.opened: -least}), 0, None)
        to_reach = [] if is_refused or not least else [least]
        if free_from is not None and self.freight:
            to_reach.append(free_from)
        if not to_reach:
            return
        top_up = problem.variable(max(to_reach))
        problem.pay(top_up, 1)
        if least and not is_refused:
            self._minimum(problem, reader, top_up)
        if free_from is not None and self.freight:
            self._free_freight(problem, top_up, free_from)

    def _minimum(self, problem: Formulation, reader: CaseReader, top_up: int) -> None:
        least = self.terms.minimum
        terms = {top_up: 1, self.opened: -least}
        if self.terms.below is BelowMinimum.FEE:
            small = problem.variable()
            problem.pay(small, reader.side(self.terms.fee_cost, self.terms.fee_price))
            terms[small] = least
        problem.row(self._sum(terms), 0, None)

    def _free_freight(self, problem: Formulation, top_up: int, free_from: int) -> None:
        free = problem.variable()
        problem.pay(free, -self.freight)
        problem.row({free: 1, self.opened: -1}, None, 0)
        problem.row(self._sum({top_up: 1, free: -free_from}), 0, None)

    def _sum(self, terms: Mapping[int, int]) -> dict[int, int]:
        """The goods value and other terms; an order's opening may be a variable of both."""
        total = dict(self.value)
        for index, factor in terms.items():
            total[index] = total.get(index, 0) + factor
        return total
