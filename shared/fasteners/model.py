"""Special tools, described by what they do and what they must fit; what a shop has in stock."""

from dataclasses import dataclass
from enum import StrEnum

from shared.designations.model import Hand
from shared.money import Money
from shared.quantities import Quantity


class ToolFunction(StrEnum):
    """What a special tool does."""

    SEPARATE = "separate"
    PULL = "pull"
    PRESS_IN = "press-in"
    HOLD_ROTATION = "hold-rotation"
    TURN = "turn"
    ALIGN = "align"
    GUIDE = "guide"
    COMPRESS = "compress"
    RETAIN = "retain"
    GAUGE = "gauge"


class FeatureKind(StrEnum):
    """A feature of the workpiece that the tool meets, or room that it needs."""

    THREAD = "thread"
    BORE = "bore"
    OUTSIDE_DIAMETER = "outside-diameter"
    ACROSS_FLATS = "across-flats"
    SPACING = "spacing"
    PIN_CIRCLE = "pin-circle"
    PIN = "pin"
    SLOT = "slot"
    TOOTH_SPACE = "tooth-space"
    PLATE_THICKNESS = "plate-thickness"
    DEPTH = "depth"
    CHAMFER = "chamfer"
    REACH = "reach"
    TRAVEL = "travel"
    WALL = "wall"
    """Least metal between a hole's edge and the next edge."""
    FACE_INSIDE = "face-inside"
    FACE_OUTSIDE = "face-outside"
    """The ring-shaped face that takes the load: its inside and outside diameter."""
    PITCH_DIAMETER = "pitch-diameter"
    LIP = "lip"
    """The shaft diameter that a seal lip is made for."""
    CLEAR_HEIGHT = "clear-height"
    CLEAR_DIAMETER = "clear-diameter"
    LENGTH = "length"
    WIDTH = "width"
    THICKNESS = "thickness"
    THREAD_LENGTH = "thread-length"


class ToolUse(StrEnum):
    """A use that no common hardware is answered for, whatever the numbers say."""

    LIFTING = "lifting"
    SUSPENDING = "suspending"
    WORK_UNDER_LOAD = "work-under-load"
    HOLDING_PRESSURE = "holding-pressure"
    STAYS_IN_BRAKES = "stays-in-brakes"
    STAYS_IN_STEERING = "stays-in-steering"
    STAYS_IN_SUSPENSION = "stays-in-suspension"
    STAYS_IN_RESTRAINT = "stays-in-restraint"
    STAYS_IN_ROTATING_PART = "stays-in-rotating-part"
    STORED_ENERGY = "stored-energy"
    ELECTRICAL_ISOLATION = "electrical-isolation"
    IMPACT = "impact"
    """The tool is struck, or driven by an impact wrench."""


class TightRing(StrEnum):
    """Which ring of a bearing sits tight: it is the one to push or pull."""

    INNER = "inner"
    OUTER = "outer"
    BOTH = "both"
    NO_BEARING = "no-bearing"


class ScrewTip(StrEnum):
    """The end of a screw that pushes."""

    FLAT = "flat"
    CHAMFERED = "chamfered"
    ROUNDED = "rounded"
    DOG = "dog"
    CONE = "cone"
    CUP = "cup"
    MUSHROOMED = "mushroomed"


class ItemForm(StrEnum):
    """What a piece of common hardware is."""

    SCREW = "screw"
    THREADED_ROD = "threaded-rod"
    NUT = "nut"
    WASHER = "washer"
    TUBE = "tube"
    BAR = "bar"
    PLATE = "plate"
    STRIP = "strip"
    PIN = "pin"
    SOCKET = "socket"
    RING = "ring"
    SLEEVE = "sleeve"
    HOOK_SPANNER = "hook-spanner"
    MEASURED_PIECE = "measured-piece"


@dataclass(frozen=True, slots=True)
class ToolFeature:
    """One feature of the interface: its name by a standard ("M8x1.25"), its length, or both."""

    kind: FeatureKind
    designation: str | None = None
    size: Quantity | None = None
    count: int = 1


@dataclass(frozen=True, slots=True)
class PressFitAsked:
    """A press fit that the work overcomes: nominal diameter, length and classes by ISO 286.

    ``hub_outside`` and ``shaft_bore`` are the diameters of the hub and of a hollow shaft, the
    materials words as people write them.
    """

    diameter: Quantity
    length: Quantity
    hole_class: str
    shaft_class: str
    hub_outside: Quantity | None = None
    shaft_bore: Quantity | None = None
    hub_material: str | None = None
    shaft_material: str | None = None


@dataclass(frozen=True, slots=True)
class SpecialTool:
    """A tool that a procedure calls for, described so that common hardware can be tested for it.

    ``force`` and ``torque`` are what the work asks of it (to ``force_highest``,
    ``torque_highest``); None: not known, which is not "none". ``part_id`` is the tool as a part,
    for which there may be offers. ``pushed_material`` is that of what it pushes against,
    ``thread_hand`` the way of the thread to be turned, ``tolerance`` the most that a position or a
    measure may be out. ``uses`` None: nobody said whether a life hangs on it; (): nothing does.
    ``in_the_way`` "nothing", or what stays in the way.
    """

    id: str
    name: str
    function: ToolFunction
    number: str | None = None
    maker: str | None = None
    assembly_id: str | None = None
    position_id: str | None = None
    labour_operation_ids: tuple[str, ...] = ()
    features: tuple[ToolFeature, ...] = ()
    force: Quantity | None = None
    torque: Quantity | None = None
    workpiece_material: str | None = None
    note: str | None = None
    part_id: str | None = None
    force_highest: Quantity | None = None
    torque_highest: Quantity | None = None
    sealed_area: Quantity | None = None
    sealant: str | None = None
    press_fit: PressFitAsked | None = None
    workpiece_hardness: str | None = None
    pushed_material: str | None = None
    thread_hand: Hand | None = None
    tight_ring: TightRing | None = None
    is_symmetric: bool | None = None
    uses: tuple[ToolUse, ...] | None = None
    in_the_way: str | None = None
    lubrication: str | None = None
    tolerance: Quantity | None = None


@dataclass(frozen=True, slots=True)
class StockItem:
    """Common hardware that a shop has: what, how many, where.

    ``kind`` is the shop's word, as a part's is; ``worth`` is of one piece; ``size`` is a measured
    length, such as a shim's thickness. ``form`` and ``features`` say what it is and how large,
    ``hardness`` is written "95 HV", ``certificate`` says by whom its size was measured.
    """

    id: str
    name: str
    kind: str
    quantity: int
    designation: str | None = None
    part_id: str | None = None
    worth: Money | None = None
    size: Quantity | None = None
    material: str | None = None
    property_class: str | None = None
    shelf: str | None = None
    minimum_quantity: int | None = None
    note: str | None = None
    form: ItemForm | None = None
    features: tuple[ToolFeature, ...] = ()
    hardness: str | None = None
    tip: ScrewTip | None = None
    certificate: str | None = None
