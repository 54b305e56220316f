"""Washers under a head that is a little too long for its hole. Lengths in mm."""

from collections.abc import Callable
from dataclasses import dataclass
from math import inf
from typing import Final

from shared.fasteners.model import FeatureKind, ItemForm
from shared.fasteners.substitutes.common import clearance_hole, fits, weaker
from shared.fasteners.substitutes.model import Check, Drawer, PartUsed, Piece
from shared.standards.hexagons import SAME_SIZE
from shared.standards.hole_materials import HoleMaterial
from shared.standards.thread_model import Thread

MOST: Final = 3
"""Washers under one head: more of them slide about. Common practice, no source."""
_LEAST_OUTSIDE: Final = 1.7
"""Outside diameter of a washer that carries a head, in diameters. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Stack:
    """So many washers of one kind under each head."""

    washer: Piece | None = None
    each: int = 0
    height: float = 0.0

    def used(self, screws: int) -> tuple[PartUsed, ...]:
        """Return the washers taken for so many screws."""
        return () if self.washer is None else (PartUsed(self.washer, self.each * screws),)

    def checks(self, screws: int) -> tuple[Check, ...]:
        """Return whether there are so many washers."""
        if self.washer is None:
            return ()
        wanted, there = self.each * screws, self.washer.quantity
        detail = f"{self.each} under each head, {wanted} in all; {there} there."
        return (fits("washers", there, wanted, detail, "as stated"),)

    def under_the_head(self, material: HoleMaterial | None) -> HoleMaterial | None:
        """Return the weaker of ``material`` and the washer's; None where one is not known."""
        return material if self.washer is None else weaker(material, self.washer.material)

    @property
    def is_on_hand(self) -> bool:
        """Whether nothing of it has to be bought."""
        return self.washer is None or self.washer.is_on_hand


def stacks_of(drawer: Drawer, thread: Thread) -> tuple[Stack, ...]:
    """Return what may lie under a head, no washer first, then the lowest stack."""
    found = [
        Stack(piece, each, each * thick)
        for piece in drawer.of(ItemForm.WASHER)
        for thick in (piece.size(FeatureKind.THICKNESS),)
        if thick is not None and thick > 0 and _fits(piece, thread)
        for each in range(1, MOST + 1)
    ]
    return Stack(), *sorted(found, key=_cheapest_first)


def chosen(
    stacks: tuple[Stack, ...], screws: int, margin: Callable[[Stack], float]
) -> tuple[Stack, ...]:
    """Return the stacks that fit (``margin`` 1 or more) and may be the best, the lowest first.

    The lowest leaves the most thread in the hole; a higher one is better only where its washers are
    stronger, or lie there. Where none fits, the one that comes nearest.
    """
    fitting = [stack for stack in stacks if margin(stack) >= 1]
    if not fitting:
        return (max(stacks, key=margin),)
    enough = [stack for stack in fitting if _is_enough(stack, screws)]
    on_hand = [stack for stack in enough if stack.is_on_hand]
    found = (*_ever_stronger(enough), *_ever_stronger(on_hand))
    return tuple(dict.fromkeys(found)) or (fitting[0],)


def _ever_stronger(stacks: list[Stack]) -> list[Stack]:
    """Return the lowest, then each higher one whose washers are stronger than all below."""
    found: list[Stack] = []
    for stack in stacks:
        if not found or _strength(stack) > _strength(found[-1]):
            found.append(stack)
    return found


def _strength(stack: Stack) -> float:
    if stack.washer is None:
        return inf
    material = stack.washer.material
    return -inf if material is None else material.seat_pressure


def _is_enough(stack: Stack, screws: int) -> bool:
    return stack.washer is None or stack.washer.quantity >= stack.each * screws


def _cheapest_first(stack: Stack) -> tuple[float, bool, bool, float, str]:
    """Order by height; of one height what lies there, is known, strong and cheap comes first."""
    washer = stack.washer
    if washer is None:
        return 0.0, False, False, 0.0, ""
    return (
        stack.height,
        not washer.is_on_hand,
        washer.material is None,
        -_strength(stack),
        washer.key,
    )


def _fits(piece: Piece, thread: Thread) -> bool:
    bore = piece.size(FeatureKind.BORE)
    if bore is not None and not thread.major <= bore <= clearance_hole(thread):
        return False
    outside = piece.size(FeatureKind.OUTSIDE_DIAMETER)
    if outside is not None and outside < _LEAST_OUTSIDE * thread.major:
        return False
    if piece.fastener is None:
        return bore is not None and outside is not None
    return abs(piece.fastener.thread.major - thread.major) < SAME_SIZE
