"""What a bar screwed to two tapped holes puts on its screws, its holes and itself. mm, N, MPa."""

from dataclasses import dataclass
from math import pi, sqrt
from typing import Final, NamedTuple

from shared.designations.model import Fastener
from shared.fasteners.friction import FrictionRange
from shared.fasteners.model import FeatureKind
from shared.fasteners.strength import YIELD_SHARE, ScrewStrength
from shared.fasteners.substitutes.checking import as_fit
from shared.fasteners.substitutes.common import COMMON_PRACTICE, force_text, ratio
from shared.fasteners.substitutes.model import Check, Piece, Requirement
from shared.fasteners.substitutes.pairing import Standing
from shared.fasteners.substitutes.screw_work import SNUG, Arms, PartTorque
from shared.fasteners.substitutes.side_load import (
    HOLD_BASIS,
    Sizes,
    hold,
    material_text,
    round_modulus,
)

YIELD_SAFETY: Final = 1.5
EDGE_SAFETY: Final = 2.5
"""Over yield, and over the shear strength of the edge. Common practice, no source."""
FROM_THE_ENDS: Final = 3.0
"""Diameters of the screw left at the bar's ends together: for the hole's edge and for the stop."""
LEAST_DEEP: Final = 0.8
"""Diameters that a screw stands deep at the least. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class CounterholdWork:
    """What is held: the sizes of the work, the torque on it, N·mm.

    ``bears`` is what the hole bears, N per mm of its depth, ``edge_bears`` the metal beside it.
    """

    requirement: Requirement
    fastener: Fastener
    size: Sizes
    moment: float
    bears: float
    edge_bears: float

    @property
    def deepest(self) -> float:
        """How deep a screw may stand in its hole, mm."""
        return max(self.size[FeatureKind.DEPTH] - self.fastener.thread.pitch / 2, 0.0)

    @property
    def major(self) -> float:
        """Major diameter of the screws, mm."""
        return self.fastener.thread.major

    def push(self, bar: Sizes) -> float:
        """Return the push, N, on the screw that bears more: of the couple, and half the stop's.

        From equilibrium: holes equally far from the axis, the stop square to the bar.
        """
        return self.moment / self.size[FeatureKind.SPACING] + self.stop(bar) / 2

    def stop(self, bar: Sizes) -> float:
        """Return the force at the stop, N; the bar is longer than what is left at its ends."""
        left = FROM_THE_ENDS * self.major
        arm = bar[FeatureKind.LENGTH] - self.size[FeatureKind.SPACING] / 2 - left
        return self.moment / arm


@dataclass(frozen=True, slots=True)
class FitBar:
    """A bar that passes by itself, with its checks.

    ``push`` is what it puts on the screw that bears more, N; its hole ``bears`` N per mm of depth.
    """

    piece: Piece
    size: Sizes
    push: float
    bears: float
    checks: tuple[Check, ...]
    standing: Standing


@dataclass(frozen=True, slots=True)
class FitScrew:
    """A screw that goes into the holes, with its checks; what it bears itself, its head's face.

    ``standing`` is that of its room: its other checks pass. Screws that are ``alike`` do alike.
    """

    piece: Piece
    fastener: Fastener
    length: float
    threaded: float
    strength: ScrewStrength
    friction: FrictionRange
    arms: Arms
    allowed: PartTorque
    seat: float
    checks: tuple[Check, ...]
    room: Check
    standing: Standing
    alike: tuple[float, ...]


def length_margin(work: CounterholdWork, threaded: float, deep: float) -> float:
    """Return the margin of a screw that stands ``deep`` mm in its hole, ``threaded`` mm of it cut.

    It must be deep enough, must not bottom, and have thread all the way.
    """
    if deep <= 0:
        return 0.0
    return min(deep / (LEAST_DEEP * work.major), work.deepest / deep, threaded / deep)


def length_check(work: CounterholdWork, screw: FitScrew, deep: float) -> Check:
    """Return the check of ``length_margin``."""
    least, depth = LEAST_DEEP * work.major, work.size[FeatureKind.DEPTH]
    most = depth - work.fastener.thread.pitch / 2
    detail = (
        f"It stands {deep:.4g} mm deep: at least {least:.4g} mm, at most {most:.4g} mm wanted;"
        f" {screw.threaded:.4g} mm of thread on it."
    )
    margin = length_margin(work, screw.threaded, deep)
    return as_fit(Check("length", margin >= 1, detail, COMMON_PRACTICE, margin))


class Pushed(NamedTuple):
    """What the push, N, on a screw does: the stress in it, MPa, and what the metal round it bears.

    ``held`` is the depth, mm, that counts of what stands in the hole.
    """

    push: float
    stress: float
    allowed: float
    in_bar: float
    held: float
    in_hole: float
    edge: float

    @property
    def margins(self) -> tuple[float, ...]:
        """The margins of ``push_checks``."""
        push = self.push
        return (
            self.allowed / self.stress,
            self.in_bar / push,
            self.in_hole / push,
            self.edge / push,
        )


def pushed(
    work: CounterholdWork, screw: FitScrew, bar: FitBar, chamfer: float, counted: float
) -> Pushed:
    """Return what the sideways push does to screw, holes and bar.

    ``counted`` mm of thread count, ``chamfer`` mm below the hole's face. Of the push each surface
    bears as much as its material allows, as near to the joint as that goes; the screw bends
    between, stretched by being snug. Source: equilibrium.
    """
    push, root = bar.push, work.fastener.thread.root_external
    arm = work.size[FeatureKind.REACH] + chamfer + push / bar.bears / 2
    held = hold(arm, counted)
    yields = screw.strength.strength.yield_least
    bent = push * (arm + push / work.bears / 2) / round_modulus(root)
    drawn = bent + SNUG * YIELD_SHARE * yields
    return Pushed(
        push=push,
        stress=sqrt(drawn**2 + 3 * (push / (pi / 4 * root**2)) ** 2),
        allowed=yields / YIELD_SAFETY,
        in_bar=bar.size[FeatureKind.THICKNESS] * bar.bears,
        held=held,
        in_hole=held * work.bears,
        edge=held * work.edge_bears,
    )


def push_checks(work: CounterholdWork, screw: FitScrew, found: Pushed) -> tuple[Check, ...]:
    """Return the checks of what the push does."""
    push, what = found.push, material_text(work.requirement.workpiece)
    asked = f"{force_text(push)} on each screw"
    return (
        ratio(
            "screw strength",
            found.allowed,
            found.stress,
            f"{found.stress:.4g} MPa from pull, bend and shear, {found.allowed:.4g} MPa allowed;"
            f" {asked} sideways.",
            f"yield of class {screw.strength.counted_class} over 1.5: {COMMON_PRACTICE}",
        ),
        ratio(
            "bar side",
            found.in_bar,
            push,
            f"The bar's hole bears {force_text(found.in_bar)}; {asked}.",
            HOLD_BASIS,
        ),
        ratio(
            "hole side",
            found.in_hole,
            push,
            f"{what}: {found.held:.3g} mm of depth count, {force_text(found.in_hole)}; {asked}.",
            HOLD_BASIS,
        ),
        ratio(
            "edge of the hole",
            found.edge,
            push,
            f"The metal beside a hole bears {force_text(found.edge)}; {asked}.",
            f"shear strength over 2.5: {COMMON_PRACTICE}",
        ),
    )
