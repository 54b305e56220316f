"""The force that a press fit holds with: two thick-walled rings, one pressed into the other.

mm, N, MPa. Elastic, at rest, at one temperature. What is not known counts as the stiffest it may
be, so that a missing fact never makes the work look lighter.
"""

from dataclasses import dataclass
from math import inf, isfinite, pi
from typing import Final

from shared.errors import InvalidInput, OutOfRange
from shared.fasteners.substitutes.model import Range
from shared.standards.hole_materials import HoleMaterial
from shared.standards.iso286 import Limits, limits

PRESS_FRICTION: Final = Range(0.06, 0.25)
"""Friction of a press fit, from oiled to dry or fretted. From memory."""
STIFFEST_MODULUS: Final = 210_000.0
STIFFEST_POISSON: Final = 0.3
"""Steel: of the table's materials the one that gives way least."""
BASIS: Final = (
    "thick-walled rings (Lamé), limits ISO 286, friction"
    f" {PRESS_FRICTION.least:g} to {PRESS_FRICTION.most:g} from memory"
)
NOT_COUNTED: Final = (
    "Press fit, at 20 °C and of bare metal: rust, fretting that has grown together, adhesive,"
    " plating, burrs, and a hub colder than its shaft or of light metal in the cold are not counted"
    " and may ask for far more."
)

_YIELDS_AT: Final = 1.5
"""Tensile strength over the stress at which a hub may yield or split. Common practice."""


@dataclass(frozen=True, slots=True)
class PressFit:
    """A shaft pressed into a hub: nominal diameter and length of the seat, mm, and their classes.

    ``hub_outside`` is the hub's outside diameter, None: not known, counted as endless.
    ``shaft_bore`` is the bore of a hollow shaft, None or 0: solid. Materials None: counted as
    steel.
    """

    diameter: float
    length: float
    hole_class: str
    shaft_class: str
    hub_outside: float | None = None
    shaft_bore: float | None = None
    hub: HoleMaterial | None = None
    shaft: HoleMaterial | None = None


@dataclass(frozen=True, slots=True)
class PressForce:
    """What a press fit asks for: interference on the diameter, mm, pressure, MPa, force, N."""

    interference: Range
    pressure: Range
    force: Range
    hub_stress: float | None
    """Most tangential stress at the hub's bore, MPa; None where its outside is not known."""
    notes: tuple[str, ...]


def press_force(fit: PressFit, friction: Range = PRESS_FRICTION) -> PressForce:
    """Return the force that pushes a fit apart or together, least and most.

    Least 0 where the classes leave play. Raises InvalidInput with a pointer into the fit for
    classes that are none, rings that are none, a fit that is always loose. Source: Lamé's thick
    ring as in Mechanical Engineering Design, press and shrink fits (from memory).
    """
    _check_rings(fit)
    hole = _limits(fit, fit.hole_class, "/hole_class", is_hole=True)
    shaft = _limits(fit, fit.shaft_class, "/shaft_class", is_hole=False)
    interference = Range(
        max(0.0, (shaft.lower_um - hole.upper_um) / 1000),
        (shaft.upper_um - hole.lower_um) / 1000,
    )
    if interference.most <= 0:
        raise InvalidInput(
            "/shaft_class",
            f"{fit.hole_class}/{fit.shaft_class} always has play: it holds with no force.",
            "Leave the press fit out, or state the force.",
            "no-interference",
        )
    pressure = Range(*(one * pressure_per_interference(fit) for one in interference))
    seat = pi * fit.diameter * fit.length
    force = Range(
        friction.least * pressure.least * seat,
        friction.most * pressure.most * seat,
    )
    stress = _hub_stress(fit, pressure.most)
    return PressForce(interference, pressure, force, stress, _notes(fit, stress))


def pressure_per_interference(fit: PressFit) -> float:
    """Return the pressure in the seat, MPa, per mm of interference on the diameter.

    p / delta = 1 / (d [(Ko + vo) / Eo + (Ki - vi) / Ei]), K = (D^2 + d^2) / |D^2 - d^2| of each
    ring, D its other diameter. Source: as ``press_force``.
    """
    hub_modulus, hub_poisson = _elastic(fit.hub)
    shaft_modulus, shaft_poisson = _elastic(fit.shaft)
    hub = (_shape(fit.diameter, fit.hub_outside) + hub_poisson) / hub_modulus
    shaft = (_shape(fit.diameter, fit.shaft_bore or 0.0) - shaft_poisson) / shaft_modulus
    return 1 / (fit.diameter * (hub + shaft))


def _shape(seat: float, other: float | None) -> float:
    """Return K of a ring between its seat and its other diameter; 1 for endless or solid."""
    if other is None:
        return 1.0
    ratio = (min(seat, other) / max(seat, other)) ** 2
    return (1 + ratio) / (1 - ratio)


def _elastic(material: HoleMaterial | None) -> tuple[float, float]:
    if material is None:
        return STIFFEST_MODULUS, STIFFEST_POISSON
    return material.elastic_modulus, material.poisson_ratio


def _limits(fit: PressFit, words: str, pointer: str, *, is_hole: bool) -> Limits:
    try:
        found = limits(fit.diameter, words)
    except OutOfRange as error:
        error.pointer = "/diameter"
        raise
    except InvalidInput as error:
        error.pointer = pointer
        raise
    if found.tolerance_class.is_hole is not is_hole:
        what = "a hole's, in capitals (H7)" if is_hole else "a shaft's, in small letters (p6)"
        raise InvalidInput(pointer, f"{words} is not {what}.", f"Give {what}.", "not-listed")
    return found


def _check_rings(fit: PressFit) -> None:
    for field, value in (("diameter", fit.diameter), ("length", fit.length)):
        if not (isfinite(value) and value > 0):
            raise OutOfRange(field, f"{value:g}", "more than 0 mm")
    outside, bore = fit.hub_outside, fit.shaft_bore
    if outside is not None and not fit.diameter < outside < inf:
        raise OutOfRange("hub_outside", f"{outside:g}", f"more than the seat's {fit.diameter:g} mm")
    if bore is not None and not 0 <= bore < fit.diameter:
        raise OutOfRange("shaft_bore", f"{bore:g}", f"0 to less than {fit.diameter:g} mm")


def _hub_stress(fit: PressFit, pressure: float) -> float | None:
    if fit.hub_outside is None:
        return None
    return pressure * _shape(fit.diameter, fit.hub_outside)


def _notes(fit: PressFit, stress: float | None) -> tuple[str, ...]:
    notes = [NOT_COUNTED]
    unknown = [
        what
        for what, value in (
            ("the hub's outside diameter (counted as endless)", fit.hub_outside),
            ("the hub's material (counted as steel)", fit.hub),
            ("the shaft's material (counted as steel)", fit.shaft),
        )
        if value is None
    ]
    if unknown:
        notes.append(f"Press fit: not known: {', '.join(unknown)}; the force comes out high.")
    if stress is None or fit.hub is None:
        notes.append(
            "Press fit: whether the hub bears being pressed together was not computed: its outside"
            " diameter and its material tell."
        )
    else:
        bears = fit.hub.tensile_least / _YIELDS_AT
        if stress > bears:
            notes.append(
                f"Press fit: at its tightest the hub's bore bears {stress:.4g} MPa, above the"
                f" {bears:.4g} MPa to count on: it may yield or split when pressed together."
            )
    return tuple(notes)
