"""What is bought for a choice of sources: packs, top-ups, fees, freight that is not paid.

Plain arithmetic, apart from the planner's formulation. Which number of packs of each item comes
cheapest hangs, order by order, together with its minimum and its free freight: what is bought up to
a break counts toward both. All numbers of packs are gone through item by item; of those that come
to the same goods value only the cheapest is followed up, and none that another one beats in value
and in cost at once. Goods values beyond the highest mark of the order count as that mark.

Equal in the aim: the lesser amount of the other side (cost or price), then the smaller top-up, then
fewer packs, item by item in the order of ids.
"""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from itertools import chain
from typing import NamedTuple

from shared.decision.planning.case import (
    AmountLine,
    Charge,
    CostClass,
    OrderTerms,
    PlanningCase,
    Source,
    StockItem,
    Tier,
)
from shared.sourcing.model import BelowMinimum


@dataclass(frozen=True, slots=True)
class Bought:
    """Lines of the goods, lines that the orders' terms add, charges whose freight is waived."""

    goods: tuple[AmountLine, ...] = ()
    extras: tuple[AmountLine, ...] = ()
    travels_free: frozenset[str] = frozenset()
    packs: tuple[tuple[str, int], ...] = ()


class _Packs(NamedTuple):
    """So many packs of an item for so many pieces, every pack at the price of a tier."""

    item: StockItem
    pieces: int
    number: int
    tier: Tier

    @property
    def cost(self) -> int:
        return self.number * self.tier.cost

    @property
    def price(self) -> int:
        return self.number * self.tier.price

    @property
    def line(self) -> AmountLine:
        size, label = self.item.pack_quantity, self.item.label
        unit = "piece" if size == 1 else "pack"
        told = f"{label}: {self.number} {unit}{'s' if self.number > 1 else ''}"
        told += f" of {size}" if size > 1 else ""
        left = self.number * size - self.pieces
        told += f", {left} left over" if left else ""
        return AmountLine(CostClass.GOODS, told, self.cost, self.price)


class _Terms(NamedTuple):
    """What the terms of an order make of a goods value: amounts besides the goods."""

    top_up: int = 0
    takes_fee: bool = False
    travels_free: bool = False


def buy(case: PlanningCase, chosen: Iterable[Source], paid: Iterable[Charge]) -> Bought:
    """Buy what the chosen sources need, with the charges that are opened and paid for.

    The choice must break no rule (``short_of_orders``).
    """
    if not case.items and all(charge.order is None for charge in paid):
        return Bought()
    orders = _orders(case, chosen, paid)
    settled = [_settle(case, order) for _, order in sorted(orders.items())]
    packs = sorted(
        (bought for buying, _, _ in settled for bought in buying), key=lambda b: b.item.id
    )
    return Bought(
        goods=tuple(bought.line for bought in packs),
        extras=tuple(
            line for _, terms, order in settled for line in _extra_lines(order.charge, terms)
        ),
        travels_free=frozenset(
            order.charge.id for _, terms, order in settled if order.charge and terms.travels_free
        ),
        packs=tuple((bought.item.id, bought.number) for bought in packs),
    )


def short_of_orders(
    case: PlanningCase, chosen: Iterable[Source], paid: Iterable[Charge]
) -> list[str]:
    """Keys of items that are not to be had in that number, and of minimums not reached."""
    if not case.items and all(charge.order is None for charge in paid):
        return []
    orders = _orders(case, chosen, paid)
    scarce = sorted(
        item.id
        for order in orders.values()
        for item, pieces in order.needs
        if not _numbers(item, pieces)
    )
    refused = sorted(
        order.charge.id
        for order in orders.values()
        if order.charge is not None and _is_refused(order)
    )
    return [*(f"available:{item}" for item in scarce), *(f"minimum:{id_}" for id_ in refused)]


@dataclass(slots=True)
class _Order:
    """Items bought together; ``charge`` None: nothing hangs on what they come to."""

    charge: Charge | None
    needs: list[tuple[StockItem, int]]
    value: int = 0
    """Goods value at cost of what is not bought by the pack."""


def _orders(
    case: PlanningCase, chosen: Iterable[Source], paid: Iterable[Charge]
) -> dict[str, _Order]:
    """By charge id the orders with terms; under "" what belongs to none."""
    chosen, paid = list(chosen), list(paid)
    orders = {"": _Order(None, [])}
    orders.update((c.id, _Order(c, [])) for c in paid if c.order is not None)
    values = [s.goods_values for s in chosen] + [c.goods_values for c in paid]
    for charge_id, amount in chain.from_iterable(values):
        if charge_id in orders:
            orders[charge_id].value += amount
    pieces: dict[str, int] = defaultdict(int)
    for source in chosen:
        for item_id, quantity in source.purchases:
            pieces[item_id] += quantity
    for item in sorted(case.items, key=lambda item: item.id):
        if pieces[item.id]:
            order = orders.get(item.order_charge or "", orders[""])
            order.needs.append((item, pieces[item.id]))
    return orders


def _numbers(item: StockItem, pieces: int) -> list[_Packs]:
    """Ways to buy an item: as many packs as are needed, or up to where a later tier begins."""
    needed = -(-pieces // item.pack_quantity)
    found: list[_Packs] = []
    for place, tier in enumerate(item.tiers):
        is_last = place == len(item.tiers) - 1
        ends = needed if is_last else item.tiers[place + 1].from_packs - 1
        if tier.from_packs <= needed <= ends:
            found.append(_Packs(item, pieces, needed, tier))
        elif tier.from_packs > needed:
            found.append(_Packs(item, pieces, tier.from_packs, tier))
    available = item.available
    return [
        way for way in found if available is None or way.number * item.pack_quantity <= available
    ]


def _is_refused(order: _Order) -> bool:
    """Whether the supplier refuses the order however many packs are bought."""
    terms = order.charge.order if order.charge is not None else None
    if terms is None or terms.below is not BelowMinimum.REFUSED:
        return False
    most = sum(
        max((way.cost for way in _numbers(item, pieces)), default=0) for item, pieces in order.needs
    )
    return order.value + most < terms.minimum


Rank = tuple[int, int]
"""What comes first, then second: the side that the aim counts, and the other."""
State = tuple[Rank, tuple[_Packs, ...]]
"""What has been bought so far, and for how much."""


def _settle(case: PlanningCase, order: _Order) -> tuple[tuple[_Packs, ...], _Terms, _Order]:
    """The packs and the terms that come cheapest together."""

    def rank(cost: int, price: int) -> Rank:
        return (price, cost) if case.counts_price else (cost, price)

    if order.charge is None or order.charge.order is None:
        return tuple(_cheapest(item, pieces, rank) for item, pieces in order.needs), _Terms(), order
    terms, charge = order.charge.order, order.charge
    freight = rank(
        sum(line.cost for line in charge.lines if line.cost_class is CostClass.FREIGHT),
        sum(line.price for line in charge.lines if line.cost_class is CostClass.FREIGHT),
    )
    best: tuple[tuple[object, ...], tuple[_Packs, ...], _Terms] | None = None
    for value, (paid, ways) in _pareto(order, terms, rank).items():
        for option in _options(terms, value):
            fee = rank(terms.fee_cost, terms.fee_price) if option.takes_fee else (0, 0)
            saved = freight if option.travels_free else (0, 0)
            key = (
                paid[0] + option.top_up + fee[0] - saved[0],
                paid[1] + option.top_up + fee[1] - saved[1],
                option.top_up,
                option.takes_fee,
                tuple(way.number for way in ways),
            )
            if best is None or key < best[0]:
                best = (key, ways, option)
    assert best is not None, "an order that is refused has been ruled out"
    return best[1], best[2], order


def _cheapest(item: StockItem, pieces: int, rank: Callable[[int, int], Rank]) -> _Packs:
    ways = _numbers(item, pieces)
    return min(ways, key=lambda way: (rank(way.cost, way.price), way.number))


def _options(terms: OrderTerms, value: int) -> Iterable[_Terms]:
    """Ways to satisfy the supplier at a goods value: top up, pay the fee, travel free or not."""
    if value < terms.minimum and terms.below is BelowMinimum.REFUSED:
        return
    can_fee = value < terms.minimum and terms.below is BelowMinimum.FEE
    for takes_fee in (False, True) if can_fee else (False,):
        to_minimum = 0 if takes_fee else max(0, terms.minimum - value)
        reached = value + to_minimum
        is_free = terms.free_from is not None and reached >= terms.free_from
        yield _Terms(to_minimum, takes_fee, is_free)
        if terms.free_from is not None and not is_free:
            yield _Terms(terms.free_from - value, takes_fee, travels_free=True)


def _pareto(
    order: _Order, terms: OrderTerms, rank: Callable[[int, int], Rank]
) -> Mapping[int, State]:
    """By goods value, up to the highest mark, what it costs at the least, and the packs."""
    mark = max(terms.minimum, terms.free_from or 0)
    states: dict[int, State] = {min(order.value, mark): ((0, 0), ())}
    for item, pieces in order.needs:
        grown: dict[int, State] = {}
        for value, (paid, ways) in states.items():
            for way in _numbers(item, pieces):
                first, second = rank(way.cost, way.price)
                state = ((paid[0] + first, paid[1] + second), (*ways, way))
                reached = min(mark, value + way.cost)
                if reached not in grown or _is_before(state, grown[reached]):
                    grown[reached] = state
        states = _undominated(grown)
    return states


def _is_before(one: State, other: State) -> bool:
    return (one[0], [way.number for way in one[1]]) < (other[0], [way.number for way in other[1]])


def _undominated(
    states: Mapping[int, State],
) -> dict[int, State]:
    """States than which none has as high a value for as little."""
    kept: dict[int, State] = {}
    best: State | None = None
    for value in sorted(states, reverse=True):
        if best is None or _is_before(states[value], best):
            best = kept[value] = states[value]
    return kept


def _extra_lines(charge: Charge | None, terms: _Terms) -> list[AmountLine]:
    if charge is None or charge.order is None:
        return []
    order, lines = charge.order, []
    if terms.top_up:
        aim = "to free freight" if terms.travels_free else "to the minimum order"
        told = f"top-up {aim}: {charge.label}"
        lines.append(AmountLine(CostClass.TOP_UP, told, terms.top_up, terms.top_up))
    if terms.takes_fee:
        told = f"small-order fee: {charge.label}"
        fee = AmountLine(CostClass.SMALL_ORDER_FEE, told, order.fee_cost, order.fee_price)
        lines.append(fee)
    return lines
