"""Equal pieces of several items count as one lot while searching, and come apart in the answer."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from shared.fasteners.substitutes.model import Candidate, Drawer, PartUsed, Piece


class Grouped(NamedTuple):
    """The drawer with equal pieces together, and which pieces stand behind each key."""

    drawer: Drawer
    members: dict[str, tuple[Piece, ...]]


def grouped(drawer: Drawer) -> Grouped:
    """Return the drawer with pieces that differ in key, name and number only put together."""
    lots: dict[Piece, list[Piece]] = {}
    for piece in drawer.pieces:
        lots.setdefault(replace(piece, key="", name="", quantity=1), []).append(piece)
    times = Counter(piece.key for piece in drawer.pieces)
    pieces, members = [], {}
    for index, lot in enumerate(lots.values()):
        first = lot[0]
        # Two pieces may bear one key, and not be alike: the lot's own tells them apart.
        is_alone = len(lot) == 1 and times[first.key] == 1
        key = first.key if is_alone else f"{first.key}+{index}"
        pieces.append(replace(first, key=key, quantity=sum(piece.quantity for piece in lot)))
        members[key] = tuple(lot)
    return Grouped(Drawer(tuple(pieces)), members)


def apart(candidate: Candidate, members: dict[str, tuple[Piece, ...]]) -> Candidate:
    """Return a candidate with the pieces as they lie in the drawer."""
    taken: Counter[int] = Counter()
    parts = tuple(one for part in candidate.parts for one in _pieces_of(part, members, taken))
    return replace(candidate, parts=parts)


def _pieces_of(
    part: PartUsed, members: dict[str, tuple[Piece, ...]], taken: Counter[int]
) -> Iterator[PartUsed]:
    """Take from one item after another; what is more than there is, from the last."""
    lot = members.get(part.piece.key, (part.piece,))
    left = part.count
    for piece in lot:
        is_last = piece is lot[-1]
        count = left if is_last else min(left, piece.quantity - taken[id(piece)])
        if count > 0:
            taken[id(piece)] += count
            yield replace(part, piece=piece, count=count)
        left -= count
