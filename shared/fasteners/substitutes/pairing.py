"""Which pairs of pieces are worth an answer, of all in a drawer, so that none is overlooked.

A frame is the bar or plate, a lot the screws or pins that go with it. All pairs are ranked by a
few numbers; only those that matter are worked out in full.
"""

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from math import inf
from typing import NamedTuple, Protocol, TypeVar

from shared.fasteners.substitutes.model import Check, Piece

Rank = tuple[int, float]
"""How many checks fail, and how far the worst of them or the least margin is; the less the better.
Margins of what holds count to two digits, as in the answer."""


class Standing(NamedTuple):
    """How many checks fail, the least margin of those (-1: a plain no), and of the others."""

    failing: int = 0
    worst: float = inf
    least: float = inf

    @property
    def rank(self) -> Rank:
        """The key to sort by, the best first."""
        if self.failing:
            return self.failing, -self.worst
        return 0, -float(f"{self.least:.2g}")

    def and_(self, other: "Standing") -> "Standing":
        """Return how two lists of checks stand together."""
        return Standing(
            self.failing + other.failing,
            min(self.worst, other.worst),
            min(self.least, other.least),
        )

    def with_margins(self, margins: Iterable[float] = (), fits: Iterable[float] = ()) -> "Standing":
        """Return how it stands with more checks; of ``fits`` those that pass have no margin."""
        failing, worst, least = self
        for margin in margins:
            if margin >= 1:
                least = min(least, margin)
            else:
                failing, worst = failing + 1, min(worst, margin)
        for margin in fits:
            if not margin >= 1:
                failing, worst = failing + 1, min(worst, margin)
        return Standing(failing, worst, least)


PLAIN_NO = -1.0
"""The margin of a check that fails and has none."""


def standing_of(checks: Iterable[Check]) -> Standing:
    """Return how the checks stand."""
    found = Standing()
    for check in checks:
        if check.margin is not None:
            found = found.and_(
                Standing(0, inf, check.margin) if check.passes else Standing(1, check.margin)
            )
        elif not check.passes:
            found = found.and_(Standing(1, PLAIN_NO))
    return found


class Frame(Protocol):
    """One bar or plate."""

    @property
    def piece(self) -> Piece:
        """The piece itself."""


class Lot(Protocol):
    """One kind of screws or pins."""

    @property
    def piece(self) -> Piece:
        """The piece itself."""

    @property
    def alike(self) -> Hashable:
        """What is the same for all lots that stand alike with every frame."""


F = TypeVar("F", bound=Frame)
L = TypeVar("L", bound=Lot)
_Price = tuple[bool, str, int, str]
_Place = tuple[Rank, _Price, int]
"""Rank, price and name of a piece, and where it stands in the list."""


def best_pairs(
    frames: Sequence[F],
    lots: Sequence[L],
    wanted: int,
    standing: Callable[[F, L], Standing],
    mixes: Callable[[F, L], Hashable] = lambda frame, lot: None,
) -> Iterator[tuple[F, L]]:
    """Yield each frame with the best lot for it, and each lot with its best frame, once.

    So every frame and every lot that may hold is in a pair that holds, and the best pair of all is
    among them; what holds with nothing comes with what is nearest to it. The same again among the
    pieces on hand. Lots of less than ``wanted`` pieces may go together on one frame where ``mixes``
    is the same: of them a frame comes with the best that are enough together, where no whole lot
    does as well. ``standing`` leaves out the number of pieces.
    """
    groups: dict[Hashable, list[int]] = {}
    for index, lot in enumerate(lots):
        groups.setdefault(lot.alike, []).append(index)
    ranks = [[standing(frame, lots[one[0]]).rank for one in groups.values()] for frame in frames]
    of_frames = [_price(frame.piece) for frame in frames]
    of_lots = [_price(lot.piece) for lot in lots]
    chosen: dict[tuple[int, int], None] = {}
    for on_hand in (False, True):
        held = [at for at, frame in enumerate(frames) if frame.piece.is_on_hand or not on_hand]
        pools = [
            [at for at in group if lots[at].piece.is_on_hand or not on_hand]
            for group in groups.values()
        ]
        worth = [_worth(pool, lots, wanted) for pool in pools]
        for at in held:
            whole: list[_Place] = []
            few: dict[Hashable, list[_Place]] = {}
            for rank, (large, short) in zip(ranks[at], worth, strict=True):
                whole += [(rank, of_lots[index], index) for index in large]
                if short:
                    places = ((rank, of_lots[index], index) for index in short)
                    few.setdefault(mixes(frames[at], lots[short[0]]), []).extend(places)
            taken = _taken(whole, few, lots, wanted)
            chosen.update(dict.fromkeys((at, index) for index in taken))
        for number, pool in enumerate(pools):
            places = ((ranks[at][number], of_frames[at], at) for at in held)
            best = min(places, default=None)
            if best is not None:
                chosen.update(dict.fromkeys((best[-1], index) for index in pool))
    for at, index in chosen:
        yield frames[at], lots[index]


def _worth(pool: list[int], lots: Sequence[Lot], wanted: int) -> tuple[list[int], list[int]]:
    """Return of lots that are alike the cheapest whole one, and as many short ones as may go."""
    ranked = sorted(pool, key=lambda at: _price(lots[at].piece))
    large = [at for at in ranked if lots[at].piece.quantity >= wanted]
    short = [at for at in ranked if lots[at].piece.quantity < wanted]
    # Of lots without a piece one is enough to be told of.
    there = [at for at in short if lots[at].piece.quantity > 0]
    return large[:1], there[:wanted] or short[:1]


def _taken(
    whole: list[_Place], few: dict[Hashable, list[_Place]], lots: Sequence[Lot], wanted: int
) -> list[int]:
    """Return the best whole lot, and the best short ones where they do better together."""
    best = min(whole, default=None)
    mixed = [enough for short in few.values() if (enough := _enough(sorted(short), lots, wanted))]
    together = min(mixed, key=lambda enough: enough[-1], default=None)
    taken = [] if best is None else [best[-1]]
    if together is not None and (best is None or together[-1][0] < best[0]):
        taken += [place[-1] for place in together]
    if not taken:
        nearest = min((place for short in few.values() for place in short), default=None)
        taken = [] if nearest is None else [nearest[-1]]
    return taken


def _enough(ranked: list[_Place], lots: Sequence[Lot], wanted: int) -> list[_Place]:
    """Return the first lots that have as many pieces as wanted; none where all have too few."""
    taken: list[_Place] = []
    left = wanted
    for place in ranked:
        there = lots[place[-1]].piece.quantity
        if there > 0:
            taken.append(place)
            left -= there
        if left <= 0:
            return taken
    return []


def _price(piece: Piece) -> _Price:
    price = piece.price
    if price is None:
        return True, "", 0, piece.name
    return False, price.currency, price.minor, piece.name
