"""Questions on substitutes as they are asked: quantities in their own units, words of the tables.

What is None was not said; it never helps.
"""

from dataclasses import dataclass
from enum import StrEnum

from shared.designations.model import Hand
from shared.fasteners.model import (
    ItemForm,
    PressFitAsked,
    ScrewTip,
    TightRing,
    ToolFeature,
    ToolFunction,
    ToolUse,
)
from shared.money import Money
from shared.quantities import Quantity


@dataclass(frozen=True, slots=True)
class RequirementAsked:
    """What a tool has to do.

    The members are those of ``SpecialTool``, with the same meaning.
    """

    function: ToolFunction
    features: tuple[ToolFeature, ...] = ()
    force: Quantity | None = None
    force_highest: Quantity | None = None
    torque: Quantity | None = None
    torque_highest: Quantity | None = None
    sealed_area: Quantity | None = None
    sealant: str | None = None
    press_fit: PressFitAsked | None = None
    workpiece_material: str | None = None
    workpiece_hardness: str | None = None
    pushed_material: str | None = None
    thread_hand: Hand | None = None
    tight_ring: TightRing | None = None
    is_symmetric: bool | None = None
    uses: tuple[ToolUse, ...] | None = None
    in_the_way: str | None = None
    lubrication: str | None = None
    tolerance: Quantity | None = None
    name: str = ""


@dataclass(frozen=True, slots=True)
class ItemAsked:
    """Pieces that lie in the shop, or may be had (``is_on_hand`` False).

    ``worth`` is of one piece; ``id`` names its record, if it has one. The other members are those
    of ``StockItem``.
    """

    name: str
    kind: str = ""
    quantity: int = 1
    designation: str | None = None
    form: ItemForm | None = None
    features: tuple[ToolFeature, ...] = ()
    size: Quantity | None = None
    material: str | None = None
    property_class: str | None = None
    hardness: str | None = None
    tip: ScrewTip | None = None
    certificate: str | None = None
    worth: Money | None = None
    is_on_hand: bool = True
    id: str | None = None


class OfferKind(StrEnum):
    """How the special tool itself may be had."""

    BUY = "buy"
    HIRE = "hire"


@dataclass(frozen=True, slots=True)
class ToolOfferAsked:
    """An offer of the special tool: ``price`` of the piece, or of one hire, which is one job."""

    kind: OfferKind
    name: str
    price: Money


@dataclass(frozen=True, slots=True)
class SubstitutesAsked:
    """What is asked of ``ask_substitutes``: ``jobs_to_come`` counts this one too."""

    requirement: RequirementAsked
    items: tuple[ItemAsked, ...] = ()
    offers: tuple[ToolOfferAsked, ...] = ()
    jobs_to_come: int = 1
    include_standard_items: bool = True
