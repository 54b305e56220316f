"""What a screw, rod or nut may be turned to when it works, and what force it surely gives.

The ceiling is computed at the lowest friction, the force to count on at the highest. mm, N, N·m.
"""

from dataclasses import dataclass
from math import pi, sqrt
from typing import Final, NamedTuple

from shared.designations.model import Fastener
from shared.fasteners.faces import face_of, widest_face_of
from shared.fasteners.friction import FrictionRange
from shared.fasteners.strength import YIELD_SHARE, ScrewStrength
from shared.fasteners.torque import WRENCH_DEVIATION
from shared.fasteners.turning import MM_PER_M, arm, thread_arm
from shared.standards.thread_model import Thread

STEPS: Final = (0.3, 0.6, 1.0)
"""Shares in which several screws are turned up in turn. Common practice, no source."""
SNUG: Final = STEPS[0]
"""Share of the permitted torque at which what is held lies flat. Common practice, no source."""
SCREW: Final = "screw strength"


class Arms(NamedTuple):
    """Torque per force, mm: least (most force for a torque) and most (least force)."""

    least: float
    most: float


class PartAllows(NamedTuple):
    """The force, N per screw, that one part of the set-up bears, and why."""

    name: str
    force: float
    basis: str


class PartTorque(NamedTuple):
    """The torque, N·m per screw, that one part allows."""

    name: str
    force: float
    torque: float
    basis: str


@dataclass(frozen=True, slots=True)
class ScrewWork:
    """What each screw may be turned to, ``torque`` being the ceiling less a wrench's error."""

    torque: float
    ceiling: float
    force_least: float
    force_most: float
    parts: tuple[PartTorque, ...]
    arms: Arms

    @property
    def steps(self) -> tuple[float, ...]:
        """The torques on the way, N·m; none where nothing may be turned."""
        return tuple(share * self.torque for share in STEPS) if self.ceiling > 0 else ()

    def least_by(self, part: PartTorque) -> float:
        """Return the force, N per screw, surely given if ``part`` alone set the ceiling."""
        return surely_given(part.torque, self.arms)


def surely_given(ceiling: float, arms: Arms) -> float:
    """Return the least force, N, of a wrench set to ``ceiling`` less its own error, N·m."""
    set_to = ceiling / (1 + WRENCH_DEVIATION)
    return set_to * (1 - WRENCH_DEVIATION) * MM_PER_M / arms.most


def jacking_arms(thread: Thread, friction: FrictionRange) -> Arms:
    """Return the arms of a screw that pushes with its end.

    Least with a ball's no friction at the tip, most with a flat end's at two thirds of the root's
    radius. Source: long form as for tightening; the end's radius is common practice.
    """
    at_the_end = friction.most * thread.root_external / 3
    return Arms(thread_arm(thread, friction.least), thread_arm(thread, friction.most) + at_the_end)


def pulling_arms(fastener: Fastener, friction: FrictionRange) -> Arms:
    """Return the arms of a screw or nut that pulls by turning on its face."""
    least, widest, thread = face_of(fastener), widest_face_of(fastener), fastener.thread
    return Arms(
        arm(thread, least, friction.least, friction.least),
        arm(thread, widest, friction.most, friction.most),
    )


def screw_allows(
    thread: Thread, strength: ScrewStrength, friction: FrictionRange, arms: Arms, *, twists: bool
) -> PartTorque:
    """Return what the screw itself allows: 90 % of yield, force and twist together.

    ``twists``: the friction at its end twists it too, as at the tip of a jacking screw; all the
    torque is then counted as twist. Else only that of the thread. Source: VDI 2230-1, as
    ``strength.largest_preload``.
    """
    stressed = sqrt(4 * strength.area / pi)
    bears = YIELD_SHARE * strength.strength.yield_least * strength.area
    found = []
    for mu, whole in ((friction.least, arms.least), (friction.most, arms.most)):
        twisting = whole if twists else thread_arm(thread, mu)
        force = bears / sqrt(1 + 3 * (1.5 * 2 * twisting / stressed) ** 2)
        found.append((force * whole / MM_PER_M, force))
    torque, force = min(found)
    basis = (
        f"{YIELD_SHARE:.0%} of the yield of class {strength.counted_class},"
        " force and twist together (VDI 2230-1)"
    )
    return PartTorque(SCREW, force, torque, basis)


def work_of(screw: PartTorque, arms: Arms, parts: tuple[PartAllows, ...]) -> ScrewWork:
    """Return what each screw may be turned to so that no part bears more than it allows."""
    every = (
        screw,
        *(
            PartTorque(part.name, part.force, part.force * arms.least / MM_PER_M, part.basis)
            for part in parts
        ),
    )
    ceiling = min(part.torque for part in every)
    return ScrewWork(
        torque=ceiling / (1 + WRENCH_DEVIATION),
        ceiling=ceiling,
        force_least=surely_given(ceiling, arms),
        force_most=ceiling * MM_PER_M / arms.least,
        parts=every,
        arms=arms,
    )
