"""Buying by the piece, the pack and the break; what a supplier asks of an order.

An offer with price breaks, packs, a least quantity or a stock that may run out becomes a stock item
that every position and piece shares: so many are bought as the whole plan needs. Any other offer
stays a plain line. Amounts are integer minor units.
"""

from dataclasses import dataclass

from shared.decision.building.draft import Draft
from shared.decision.building.pricing import marked_up
from shared.decision.planning.case import Charge, CostClass, OrderTerms, StockItem, Tier
from shared.sourcing.model import BelowMinimum, Offer, OfferKind, Supplier


@dataclass(frozen=True, slots=True)
class Purchase:
    """So many pieces bought together, each at this cost."""

    pieces: int
    piece_cost: int

    @property
    def cost(self) -> int:
        """What they cost together."""
        return self.pieces * self.piece_cost


def is_pooled(offer: Offer) -> bool:
    """Whether what a position pays for an offer depends on what else takes it."""
    return bool(
        offer.price_breaks
        or offer.pack_quantity > 1
        or offer.minimum_quantity > 1
        or offer.available_quantity is not None
    )


def packs_for(pieces: int, pack_quantity: int) -> int:
    """Packs that hold so many pieces.

    >>> packs_for(5, 4), packs_for(8, 4)
    (2, 2)
    """
    return -(-pieces // pack_quantity)


def purchase_alone(offer: Offer, needed: int) -> Purchase | None:
    """The cheapest way to buy what is needed of an offer if nothing else takes it.

    Whole packs, the least quantity at least; up to a break where that comes cheaper. None: there
    are not so many.
    """
    if not is_pooled(offer):
        return Purchase(needed, offer.price.minor)
    least = max(needed, offer.minimum_quantity)
    wanted = {least, *(b.from_quantity for b in offer.price_breaks if b.from_quantity > least)}
    counts = {packs_for(count, offer.pack_quantity) * offer.pack_quantity for count in wanted}
    on_hand = offer.available_quantity
    choices = [
        Purchase(count, _piece_cost(offer, count))
        for count in counts
        if on_hand is None or count <= on_hand
    ]
    return min(choices, key=lambda p: (p.cost, p.pieces), default=None)


def _piece_cost(offer: Offer, pieces: int) -> int:
    reached = [b for b in offer.price_breaks if b.from_quantity <= pieces]
    if not reached:
        return offer.price.minor
    return max(reached, key=lambda b: b.from_quantity).price.minor


def why_not_sold(offer: Offer, needed: int) -> str | None:
    """Why so many pieces cannot be had of an offer; None when they can."""
    if purchase_alone(offer, needed) is not None:
        return None
    told = f"{needed} {'is' if needed == 1 else 'are'} needed, {offer.available_quantity} at hand"
    least = quantity_note(offer)
    return f"{told} ({least})" if least else told


def quantity_note(offer: Offer) -> str:
    """In what quantities an offer is sold, in words; empty where by the piece."""
    told = []
    if offer.pack_quantity > 1:
        told.append(f"sold in packs of {offer.pack_quantity}")
    if offer.minimum_quantity > 1:
        told.append(f"sold from {offer.minimum_quantity} pieces on")
    return ", ".join(told)


def purchase_notes(offer: Offer, needed: int) -> tuple[str, ...]:
    """What a person should know of buying so many pieces of an offer."""
    told = [note] if (note := quantity_note(offer)) else []
    alone = purchase_alone(offer, needed)
    if alone is not None and alone.pieces > needed:
        over = alone.pieces - needed
        told.append(
            f"{alone.pieces} are bought for the {needed} needed here: {over} left over, unless "
            "another position takes them; nothing is credited for what is left over"
        )
    if offer.price_breaks:
        steps = ", ".join(
            f"{b.price.amount} {b.price.currency} each from {b.from_quantity} on"
            for b in sorted(offer.price_breaks, key=lambda b: b.from_quantity)
        )
        told.append(f"price breaks: {steps}")
    if offer.available_quantity is not None:
        told.append(f"the supplier has {offer.available_quantity}")
    return tuple(told)


def stock_item(draft: Draft, offer: Offer, label: str, part_kind: str | None, order: str) -> str:
    """The stock item of an offer, shared by all that takes it; ``order`` is its order charge."""
    key = f"item:{offer.id}"
    if key not in draft.items:
        draft.items[key] = StockItem(
            id=key,
            label=label,
            tiers=_tiers(draft, offer, part_kind),
            pack_quantity=offer.pack_quantity,
            available=offer.available_quantity,
            order_charge=order if draft.charges[order].order else None,
        )
    return key


def _tiers(draft: Draft, offer: Offer, part_kind: str | None) -> tuple[Tier, ...]:
    """Prices by the pack: each piece is marked up by what it costs at that break."""
    pack = offer.pack_quantity
    first = packs_for(offer.minimum_quantity, pack)
    costs = {first: offer.price.minor}
    for one in sorted(offer.price_breaks, key=lambda b: b.from_quantity):
        costs[max(first, packs_for(one.from_quantity, pack))] = one.price.minor
    return tuple(
        Tier(
            from_packs,
            cost * pack,
            marked_up(cost, draft.pricing.markup_percent(cost, part_kind)) * pack,
        )
        for from_packs, cost in sorted(costs.items())
    )


# --- what a supplier asks of an order -----------------------------------------------------------


def order_terms(draft: Draft, supplier: Supplier) -> OrderTerms | None:
    """A supplier's terms on the value of an order; None where there are none that matter."""
    minimum = supplier.minimum_order.minor if supplier.minimum_order else 0
    free_from = supplier.free_freight_from
    is_freight_free = free_from is not None and supplier.freight.minor > 0
    if minimum == 0 and not is_freight_free:
        return None
    below = supplier.below_minimum
    fee = supplier.small_order_fee
    fee_cost = fee.minor if fee and minimum and below is BelowMinimum.FEE else 0
    _note_terms(draft, supplier, minimum)
    return OrderTerms(
        minimum=minimum,
        below=below,
        fee_cost=fee_cost,
        fee_price=marked_up(fee_cost, draft.pricing.rules.freight_markup_percent),
        free_from=free_from.minor if free_from is not None and is_freight_free else None,
    )


def _note_terms(draft: Draft, supplier: Supplier, minimum: int) -> None:
    if minimum and supplier.minimum_order is not None:
        least = f"{supplier.minimum_order.amount} {supplier.minimum_order.currency}"
        what = {
            BelowMinimum.TOP_UP: "goods for the rest are bought besides",
            BelowMinimum.FEE: "a fee is paid, passed on as freight, or goods are bought besides",
            BelowMinimum.REFUSED: "it is not taken",
        }[supplier.below_minimum]
        draft.assume(f"An order to {supplier.name} below {least}: {what}.")
    draft.assume(
        "Goods bought only to reach a supplier's minimum or free freight cost shop and customer "
        "what they are worth; kits and whole packs count toward both, freight, deposits and tax "
        "do not."
    )
    if any(
        o.kind is OfferKind.SERVICE and o.supplier_id == supplier.id
        for o in draft.bench.snapshot.offers
    ):
        draft.assume(f"Work done by {supplier.name} counts toward its order terms as goods do.")


def goods_values(draft: Draft, order: str, cost: int) -> tuple[tuple[str, int], ...]:
    """What goods of this cost count toward the terms of their order; nothing where it has none."""
    return ((order, cost),) if draft.charges[order].order is not None and cost else ()


def order_extra(charge: Charge, value: int, *, counts_price: bool) -> tuple[int, int] | None:
    """What an order of this goods value alone costs besides, as (price, cost); None: refused.

    Freight that such an order does not pay counts below zero.
    """
    terms = charge.order
    if terms is None:
        return 0, 0
    short = max(0, terms.minimum - value)
    if short and terms.below is BelowMinimum.REFUSED:
        return None
    freight = [line for line in charge.lines if line.cost_class is CostClass.FREIGHT]
    waived_price = sum(line.price for line in freight)
    waived_cost = sum(line.cost for line in freight)
    choices = [(short, short, short)]
    if short and terms.below is BelowMinimum.FEE:
        choices.append((terms.fee_price, terms.fee_cost, 0))
    if terms.free_from is not None:
        up_to = max(short, terms.free_from - value)
        choices.append((up_to, up_to, up_to) if up_to > 0 else (0, 0, 0))
        choices = [
            (price - waived_price, cost - waived_cost, added)
            if value + added >= terms.free_from
            else (price, cost, added)
            for price, cost, added in choices
        ]
    index = 0 if counts_price else 1
    price, cost, _ = min(choices, key=lambda c: (c[index], c))
    return price, cost


def packs_alone(item: StockItem, pieces: int, *, counts_price: bool) -> tuple[int, Tier]:
    """Packs and tier that come cheapest if only so many pieces of an item are needed."""
    needed = packs_for(pieces, item.pack_quantity)
    choices = [
        (max(needed, tier.from_packs), tier)
        for tier, following in zip(item.tiers, (*item.tiers[1:], None), strict=True)
        if following is None or max(needed, tier.from_packs) < following.from_packs
    ]
    most = item.available
    fitting = [c for c in choices if most is None or c[0] * item.pack_quantity <= most]
    return min(
        fitting or choices,
        key=lambda c: (c[0] * (c[1].price if counts_price else c[1].cost), c[0]),
    )
