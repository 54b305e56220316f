"""Screws hold a part in its place while it lies on the bench. mm, N, N·m."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from shared.designations.model import Fastener
from shared.fasteners.faces import face_of
from shared.fasteners.limits import HEAD_SEAT
from shared.fasteners.model import FeatureKind, ItemForm
from shared.fasteners.strength import ScrewStrength
from shared.fasteners.substitutes.cautions import cautions_for, estimate_note
from shared.fasteners.substitutes.common import (
    COMMON_PRACTICE,
    count_check,
    face_allows,
    force_text,
    friction_in_hole,
    friction_text,
    head_check,
    hole_parts,
    missing,
    ratio,
    room_check,
    strength_of_piece,
    symmetry_check,
    thread_check,
    thread_length_of,
    use_check,
    wall_check,
)
from shared.fasteners.substitutes.instructions import PROTECT, STOP_RULES, together_in_turn
from shared.fasteners.substitutes.model import (
    Candidate,
    Check,
    Drawer,
    Family,
    PartUsed,
    Piece,
    Requirement,
)
from shared.fasteners.substitutes.screw_fit import (
    CLEAR_OF_THE_END,
    LEAST_ENGAGED,
    head_height,
    threaded_text,
)
from shared.fasteners.substitutes.screw_work import (
    SCREW,
    SNUG,
    PartAllows,
    pulling_arms,
    screw_allows,
    work_of,
)
from shared.fasteners.substitutes.washer_stack import Stack, chosen, stacks_of

_YIELD_SHARE: Final = 0.5
"""Share of yield that what is held may take. Common practice, no source."""
_FAMILY = Family.HOLDING_SCREWS
_BESIDE_THE_SNUG: Final = 1 - SNUG
"""Share of what a thread or face bears that is left for what is held: where the part held is soft,
the screw's own tension comes on top."""


def candidates(requirement: Requirement, drawer: Drawer) -> Iterator[Candidate]:
    """Yield each screw of the drawer, tested to hold the part in all its holes, on the bench.

    Needs the thread and its count, DEPTH and WALL of the holes, PLATE_THICKNESS (of the part held,
    under the heads); with the lowest stack of washers that fits.
    """
    thread = requirement.thread
    stacks = (Stack(),) if thread is None else stacks_of(drawer, thread)
    for piece in drawer.of(ItemForm.SCREW):
        yield from _tested(requirement, piece, stacks)


@dataclass(frozen=True, slots=True)
class _Held:
    """A screw in its hole: thread, mm, that may be used, and thickness under the head."""

    piece: Piece
    fastener: Fastener
    length: float
    threaded: float
    thickness: float
    free: float

    def engaged(self, stack: Stack) -> float:
        return self.length - self.thickness - stack.height

    def margin(self, stack: Stack) -> float:
        engaged, wanted = self.engaged(stack), LEAST_ENGAGED * self.fastener.thread.major
        if engaged <= 0:
            return 0.0
        return min(engaged / wanted, self.free / engaged, self.threaded / engaged)


def _tested(
    requirement: Requirement, piece: Piece, stacks: tuple[Stack, ...]
) -> Iterator[Candidate]:
    first = (use_check(requirement), thread_check(requirement, piece))
    count = max(requirement.count(FeatureKind.THREAD), 1)
    parts = (PartUsed(piece, count),)
    # Of another thread nothing else is worth telling.
    if not first[1].passes or piece.fastener is None:
        yield Candidate(_FAMILY, parts, first)
        return
    checks = [
        *first,
        head_check(piece),
        symmetry_check(requirement),
        count_check(piece, count),
        wall_check(requirement),
    ]
    if piece.length is not None:
        height = piece.length + head_height(piece.fastener) * piece.fastener.thread.major
        checks.append(room_check(requirement, height))
    held, strength = _held(requirement, piece, piece.fastener), strength_of_piece(piece)
    if isinstance(strength, Check):
        checks.append(strength)
    if not isinstance(held, _Held):
        checks += held
    if isinstance(strength, Check) or not isinstance(held, _Held):
        yield Candidate(_FAMILY, parts, tuple(checks))
        return
    for stack in chosen(stacks, count, held.margin):
        yield _with_stack(requirement, PartUsed(piece, count), held, strength, stack, checks)


def _held(requirement: Requirement, piece: Piece, fastener: Fastener) -> _Held | tuple[Check, ...]:
    depth = requirement.size(FeatureKind.DEPTH)
    thickness = requirement.size(FeatureKind.PLATE_THICKNESS)
    length, threaded = piece.length, thread_length_of(piece)
    if depth is None or thickness is None or length is None or threaded is None:
        return tuple(
            missing("length", kind, f"State the {what}.")
            for size, kind, what in (
                (depth, "depth", "depth of thread in the holes that may be used"),
                (thickness, "plate-thickness", "thickness of the part under the heads"),
                (length, "length", f"length of {piece.name}"),
            )
            if size is None
        )
    free = max(depth - CLEAR_OF_THE_END * fastener.thread.pitch, 0.0)
    return _Held(piece, fastener, length, threaded, thickness, free)


def _with_stack(
    requirement: Requirement,
    used: PartUsed,
    held: _Held,
    strength: ScrewStrength,
    stack: Stack,
    before: list[Check],
) -> Candidate:
    parts = (used, *stack.used(used.count))
    checks = (*before, *stack.checks(used.count), _length_check(held, stack))
    friction = friction_in_hole(requirement, used.piece, strength)
    threads = hole_parts(requirement, held.fastener, strength, held.engaged(stack))
    if isinstance(friction, Check) or isinstance(threads, Check):
        failed = tuple(one for one in (friction, threads) if isinstance(one, Check))
        return Candidate(_FAMILY, parts, (*checks, *failed))
    seat = face_allows(
        HEAD_SEAT, face_of(held.fastener).area, stack.under_the_head(requirement.pushed)
    )
    arms = pulling_arms(held.fastener, friction)
    screw = screw_allows(held.fastener.thread, strength, friction, arms, twists=False)
    snug = SNUG * work_of(screw, arms, (*threads, seat)).torque
    holds = (
        PartAllows(SCREW, _YIELD_SHARE * strength.yield_load, "half of its yield"),
        *(
            PartAllows(
                part.name,
                _BESIDE_THE_SNUG * part.force,
                f"{part.basis}; {SNUG:.0%} is left for its tightening",
            )
            for part in (*threads, seat)
        ),
    )
    estimate = estimate_note(requirement.force)
    return Candidate(
        _FAMILY,
        parts,
        (*checks, *_force_checks(requirement, holds, used.count)),
        torque=snug if snug > 0 else None,
        torque_steps=(snug,) if snug > 0 else (),
        force_least=used.count * min(part.force for part in holds),
        steps=(
            "Clean the threads and see that the part lies flat on its seat.",
            friction_text(friction),
            PROTECT,
            *together_in_turn((snug,) if snug > 0 else (), used.count, "screw"),
            "Take the screws out before the assembly goes back: they hold it on the bench only.",
            *STOP_RULES,
        ),
        cautions=cautions_for(requirement, _FAMILY, is_stainless=strength.is_stainless),
        notes=(*strength.notes, *friction.notes, *((estimate,) if estimate else ())),
    )


def _length_check(held: _Held, stack: Stack) -> Check:
    engaged, margin = held.engaged(stack), held.margin(stack)
    detail = (
        f"{held.length:.4g} mm long: {engaged:.4g} mm in the hole, of"
        f" {LEAST_ENGAGED * held.fastener.thread.major:.4g} mm wanted, {held.free:.4g} mm free and"
        f" {threaded_text(held.piece, held.threaded)}."
    )
    return Check("length", margin >= 1, detail, COMMON_PRACTICE, margin)


def _force_checks(
    requirement: Requirement, holds: tuple[PartAllows, ...], count: int
) -> tuple[Check, ...]:
    need, surely = requirement.force, count * min(part.force for part in holds)
    told = f"{count} screws hold {force_text(surely)}"
    if need is None:
        return (
            *(Check(one.name, True, f"Holds {force_text(one.force)}.", one.basis) for one in holds),
            missing("force", "force", f"State the force to hold; {told}."),
        )
    most = need.amount.most
    return (
        *(
            ratio(
                part.name,
                count * part.force,
                most,
                f"Holds {force_text(part.force)} per screw; {force_text(most)} in all.",
                part.basis,
            )
            for part in holds
        ),
        ratio("force", surely, most, f"{told}; {force_text(most)} wanted.", need.basis),
    )
