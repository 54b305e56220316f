"""What a donor costs: bought or given up, brought here, stripped, the rest sold on; each part once.

The rest is worth what it fetches while nothing is missing from it, less the worth of each part
that is taken, now or before. All amounts are integer minor units.
"""

from collections.abc import Collection

from shared.condition.model import DonorTerms, Unit
from shared.decision.building import charges
from shared.decision.building.draft import Draft, minutes
from shared.decision.building.planned import PlannedPosition
from shared.decision.planning.case import AmountLine, Charge, CostClass
from shared.money import Money
from shared.salvage.model import DonorGift


def donor_charge(draft: Draft, donor: Unit) -> str:
    """A donor: bought, or its worth undisturbed given up; freight; stripped; the rest sold on.

    Never below zero: a surplus on the rest is no gift to this job. Raises ValueError for a unit
    without donor terms.
    """
    key = f"donor:{donor.id}"
    if key in draft.charges:
        return key
    terms = donor.donor
    if terms is None:
        raise ValueError(f"unit {donor.id} has no donor terms")
    name = donor_name(donor)
    strip = draft.pricing.labour(f"strip {name}", terms.strip_p50_hours)
    table_id = None
    if not terms.is_owned and terms.p90_days > 0:
        day = draft.order_day_of[None]
        table_id = charges.lead_table(draft, terms.p50_days, terms.p90_days, day).id
    draft.charges[key] = Charge(
        id=key,
        kind="donor",
        label=name,
        lines=(*_worth_lines(draft, donor, terms, strip), *_freight(draft, terms, name), *strip),
        lead_table_id=table_id,
        bench_minutes=minutes(terms.strip_p90_hours),
    )
    if terms.strip_p90_hours:
        draft.work[key] = ((terms.strip_p50_hours, terms.strip_p90_hours),)
    return key


def donor_name(donor: Unit) -> str:
    """How a person is told of a donor."""
    return f"donor {donor.serial_number or donor.id}"


def _worth_lines(
    draft: Draft, donor: Unit, terms: DonorTerms, strip: tuple[AmountLine, ...]
) -> tuple[AmountLine, ...]:
    """What is paid or given up for the donor, less the worth of the rest while complete."""
    name = donor_name(donor)
    outlay = terms.undisturbed_worth if terms.is_owned else terms.price
    if outlay is None:
        draft.assume(f"{name}: no worth on record, so nothing is given up by taking it apart.")
    what = "worth given up" if terms.is_owned else "bought"
    label = f"{name}, {what}, less the worth of the rest"
    net = (outlay.minor if outlay else 0) - _remainder(draft, donor, terms)
    if net > 0:
        return (draft.pricing.part(label, net, 1, None, CostClass.DONOR),)
    cost = max(net, -sum(line.cost for line in strip))
    price = max(net, -sum(line.price for line in strip))
    if net < cost:
        surplus = Money.of_minor(cost - net, draft.bench.settings.currency)
        draft.assume(
            f"{name}: the rest is worth {surplus.amount} {surplus.currency} more than the donor "
            "and its stripping cost; that surplus is the shop's and is not credited to the job."
        )
    return (AmountLine(CostClass.DONOR, label, cost, price),) if cost or price else ()


def _remainder(draft: Draft, donor: Unit, terms: DonorTerms) -> int:
    """Worth of the rest, less that of the parts which left it before, with what was inside."""
    whole = terms.remainder_worth.minor if terms.remainder_worth else 0
    gone = set(donor.taken_position_ids)
    for position_id in donor.taken_position_ids:
        position = draft.bench.positions.get(position_id)
        gone |= {inner.id for inner in draft.bench.inside(position)} if position else set()
    for gift in draft.bench.gifts.get(donor.id, ()):
        gone |= set(gift.inner_position_ids) if gift.position.id in gone else set()
    return max(0, whole - sum(p.worth.minor for p in terms.part_worths if p.position_id in gone))


def _freight(draft: Draft, terms: DonorTerms, name: str) -> tuple[AmountLine, ...]:
    """Bringing a bought donor here; one in the yard is here."""
    if terms.is_owned or terms.freight is None or terms.freight.minor == 0:
        return ()
    return (draft.pricing.freight(f"freight, {name}", terms.freight.minor),)


def part_worth(
    draft: Draft, donor: Unit, planned: PlannedPosition
) -> tuple[tuple[AmountLine, ...], tuple[str, ...]]:
    """What the rest loses in worth when a part is taken, as (lines, charges).

    A part that holds others takes their worth with it. Pieces of a position that are planned
    singly share one charge: its worth is lost once.
    """
    lines = _part_worth_lines(draft, donor, planned)
    if planned.piece is None or not lines:
        return lines, ()
    key = f"worth:{donor.id}:{planned.position.id}"
    label = f"{planned.position.name} missing from {donor_name(donor)}"
    draft.charges.setdefault(key, Charge(key, "worth", label, lines))
    return (), (key,)


def _part_worth_lines(
    draft: Draft, donor: Unit, planned: PlannedPosition
) -> tuple[AmountLine, ...]:
    bench, position = draft.bench, planned.position
    taken = {position.id, *(inner.id for inner in bench.inside(position))}
    return _worth_of(draft, donor, taken, position.name, bench.part_kind(position))


def _worth_of(
    draft: Draft, donor: Unit, taken: Collection[str], name: str, part_kind: str | None
) -> tuple[AmountLine, ...]:
    terms = donor.donor
    if terms is None or not terms.part_worths:
        return ()
    worth = sum(p.worth.minor for p in terms.part_worths if p.position_id in taken)
    if worth == 0:
        return ()
    label = f"{donor_name(donor)}: the rest is worth less without its {name}"
    return (draft.pricing.part(label, worth, 1, part_kind, CostClass.DONOR),)


def gift_worth(
    draft: Draft, donor: Unit, gift: DonorGift, part_kind: str | None
) -> tuple[str, ...]:
    """Charge of what the rest of a donor of another assembly loses with a position; once."""
    taken = {gift.position.id, *gift.inner_position_ids}
    lines = _worth_of(draft, donor, taken, gift.position.name, part_kind)
    if not lines:
        return ()
    key = f"worth:{donor.id}:{gift.position.id}"
    label = f"{gift.position.name} missing from {donor_name(donor)}"
    draft.charges.setdefault(key, Charge(key, "worth", label, lines))
    return (key,)
