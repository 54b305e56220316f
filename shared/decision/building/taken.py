"""What has left a unit as a salvaged part, and what it can therefore give or keep no more."""

from collections.abc import Iterable, Iterator

from shared.assemblies.model import Position
from shared.condition.model import Unit
from shared.decision.building.planned import Bench
from shared.salvage.model import DonorGift


def why_gone(bench: Bench, unit: Unit, position: Position) -> str | None:
    """Why a unit does not give this position whole; None when nothing says that it is gone.

    A piece of the position itself, something around it, or something inside it has left the unit.
    """
    return why_left(bench, unit, position) or _first_taken(
        bench, unit, bench.inside(position), "inside it, '{}' was taken already"
    )


def why_left(bench: Bench, unit: Unit, position: Position) -> str | None:
    """Why a position is no longer in a unit, whatever is left inside it; None when it may be."""
    if not unit.taken_position_ids:
        return None
    if position.id in unit.taken_position_ids:
        return "a piece of it was taken already"
    if not bench.positions.keys() >= set(unit.taken_position_ids):
        return "something was taken from a position that is not on record here"
    return _first_taken(bench, unit, _around(bench, position), "it was taken already, inside '{}'")


def why_gift_gone(bench: Bench, donor: Unit, gift: DonorGift) -> str | None:
    """Why a donor of another assembly does not give a position whole; None when it may.

    Of the positions around it only those are known that may be given, too.
    """
    taken = set(donor.taken_position_ids)
    if gift.position.id in taken:
        return "a piece of it was taken already"
    if taken & set(gift.inner_position_ids):
        return "something inside it was taken already"
    if gift.position.parent_id is None:
        return None
    known = {
        other.position.id
        for other in bench.gifts.get(donor.id, ())
        if gift.position.id not in other.inner_position_ids
    }
    if taken <= known:
        return None
    return "it may have been taken already, inside something that is not on record here"


def why_set_broken(bench: Bench, unit: Unit, position: Position) -> str | None:
    """Why a unit does not give the matched set that a position belongs to; None when it may."""
    matched = bench.matched_set_of(position.id)
    if matched is None:
        return None
    for member_id in matched.position_ids:
        member = bench.positions[member_id]
        why_not = why_gone(bench, unit, member)
        if why_not is not None and member.id != position.id:
            return f"its matched set '{matched.name}' is broken: of {member.name}, {why_not}"
    return None


def why_incomplete(bench: Bench, unit: Unit) -> str | None:
    """Why a unit is not used whole; None when nothing was taken from it."""
    if not unit.taken_position_ids:
        return None
    known = (bench.positions.get(position_id) for position_id in unit.taken_position_ids)
    names = ", ".join(sorted({position.name for position in known if position is not None}))
    return f"parts were taken from it already: {names or 'of positions that are not on record'}"


def _around(bench: Bench, position: Position) -> Iterator[Position]:
    """The positions that hold a position, the nearest first."""
    while position.parent_id is not None:
        position = bench.positions[position.parent_id]
        yield position


def _first_taken(bench: Bench, unit: Unit, positions: Iterable[Position], told: str) -> str | None:
    taken = (one.name for one in positions if one.id in unit.taken_position_ids)
    name = next(taken, None)
    return None if name is None else told.format(name)
