"""Suppliers and offers."""

from shared.decision.check.numbers import check_chance
from shared.decision.check.references import require
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput
from shared.sourcing.calendar import clock_time
from shared.sourcing.lead_time import check_quotes
from shared.sourcing.model import Offer, OfferKind


def check_offers(snapshot: Snapshot) -> None:
    """Refuse offers by unknown suppliers, for nothing or for two things, or with odd quotes."""
    for index, supplier in enumerate(snapshot.suppliers):
        if supplier.order_cutoff is not None:
            try:
                clock_time(supplier.order_cutoff, "order_cutoff")
            except InvalidInput as error:
                raise error.below(f"/suppliers/{index}") from None
    for index, offer in enumerate(snapshot.offers):
        at = f"/offers/{index}"
        require(f"{at}/supplier_id", offer.supplier_id, snapshot.suppliers, "supplier")
        require(f"{at}/part_id", offer.part_id, snapshot.parts, "part")
        require(f"{at}/position_id", offer.position_id, snapshot.positions, "position")
        _check_target(at, offer)
        check_chance(f"{at}/reject_probability", offer.reject_probability)
        if offer.core is not None:
            check_chance(f"{at}/core/acceptance_probability", offer.core.acceptance_probability)
            if offer.core.refund is not None and offer.core.refund.minor > offer.core.deposit.minor:
                raise InvalidInput(
                    f"{at}/core/refund",
                    "More would come back than was paid.",
                    "Give at most the deposit.",
                )
        try:
            check_quotes(offer.p50_days, offer.p90_days)
        except InvalidInput as error:
            raise error.below(at) from None


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
