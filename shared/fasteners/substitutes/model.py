"""What a tool has to do, what lies in the drawer, and what was found. mm, N, N·m, MPa.

What is None is not known, and never helps: a fact that a check needs and has not got makes the
check fail, unless the weakest that may be is counted.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from math import inf
from typing import NamedTuple

from shared.designations.model import Fastener, Hand
from shared.fasteners.friction import FrictionRange
from shared.fasteners.model import (
    FeatureKind,
    ItemForm,
    ScrewTip,
    TightRing,
    ToolFunction,
    ToolUse,
)
from shared.money import Money
from shared.standards.hardness import HardnessScale
from shared.standards.hole_materials import HoleMaterial
from shared.standards.thread_model import Thread


class Family(StrEnum):
    """A way in which common hardware does a special tool's work."""

    JACKING_SCREWS = "jacking screws"
    BAR_ACROSS_SCREWS = "bar across screws"
    ROD_WITH_NUTS = "rod with nuts"
    PRESS_RING = "press ring"
    COUNTERHOLD_BAR = "counterhold bar"
    SOFT_STRIP = "soft strip"
    GUIDE_STUDS = "guide studs"
    ALIGNING_PINS = "aligning pins"
    GUIDE_SLEEVE = "guide sleeve"
    PINS_IN_A_PLATE = "pins in a plate"
    BAR_IN_SLOTS = "bar in slots"
    HOOK_SPANNER = "hook spanner"
    HOLDING_SCREWS = "holding screws"
    MEASURED_PIECE = "measured piece"


class Range(NamedTuple):
    """Least and most of what may be needed, N or N·m."""

    least: float
    most: float


class Hardness(NamedTuple):
    """A hardness as measured or stated."""

    value: float
    scale: HardnessScale


@dataclass(frozen=True, slots=True)
class Feature:
    """A feature of the work: how many, its thread or its size in mm."""

    kind: FeatureKind
    size: float | None = None
    fastener: Fastener | None = None
    count: int = 1


@dataclass(frozen=True, slots=True)
class Need:
    """What the work asks of the tool, and where that is from.

    The most that may be needed is what a candidate has to give surely. ``notes`` say what was not
    counted.
    """

    amount: Range
    basis: str
    is_estimate: bool
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Requirement:
    """What a tool has to do, ready to compute with.

    Each kind of feature stands in ``features`` at most once. ``workpiece`` is the material of what
    the tool grips (its holes, teeth, slots), ``pushed`` of what it pushes against; ``hand`` is that
    of the thread to be turned. ``uses`` None: nobody said whether a life hangs on it.
    ``nothing_in_the_way``: said to be so.
    """

    function: ToolFunction
    name: str = ""
    features: tuple[Feature, ...] = ()
    force: Need | None = None
    torque: Need | None = None
    workpiece: HoleMaterial | None = None
    workpiece_hardness: Hardness | None = None
    pushed: HoleMaterial | None = None
    hand: Hand | None = None
    tight_ring: TightRing | None = None
    is_symmetric: bool | None = None
    uses: frozenset[ToolUse] | None = None
    nothing_in_the_way: bool = False
    lubrication: str | None = None
    friction: FrictionRange | None = None
    tolerance: float | None = None
    notes: tuple[str, ...] = ()

    def size(self, kind: FeatureKind) -> float | None:
        """Return the size of a feature, mm; None where it is not stated."""
        found = self._find(kind)
        return None if found is None else found.size

    def count(self, kind: FeatureKind) -> int:
        """Return how many of a feature there are; 0 where it is not stated."""
        found = self._find(kind)
        return 0 if found is None else found.count

    @property
    def fastener(self) -> Fastener | None:
        """The thread that the tool meets, with its hand."""
        found = self._find(FeatureKind.THREAD)
        return None if found is None else found.fastener

    @property
    def thread(self) -> Thread | None:
        """The thread that the tool meets."""
        return None if self.fastener is None else self.fastener.thread

    def _find(self, kind: FeatureKind) -> Feature | None:
        return next((one for one in self.features if one.kind is kind), None)


@dataclass(frozen=True, slots=True)
class Piece:
    """A kind of piece in the drawer or to be bought: ``quantity`` of it, sizes in mm.

    ``fastener`` is what its designation names (a screw, rod or nut; a washer's is the thread that
    it is for). ``mark`` is the strength marked on it where the designation has none.
    ``certificate`` says by whom its size was measured, ``uncertainty`` how well (mm, standard).
    ``price`` is what one costs: its worth, or what it is bought for.
    """

    key: str
    name: str
    form: ItemForm
    quantity: int
    is_on_hand: bool = True
    fastener: Fastener | None = None
    sizes: tuple[tuple[FeatureKind, float], ...] = ()
    material: HoleMaterial | None = None
    hardness: Hardness | None = None
    tip: ScrewTip | None = None
    certificate: str | None = None
    uncertainty: float | None = None
    price: Money | None = None
    notes: tuple[str, ...] = ()

    def size(self, kind: FeatureKind) -> float | None:
        """Return one of its sizes, mm; None where it is not stated."""
        for one, size in self.sizes:
            if one is kind:
                return size
        return None

    @property
    def length(self) -> float | None:
        """Its length, mm: as stated, or as its designation names it."""
        stated = self.size(FeatureKind.LENGTH)
        if stated is not None or self.fastener is None:
            return stated
        return self.fastener.length


@dataclass(frozen=True, slots=True)
class Drawer:
    """All pieces that may be used."""

    pieces: tuple[Piece, ...]

    def of(self, *forms: ItemForm) -> tuple[Piece, ...]:
        """Return the pieces of these forms."""
        return tuple(piece for piece in self.pieces if piece.form in forms)


@dataclass(frozen=True, slots=True)
class Check:
    """One thing that was checked.

    ``margin`` is what is allowed over what is asked (1: just enough), None where the answer is yes
    or no. ``missing`` is the member of the requirement or of the piece ("features/wall",
    "hardness") without which it could not pass.
    """

    name: str
    passes: bool
    detail: str
    basis: str
    margin: float | None = None
    missing: str | None = None


@dataclass(frozen=True, slots=True)
class PartUsed:
    """Pieces that a candidate takes, and what is done to them first."""

    piece: Piece
    count: int
    preparation: str | None = None


@dataclass(frozen=True, slots=True)
class Candidate:
    """A set of pieces tested for the work.

    ``torque`` is what to set at each screw, nut or spanner at the most, N·m, in ``torque_steps``;
    ``force_least`` and ``force_most`` what all together surely give, and may give, N. ``steps`` say
    how it is done, what to protect, when to stop.
    """

    family: Family
    parts: tuple[PartUsed, ...]
    checks: tuple[Check, ...]
    torque: float | None = None
    torque_steps: tuple[float, ...] = ()
    force_least: float | None = None
    force_most: float | None = None
    steps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def is_accepted(self) -> bool:
        """Whether every check passes."""
        return bool(self.checks) and all(check.passes for check in self.checks)

    @property
    def governing(self) -> Check | None:
        """The check that decides: the worst that fails, else the one with the least margin."""
        failing = [check for check in self.checks if not check.passes]
        return tightest(failing) or tightest(self.checks)

    @property
    def is_on_hand(self) -> bool:
        """Whether every piece of it lies in the shop."""
        return all(part.piece.is_on_hand for part in self.parts)


def tightest(checks: Iterable[Check]) -> Check | None:
    """Return the check that decides of several: one that fails first, then the least margin.

    A plain no comes before any number. None of none.
    """
    return min(checks, key=_order, default=None)


def _order(check: Check) -> tuple[bool, float]:
    if check.margin is None:
        return check.passes, inf if check.passes else -1.0
    return check.passes, check.margin
