"""Screws in tapped holes of the loose part push on the part behind it. mm, N, N·m."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import pi
from typing import Final

from shared.designations.model import Fastener
from shared.fasteners.friction import FrictionRange
from shared.fasteners.model import FeatureKind, ItemForm, ScrewTip
from shared.fasteners.strength import ScrewStrength
from shared.fasteners.substitutes.cautions import cautions_for, estimate_note
from shared.fasteners.substitutes.common import (
    STATED,
    count_check,
    face_allows,
    fits,
    friction_in_hole,
    friction_text,
    head_check,
    hole_parts,
    missing,
    part_checks,
    room_check,
    strength_of_piece,
    symmetry_check,
    thread_check,
    thread_length_of,
    use_check,
    wall_check,
)
from shared.fasteners.substitutes.instructions import (
    PROTECT,
    STOP_RULES,
    WHEN_IT_DOES_NOT_MOVE,
    together_in_turn,
)
from shared.fasteners.substitutes.model import (
    Candidate,
    Check,
    Drawer,
    Family,
    PartUsed,
    Piece,
    Requirement,
)
from shared.fasteners.substitutes.screw_fit import head_height, threaded_text
from shared.fasteners.substitutes.screw_work import (
    PartAllows,
    ScrewWork,
    jacking_arms,
    screw_allows,
    work_of,
)
from shared.fasteners.substitutes.stresses import (
    COLUMN_BASIS,
    STEEL_MODULUS,
    column_force,
    round_gyration,
)
from shared.standards.hole_materials import hole_material_of

TIP_SHARE: Final = 0.8
"""Diameter of a ground dog point over the root's. Common practice, no source."""
DOG_LENGTH: Final = 0.25
"""Length of a dog point over the major diameter. Short dog of ISO 4753, from memory."""
_KEEPS_ITS_LENGTH: Final = frozenset(
    {ScrewTip.DOG, ScrewTip.FLAT, ScrewTip.CHAMFERED, ScrewTip.ROUNDED}
)


def candidates(requirement: Requirement, drawer: Drawer) -> Iterator[Candidate]:
    """Yield each screw of the drawer, tested as a jacking screw in all holes of the work.

    Needs the thread and its count, PLATE_THICKNESS (the depth of the threaded plate), REACH (entry
    face of the hole to the pushed face), TRAVEL and WALL; CHAMFER may be stated.
    """
    for piece in drawer.of(ItemForm.SCREW):
        yield _tested(requirement, piece)


@dataclass(frozen=True, slots=True)
class _Places:
    """The lengths of the work, mm."""

    plate: float
    reach: float
    travel: float


def _tested(requirement: Requirement, piece: Piece) -> Candidate:
    asked = (use_check(requirement), thread_check(requirement, piece))
    count = max(requirement.count(FeatureKind.THREAD), 1)
    parts = (PartUsed(piece, count, _preparation(piece)),)
    # Of another thread nothing else is worth telling.
    if not asked[1].passes or piece.fastener is None:
        return Candidate(Family.JACKING_SCREWS, parts, asked)
    checks = [
        *asked,
        head_check(piece),
        symmetry_check(requirement),
        count_check(piece, count),
        wall_check(requirement),
    ]
    places = _places(requirement)
    strength = strength_of_piece(piece)
    if isinstance(places, _Places):
        checks += _lengths(requirement, piece, piece.fastener, places)
    else:
        checks += places
    if isinstance(strength, Check):
        return Candidate(Family.JACKING_SCREWS, parts, (*checks, strength))
    friction = friction_in_hole(requirement, piece, strength)
    if isinstance(friction, Check) or not isinstance(places, _Places):
        failed = (friction,) if isinstance(friction, Check) else ()
        return Candidate(Family.JACKING_SCREWS, parts, (*checks, *failed))
    work = _work(requirement, piece.fastener, strength, friction, places)
    if isinstance(work, Check):
        return Candidate(Family.JACKING_SCREWS, parts, (*checks, work))
    checks += part_checks(work, count, requirement.force)
    steps = work.steps
    return Candidate(
        Family.JACKING_SCREWS,
        parts,
        tuple(checks),
        torque=work.torque if steps else None,
        torque_steps=steps,
        force_least=count * work.force_least,
        force_most=count * work.force_most,
        steps=_steps(steps, piece, count, places, friction),
        cautions=cautions_for(
            requirement, Family.JACKING_SCREWS, is_stainless=strength.is_stainless
        ),
        notes=_notes(requirement, strength, friction),
    )


def _places(requirement: Requirement) -> _Places | tuple[Check, ...]:
    plate, reach, travel = (
        requirement.size(kind)
        for kind in (FeatureKind.PLATE_THICKNESS, FeatureKind.REACH, FeatureKind.TRAVEL)
    )
    lacking = tuple(
        missing("length", kind, f"State the {what}.")
        for size, kind, what in (
            (plate, "plate-thickness", "depth of the threaded plate"),
            (reach, "reach", "way from the hole's entry face to the pushed face"),
            (travel, "travel", "way that the parts have to come apart"),
        )
        if size is None
    )
    if plate is None or reach is None or travel is None:
        return lacking
    return _Places(plate, reach, travel)


def _lengths(
    requirement: Requirement, piece: Piece, fastener: Fastener, places: _Places
) -> tuple[Check, ...]:
    thread = fastener.thread
    ahead = f"{places.reach:.4g} mm to the pushed face, plate {places.plate:.4g} mm"
    reach = fits("reach", places.reach, places.plate, f"{ahead}.", STATED)
    length, threaded = piece.length, thread_length_of(piece)
    if length is None or threaded is None:
        return reach, missing("length", "length", f"State the length of {piece.name}.")
    lost = _lost(piece, fastener)
    way = places.reach + places.travel
    needed = way + lost + thread.pitch
    margin = min(length / needed, max(threaded - lost, 0.0) / way)
    detail = (
        f"{length:.4g} mm long, {threaded_text(piece, threaded)}; wanted {needed:.4g} mm and"
        f" {way + lost:.4g} mm of thread: {way:.4g} mm to push, {lost:.3g} mm cut off its end."
    )
    basis = "ISO 888 and ASME B18.2.1 for the thread's length where not stated, from memory"
    stands_out = length - lost + head_height(fastener) * thread.major
    return (
        reach,
        Check("length", margin >= 1, detail, basis, margin),
        # Before it is turned in, it stands on the face with all its length.
        room_check(requirement, stands_out),
    )


def _work(
    requirement: Requirement,
    fastener: Fastener,
    strength: ScrewStrength,
    friction: FrictionRange,
    places: _Places,
) -> ScrewWork | Check:
    thread = fastener.thread
    # The point enters the hole without thread.
    point = thread.pitch + DOG_LENGTH * thread.major
    threads = hole_parts(requirement, fastener, strength, places.plate, point)
    if isinstance(threads, Check):
        return threads
    arms = jacking_arms(thread, friction)
    screw = screw_allows(thread, strength, friction, arms, twists=True)
    tip = pi / 4 * (TIP_SHARE * thread.root_external) ** 2
    bears = strength.strength.yield_least
    root = thread.root_external
    free = max(places.reach - places.plate, 0.0) + places.travel + thread.pitch
    modulus = hole_material_of("1.4301").elastic_modulus if strength.is_stainless else STEEL_MODULUS
    column = column_force(pi / 4 * root**2, round_gyration(root), free, bears, modulus)
    parts = (
        *threads,
        face_allows("pushed face", tip, requirement.pushed),
        PartAllows(
            "screw tip", bears * tip, f"{bears:.4g} MPa yield on {tip:.3g} mm2 of its point"
        ),
        PartAllows(
            "column",
            column,
            f"{free:.4g} mm free, one end loose: {COLUMN_BASIS}",
        ),
    )
    return work_of(screw, arms, parts)


def _lost(piece: Piece, fastener: Fastener) -> float:
    """Return what is cut off the end, mm: one diameter where it is no plain end."""
    return 0.0 if piece.tip in _KEEPS_ITS_LENGTH else fastener.thread.major


def _preparation(piece: Piece) -> str | None:
    if piece.tip is ScrewTip.DOG or piece.fastener is None:
        return None
    thread = piece.fastener.thread
    lost = _lost(piece, piece.fastener)
    first = f"cut {lost:.3g} mm off its end and " if lost else ""
    return (
        f"{first}grind a dog point: {TIP_SHARE * thread.root_external:.2g} mm across,"
        f" {DOG_LENGTH * thread.major:.2g} mm long, edges broken; run a nut over the thread"
    )


def _steps(
    torque_steps: tuple[float, ...],
    piece: Piece,
    count: int,
    places: _Places,
    friction: FrictionRange,
) -> tuple[str, ...]:
    longest = "" if piece.fastener is None else f"{DOG_LENGTH * piece.fastener.thread.major:.2g}"
    dog = (
        f"Measure the dog points: of more than {longest} mm they take thread from the hole that was"
        " counted. Use other screws then."
    )
    first = "Turn the screws in by hand all the way first: one that binds is taken out again."
    return (
        "Take every screw, nut and dowel out of the joint, and clean the threads of the holes with"
        " a tap of their own size.",
        first if count > 1 else first.replace("screws", "screw"),
        *((dog,) if piece.tip is ScrewTip.DOG else ()),
        friction_text(friction),
        PROTECT,
        *together_in_turn(torque_steps, count, "screw"),
        f"Stop when the parts are {places.travel:.3g} mm apart: the length was checked for no"
        " more.",
        *STOP_RULES,
        *WHEN_IT_DOES_NOT_MOVE,
    )


def _notes(
    requirement: Requirement, strength: ScrewStrength, friction: FrictionRange
) -> tuple[str, ...]:
    estimate = estimate_note(requirement.force)
    return (
        *strength.notes,
        *friction.notes,
        *((estimate,) if estimate else ()),
        "A stiff part can crack between the points: what it bears as a whole was not checked.",
    )
