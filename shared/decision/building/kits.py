"""Kits: one number sold for several positions, bought once however many of its parts are used."""

from shared.decision.building import charges
from shared.decision.building.bought import add_bought, kinds_of
from shared.decision.building.buying import Purchase, purchase_alone
from shared.decision.building.core import kit_core
from shared.decision.building.draft import Draft
from shared.decision.building.goods import Goods
from shared.decision.building.planned import PlannedPosition
from shared.decision.building.position_facts import (
    is_in_set,
    may_be_bought,
    replacement,
    valid_offers,
)
from shared.decision.building.stand_ins import why_not_one_for_one
from shared.decision.planning.case import Capacity
from shared.decision.settings import SourceKind
from shared.interchange.candidates import Candidate
from shared.interchange.model import Part
from shared.sourcing.model import Offer


def add_kits(draft: Draft, planned: PlannedPosition, found: tuple[Candidate, ...]) -> None:
    """Kits that hold a candidate part; in a matched set only kits that complete the set."""
    for kit in draft.bench.kits:
        inside = {line.part_id: line.quantity for line in kit.kit_lines}
        held = [candidate for candidate in found if candidate.part.id in inside]
        if not held:
            continue
        candidate = next((c for c in held if _why_not_counted(c, planned) is None), held[0])
        for offer in valid_offers(draft, part_id=kit.id):
            _add_offer(draft, planned, candidate, offer, kit, inside[candidate.part.id])


def _add_offer(
    draft: Draft,
    planned: PlannedPosition,
    candidate: Candidate,
    offer: Offer,
    kit: Part,
    held: int,
) -> None:
    """One offer of a kit at a position, or why it is no source there."""
    subject = f"{offer.description} from {charges.draft_supplier(draft, offer).name}"
    # A kit of used or stand-in parts is no better than those parts singly.
    inner = [
        kind
        for kind in kinds_of(candidate, offer)
        if kind not in (SourceKind.NEW, SourceKind.OLD_STOCK)
    ]
    if not may_be_bought(draft, planned, (SourceKind.KIT, *inner), offer, subject):
        return
    why_not = _why_not_counted(candidate, planned)
    if why_not is not None:
        draft.bar(subject, planned.id, why_not)
        return
    bought = purchase_alone(offer, 1)
    if bought is None or held * bought.pieces < planned.quantity:
        draft.bar(subject, planned.id, f"the kit holds {held}, {planned.quantity} are needed")
        return
    _add_from_kit(draft, planned, candidate, offer, kit, bought)


def _why_not_counted(candidate: Candidate, planned: PlannedPosition) -> str | None:
    """Why a kit's part is no source though it fits: only piece for piece, and by itself."""
    if candidate.ratio != 1:
        return f"{why_not_one_for_one(candidate)}: out of a kit only one goes for one"
    if candidate.companions:
        return f"{planned.name} would need other parts with it, which a kit does not bring for it"
    return None


def _add_from_kit(
    draft: Draft,
    planned: PlannedPosition,
    candidate: Candidate,
    offer: Offer,
    kit: Part,
    bought: Purchase,
) -> None:
    """A kit's part at a position; the kit is bought once, in the least number that is sold."""
    kits = "" if bought.pieces == 1 else f"{bought.pieces} x "
    line = draft.pricing.part(
        f"{kits}kit {kit.maker} {kit.number}", bought.piece_cost, bought.pieces, kit.kind
    )
    core_lines = kit_core(draft, offer, kit.name, bought.pieces)
    is_first = f"kit:{offer.id}" not in draft.charges
    charge = charges.kit_charge(draft, offer, (line, *core_lines), bought.cost)
    if is_first and offer.reject_probability > 0:
        draft.doubtful_kits.append((charge, offer.id, bought.pieces))
    source_id = add_bought(
        draft,
        planned,
        candidate,
        offer,
        SourceKind.KIT,
        goods=Goods(deliveries=(charge,), again=replacement(draft, planned)),
        matched_unit=charge if is_in_set(draft, planned) else None,
    )
    held = next(one.quantity for one in kit.kit_lines if one.part_id == candidate.part.id)
    key = f"kit:{offer.id}:{candidate.part.id}"
    known = draft.capacities.get(key)
    uses = (*(known.uses if known else ()), (source_id, planned.quantity))
    draft.capacities[key] = Capacity(key, held * bought.pieces, uses)
