"""A screw that pulls through a bar: how deep it goes, what it may be turned to. mm, N, N·m."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from math import pi

from shared.designations.model import Fastener
from shared.fasteners.faces import face_of
from shared.fasteners.friction import FrictionRange
from shared.fasteners.limits import HEAD_SEAT
from shared.fasteners.model import FeatureKind
from shared.fasteners.strength import ScrewStrength
from shared.fasteners.substitutes.common import (
    COMMON_PRACTICE,
    face_allows,
    friction_in_hole,
    hole_parts,
    missing,
    strength_of_piece,
    thread_length_of,
)
from shared.fasteners.substitutes.families.bars import Place, bar_bears, shaft_bears
from shared.fasteners.substitutes.model import Check, Piece, Requirement
from shared.fasteners.substitutes.screw_fit import CLEAR_OF_THE_END, LEAST_ENGAGED, threaded_text
from shared.fasteners.substitutes.screw_work import (
    Arms,
    PartAllows,
    PartTorque,
    ScrewWork,
    pulling_arms,
    screw_allows,
    work_of,
)
from shared.fasteners.substitutes.washer_stack import Stack, chosen


@dataclass(frozen=True, slots=True)
class Pull:
    """A screw that goes into the holes, with what does not hang on the bar."""

    screw: Piece
    fastener: Fastener
    place: Place
    length: float
    threaded: float
    strength: ScrewStrength
    friction: FrictionRange
    arms: Arms
    itself: PartTorque

    def engaged(self, bar: Piece, stack: Stack) -> float:
        """Return the thread in the hole at the start, mm; it grows by the travel."""
        thick = bar.size(FeatureKind.THICKNESS) or 0.0
        return self.length - thick - stack.height - self.place.reach

    def work(self, requirement: Requirement, bar: Piece, stack: Stack) -> ScrewWork | Check:
        """Return what each screw may be turned to with this bar, or the check that fails."""
        threads = hole_parts(requirement, self.fastener, self.strength, self.engaged(bar, stack))
        if isinstance(threads, Check):
            return threads
        face = face_of(self.fastener)
        # A wide hole in the bar leaves less under the head; one to be drilled is of the medium row.
        hole = max(face.inside, bar.size(FeatureKind.BORE) or 0.0)
        area = pi / 4 * (face.outside**2 - hole**2)
        seat = face_allows(HEAD_SEAT, area, stack.under_the_head(bar.material))
        shared = bar_bears(bar, self.place), shaft_bears(bar, self.place, requirement)
        parts = (*threads, seat, *(self._each(part) for part in shared))
        return work_of(self.itself, self.arms, parts)

    def _each(self, part: PartAllows) -> PartAllows:
        count = self.place.count
        return PartAllows(part.name, part.force / count, f"{part.basis}, shared by {count}")


def pull_of(
    requirement: Requirement, screw: Piece, place: Place | tuple[Check, ...]
) -> Pull | tuple[Check, ...]:
    """Return the screw with its strength and friction, or the checks that fail."""
    strength, length, threaded = strength_of_piece(screw), screw.length, thread_length_of(screw)
    failed: list[Check] = []
    if length is None:
        failed.append(missing("length", "length", f"State the length of {screw.name}."))
    if isinstance(strength, Check):
        return *failed, strength
    friction = friction_in_hole(requirement, screw, strength)
    if isinstance(friction, Check):
        return *failed, friction
    fastener = screw.fastener
    if fastener is None or length is None or threaded is None or not isinstance(place, Place):
        return tuple(failed)
    arms = pulling_arms(fastener, friction)
    itself = screw_allows(fastener.thread, strength, friction, arms, twists=False)
    return Pull(screw, fastener, place, length, threaded, strength, friction, arms, itself)


def length_margin(pull: Pull, bar: Piece, stack: Stack) -> float:
    """Return the margin of the screw's length: thread enough in the hole, and not too deep."""
    thread, place = pull.fastener.thread, pull.place
    engaged = pull.engaged(bar, stack)
    if engaged <= 0:
        return 0.0
    deepest = engaged + place.travel
    free = max(place.depth - CLEAR_OF_THE_END * thread.pitch, 0.0)
    return min(engaged / (LEAST_ENGAGED * thread.major), free / deepest, pull.threaded / deepest)


def length_check(pull: Pull, bar: Piece, stack: Stack) -> Check:
    """Return the check of ``length_margin``."""
    thread, engaged = pull.fastener.thread, pull.engaged(bar, stack)
    margin = length_margin(pull, bar, stack)
    free = pull.place.depth - CLEAR_OF_THE_END * thread.pitch
    detail = (
        f"{pull.length:.4g} mm long: {engaged:.4g} mm in the hole at the start, of"
        f" {LEAST_ENGAGED * thread.major:.4g} mm wanted; {engaged + pull.place.travel:.4g} mm at"
        f" the end, of {free:.4g} mm free and {threaded_text(pull.screw, pull.threaded)}."
    )
    return Check("length", margin >= 1, detail, COMMON_PRACTICE, margin)


def best_sets(
    requirement: Requirement, pull: Pull, bars: tuple[Piece, ...], stacks: tuple[Stack, ...]
) -> tuple[tuple[Piece, Stack], ...]:
    """Return the bar and washers that give this screw the most force, and those of pieces on hand.

    Among those whose length fits; where none fits, the one that comes nearest. No other bar of the
    drawer can pass where these do not.
    """
    ranked = sorted(_ranked(requirement, pull, bars, stacks), key=lambda one: one[0], reverse=True)
    best = ranked[0][1]
    on_hand = next((one for _, one in ranked if one[0].is_on_hand and one[1].is_on_hand), best)
    return (best,) if on_hand is best else (best, on_hand)


def _ranked(
    requirement: Requirement, pull: Pull, bars: tuple[Piece, ...], stacks: tuple[Stack, ...]
) -> Iterator[tuple[tuple[bool, float, bool], tuple[Piece, Stack]]]:
    screws = pull.place.count
    for bar in bars:
        for stack in chosen(stacks, screws, partial(length_margin, pull, bar)):
            margin = length_margin(pull, bar, stack)
            fits = margin >= 1 and all(check.passes for check in stack.checks(screws))
            work = pull.work(requirement, bar, stack) if fits else None
            rank = work.force_least if isinstance(work, ScrewWork) else margin
            is_on_hand = bar.is_on_hand and stack.is_on_hand
            yield (fits, rank, is_on_hand), (bar, stack)
