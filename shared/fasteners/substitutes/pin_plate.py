"""Two pins in a plate, taken by the numbers: what fits, and what bears. mm, N, N·mm, MPa."""

from dataclasses import dataclass, replace
from math import pi, sqrt
from typing import Final, NamedTuple

from shared.fasteners.model import FeatureKind
from shared.fasteners.substitutes.checking import as_fit
from shared.fasteners.substitutes.common import COMMON_PRACTICE, count_check, room_check
from shared.fasteners.substitutes.handles import BY_HAND, GRIP
from shared.fasteners.substitutes.model import Check, Piece, Requirement
from shared.fasteners.substitutes.pairing import PLAIN_NO, Standing, standing_of
from shared.fasteners.substitutes.side_load import (
    Sizes,
    flat_bar,
    hold,
    needed_of,
    pressed,
    round_modulus,
)
from shared.fasteners.substitutes.stresses import (
    allowed_bending,
    allowed_shear,
    tool_material_check,
)

PINS: Final = 2
GAP: Final = 0.5
"""Between plate and nut, mm. Common practice, no source."""
LEAST_PLAY: Final = 0.02
MOST_PLAY: Final = 0.1
"""Play of a pin in the nut's hole: mm, and a share of the hole. Common practice, no source."""
HANDLE: Final = 100.0
"""Handle beyond the pins, mm. Common practice, no source."""

_PLATE: Final = (FeatureKind.LENGTH, FeatureKind.WIDTH, FeatureKind.THICKNESS)
_PIN: Final = (FeatureKind.OUTSIDE_DIAMETER, FeatureKind.LENGTH)


@dataclass(frozen=True, slots=True)
class Part:
    """A plate or kind of pins, its checks and how they stand; ``alike`` ones do alike."""

    piece: Piece
    size: Sizes
    checks: tuple[Check, ...]
    standing: Standing
    alike: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Turned:
    """The nut: its sizes, the torque on it, N·mm, and the checks of what is known of it."""

    requirement: Requirement
    size: Sizes
    moment: float
    first: tuple[Check, ...]


@dataclass(frozen=True, slots=True)
class Pair:
    """A plate and pins together on a nut."""

    turned: Turned
    plate: Part
    pin: Part

    @property
    def across(self) -> float:
        """The pins' diameter, mm."""
        return self.pin.size[FeatureKind.OUTSIDE_DIAMETER]

    @property
    def circle(self) -> float:
        """The diameter of the circle that the nut's holes lie on, mm."""
        return self.turned.size[FeatureKind.PIN_CIRCLE]

    @property
    def deep(self) -> float:
        """How deep the pins stand in the nut, mm; not above 0: they do not reach it."""
        thick, long = self.plate.size[FeatureKind.THICKNESS], self.pin.size[FeatureKind.LENGTH]
        return min(self.turned.size[FeatureKind.DEPTH], long - thick - GAP)

    @property
    def longer(self) -> float:
        """The least length of the plate, mm."""
        return self.circle + 4 * self.across + HANDLE

    @property
    def arm(self) -> float:
        """From the axis to the middle of the hand, mm."""
        length = self.plate.size[FeatureKind.LENGTH]
        return length - self.circle / 2 - 2 * self.across - GRIP

    @property
    def push(self) -> float:
        """The push on each pin, N: they carry the couple, and the pull at the handle besides."""
        return self.turned.moment * (1 / self.circle + 1 / (2 * self.arm))

    @property
    def holes_fit(self) -> bool:
        """Whether no hole is stated that is wider than the one counted."""
        bore = self.plate.piece.size(FeatureKind.BORE)
        return bore is None or bore <= self.across

    def room(self) -> Check:
        """Return the check that there is room to set up and to turn."""
        size = self.plate.size
        high = size[FeatureKind.THICKNESS] + self.pin.size[FeatureKind.LENGTH]
        return room_check(self.turned.requirement, high, 2 * size[FeatureKind.LENGTH])


def pin_of(piece: Piece, size: Sizes) -> Part:
    """Return a kind of pins with the checks of what it is whatever the plate; mm."""
    own, lacking = needed_of(piece, _PIN)
    material = replace(tool_material_check(piece, bends=True), name="pin material")
    checks = (material, count_check(piece, PINS), *lacking)
    if not lacking:
        hole, across = size[FeatureKind.PIN], own[FeatureKind.OUTSIDE_DIAMETER]
        play = hole - across
        margin = min(play / LEAST_PLAY, MOST_PLAY * hole / play) if play > 0 else 0.0
        detail = (
            f"{across:.4g} mm in holes of {hole:.4g} mm: {LEAST_PLAY} to {MOST_PLAY * hole:.3g} mm"
            " of play wanted."
        )
        checks = (*checks, as_fit(Check("pin fit", margin >= 1, detail, COMMON_PRACTICE, margin)))
    tensile = 0.0 if piece.material is None else piece.material.tensile_least
    standing = standing_of(check for check in checks if check.name != "count")
    return Part(piece, own, checks, standing, (*(own.get(kind, 0.0) for kind in _PIN), tensile))


def plate_of(piece: Piece) -> Part:
    """Return a plate with the checks of what it is whatever the pins; mm."""
    own, lacking = needed_of(piece, _PLATE)
    there = replace(count_check(piece, 1), name="plate count")
    checks = (tool_material_check(piece, bends=True), there, *lacking)
    return Part(piece, own, checks, standing_of(checks), ())


def standing_together(pair: Pair, begin: Standing) -> Standing:
    """Return how plate and pins stand together, by numbers alone: as all their checks would."""
    plate, across = pair.plate, pair.across
    found = begin.and_(plate.standing).and_(pair.pin.standing).and_(standing_of((pair.room(),)))
    found = found.with_margins(
        fits=(
            plate.size[FeatureKind.LENGTH] / pair.longer,
            plate.size[FeatureKind.WIDTH] / (3 * across),
            1.0 if pair.holes_fit else PLAIN_NO,
            max(pair.deep, 0.0) / (across / 2),
        )
    )
    material = plate.piece.material
    if pair.deep <= 0 or pair.arm <= 0 or material is None:
        return found
    push, moment = pair.push, pair.turned.moment
    bears = flat_bar(material, plate.size, across).margins(moment, push)
    pins = (allowed / push for allowed in pins_bear(pair))
    return found.with_margins((BY_HAND / (moment / pair.arm), *bears, *pins))


class PinsBear(NamedTuple):
    """The push, N, at which a pin shears, bends, the nut's hole or the plate's gives way."""

    sheared: float
    bent: float
    in_hole: float
    held: float


def pins_bear(pair: Pair) -> PinsBear:
    """Return what pins, holes and plate bear: even pressure over the nut's hole."""
    metal = pair.pin.piece.material
    assert metal is not None, "checked before"
    across = pair.across
    on_plate = across * pressed(pair.plate.piece.material)
    reach = GAP + pair.deep / 2
    bends = round_modulus(across) * allowed_bending(metal)
    # The plate bears the push within push / on_plate of its face: push (reach + that / 2) = bends.
    bent = on_plate * (sqrt(reach**2 + 2 * bends / on_plate) - reach) if on_plate > 0 else 0.0
    return PinsBear(
        sheared=pi / 4 * across**2 * allowed_shear(metal),
        bent=bent,
        in_hole=across * pair.deep * pressed(pair.turned.requirement.workpiece),
        held=hold(reach, pair.plate.size[FeatureKind.THICKNESS]) * on_plate,
    )
