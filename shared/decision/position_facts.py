"""What all sources of a position share: who may fill it, what fitting and failing cost."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from shared.assemblies.model import LabourOperation, OperationKind
from shared.decision import charges
from shared.decision.case import AmountLine, CostClass
from shared.decision.draft import Draft
from shared.decision.planned import PlannedPosition
from shared.decision.risk import Failure, Prospect
from shared.decision.settings import SourceKind
from shared.interchange.candidates import Candidate, RefusedClaim, candidates
from shared.money import times
from shared.sourcing.model import CoreTerms, GoodsCondition, Offer, OfferKind, WarrantyCover

OWN_UNIT = "unit:own"
"""Matched unit of what comes from the customer's own unit."""
UNUSED = frozenset({GoodsCondition.NEW, GoodsCondition.OLD_STOCK})
"""Conditions of goods that have never run."""


@dataclass(frozen=True, slots=True)
class Again:
    """What it takes to buy something once more, priced by the rule it was priced by."""

    cost: int
    price: int

    @classmethod
    def of(cls, line: AmountLine) -> "Again":
        """The amounts of a line."""
        return cls(line.cost, line.price)


def candidates_for(
    draft: Draft, planned: PlannedPosition
) -> tuple[tuple[Candidate, ...], tuple[RefusedClaim, ...]]:
    """Candidate parts of a position for this unit, and refused claims."""
    snapshot = draft.bench.snapshot
    return candidates(
        planned.position,
        draft.bench.unit.serial_number,
        snapshot.parts,
        snapshot.claims,
        snapshot.settings.policy.accepted_evidence,
    )


def valid_offers(
    draft: Draft,
    part_id: str | None = None,
    position_id: str | None = None,
    assembly_id: str | None = None,
) -> Iterable[Offer]:
    """Offers for exactly this target that are valid on the day of the decision, by id."""
    today = draft.bench.today
    for offer in sorted(draft.bench.snapshot.offers, key=lambda o: o.id):
        if (offer.part_id, offer.position_id, offer.assembly_id) != (
            part_id,
            position_id,
            assembly_id,
        ):
            continue
        if is_valid(offer, today):
            yield offer
        else:
            draft.bar(
                f"{offer.description} from {charges.draft_supplier(draft, offer).name}",
                position_id,
                f"the offer is not valid on {today} (from {offer.valid_from or 'any day'} "
                f"until {offer.valid_until or 'further notice'})",
            )


def is_valid(offer: Offer, today: date) -> bool:
    """Whether an offer holds on a day."""
    return (offer.valid_from is None or offer.valid_from <= today) and (
        offer.valid_until is None or today <= offer.valid_until
    )


def is_allowed(draft: Draft, planned: PlannedPosition, kind: SourceKind, subject: str) -> bool:
    """Whether the shop's policy lets a safety-critical position take this kind of source."""
    allowed = draft.bench.settings.policy.safety_critical_sources
    what = "is safety-critical" if planned.is_safety_critical else "holds a safety-critical part"
    if planned.holds_safety_critical and kind not in allowed:
        draft.bar(
            subject,
            planned.id,
            f"{planned.name} {what}; the shop's policy allows there only: " + ", ".join(allowed),
        )
        return False
    return True


def is_in_set(draft: Draft, planned: PlannedPosition) -> bool:
    """Whether the position belongs to a matched set."""
    return draft.bench.matched_set_of(planned.position.id) is not None


def fitting_operations(draft: Draft, planned: PlannedPosition) -> tuple[LabourOperation, ...]:
    """Labour to fit something at a position."""
    found = draft.bench.work_at(planned, OperationKind.RENEW)
    if not found:
        draft.assume(f"No hours on record to fit '{planned.position.name}': none charged for it.")
    return found


def core_amounts(
    core: CoreTerms | None, quantity: int, name: str
) -> tuple[tuple[AmountLine, ...], int]:
    """Deposit, paid now, and expected credit for the core; and the credit that could be lost.

    The credit is max(0, chance of acceptance x refund - return freight): a core not worth sending
    is kept.
    """
    if core is None:
        return (), 0
    deposit = core.deposit.minor * quantity
    refund = (core.refund or core.deposit).minor * quantity
    freight = core.return_freight.minor if core.return_freight else 0
    credit = max(0, times(refund, core.acceptance_probability) - freight)
    lines = [AmountLine(CostClass.CORE_DEPOSIT, f"core deposit, {name}", deposit, deposit)]
    if credit:
        label = f"core credit expected, {name}, less return freight"
        lines.append(AmountLine(CostClass.CORE_CREDIT, label, -credit, -credit, is_billed=False))
    return tuple(lines), credit


def core_charge(draft: Draft) -> str:
    """Charge that, once opened, uses up the unit which would go back as core."""
    return f"donor:{draft.bench.job.core_unit_id or draft.bench.unit.id}"


def residual(offer: Offer, quantity: int, name: str) -> tuple[AmountLine, ...]:
    """What the item is still worth to its owner at the horizon, as an expectation."""
    if offer.residual_worth is None or offer.residual_worth.minor == 0:
        return ()
    worth = offer.residual_worth.minor * quantity
    label = f"worth left at the horizon, {name}"
    return (AmountLine(CostClass.RESIDUAL_WORTH, label, 0, -worth, is_billed=False),)


def failure_of(
    draft: Draft, planned: PlannedPosition, again: Again, cover: WarrantyCover
) -> Failure:
    """What a failure at a position costs: the work again, the part again, the rest."""
    hours = charges.reopening_hours(draft, planned)
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
    found, _ = candidates_for(draft, planned)
    wanted = {candidate.part.id for candidate in found}
    kits = {
        part.id
        for part in draft.bench.parts.values()
        if any(line.part_id in wanted for line in part.kit_lines)
    }
    in_set = is_in_set(draft, planned)
    choices = []
    for offer in _goods_of_today(draft):
        part = draft.bench.parts.get(offer.part_id or "")
        if part is None or not (part.id in kits or (part.id in wanted and not in_set)):
            continue
        pieces = 1 if part.id in kits else planned.quantity
        choices.append(Again.of(draft.pricing.part("again", offer.price.minor, pieces, part.kind)))
    if not choices:
        assembly = draft.bench.snapshot.assembly
        choices = [
            Again.of(draft.pricing.unit("again", offer.price.minor))
            for offer in _goods_of_today(draft)
            if offer.assembly_id == assembly.id
            or (offer.part_id is not None and offer.part_id == assembly.part_id)
        ]
    if not choices:
        draft.assume(
            f"No offer replaces '{planned.name}': the part itself is left out of what a failure "
            "of it would cost."
        )
    return min(choices, key=lambda again: (again.cost, again.price), default=Again(0, 0))


def _goods_of_today(draft: Draft) -> Iterable[Offer]:
    today = draft.bench.today
    return (
        offer
        for offer in draft.bench.snapshot.offers
        if offer.kind is OfferKind.GOODS and is_valid(offer, today)
    )


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
