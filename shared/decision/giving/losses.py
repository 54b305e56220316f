"""What a donor loses by giving a part: the worth of its rest, and what it can still give."""

from collections.abc import Iterable, Sequence

from shared.condition.model import Unit
from shared.decision.building.build import Built
from shared.decision.giving.found import Loss, PositionNamed
from shared.decision.planning.case import Source
from shared.decision.settings import SourceKind
from shared.money import Money


def loss_of(built: Built, donor: Unit, taken_ids: Iterable[str], sources: Sequence[Source]) -> Loss:
    """What taking these positions (with all inside them) out of a donor gives up.

    ``sources``: those by which it is taken; what shares no part with them can still be given.
    """
    terms = donor.donor
    if terms is None:
        return Loss(still_gives=_still_gives(built, donor, sources))
    worths = {one.position_id: one.worth.minor for one in terms.part_worths}
    currency = built.bench.settings.currency
    gone = _with_inside(built, donor, donor.taken_position_ids)
    taken = _with_inside(built, donor, taken_ids) - gone
    lost = sum(worths.get(position_id, 0) for position_id in taken)
    is_known = any(position_id in worths for position_id in taken)
    before = after = None
    if terms.remainder_worth is not None:
        whole = terms.remainder_worth.minor
        left = max(0, whole - sum(worths.get(position_id, 0) for position_id in gone))
        before = Money.of_minor(left, currency)
        after = Money.of_minor(max(0, left - lost), currency) if is_known else None
    return Loss(
        taken=Money.of_minor(lost, currency) if is_known else None,
        rest_before=before,
        rest_after=after,
        outlay=terms.undisturbed_worth if terms.is_owned else terms.price,
        is_owned=terms.is_owned,
        still_gives=_still_gives(built, donor, sources),
    )


def _with_inside(built: Built, donor: Unit, position_ids: Iterable[str]) -> set[str]:
    """Positions with all that is known to lie inside them, in the donor's own assembly."""
    found = set(position_ids)
    for position_id in tuple(found):
        position = built.bench.positions.get(position_id)
        if position is not None:
            found |= {inner.id for inner in built.bench.inside(position)}
    for gift in built.bench.gifts.get(donor.id, ()):
        if gift.position.id in found:
            found |= set(gift.inner_position_ids)
    return found


def _still_gives(built: Built, donor: Unit, sources: Sequence[Source]) -> tuple[PositionNamed, ...]:
    """Positions for which the donor has something left once these sources are taken from it."""
    by_id = {planned.id: planned.position for planned in built.bench.planned}
    own = {by_id[source.position_id].id for source in sources}
    used = {part for source in sources for part in source.physical_parts}
    used_up = _used_up(built, sources)
    left = {}
    for source in built.draft.sources.values():
        facts = built.draft.facts[source.id]
        is_its = facts.kind is SourceKind.SALVAGED and facts.donor_unit_id == donor.id
        if not is_its or facts.salvaged_part_ids or source.id in used_up:
            continue
        position = by_id[source.position_id]
        if position.id not in own and used.isdisjoint(source.physical_parts):
            left[position.id] = position.name
    return tuple(PositionNamed(key, left[key]) for key in sorted(left))


def _used_up(built: Built, sources: Sequence[Source]) -> set[str]:
    """Sources for which a donor has too few pieces left once these are taken from it.

    Of several at one planned position the first counts: they take the same piece.
    """
    taken = {source.position_id: source.id for source in reversed(sources)}
    found: set[str] = set()
    for capacity in built.draft.capacities.values():
        uses = [count for source_id, count in capacity.uses if source_id in taken.values()]
        if uses:
            left = capacity.available - sum(uses)
            found |= {source_id for source_id, count in capacity.uses if count > left}
    return found
