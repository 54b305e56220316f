"""What is turned into what: the question that the permitted torque answers."""

from dataclasses import dataclass

from shared.designations.model import Fastener
from shared.fasteners.friction import FrictionRange
from shared.fasteners.turning import BearingFace
from shared.standards.hole_materials import HoleMaterial


@dataclass(frozen=True, slots=True)
class TappedHole:
    """A tapped hole: its material and how deep the screw stands in it, lengths in mm."""

    material: HoleMaterial
    engagement: float
    chamfer: float | None = None
    incomplete: float | None = None


@dataclass(frozen=True, slots=True)
class NutUsed:
    """A nut: its class as marked and what it bears without stripping, N."""

    name: str
    proof_load: float
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Joint:
    """A screw, its friction, and what it goes into. What is None is not known and not checked.

    ``face`` is the least ring that the head may turn on, ``widest_face`` the largest, on which the
    same torque gives least force; None: the same one. ``seat`` is the material under the head.
    ``replaces`` is the screw that this one stands in for, ``stated_torque`` what the joint's own
    book says, N·m. ``tightening_factor`` is the scatter of the way of tightening, most force over
    least.
    """

    fastener: Fastener
    friction: FrictionRange
    face: BearingFace
    widest_face: BearingFace | None = None
    hole: TappedHole | None = None
    nut: NutUsed | None = None
    seat: HoleMaterial | None = None
    replaces: Fastener | None = None
    stated_torque: float | None = None
    tightening_factor: float = 1.8


@dataclass(frozen=True, slots=True)
class PartLimit:
    """What one part of the joint allows.

    ``force`` N and ``torque`` N·m are None where it was not checked: ``note`` says why, or how.
    """

    part: str
    force: float | None
    torque: float | None
    note: str

    @property
    def is_checked(self) -> bool:
        """Whether anything was computed for it."""
        return self.torque is not None


@dataclass(frozen=True, slots=True)
class PermittedTorque:
    """What a joint may be turned to and what force that gives. N·m and N.

    ``ceiling`` is the least of the limits, ``governed_by`` whose that is; ``is_whole`` says whether
    every part was checked. ``torque`` is what to set: the ceiling less the wrench's own deviation,
    or the joint's own torque where that is less. ``preload_least`` is the force that it surely
    gives, ``preload_most`` the most it may give. ``is_stated_within``: whether the book's torque
    stays below the ceiling; None where none was stated. ``steps`` are torques on the way.
    """

    torque: float
    ceiling: float
    governed_by: str
    is_whole: bool
    preload_least: float
    preload_most: float
    limits: tuple[PartLimit, ...]
    counted_class: str
    is_stated_within: bool | None
    steps: tuple[float, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
