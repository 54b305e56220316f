"""Pieces that go together, as the search for a rod's set keeps them. mm, N."""

from collections.abc import Callable
from dataclasses import dataclass
from heapq import nlargest
from math import ceil
from typing import Final, NamedTuple, TypeVar

from shared.fasteners.substitutes.families.rod_model import Role
from shared.fasteners.substitutes.model import Piece

_FEW: Final = 4
"""How many of the strongest, shortest and longest are tried with each other."""


@dataclass(frozen=True, slots=True)
class RingEnd:
    """A ring with ``stacked`` washers on it, and one washer more at the other end."""

    ring: Role
    washer: Piece
    stacked: int
    role: Role
    length: float

    @property
    def bears(self) -> float:
        """The least force that one of its parts bears, N."""
        return min(self.ring.bears, self.role.bears)

    @property
    def is_fit(self) -> bool:
        """Whether its own checks pass."""
        return self.ring.is_fit and self.role.is_fit


@dataclass(frozen=True, slots=True)
class Window:
    """How long all between the two nuts may be, mm, and the force that each part has to bear."""

    least: float
    most: float
    force: float


@dataclass(frozen=True, slots=True)
class OnRing:
    """A ring with a kind of washer on it: ``single`` is what one washer bears, ``cap`` the rest."""

    ring: Role
    washer: Piece
    single: float
    cap: float
    most: int
    thick: float
    is_on_hand: bool

    def stacks(self, force: float) -> range:
        """Return how many washers bear a force."""
        if self.cap < force:
            return range(0)
        least = 1 if self.single >= force else ceil(force / self.single)
        return range(least, self.most + 1)

    def length(self, stacked: int) -> float:
        """Return how long ring and washers are, with the one at the other end."""
        return self.ring.length + (stacked + 1) * self.thick

    def bears(self, stacked: int) -> float:
        """Return what ring and washers bear, N."""
        return min(self.cap, stacked * self.single)


class Support(NamedTuple):
    """A bar, or a tube and a bar, that pass their own checks, with what is often asked of them."""

    pieces: tuple[Piece, ...]
    length: float
    bears: float
    is_on_hand: bool


class Chosen(NamedTuple):
    """A set that fits and bears what is asked."""

    on_ring: OnRing
    stacked: int
    support: Support

    @property
    def worth(self) -> tuple[bool, float, float]:
        """Whether it is on hand, what it bears, and how short it is, which spares washers."""
        bears = min(self.on_ring.bears(self.stacked), self.support.bears)
        is_on_hand = self.on_ring.is_on_hand and self.support.is_on_hand
        return is_on_hand, bears, -self.on_ring.length(self.stacked) - self.support.length


class Able(NamedTuple):
    """What bears a force, with one sort of washer: ring ends, and supports by their length."""

    ends: list[tuple[OnRing, int]]
    supports: list[Support]
    lengths: list[float]
    some_ends: list[tuple[OnRing, int]]
    some_supports: list[Support]
    shortest: float
    longest: float

    def may_be(self, window: Window) -> bool:
        """Whether any set could be as long as wanted."""
        return self.shortest <= window.most and self.longest >= window.least


_Found = TypeVar("_Found")


def few_of(every: list[_Found], bears: Callable[[_Found], tuple[bool, float]]) -> list[_Found]:
    """Return some of the strongest, shortest and longest of what is sorted by its length."""
    some = [*every[:_FEW], *every[-_FEW:], *nlargest(_FEW, every, key=bears)]
    return list({id(one): one for one in some}.values())


def end_bears(end: tuple[OnRing, int]) -> tuple[bool, float]:
    """Return whether a ring end is on hand, and what it bears, N."""
    return end[0].is_on_hand, end[0].bears(end[1])


def end_length(end: tuple[OnRing, int]) -> float:
    """Return how long a ring end is, mm."""
    return end[0].length(end[1])


def bears_of(support: Support) -> tuple[bool, float]:
    """Return whether a support is on hand, and what it bears, N."""
    return support.is_on_hand, support.bears
