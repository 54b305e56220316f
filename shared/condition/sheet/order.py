"""The order of dismantling: what is opened after what, and what is reached by it.

Outer groups come before inner ones and parents before children; among equals by reference, read as
people count (2 before 10), then by id. Between openings that do not depend on one another no record
tells the order.
"""

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from shared.assemblies.model import AccessGroup, Position, Ruling

_DIGITS = re.compile(r"(\d+)")
_Key = tuple[bool, tuple[tuple[bool, int, str], ...], str]


@dataclass(frozen=True, slots=True)
class Opening:
    """A group and the positions looked at once it is open; None: without opening anything."""

    group: AccessGroup | None
    positions: tuple[Position, ...]


def order_of_dismantling(
    positions: Sequence[Position], groups: Sequence[AccessGroup]
) -> tuple[Opening, ...]:
    """Return the openings in their order, each with the positions it gives reach to.

    A position without a group is reached with its parent; at the top of the list, from outside.
    What lies inside a position that is never opened stays with that position. Groups that nothing
    needs are not opened. Circles in the records are cut, not followed.
    """
    by_id = {one.id: one for one in positions}
    outer = {one.id: one.outer_group_id for one in groups}
    listed = _parents_first(positions)
    in_order = _outer_first(groups, listed)
    rank: dict[str | None, int] = {one.id: n for n, one in enumerate(in_order, 1)}
    step_of: dict[str | None, int] = {}
    needed: set[int] = set()
    reached: dict[int, list[Position]] = defaultdict(list)
    for position in listed:
        is_stuck = sealed_by(position, by_id) is not None
        own = 0 if is_stuck else rank.get(position.access_group_id, 0)
        step = max(own, step_of.get(position.parent_id, 0))
        step_of[position.id] = step
        reached[step].append(position)
        needed.add(step)
        if own:
            needed.update(rank[one] for one in _chain(position.access_group_id, outer))
    return tuple(
        Opening(in_order[step - 1] if step else None, tuple(reached[step]))
        for step in sorted(needed)
    )


def sealed_by(position: Position, by_id: Mapping[str, Position]) -> Position | None:
    """Return the position around this one that is never opened, the outermost; None: there is none.

    >>> whole = Position("p", "a", "Pump")
    >>> sealed_by(Position("q", "a", "Vane", parent_id="p"), {"p": whole}) is None
    True
    """
    found, above = None, by_id.get(position.parent_id or "")
    seen = {position.id}
    while above is not None and above.id not in seen:
        seen.add(above.id)
        if above.serviceability.ruling is Ruling.REPLACE_AS_ASSEMBLY:
            found = above
        above = by_id.get(above.parent_id or "")
    return found


def by_reference(position: Position) -> _Key:
    """Key by which positions are ordered: by reference as people count, then by id.

    >>> sorted(["10", "2", "2a"], key=lambda r: by_reference(Position("p", "a", "P", reference=r)))
    ['2', '2a', '10']
    """
    return _reference_key(position.reference, position.id)


def _reference_key(reference: str | None, record_id: str) -> _Key:
    parts = tuple(
        (n % 2 == 0, int(piece) if n % 2 else 0, "" if n % 2 else piece)
        for n, piece in enumerate(_DIGITS.split((reference or "").casefold()))
        if piece
    )
    return (reference is None, parts, record_id)


def _parents_first(positions: Sequence[Position]) -> tuple[Position, ...]:
    """Every position once, each directly below its parent."""
    known = {one.id for one in positions}
    below: dict[str | None, list[Position]] = defaultdict(list)
    for position in sorted(positions, key=by_reference):
        below[position.parent_id if position.parent_id in known else None].append(position)
    found: dict[str, Position] = {}

    def walk(some: Iterable[Position]) -> None:
        stack = list(some)[::-1]
        while stack:
            one = stack.pop()
            if one.id not in found:
                found[one.id] = one
                stack += below[one.id][::-1]

    walk(below[None])
    walk(one for one in sorted(positions, key=by_reference) if one.id not in found)
    return tuple(found.values())


def _outer_first(
    groups: Sequence[AccessGroup], listed: Sequence[Position]
) -> tuple[AccessGroup, ...]:
    """Groups, each directly after its outer one, by the first position that each gives reach to."""
    by_id = {one.id: one for one in groups}
    outer = {one.id: one.outer_group_id for one in groups}
    first: dict[str, int] = {}
    for place, position in enumerate(listed):
        for group_id in _chain(position.access_group_id, outer):
            first.setdefault(group_id, place)
    last = len(listed)

    def key(group: AccessGroup) -> tuple[int, str, str]:
        return (first.get(group.id, last), group.name, group.id)

    within: dict[str | None, list[AccessGroup]] = defaultdict(list)
    for group in sorted(groups, key=key):
        within[group.outer_group_id if group.outer_group_id in by_id else None].append(group)
    found: dict[str, AccessGroup] = {}
    for start in ([*within[None]], sorted(groups, key=key)):
        stack = start[::-1]
        while stack:
            one = stack.pop()
            if one.id not in found:
                found[one.id] = one
                stack += within[one.id][::-1]
    return tuple(found.values())


def _chain(group_id: str | None, outer: Mapping[str, str | None]) -> tuple[str, ...]:
    """A group and those around it, innermost first."""
    found: list[str] = []
    while group_id is not None and group_id in outer and group_id not in found:
        found.append(group_id)
        group_id = outer[group_id]
    return tuple(found)
