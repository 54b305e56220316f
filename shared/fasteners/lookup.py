"""All about a fastener written as people write it: thread, strength, tightening, cautions.

Lengths in mm, area in mm2, loads in N, torques in N·m.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from shared.designations.model import Fastener, FastenerForm
from shared.errors import InvalidInput
from shared.fasteners.cautions import (
    BRITTLE_WHEN_PLATED,
    MAKER_FIRST,
    NEVER_BY_THIS,
    cautions_of,
    is_hard,
)
from shared.fasteners.faces import face_of, widest_face_of
from shared.fasteners.friction import friction_for
from shared.fasteners.joint import Joint
from shared.fasteners.nut import nut_used
from shared.fasteners.shapes import check_can_be_tightened
from shared.fasteners.strength import ScrewStrength, screw_strength
from shared.fasteners.torque import WRENCH_DEVIATION, permitted_torque
from shared.standards.hexagons import TO_MM, clearance_hole_of, heads_of, sockets_of
from shared.standards.threads import tap_drill_named
from shared.standards.washers import washers_of

CONDITIONS: Final = (
    "unknown",
    "dry",
    "oiled",
    "zinc",
    "zinc, oiled",
    "anti-seize, copper",
    "molybdenum disulfide",
    "wax or ptfe",
)
"""Conditions of thread and head for which tightening is tabled, the unknown first."""
STAINLESS_CONDITIONS: Final = (
    "unknown",
    "stainless, dry",
    "stainless, oiled",
    "stainless, paste",
    "wax or ptfe",
)
_BY_ITS_CONDITION: Final = (
    "Take the row of the threads at hand, and the first where nobody knows: its torque is safe at"
    " the lowest friction of the condition, its preload is what is left at the highest. A paste,"
    " wax or film is more slippery than the unknown counts: its own row then."
)
_SCREW_ALONE: Final = (
    "Hole, nut and seat of the head are not counted here: they may allow less, in aluminium or cast"
    " iron above all."
)


@dataclass(frozen=True, slots=True)
class Tightening:
    """What a screw alone may be turned to in one condition of thread and head.

    ``torque`` is what to set, N·m, safe at ``friction``, the lowest that may be. ``preload`` is the
    force, N, that it surely gives, at ``friction_highest``; ``preload_most`` what it may give, at
    ``friction``. ``basis`` says where the friction is from.
    """

    condition: str
    friction: float
    friction_highest: float
    torque: float
    preload: float
    preload_most: float
    basis: str


@dataclass(frozen=True, slots=True)
class HeadSize:
    """A hexagon that the thread is made with, width in mm."""

    kind: str
    standard: str
    across_flats: float


@dataclass(frozen=True, slots=True)
class SocketKey:
    """The hexagon key that turns a socket screw of the thread, width across flats in mm."""

    form: str
    standard: str
    key: float


@dataclass(frozen=True, slots=True)
class WasherSize:
    """A washer made for the screw, lengths in mm."""

    form: str
    standard: str
    inside: float
    outside: float
    thickness: float


@dataclass(frozen=True, slots=True)
class FastenerAnswer:
    """What the house knows of a fastener.

    Loads are None for a pipe thread, a nut, and (proof load) a class that states none. For an
    unmarked screw they are those of the lowest class, ``counted_class``.
    """

    fastener: Fastener
    counted_class: str | None
    proof_load: float | None
    yield_load: float | None
    tensile_load: float | None
    tightening: tuple[Tightening, ...]
    tap_drill: float | None
    tap_drill_name: str | None
    clearance_hole: float | None
    heads: tuple[HeadSize, ...]
    socket_keys: tuple[SocketKey, ...]
    washers: tuple[WasherSize, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


@lru_cache(maxsize=1024)
def look_up(fastener: Fastener) -> FastenerAnswer:
    """Return what the house knows of a fastener; never raises for one that was read.

    Sources: the tables of threads, classes and heads; VDI 2230-1 for tightening.
    """
    thread = fastener.thread
    screw, why_none = _strength(fastener)
    tightening, by_what = _tightening(fastener, screw) if screw else ((), ())
    drill, hole = tap_drill_named(thread), clearance_hole_of(thread)
    return FastenerAnswer(
        fastener=fastener,
        counted_class=screw.counted_class if screw else None,
        proof_load=screw.proof_load if screw else None,
        yield_load=screw.yield_load if screw else None,
        tensile_load=screw.tensile_load if screw else None,
        tightening=tightening,
        tap_drill=thread.tap_drill,
        tap_drill_name=drill.name if drill else None,
        clearance_hole=hole.medium_diameter if hole else None,
        heads=tuple(
            HeadSize(head.kind, head.standard, head.across_flats) for head in heads_of(thread)
        ),
        socket_keys=tuple(
            SocketKey(one.form, one.standard, one.key * TO_MM[one.unit])
            for one in sockets_of(thread)
        ),
        washers=tuple(
            WasherSize(
                one.form, one.standard, one.inside_diameter, one.outside_diameter, one.height
            )
            for one in washers_of(thread)
        ),
        notes=(*fastener.notes, *(screw.notes if screw else ()), *why_none, *by_what),
        cautions=_cautions(fastener, screw, is_tightened=bool(tightening)),
    )


def _strength(fastener: Fastener) -> tuple[ScrewStrength | None, tuple[str, ...]]:
    if fastener.form is FastenerForm.NUT:
        return None, _nut_notes(fastener)
    try:
        return screw_strength(fastener), ()
    except InvalidInput as error:
        return None, (error.detail,)


def _nut_notes(fastener: Fastener) -> tuple[str, ...]:
    """Say what load a nut of the class bears, by either standard; nothing of one of another shape.

    Its words may make it a thin, slotted or locking one, which bears less.
    """
    name = fastener.property_class
    found = []
    for is_older in (False, True) if name and not fastener.words else ():
        try:
            used = nut_used(fastener, name or "", is_older=is_older)
        except InvalidInput:
            continue
        found.append(f"As {used.name} it bears {used.proof_load:.0f} N without stripping.")
    return tuple(dict.fromkeys(found)) or (
        "What a nut bears is told by its class, its height and the screw it goes with.",
    )


def _tightening(
    fastener: Fastener, screw: ScrewStrength
) -> tuple[tuple[Tightening, ...], tuple[str, ...]]:
    """Return a row for each condition, and by what rule; none, and why, where no formula holds."""
    try:
        check_can_be_tightened(fastener)
    except InvalidInput as error:
        return (), (error.detail,)
    conditions = STAINLESS_CONDITIONS if screw.is_stainless else CONDITIONS
    note = (
        f"Tightening counts 90 % of the yield of class {screw.counted_class}, tension and torsion"
        f" together (VDI 2230-1), less {WRENCH_DEVIATION:.0%} for the wrench; the face under the"
        f" head: {face_of(fastener).note}."
    )
    return tuple(_row(fastener, screw, condition) for condition in conditions), (note,)


def _row(fastener: Fastener, screw: ScrewStrength, condition: str) -> Tightening:
    friction = friction_for(
        None if condition == "unknown" else condition,
        is_stainless=screw.is_stainless,
        finish=fastener.words,
    )
    face = face_of(fastener)
    found = permitted_torque(Joint(fastener, friction, face, widest_face_of(fastener)))
    return Tightening(
        condition=condition,
        friction=friction.least,
        friction_highest=friction.most,
        torque=found.torque,
        preload=found.preload_least,
        preload_most=found.preload_most,
        basis="; ".join((friction.basis, *(note.rstrip(".") for note in friction.notes))),
    )


def _cautions(
    fastener: Fastener, screw: ScrewStrength | None, *, is_tightened: bool
) -> tuple[str, ...]:
    if not is_tightened:
        return (MAKER_FIRST, *cautions_of(fastener, screw))
    plated = (BRITTLE_WHEN_PLATED,) if is_hard(screw) else ()
    found = (
        MAKER_FIRST,
        _BY_ITS_CONDITION,
        _SCREW_ALONE,
        NEVER_BY_THIS,
        *cautions_of(fastener, screw),
        *plated,
    )
    return tuple(dict.fromkeys(found))
