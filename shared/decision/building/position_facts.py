"""What all sources of a position share: who may fill it, what fitting and failing cost."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from shared.assemblies.model import LabourOperation, OperationKind, Position, RenewalRule
from shared.decision.building import charges
from shared.decision.building.buying import purchase_alone, why_not_sold
from shared.decision.building.draft import Again, Draft, Subject
from shared.decision.building.path_notes import why_not_planned
from shared.decision.building.planned import WHOLE, PlannedPosition
from shared.decision.building.risk import Failure, Prospect
from shared.decision.building.stand_ins import pieces_of
from shared.decision.planning.case import AmountLine, CostClass
from shared.decision.settings import SourceKind
from shared.decision.telling.figures import percent_up
from shared.interchange.candidates import Candidate, Refused, candidates_in
from shared.interchange.found import Place, Standing
from shared.sourcing.model import GoodsCondition, Offer, OfferKind, WarrantyCover

OWN_UNIT = "unit:own"
"""Matched unit of what comes from the customer's own unit."""
UNUSED = frozenset({GoodsCondition.NEW, GoodsCondition.OLD_STOCK})
"""Conditions of goods that have never run."""
_BY_CONDITION = {
    GoodsCondition.OLD_STOCK: SourceKind.OLD_STOCK,
    GoodsCondition.USED: SourceKind.USED,
    GoodsCondition.REBUILT: SourceKind.EXCHANGE,
}


def candidates_for(
    draft: Draft, planned: PlannedPosition
) -> tuple[tuple[Candidate, ...], tuple[Refused, ...]]:
    """Candidate parts of a position for this unit, and those refused or not planned with."""
    return candidates_at(draft, planned.position)


def candidates_at(
    draft: Draft, position: Position
) -> tuple[tuple[Candidate, ...], tuple[Refused, ...]]:
    """As ``candidates_for``, whether the position is planned or lies inside one that is."""
    known = draft.candidates_at.get(position.id)
    if known is None:
        known = _found_at(draft, position)
        draft.candidates_at[position.id] = known
    return known


def _found_at(
    draft: Draft, position: Position
) -> tuple[tuple[Candidate, ...], tuple[Refused, ...]]:
    bench = draft.bench
    if position.part_id is None or position.part_id not in bench.parts:
        return (), ()
    found = candidates_in(
        Place(
            position.part_id,
            bench.today,
            bench.snapshot.assembly.id,
            position.id,
            bench.unit.traits,
        ),
        bench.graph,
    )
    if found.stopped is not None:
        draft.assume(f"Parts that may stand in at '{position.name}': {found.stopped}")
    usable = tuple(one for one in found.candidates if one.standing is Standing.USABLE)
    others = tuple(
        Refused(one.part.id, why_not_planned(bench, one))
        for one in found.candidates
        if one.standing is not Standing.USABLE
    )
    return usable, (*found.refused, *others)


def usable_candidate(draft: Draft, position: Position, part_id: str | None) -> Candidate | None:
    """The candidate of a position that is this part; None where it may not be planned with."""
    if part_id is None:
        return None
    found, _ = candidates_at(draft, position)
    return next((one for one in found if one.part.id == part_id), None)


def valid_offers(
    draft: Draft,
    part_id: str | None = None,
    position_id: str | None = None,
    assembly_id: str | None = None,
) -> tuple[Offer, ...]:
    """Offers for exactly this target that can be had on the day of the decision, by id.

    Why another cannot be had is noted once.
    """
    target = (part_id, position_id, assembly_id)
    known = draft.offers_at.get(target)
    if known is None:
        known = tuple(o for o in draft.bench.offers_for(target) if _can_be_had(draft, o))
        draft.offers_at[target] = known
    return known


def _can_be_had(draft: Draft, offer: Offer) -> bool:
    """Whether an offer holds today and the least that is sold of it is there; if not, why."""
    today = draft.bench.today
    why_not = why_not_sold(offer, 1)
    if not is_valid(offer, today):
        why_not = (
            f"the offer is not valid on {today} (from {offer.valid_from or 'any day'} "
            f"until {offer.valid_until or 'further notice'})"
        )
    if why_not is None:
        return True
    subject = f"{offer.description} from {charges.draft_supplier(draft, offer).name}"
    assembly = draft.bench.snapshot.assembly
    is_for_whole = offer.assembly_id == assembly.id or (
        offer.part_id is not None and offer.part_id == assembly.part_id
    )
    draft.bar(subject, WHOLE if is_for_whole else offer.position_id, why_not)
    return False


def is_valid(offer: Offer, today: date) -> bool:
    """Whether an offer holds on a day."""
    return (offer.valid_from is None or offer.valid_from <= today) and (
        offer.valid_until is None or today <= offer.valid_until
    )


def is_allowed(
    draft: Draft, planned: PlannedPosition, kind: SourceKind, subject: str | Subject
) -> bool:
    """Whether the shop's policy lets a safety-critical position take this kind of source."""
    allowed = draft.bench.settings.policy.safety_critical_sources
    what = "is safety-critical" if planned.is_safety_critical else "holds a safety-critical part"
    if planned.holds_safety_critical and kind not in allowed:
        draft.bar(
            subject,
            planned.id,
            f"{planned.name} {what}; the shop's policy allows there only: {kinds_told(allowed)}",
        )
        return False
    return True


def condition_kind(offer: Offer, new: SourceKind) -> SourceKind:
    """What kind of source goods are by their condition; ``new``: what they are where it is new."""
    return _BY_CONDITION.get(offer.condition or GoodsCondition.NEW, new)


def may_be_bought(
    draft: Draft,
    planned: PlannedPosition,
    kinds: tuple[SourceKind, ...],
    offer: Offer,
    subject: str,
) -> bool:
    """Whether policy and renewal rule let an offer of these kinds in; if not, it is told."""
    if not all(is_allowed(draft, planned, kind, subject) for kind in kinds):
        return False
    is_unused = (offer.condition or GoodsCondition.NEW) in UNUSED
    if planned.position.renewal_rule is RenewalRule.ALWAYS and not is_unused:
        draft.bar(subject, planned.id, "renewed always: only a part never run will do")
        return False
    return True


def kinds_told(kinds: Iterable[SourceKind]) -> str:
    """Kinds of sources in words, in their own order, however they were given."""
    wanted = set(kinds)
    return ", ".join(kind for kind in SourceKind if kind in wanted)


def is_in_set(draft: Draft, planned: PlannedPosition) -> bool:
    """Whether the position belongs to a matched set."""
    return draft.bench.matched_set_of(planned.position.id) is not None


def fitting_operations(draft: Draft, planned: PlannedPosition) -> tuple[LabourOperation, ...]:
    """Labour to fit something at a position."""
    found = draft.bench.work_at(planned, OperationKind.RENEW)
    if not found:
        draft.assume(f"No hours on record to fit '{planned.position.name}': none charged for it.")
    return found


def reject_notes(offer: Offer) -> tuple[str, ...]:
    """What a person is told of goods that may prove bad on arrival."""
    if offer.reject_probability == 0:
        return ()
    chance = percent_up(offer.reject_probability)
    return (
        f"a piece proves bad on arrival with a chance of {chance}: the supplier replaces it "
        "without charge, delivered anew from the day it is found; that the replacement is bad, "
        "too, counts as never there",
    )


def residual(offer: Offer, quantity: int, name: str) -> tuple[AmountLine, ...]:
    """What the item is still worth to its owner at the horizon, as an expectation."""
    if offer.residual_worth is None or offer.residual_worth.minor == 0:
        return ()
    worth = offer.residual_worth.minor * quantity
    label = f"worth left at the horizon, {name}"
    return (AmountLine(CostClass.RESIDUAL_WORTH, label, 0, -worth, is_billed=False),)


def failure_of(
    draft: Draft,
    planned: PlannedPosition,
    again: Again,
    cover: WarrantyCover,
    own_hours: Decimal = Decimal(0),
) -> Failure:
    """What a failure at a position costs: the work again, the part again, the rest.

    ``own_hours``: of the bench, besides opening, fitting and closing.
    """
    hours = charges.reopening_hours(draft, planned) + own_hours
    fixed = draft.bench.settings.warranty.comeback_fixed_cost
    fixed_minor = fixed.minor if fixed else 0
    labour = 0 if cover is WarrantyCover.PART_AND_LABOUR else draft.pricing.labour_cost(hours)
    part = again.cost if cover is WarrantyCover.NOTHING else 0
    return Failure(
        shop_cost=fixed_minor + labour + part,
        customer_price=draft.pricing.labour_price(hours) + again.price,
    )


def replacement(draft: Draft, planned: PlannedPosition) -> Again:
    """What renewing a kept part after a failure would take in goods: the cheapest that fits.

    Nothing fits: the cheapest whole unit. No unit either: nothing, and the answer says so.
    """
    known = draft.again_at.get(planned.id)
    if known is None:
        known = _replacement(draft, planned)
        draft.again_at[planned.id] = known
    return known


def _replacement(draft: Draft, planned: PlannedPosition) -> Again:
    found, _ = candidates_for(draft, planned)
    # What needs another part with it is passed over: such a part is seldom the cheapest.
    wanted = {
        candidate.part.id: pieces
        for candidate in found
        if not candidate.companions
        and (pieces := pieces_of(candidate, planned.quantity)) is not None
    }
    in_set = is_in_set(draft, planned)
    choices = []
    for part in draft.bench.parts.values():
        is_kit = any(line.part_id in wanted for line in part.kit_lines)
        if not is_kit and (part.id not in wanted or in_set):
            continue
        pieces = 1 if is_kit else wanted[part.id]
        for offer in valid_offers(draft, part_id=part.id):
            again = bought_again(draft, offer, pieces, part.kind)
            choices += [again] if again is not None else []
    choices = choices or _unit_again(draft)
    if not choices:
        draft.assume(
            f"No offer replaces '{planned.name}': the part itself is left out of what a failure "
            "of it would cost."
        )
    return min(choices, key=lambda again: (again.cost, again.price), default=Again(0, 0))


def bought_again(draft: Draft, offer: Offer, pieces: int, part_kind: str | None) -> Again | None:
    """What so many pieces of an offer cost by themselves; None: they cannot be had."""
    alone = purchase_alone(offer, pieces)
    if alone is None:
        return None
    return Again.of(draft.pricing.part("again", alone.piece_cost, alone.pieces, part_kind))


def _unit_again(draft: Draft) -> list[Again]:
    assembly = draft.bench.snapshot.assembly
    offers = list(valid_offers(draft, assembly_id=assembly.id))
    if assembly.part_id is not None:
        offers += valid_offers(draft, part_id=assembly.part_id)
    alone = [purchase_alone(o, 1) for o in offers if o.kind is OfferKind.GOODS]
    return [Again.of(draft.pricing.unit("again", one.cost)) for one in alone if one is not None]


def note_outlook(
    draft: Draft, planned: PlannedPosition, kind: SourceKind, outlook: Prospect
) -> None:
    """Tell, once, where a chance of failure comes from, or that there is none on record."""
    part_kind = draft.bench.part_kind(planned.position) or planned.position.name
    draft.note_outlook(f"{part_kind} ({kind})", outlook)


def unit_age(draft: Draft) -> tuple[Decimal, Decimal] | None:
    """Range of hours that the customer's unit has run."""
    return hours_range(draft.bench.unit.lower_hours, draft.bench.unit.upper_hours)


def hours_range(lower: Decimal | None, upper: Decimal | None) -> tuple[Decimal, Decimal] | None:
    """A range of hours from what is known of its ends."""
    if lower is None and upper is None:
        return None
    low = lower if lower is not None else upper
    high = upper if upper is not None else lower
    if low is None or high is None:
        return None
    return (low, high)
