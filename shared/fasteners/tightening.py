"""Tightening by angle: what force a snug torque and then an angle give. N, N·m, mm, degrees.

The angle is shared between the screw's stretch and the parts' giving way, so the length clamped
must be known; how stiff the parts are is taken as a range.
"""

from dataclasses import dataclass
from math import isfinite, pi
from typing import Final

from shared.designations.model import Fastener
from shared.errors import InvalidInput
from shared.fasteners.cautions import MAKER_FIRST, NEVER_BY_THIS, ONCE_ONLY, cautions_of
from shared.fasteners.friction import FrictionRange
from shared.fasteners.shapes import check_can_be_tightened
from shared.fasteners.strength import MOST_OVER_LEAST_TENSILE, largest_preload, screw_strength
from shared.fasteners.turning import BearingFace, force_by_friction

STEEL: Final = 205_000.0
"""Elastic modulus of steel screws, MPa. VDI 2230-1."""
STAINLESS: Final = 190_000.0
HEAD_AND_NUT: Final = 0.9
"""Head and engaged thread stretch as so many diameters of shank. VDI 2230-1 (0.5 and 0.4 d)."""
STIFFEST_PARTS: Final = 20.0
SOFTEST_PARTS: Final = 2.0
"""Stiffness of the parts over that of the screw, from thick steel to a short aluminium flange.
Common practice, no source."""
MOST_ANGLE: Final = 360.0
_SAFE_SHARE: Final = 0.9
NOT_COUNTED: Final = (
    "The screw alone is counted: the hole's thread, the nut and the seat of the head may give way"
    " at less than preload_most."
)


@dataclass(frozen=True, slots=True)
class AngleTightening:
    """What snug torque and angle give.

    ``stretch`` is how far the nut travels, mm, shared between screw and parts. ``preload_least``
    and ``preload_most`` are elastic figures, N, ended where the screw yields and where it breaks
    (an unmarked one is not ended: it may be stronger than it counts).
    ``goes_beyond_yield``: whether the screw may yield, so that it serves once and only if it is
    made for it.
    """

    stretch: float
    snug_least: float
    snug_most: float
    preload_least: float
    preload_most: float
    preload_allowed: float
    goes_beyond_yield: bool
    counted_class: str
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


def tighten_by_angle(
    fastener: Fastener,
    friction: FrictionRange,
    face: BearingFace,
    snug: float,
    angle: float,
    clamp_length: float,
) -> AngleTightening:
    """Return the force after ``snug``, N·m, and then ``angle``, degrees; ``clamp_length`` in mm.

    dF = angle / 360 P / (1 / k_screw + 1 / k_parts), k_screw = E A / (clamp length + 0.9 d) between
    a fully threaded and a plain shank, k_parts from 2 to 20 times it. Elastic: beyond yield a screw
    gives less and stretches for good. Raises InvalidInput for figures that are none. Source:
    VDI 2230-1 (form and shares from memory).
    """
    check_can_be_tightened(fastener)
    _check(snug, "/snug_torque", "torque", 1e5)
    _check(angle, "/angle", "angle", MOST_ANGLE)
    _check(clamp_length, "/clamp_length", "length", 5000.0)
    screw, thread = screw_strength(fastener), fastener.thread
    modulus = STAINLESS if screw.is_stainless else STEEL
    length = clamp_length + HEAD_AND_NUT * thread.major
    stiffness = modulus * pi / 4 / length
    soft, stiff = stiffness * thread.root_external**2, stiffness * thread.major**2
    travel = angle / 360 * thread.pitch
    snug_least = force_by_friction(snug, thread, face, friction.most, friction.most)
    snug_most = force_by_friction(snug, thread, face, friction.least, friction.least)
    least = snug_least + travel * _together(soft, SOFTEST_PARTS)
    most = snug_most + travel * _together(stiff, STIFFEST_PARTS)
    # Friction twists the shank: at the highest the screw yields soonest.
    allowed = largest_preload(thread, screw.strength.yield_least, friction.most, _SAFE_SHARE)
    yields_at = largest_preload(thread, screw.strength.yield_least, friction.most, 1.0)
    goes_beyond = most > yields_at
    cautions = [MAKER_FIRST, NEVER_BY_THIS, NOT_COUNTED]
    if not goes_beyond and most > allowed:
        cautions.append("This may pass 90 % of the screw's yield: take a smaller angle.")
    if goes_beyond:
        cautions.append(
            "This may take the screw beyond yield: only for screws made for it, new each time,"
            " with the maker's torque and angle."
        )
        cautions.append(ONCE_ONLY)
    return AngleTightening(
        stretch=travel,
        snug_least=snug_least,
        snug_most=snug_most,
        preload_least=min(least, yields_at),
        # Nobody knows how strong an unmarked screw is: where it breaks does not end the force.
        preload_most=(
            most if screw.is_assumed else min(most, MOST_OVER_LEAST_TENSILE * screw.tensile_load)
        ),
        preload_allowed=allowed,
        goes_beyond_yield=goes_beyond,
        counted_class=screw.counted_class,
        notes=(
            *screw.notes,
            *friction.notes,
            "The stiffness of the parts is taken from 2 to 20 times the screw's: measured or"
            " computed stiffness would narrow the range. A joint with a gasket is softer still.",
        ),
        cautions=(*cautions, *cautions_of(fastener, screw)),
    )


def _together(screw: float, parts_over_screw: float) -> float:
    return screw * parts_over_screw / (1 + parts_over_screw)


def _check(value: float, pointer: str, what: str, most: float) -> None:
    if not (isfinite(value) and 0 < value <= most):
        raise InvalidInput(
            pointer,
            f"Got {value:g}; wanted a {what} above 0, at most {most:g}.",
            f"Give the {what} in N·m, degrees or mm; snug is the torque before the angle.",
            "out-of-range",
        )
