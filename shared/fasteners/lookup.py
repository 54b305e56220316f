"""All about a fastener written as people write it: thread, strength, tightening, cautions.

Lengths in mm, area in mm2, loads in N, torques in N·m.
"""

from dataclasses import dataclass
from typing import Final

from shared.designations.model import Fastener, FastenerForm
from shared.errors import InvalidInput
from shared.fasteners.cautions import MAKER_FIRST, NEVER_BY_THIS, cautions_of
from shared.fasteners.faces import face_of
from shared.fasteners.strength import ScrewStrength, largest_preload, screw_strength
from shared.fasteners.turning import torque_by_friction
from shared.standards.hexagons import clearance_hole_of, heads_of
from shared.standards.threads import tap_drill_named
from shared.standards.washers import washers_of

FRICTIONS: Final = (0.08, 0.10, 0.12, 0.14, 0.16, 0.20, 0.24)
"""Coefficients for which tightening is tabled: thread and head alike."""
_BASIS: Final = (
    "90 % of yield in tension and torsion together, VDI 2230-1, at exactly this friction of thread"
    " and head; the screw alone, not what it goes into"
)
_AT_THE_LOWEST: Final = (
    "Friction is never known exactly: turn to the torque of the lowest that may be, and count on"
    " the force of the highest. Without knowledge of oil and coating that is 0.08."
)


@dataclass(frozen=True, slots=True)
class Tightening:
    """Torque and preload at one friction; ``basis`` says by what rule."""

    friction: float
    torque: float
    preload: float
    basis: str


@dataclass(frozen=True, slots=True)
class HeadSize:
    """A hexagon that the thread is made with, width in mm."""

    kind: str
    standard: str
    across_flats: float


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
    washers: tuple[WasherSize, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


def look_up(fastener: Fastener) -> FastenerAnswer:
    """Return what the house knows of a fastener; never raises for one that was read.

    Sources: the tables of threads, classes and heads; VDI 2230-1 for tightening.
    """
    thread = fastener.thread
    screw, why_none = _strength(fastener)
    drill, hole = tap_drill_named(thread), clearance_hole_of(thread)
    return FastenerAnswer(
        fastener=fastener,
        counted_class=screw.counted_class if screw else None,
        proof_load=screw.proof_load if screw else None,
        yield_load=screw.yield_load if screw else None,
        tensile_load=screw.tensile_load if screw else None,
        tightening=_tightening(fastener, screw) if screw else (),
        tap_drill=thread.tap_drill,
        tap_drill_name=drill.name if drill else None,
        clearance_hole=hole.medium_diameter if hole else None,
        heads=tuple(
            HeadSize(head.kind, head.standard, head.across_flats) for head in heads_of(thread)
        ),
        washers=tuple(
            WasherSize(
                one.form, one.standard, one.inside_diameter, one.outside_diameter, one.height
            )
            for one in washers_of(thread)
        ),
        notes=(*fastener.notes, *(screw.notes if screw else ()), *why_none),
        cautions=_cautions(fastener, screw),
    )


def _strength(fastener: Fastener) -> tuple[ScrewStrength | None, tuple[str, ...]]:
    if fastener.form is FastenerForm.NUT:
        return None, ("A nut is told by its proof load and the screw it goes with.",)
    try:
        return screw_strength(fastener), ()
    except InvalidInput as error:
        return None, (error.detail,)


def _tightening(fastener: Fastener, screw: ScrewStrength) -> tuple[Tightening, ...]:
    thread, face = fastener.thread, face_of(fastener)
    found = []
    for mu in FRICTIONS:
        preload = largest_preload(thread, screw.strength.yield_least, mu)
        torque = torque_by_friction(preload, thread, face, mu, mu)
        found.append(Tightening(mu, torque, preload, f"{_BASIS}; {face.note}"))
    return tuple(found)


def _cautions(fastener: Fastener, screw: ScrewStrength | None) -> tuple[str, ...]:
    always = (MAKER_FIRST, _AT_THE_LOWEST, NEVER_BY_THIS) if screw else (MAKER_FIRST,)
    return (*always, *cautions_of(fastener, screw))
