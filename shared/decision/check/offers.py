"""Suppliers and offers."""

from collections.abc import Collection

from shared.decision.check.numbers import check_chance, check_whole
from shared.decision.check.references import require, require_among
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput
from shared.sourcing.calendar import clock_time
from shared.sourcing.lead_time import check_quotes
from shared.sourcing.model import BelowMinimum, Offer, OfferKind, Supplier
from shared.sourcing.rework import check_rework

MOST_PIECES = 1_000_000
LONGEST_TERM_DAYS = 3_650


def check_offers(snapshot: Snapshot) -> None:
    """Refuse offers by unknown suppliers, for nothing or for two things, or with odd quotes."""
    for index, supplier in enumerate(snapshot.suppliers):
        if supplier.order_cutoff is not None:
            try:
                clock_time(supplier.order_cutoff, "order_cutoff")
            except InvalidInput as error:
                raise error.below(f"/suppliers/{index}") from None
        _check_order_terms(f"/suppliers/{index}", supplier)
    parts = {part.id for part in snapshot.parts}
    characteristics = {one.id for one in snapshot.characteristics}
    for index, offer in enumerate(snapshot.offers):
        at = f"/offers/{index}"
        require(f"{at}/supplier_id", offer.supplier_id, snapshot.suppliers, "supplier")
        require(f"{at}/part_id", offer.part_id, snapshot.parts, "part")
        require(f"{at}/position_id", offer.position_id, snapshot.positions, "position")
        _check_target(at, offer)
        _check_validity(at, offer)
        check_chance(f"{at}/reject_probability", offer.reject_probability)
        if offer.core is not None:
            check_chance(f"{at}/core/acceptance_probability", offer.core.acceptance_probability)
            if offer.core.refund is not None and offer.core.refund.minor > offer.core.deposit.minor:
                raise InvalidInput(
                    f"{at}/core/refund",
                    "More would come back than was paid.",
                    "Give at most the deposit.",
                )
            for name in ("return_within_days", "refund_within_days"):
                days = getattr(offer.core, name)
                if days is not None:
                    check_whole(f"{at}/core/{name}", days, 0, LONGEST_TERM_DAYS)
        _check_quantities(at, offer)
        _check_breaks(at, offer)
        _check_rework(at, offer, parts, characteristics)
        try:
            check_quotes(offer.p50_days, offer.p90_days)
        except InvalidInput as error:
            raise error.below(at) from None


def _check_order_terms(at: str, supplier: Supplier) -> None:
    """A fee goes with the word that small orders are taken for one, and that word with a fee."""
    takes_a_fee = supplier.below_minimum is BelowMinimum.FEE
    if supplier.small_order_fee is not None and not takes_a_fee:
        raise InvalidInput(
            f"{at}/small_order_fee",
            f"A fee is given, but below the minimum the order is '{supplier.below_minimum}'.",
            f"Give below_minimum as '{BelowMinimum.FEE}', or leave the fee out.",
            "fee-without-below-minimum",
        )
    if takes_a_fee and supplier.small_order_fee is None:
        raise InvalidInput(
            f"{at}/small_order_fee",
            "Small orders are taken for a fee, and none is given.",
            "Give the fee, or another below_minimum.",
            "fee-missing",
        )
    if takes_a_fee and supplier.minimum_order is None:
        raise InvalidInput(
            f"{at}/minimum_order",
            "A fee is taken below a minimum order, and none is given.",
            "Give the minimum order, or leave the fee and below_minimum out.",
            "minimum-missing",
        )


def _check_quantities(at: str, offer: Offer) -> None:
    """Packs, least and available quantities are possible, and of goods that can be pooled."""
    check_whole(f"{at}/pack_quantity", offer.pack_quantity, 1, MOST_PIECES)
    check_whole(f"{at}/minimum_quantity", offer.minimum_quantity, 1, MOST_PIECES)
    if offer.available_quantity is not None:
        check_whole(f"{at}/available_quantity", offer.available_quantity, 0, MOST_PIECES)
    given = {
        "price_breaks": bool(offer.price_breaks),
        "pack_quantity": offer.pack_quantity > 1,
        "minimum_quantity": offer.minimum_quantity > 1,
        "available_quantity": offer.available_quantity is not None,
    }
    wrong = next((name for name, is_given in given.items() if is_given), None)
    if wrong is not None and offer.kind is OfferKind.SERVICE:
        raise InvalidInput(
            f"{at}/{wrong}",
            "A service is priced piece by piece.",
            "Leave it out: packs, breaks and quantities are of goods.",
            "not-of-a-service",
        )
    if wrong not in (None, "available_quantity") and offer.core is not None:
        raise InvalidInput(
            f"{at}/{wrong}",
            "An exchange item with a core deposit is bought piece by piece.",
            "Leave it out, or leave out the core.",
            "not-with-a-core",
        )


def _check_breaks(at: str, offer: Offer) -> None:
    """Breaks rise in quantity and never in price."""
    before, price = 1, offer.price
    for place, one in enumerate(offer.price_breaks):
        pointer = f"{at}/price_breaks/{place}"
        check_whole(f"{pointer}/from_quantity", one.from_quantity, 2, MOST_PIECES)
        if one.from_quantity <= before:
            raise InvalidInput(
                f"{pointer}/from_quantity",
                f"The break from {one.from_quantity} on does not begin above the one before, "
                f"from {before} on: they overlap.",
                "Give the breaks by rising quantity, each quantity once.",
                "breaks-overlap",
            )
        if one.price.minor > price.minor:
            raise InvalidInput(
                f"{pointer}/price/amount",
                f"{one.price.amount} from {one.from_quantity} on is more than {price.amount} "
                "for fewer.",
                "Give a price that is not above the one before.",
                "break-dearer",
            )
        before, price = one.from_quantity, one.price


def _check_rework(
    at: str, offer: Offer, parts: Collection[str], characteristics: Collection[str]
) -> None:
    """A rework is a service at a position, and names what is there.

    Whether a characteristic lies at the position still is not asked: the parts list may have
    changed since, by its author's hand, and what is not put right bars the offer anyway.
    """
    try:
        check_rework(offer)
    except InvalidInput as error:
        raise error.below(at) from None
    if offer.rework is None:
        return
    named = [
        (f"puts_right/{place}", one, characteristics, "characteristic")
        for place, one in enumerate(offer.rework.puts_right)
    ]
    named += [
        (f"parts/{place}/part_id", line.part_id, parts, "part")
        for place, line in enumerate(offer.rework.parts)
    ]
    for member, record_id, known, what in named:
        require_among(f"{at}/rework/{member}", record_id, known, what)


def _check_validity(at: str, offer: Offer) -> None:
    """An offer does not end before it begins."""
    begins, ends = offer.valid_from, offer.valid_until
    if begins is not None and ends is not None and ends < begins:
        raise InvalidInput(
            f"{at}/valid_until",
            f"valid_until {ends} is before valid_from {begins}.",
            "Swap the two dates.",
            "range-reversed",
        )


def _check_target(at: str, offer: Offer) -> None:
    """Goods name a part or an assembly, a service a position or an assembly; exactly one."""
    other = offer.part_id if offer.kind is OfferKind.GOODS else offer.position_id
    wrong = offer.position_id if offer.kind is OfferKind.GOODS else offer.part_id
    named = [target for target in (other, offer.assembly_id) if target is not None]
    if wrong is not None or len(named) != 1:
        wanted = "part_id" if offer.kind is OfferKind.GOODS else "position_id"
        raise InvalidInput(
            f"{at}/{wanted}",
            f"An offer of {offer.kind} must name exactly one of {wanted} and assembly_id.",
            "Name what the price is for.",
        )
