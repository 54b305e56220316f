"""What a torque makes of a screw's force, and a force of its torque. N, N·m, mm.

The short form T = K F d is an estimate; the long form parts the torque into pitch, thread friction
and head friction. Coefficients of friction have no unit.
"""

from dataclasses import dataclass
from math import cos, isfinite, pi, radians
from typing import Final

from shared.errors import OutOfRange
from shared.standards.thread_model import Thread

MM_PER_M: Final = 1000.0
MOST_FRICTION: Final = 1.0
"""Above it a screw galls: no formula holds."""


@dataclass(frozen=True, slots=True)
class BearingFace:
    """The ring on which a head or nut turns, mm; ``note`` says where its sizes are from."""

    outside: float
    inside: float
    note: str = ""

    @property
    def mean_diameter(self) -> float:
        """The diameter at which head friction acts, (outside + inside) / 2, mm."""
        return (self.outside + self.inside) / 2

    @property
    def area(self) -> float:
        """Its area, mm2."""
        return pi / 4 * (self.outside**2 - self.inside**2)


def torque_by_nut_factor(force: float, major: float, nut_factor: float) -> float:
    """Return the torque T = K F d, N·m, for a force in N and a major diameter in mm.

    An estimate: K hides a scatter of a quarter and more (common practice). Source: in every
    handbook of machine elements; K of the tables in the house.

    >>> round(torque_by_nut_factor(40370, 12.7, 0.2), 1)
    102.5
    """
    _check_above_zero("force", force)
    _check_above_zero("nut_factor", nut_factor)
    return nut_factor * force * major / MM_PER_M


def arm(thread: Thread, face: BearingFace, mu_thread: float, mu_head: float) -> float:
    """Return the torque per force of the long form, mm (N·m per kN).

    P / 2 pi + mu_thread d2 / (2 cos a) + mu_head Dkm / 2, a half the flank angle. Holds for
    fastening threads (small helix). Raises OutOfRange for friction outside 0 to 1. Source:
    VDI 2230-1 (formula from memory; it reproduces printed tables); ISO 16047.
    """
    _check_friction("mu_head", mu_head)
    return thread_arm(thread, mu_thread) + mu_head * face.mean_diameter / 2


def thread_arm(thread: Thread, mu_thread: float) -> float:
    """Return the part of ``arm`` that twists the shank: pitch and thread friction, mm."""
    _check_friction("mu_thread", mu_thread)
    slope = cos(radians(thread.flank_angle / 2))
    return thread.pitch / (2 * pi) + mu_thread * thread.pitch_diameter / (2 * slope)


def torque_by_friction(
    force: float, thread: Thread, face: BearingFace, mu_thread: float, mu_head: float
) -> float:
    """Return the torque of the long form, N·m, that makes ``force``, N. See ``arm``."""
    return force * arm(thread, face, mu_thread, mu_head) / MM_PER_M


def force_by_friction(
    torque: float, thread: Thread, face: BearingFace, mu_thread: float, mu_head: float
) -> float:
    """Return the force, N, that ``torque``, N·m, makes by the long form. See ``arm``."""
    return torque * MM_PER_M / arm(thread, face, mu_thread, mu_head)


def thrust(torque: float, thread: Thread, mu: float, *, has_flat_end: bool = False) -> float:
    """Return the push of a jacking screw, N, at ``torque``, N·m; friction ``mu`` everywhere.

    A ball or point turns at no radius; a flat end of the root's diameter at d3 / 3 (two thirds of
    its radius: even pressure). Whether screw, hole and part bear the push is another question.
    Source: long form as for tightening; the end's radius is common practice.
    """
    _check_friction("mu", mu)
    at_the_end = mu * thread.root_external / 3 if has_flat_end else 0.0
    return torque * MM_PER_M / (thread_arm(thread, mu) + at_the_end)


def locks_above(thread: Thread) -> float:
    """Return the friction above which a thread holds by itself: P cos a / (pi d2), no unit.

    Without shaking: vibration loosens screws far above it. Source: Machinery's Handbook, power
    screws (form from memory).
    """
    slope = cos(radians(thread.flank_angle / 2))
    return thread.pitch / (pi * thread.pitch_diameter) * slope


@dataclass(frozen=True, slots=True)
class PowerScrew:
    """A screw that moves a load: mean diameter, lead, half flank angle (0: square), its collar.

    Lengths in mm, angle in degrees. ``collar`` is the mean diameter of the ring that turns under
    the load, 0 for a ball. Source: Mechanical Engineering Design, chapter 8 (from memory).
    """

    mean_diameter: float
    lead: float
    half_angle: float = 0.0
    collar: float = 0.0

    def raising(self, force: float, mu: float, mu_collar: float) -> float:
        """Return the torque, N·m, that moves ``force``, N, against itself.

        >>> round(PowerScrew(30, 8, 0, 40).raising(6400, 0.08, 0.08), 2)
        26.18
        """
        around, along = self._around_and_along(mu)
        if pi * self.mean_diameter <= along:
            raise OutOfRange("mu", mu, "small enough for the screw to turn at all")
        turned = force * self.mean_diameter / 2 * (self.lead + around)
        at_collar = force * mu_collar * self.collar / 2
        return (turned / (pi * self.mean_diameter - along) + at_collar) / MM_PER_M

    def lowering(self, force: float, mu: float, mu_collar: float) -> float:
        """Return the torque, N·m, that lets ``force``, N, down; below 0 it runs by itself."""
        around, along = self._around_and_along(mu)
        turned = force * self.mean_diameter / 2 * (around - self.lead)
        at_collar = force * mu_collar * self.collar / 2
        return (turned / (pi * self.mean_diameter + along) + at_collar) / MM_PER_M

    def efficiency(self, force: float, mu: float, mu_collar: float) -> float:
        """Return the share of the work that lifts the load."""
        return force * self.lead / (2 * pi * MM_PER_M * self.raising(force, mu, mu_collar))

    def _around_and_along(self, mu: float) -> tuple[float, float]:
        _check_friction("mu", mu)
        slope = cos(radians(self.half_angle))
        return pi * mu * self.mean_diameter / slope, mu * self.lead / slope


def _check_friction(field: str, mu: float) -> None:
    if not 0 <= mu <= MOST_FRICTION:
        raise OutOfRange(field, mu, f"from 0 to {MOST_FRICTION:g}")


def _check_above_zero(field: str, value: float) -> None:
    if not (value > 0 and isfinite(value)):
        raise OutOfRange(field, value, "more than 0")
