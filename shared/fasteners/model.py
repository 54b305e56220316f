"""Special tools, described by what they do and what they must fit; what a shop has in stock."""

from dataclasses import dataclass
from enum import StrEnum

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


@dataclass(frozen=True, slots=True)
class ToolFeature:
    """One feature of the interface: its name by a standard ("M8x1.25"), its length, or both."""

    kind: FeatureKind
    designation: str | None = None
    size: Quantity | None = None
    count: int = 1


@dataclass(frozen=True, slots=True)
class SpecialTool:
    """A tool that a procedure calls for, described so that common hardware can be tested for it.

    ``force`` and ``torque`` are what the work asks of it; None: not known, which is not "none".
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


@dataclass(frozen=True, slots=True)
class StockItem:
    """Common hardware that a shop has: what, how many, where.

    ``kind`` is the shop's word, as a part's is; ``worth`` is of one piece; ``size`` is a measured
    length, such as a shim's thickness.
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
