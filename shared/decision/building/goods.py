"""What goods of an offer cost a source: lines or shared stock items, delivery, order value.

And what is bought along: parts that have to go in with a candidate. Each of them is bought new for
it, at every offer that could give it or, of many, at those of the same supplier, of the least cost
and of the soonest arrival. Amounts are integer minor units.
Source: planning method of this project.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import prod

from shared.decision.building import charges
from shared.decision.building.buying import (
    goods_values,
    is_pooled,
    purchase_alone,
    purchase_notes,
    stock_item,
    why_not_sold,
)
from shared.decision.building.draft import Again, Along, Draft, Subject
from shared.decision.building.planned import PlannedPosition
from shared.decision.building.position_facts import (
    bought_again,
    condition_kind,
    may_be_bought,
    reject_notes,
    residual,
    valid_offers,
)
from shared.decision.planning.case import AmountLine
from shared.decision.settings import SourceKind
from shared.interchange.model import Part, PartLine
from shared.sourcing.model import Offer

NOTHING = Again(0, 0)
"""Goods that need not be bought again."""
CHOICES_AT_MOST = 6
"""Choices of offers for what is bought along that are weighed for one source."""


@dataclass(frozen=True, slots=True)
class Goods:
    """What a source takes of goods: its own lines, deliveries, stock items, order values.

    ``again``: what buying it once more takes.
    """

    lines: tuple[AmountLine, ...] = ()
    deliveries: tuple[str, ...] = ()
    purchases: tuple[tuple[str, int], ...] = ()
    order_values: tuple[tuple[str, int], ...] = ()
    again: Again = NOTHING


def goods_of(draft: Draft, part: Part, offer: Offer, pieces: int, label: str) -> Goods:
    """So many pieces of an offer as a source takes them; ``label`` names the amount.

    They must be there to be had (``why_not_sold``).
    """
    supplier = charges.draft_supplier(draft, offer)
    delivery = charges.delivery_charge(draft, offer)
    order = charges.order_charge(draft, supplier)
    if is_pooled(offer):
        told = f"{part.maker} {part.number}, {supplier.name}"
        item = stock_item(draft, offer, told, part.kind, order)
        again = bought_again(draft, offer, pieces, part.kind) or NOTHING
        return Goods((), (delivery,), ((item, pieces),), (), again)
    line = draft.pricing.part(label, offer.price.minor, pieces, part.kind)
    values = goods_values(draft, order, line.cost)
    return Goods((line,), (delivery,), (), values, Again.of(line))


def together(parts: Iterable[Goods]) -> Goods:
    """Several goods that one source takes, as one; each item, delivery and order told once."""
    found = list(parts)
    if len(found) == 1:
        return found[0]
    return Goods(
        tuple(line for one in found for line in one.lines),
        tuple(dict.fromkeys(key for one in found for key in one.deliveries)),
        _summed(pair for one in found for pair in one.purchases),
        _summed(pair for one in found for pair in one.order_values),
        Again(sum(one.again.cost for one in found), sum(one.again.price for one in found)),
    )


def _summed(pairs: Iterable[tuple[str, int]]) -> tuple[tuple[str, int], ...]:
    total: Counter[str] = Counter()
    for key, count in pairs:
        total[key] += count
    return tuple(sorted(total.items()))


# --- bought along -------------------------------------------------------------------------------


def companion_lines(lines: Iterable[PartLine], pieces: int) -> tuple[PartLine, ...]:
    """What goes in with so many pieces called for, each part once."""
    total = _summed((line.part_id, line.quantity * pieces) for line in lines)
    return tuple(PartLine(part_id, count) for part_id, count in total)


def choices_along(
    draft: Draft,
    planned: PlannedPosition,
    lines: Sequence[PartLine],
    subject: str | Subject,
    main: Offer | None = None,
) -> tuple[tuple[Along, ...], ...]:
    """Choices of offers for all that goes in with a source; nothing to buy is one choice.

    None at all: something is not on offer, which is told of ``subject``. ``main`` is the offer of
    the source itself.
    """
    per_line = []
    for line in lines:
        found = _on_offer(draft, planned, line)
        if not found:
            part = draft.bench.parts.get(line.part_id)
            told = f"{part.maker} {part.number}" if part else f"part {line.part_id}"
            draft.bar(subject, planned.id, f"needs {told} with it, and nothing offers it")
            return ()
        per_line.append(found)
    if prod(map(len, per_line)) <= CHOICES_AT_MOST:
        return tuple(product(*per_line))
    draft.assume(
        f"What goes in with {subject} is on offer in many ways: weighed are the same supplier's, "
        "the cheapest and the soonest."
    )
    supplier = main.supplier_id if main is not None else None
    picks = (
        tuple(
            min(one, key=lambda a: (a.offer.supplier_id != supplier, *_cost(a))) for one in per_line
        ),
        tuple(min(one, key=_cost) for one in per_line),
        tuple(min(one, key=lambda a: (a.offer.p90_days, *_cost(a))) for one in per_line),
    )
    return tuple(dict.fromkeys(picks))


def _cost(along: Along) -> tuple[int, str]:
    bought = purchase_alone(along.offer, along.pieces)
    return bought.cost if bought is not None else 0, along.offer.id


def _on_offer(draft: Draft, planned: PlannedPosition, line: PartLine) -> tuple[Along, ...]:
    """Offers of the day that give so many pieces of a part at a position; the others are told."""
    key = (planned.id, line.part_id, line.quantity)
    known = draft.along_at.get(key)
    if known is None:
        part = draft.bench.parts.get(line.part_id)
        offers = valid_offers(draft, part_id=line.part_id) if part is not None else ()
        known = tuple(o.id for o in offers if _may_go_along(draft, planned, o, line.quantity))
        draft.along_at[key] = known
    return tuple(
        Along(draft.bench.parts[line.part_id], draft.bench.offers[offer_id], line.quantity)
        for offer_id in known
    )


def _may_go_along(draft: Draft, planned: PlannedPosition, offer: Offer, pieces: int) -> bool:
    supplier = charges.draft_supplier(draft, offer).name
    subject = f"{offer.description} from {supplier}, to go in with another part"
    why_not = why_not_sold(offer, pieces)
    if offer.core is not None:
        why_not = "it has a core deposit, and what would go back for it is not on record"
    if why_not is not None:
        draft.bar(subject, planned.id, why_not)
        return False
    kind = condition_kind(offer, SourceKind.NEW)
    return may_be_bought(draft, planned, (kind,), offer, subject)


def goods_along(
    draft: Draft, planned: PlannedPosition, along: Sequence[Along]
) -> tuple[Goods, tuple[Along, ...]]:
    """The goods of all that is bought along, and these again with what they come to."""
    goods = [
        goods_of(
            draft,
            one.part,
            one.offer,
            one.pieces,
            f"{one.pieces} x {one.part.maker} {one.part.number}, goes in with {planned.name}",
        )
        for one in along
    ]
    counted = tuple(
        replace(one, line=next(iter(taken.lines), None))
        for one, taken in zip(along, goods, strict=True)
    )
    return together(goods), counted


def residual_along(along: Sequence[Along]) -> tuple[AmountLine, ...]:
    """What the parts bought along are still worth at the horizon."""
    return tuple(line for one in along for line in residual(one.offer, one.pieces, one.part.number))


def note_rejects(draft: Draft, source_id: str, along: Sequence[Along]) -> None:
    """Make a source await that what is bought along for it is good, or replaced."""
    for one in along:
        if one.offer.reject_probability > 0:
            draft.doubtful.append((source_id, one.offer.id, one.pieces))


def notes_along(draft: Draft, planned: PlannedPosition, along: Sequence[Along]) -> tuple[str, ...]:
    """What a person must know of the parts that are bought along."""
    told = []
    for one in along:
        number = f"{one.part.maker} {one.part.number}"
        supplier = charges.draft_supplier(draft, one.offer).name
        told.append(f"goes in with it, and is bought along: {one.pieces} x {number} ({supplier})")
        elsewhere = sorted(
            p.name
            for p in draft.bench.snapshot.positions
            if p.part_id == one.part.id and p.id != planned.position.id
        )
        if elsewhere:
            told.append(
                f"{number} is also what {', '.join(elsewhere)} calls for: it is counted here "
                "whatever is planned there, so look whether it is bought twice"
            )
        more = (*purchase_notes(one.offer, one.pieces), *reject_notes(one.offer))
        told += [f"{number}: {note}" for note in more]
    return tuple(told)


def with_along(source_id: str, along: Sequence[Along]) -> str:
    """Id of a source with what is bought along for it."""
    return f"{source_id}:with:{'+'.join(one.offer.id for one in along)}" if along else source_id
