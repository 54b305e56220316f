"""Shims: what another part disturbs is measured and the pack chosen anew, once for the whole plan.

Every way of filling a position that puts in another part than was there, or the same one made to
another size, carries the charge of each place for shims that it disturbs: the work of measuring and
what has to be at hand to choose from. A part that is kept disturbs nothing; neither does another
unit, which comes set, nor another sub-assembly that holds the place and all that disturbs it. What
a position that is dealt with whole holds inside counts with it.
Amounts are integer minor units. Source: planning method of this project.
"""

from collections.abc import Iterator
from dataclasses import replace

from shared.assemblies.model import OperationKind
from shared.condition.shim_place import AssortmentLine, ShimPlace
from shared.decision.building import charges
from shared.decision.building.buying import goods_values, purchase_alone, purchase_notes
from shared.decision.building.draft import Draft, ShimWork, p50_hours, p90_minutes, spans
from shared.decision.building.position_facts import UNUSED, reject_notes, valid_offers
from shared.decision.planning.case import AmountLine, Charge, Source
from shared.sourcing.model import GoodsCondition, Offer


def add_shims(draft: Draft) -> None:
    """Make every source that disturbs a place for shims need that they are chosen anew.

    Called once all sources are known, before they are proved.
    """
    for place in sorted(draft.bench.snapshot.shim_places, key=lambda one: one.id):
        if place.position_id not in draft.bench.positions:
            continue
        disturbing, set_already = _touching(draft, place)
        for source in set_already:
            _tell(
                draft,
                source,
                f"comes with the shims of '{place.name}' set: check what they set before it is "
                "fitted",
            )
        if not disturbing:
            continue
        key = _shim_charge(draft, place)
        told = f"disturbs the shims of '{place.name}': they are measured and chosen anew"
        for source in disturbing:
            draft.sources[source.id] = replace(source, charges=(*source.charges, key))
            _tell(draft, source, told)


def shim_key(place: ShimPlace) -> str:
    """Id of the charge of a place for shims."""
    return f"shims:{place.id}"


def _tell(draft: Draft, source: Source, note: str) -> None:
    facts = draft.facts[source.id]
    draft.facts[source.id] = replace(facts, notes=(*facts.notes, note))


def _touching(draft: Draft, place: ShimPlace) -> tuple[list[Source], list[Source]]:
    """Sources that put in what disturbs the shims, or other shims; and such as come set.

    Set is another part that holds the place and all that disturbs it inside; one that is reworked
    was taken apart.
    """
    wanted = {place.position_id, *place.disturbed_by_position_ids}
    bench = draft.bench
    inside = {p.id: {one.id for one in bench.inside(p.position)} for p in bench.planned}
    at = {p.id for p in bench.planned if wanted & {p.position.id, *inside[p.id]}}
    disturbing: list[Source] = []
    set_already: list[Source] = []
    for source in draft.sources.values():
        if source.position_id not in at or source.is_keep or source.resolves_children:
            continue
        is_set = source.fits_another_part and wanted <= inside[source.position_id]
        (set_already if is_set else disturbing).append(source)
    return disturbing, set_already


def _shim_charge(draft: Draft, place: ShimPlace) -> str:
    """Measuring and choosing shims at a place: its work, what is at hand for it, its opening."""
    key = shim_key(place)
    bench = draft.bench
    work = bench.operations(OperationKind.INSPECT, place.position_id)
    if not work:
        draft.assume(
            f"No hours on record to measure and choose the shims of '{place.name}': none charged."
        )
    label = f"measure and choose shims anew: {place.name}"
    bought = [line for one in place.assortment for line in _at_hand(draft, place, one)]
    deliveries = [charges.delivery_charge(draft, offer) for offer, _, _ in bought]
    for offer, pieces, _ in bought:
        if offer.reject_probability > 0:
            draft.doubtful_kits.append((key, offer.id, pieces))
    missing = [
        bench.number_of(one.part_id) for one in place.assortment if _cheapest(draft, one) is None
    ]
    for number in missing:
        draft.assume(
            f"No offer for {number}, which is had at hand to choose the shims of '{place.name}': "
            "its price is not counted."
        )
    draft.charges[key] = Charge(
        id=key,
        kind="shims",
        label=label,
        lines=(*draft.pricing.labour(label, p50_hours(work)), *(line for _, _, line in bought)),
        requires=(
            *dict.fromkeys(deliveries),
            *charges.access_charges(draft, bench.positions[place.position_id].access_group_id),
        ),
        bench_minutes=p90_minutes(work),
        goods_values=_order_values(draft, [(offer, line.cost) for offer, _, line in bought]),
    )
    draft.work[key] = spans(work)
    draft.shims[key] = ShimWork(
        place=place.name,
        position_id=place.position_id,
        notes=(*_notes(place, missing), *_purchase_notes(draft, bought)),
        bought=tuple((offer.id, line) for offer, _, line in bought),
    )
    return key


def _cheapest(draft: Draft, line: AssortmentLine) -> Offer | None:
    """The offer at which so many pieces of an unused part come cheapest; None: there is none."""
    priced = [
        ((alone.cost, offer.p90_days, offer.id), offer)
        for offer in valid_offers(draft, part_id=line.part_id)
        if (offer.condition or GoodsCondition.NEW) in UNUSED
        and offer.core is None
        and (alone := purchase_alone(offer, line.quantity)) is not None
    ]
    return min(priced, key=lambda one: one[0])[1] if priced else None


def _at_hand(
    draft: Draft, place: ShimPlace, line: AssortmentLine
) -> Iterator[tuple[Offer, int, AmountLine]]:
    """What is bought so that it is at hand: offer, pieces and amount; nothing if not on offer."""
    offer = _cheapest(draft, line)
    alone = None if offer is None else purchase_alone(offer, line.quantity)
    if offer is None or alone is None:
        return
    part = draft.bench.parts.get(line.part_id)
    number = draft.bench.number_of(line.part_id)
    told = f"{alone.pieces} x {number}, at hand for the shims of {place.name}"
    kind = part.kind if part else None
    amount = draft.pricing.part(told, alone.piece_cost, alone.pieces, kind)
    supplier = charges.draft_supplier(draft, offer).name
    draft.assume(
        f"Where the shims of '{place.name}' are chosen anew, {alone.pieces} x {number} from "
        f"{supplier} are bought to choose from, the offer at which they cost least, freight left "
        "aside; what is left over is not credited."
    )
    yield offer, alone.pieces, amount


def _order_values(draft: Draft, bought: list[tuple[Offer, int]]) -> tuple[tuple[str, int], ...]:
    total: dict[str, int] = {}
    for offer, cost in bought:
        order = charges.order_charge(draft, charges.draft_supplier(draft, offer))
        for key, value in goods_values(draft, order, cost):
            total[key] = total.get(key, 0) + value
    return tuple(sorted(total.items()))


def _notes(place: ShimPlace, missing: list[str]) -> Iterator[str]:
    """What a person must know where the shims of a place are chosen anew."""
    first = f"{place.seating}; then measure" if place.seating else "measure"
    yield (
        f"Shims of '{place.name}': {first} again once everything else is fitted, choose the pack "
        "anew and record the final pack."
    )
    for number in missing:
        yield f"Shims of '{place.name}': no offer for {number}: its price is not counted."


def _purchase_notes(draft: Draft, bought: list[tuple[Offer, int, AmountLine]]) -> Iterator[str]:
    for offer, pieces, _ in bought:
        number = draft.bench.number_of(offer.part_id or "")
        told = [*purchase_notes(offer, pieces), *reject_notes(offer)]
        if offer.available_quantity is not None:
            told.append("whether another position takes of them too is not counted")
        yield from (f"{number}: {note}" for note in told)
