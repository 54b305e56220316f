"""Prices of an offer at which amounts jump: mark-up bands, and orders that a supplier refuses."""

from collections.abc import Iterator
from decimal import Decimal

from shared.decision.building.build import Built
from shared.decision.building.draft import SourceFacts
from shared.decision.planning.case import OrderTerms
from shared.decision.snapshot import Snapshot
from shared.money import Money
from shared.sourcing.model import BelowMinimum, Offer


def price_edges(snapshot: Snapshot, built: Built, offer: Offer) -> tuple[Decimal, ...]:
    """Prices of a piece, in the offer's currency, on whose two sides amounts differ by a jump.

    Of a supplier's terms only a minimum below which orders are refused makes one: where an order
    may be topped up, it gets no cheaper by a dearer piece.
    """
    return *_band_edges(snapshot, built, offer), *_refusal_edges(built, offer)


def refuses_small_orders(built: Built, offer: Offer) -> bool:
    """Whether the offer's supplier refuses orders below a minimum."""
    terms = _terms(built, offer)
    return terms is not None and terms.minimum > 0 and terms.below is BelowMinimum.REFUSED


def _terms(built: Built, offer: Offer) -> OrderTerms | None:
    key = _order_of(offer)
    return next((charge.order for charge in built.case.charges if charge.id == key), None)


def _order_of(offer: Offer) -> str:
    return f"order:{offer.supplier_id}"


def _band_edges(snapshot: Snapshot, built: Built, offer: Offer) -> tuple[Decimal, ...]:
    """Prices just below which another mark-up holds: there the customer's price may jump."""
    if offer.price.currency != snapshot.settings.currency or offer.part_id is None:
        return ()
    bands = built.draft.pricing.rules.parts_markup
    step = Money.of_minor(1, offer.price.currency).amount
    return tuple(band.cost_from.amount - step for band in bands if band.cost_from is not None)


def _refusal_edges(built: Built, offer: Offer) -> tuple[Decimal, ...]:
    """Prices at which the offer, ordered by itself, just comes to the least order that is taken."""
    terms = _terms(built, offer)
    if terms is None or not refuses_small_orders(built, offer):
        return ()
    values = sorted({value for value in _goods_values(built, offer) if value > 0})
    return tuple(offer.price.amount * terms.minimum / value for value in values)


def _goods_values(built: Built, offer: Offer) -> Iterator[int]:
    """What the offer, at its price, counts toward its supplier's terms, in each way it is used."""
    case, order = built.case, _order_of(offer)
    items = {item.id: item for item in case.items if item.order_charge == order}
    own = [one for one in case.sources if _is_bought(built.draft.facts[one.id], offer)]
    kits = [charge for charge in case.charges if charge.id == f"kit:{offer.id}"]
    counted = (*(one.goods_values for one in own), *(kit.goods_values for kit in kits))
    yield from (value for values in counted for key, value in values if key == order)
    for source in own:
        for item_id, pieces in source.purchases:
            if item_id in items:
                item = items[item_id]
                yield -(-pieces // item.pack_quantity) * item.tiers[0].cost


def _is_bought(facts: SourceFacts, offer: Offer) -> bool:
    """Whether a source buys an offer, for itself or along with it."""
    return offer.id in (facts.offer_id, *(one.offer.id for one in facts.along))
