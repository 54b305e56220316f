"""What travels with every substitute for a special tool. Common practice, no source."""

import re
from typing import Final
from unicodedata import category, normalize

from shared.fasteners.cautions import GALLS
from shared.fasteners.model import ToolFunction
from shared.fasteners.substitutes.model import Family, Need, Requirement
from shared.standards.hole_materials import HoleMaterial, MaterialKind

MAKER_FIRST: Final = (
    "The maker's procedure, local rules and licensed practice come first: where they call for their"
    " own tool, use it."
)
EVERYTHING_OUT: Final = (
    "Take every screw, nut, clip and dowel out first, and count them against the maker's drawing:"
    " one left in breaks the part or the tool."
)
STAND_OFF: Final = (
    "Stand off the axis of the screw, rod or press: what breaks flies along it, without warning."
)
SWING: Final = (
    "Keep hands, face and feet out of the swing of bar and handle, and from between bar and stop:"
    " what slips lets go all at once."
)
EYES: Final = "Wear eye protection, and keep others away while anything is under load."
SUPPORT: Final = (
    "Support the load by other means, made for it, before anything comes loose: this set-up carries"
    " no weight."
)
HEAT: Final = (
    "No flame near oil, fuel, seals, bearings or anything that may be magnesium: warm air or oil,"
    " below 100 °C, and only where the maker allows it."
)
MAGNESIUM: Final = (
    "Magnesium burns and cannot be put out with water: no flame, no grinding, no sparks; collect"
    " its chips dry, and have dry sand at hand."
)
NO_IMPACT: Final = (
    "By hand wrench only: no impact wrench and no hammer on the screw or strip, whose force nobody"
    " can tell."
)
BENCH_ONLY: Final = (
    "Bench work only on brakes, steering, suspension, wheels, restraints and rotating parts: no"
    " piece of this tool stays in, and the part is inspected or renewed by licensed practice before"
    " it carries anyone."
)
COMES_OUT: Final = (
    "It comes out again, every piece of it: count the pieces in and out before the machine turns."
)
NO_WEIGHT: Final = (
    "Guides and pins only show the way: they carry no weight and hold nothing against turning, and"
    " nobody works below what slides on them."
)
NO_SPRING: Final = (
    "Only where nothing pushes by itself: never against a loaded spring, pressure or a hanging"
    " load. Let those off first, by the maker's procedure."
)
"""Where a force is held or given: a stated force does not tell what it comes from."""
FREE_LENGTH: Final = (
    "A spring's energy was counted over the travel stated, which must be from its free length: let"
    " it out slowly, screw by screw, never by taking the tool off."
)
STAINLESS: Final = GALLS
"""Where a stainless screw turns."""

STRIPPED: Final = (
    "Turn a screw down every hole by hand first: a thread that is worn or stripped gets a thread"
    " insert of the same size before anything pulls or pushes on it, never a larger thread where"
    " the machine's own screw goes back, never one that is nearly the same."
)
AT_THE_HUB: Final = (
    "Pull at the hub or at the ring that sits tight, never at a rim, a sheave or teeth."
)

_IN_THE_HOLES: Final = frozenset(
    {
        Family.JACKING_SCREWS,
        Family.BAR_ACROSS_SCREWS,
        Family.HOLDING_SCREWS,
        Family.COUNTERHOLD_BAR,
    }
)
_TURNED: Final = frozenset(
    {
        Family.JACKING_SCREWS,
        Family.BAR_ACROSS_SCREWS,
        Family.ROD_WITH_NUTS,
        Family.PRESS_RING,
        Family.HOLDING_SCREWS,
    }
)
"""The families with an axis along which something may fly."""
_SHOWS_THE_WAY: Final = frozenset({Family.GUIDE_STUDS, Family.ALIGNING_PINS, Family.GUIDE_SLEEVE})
_NO_HITTING: Final = frozenset({Family.JACKING_SCREWS, Family.SOFT_STRIP})
_LEFT_BEHIND: Final = frozenset({Family.SOFT_STRIP, Family.HOLDING_SCREWS, Family.COUNTERHOLD_BAR})
_APART: Final = frozenset({ToolFunction.SEPARATE, ToolFunction.PULL})
_CLIPPED: Final = _APART | {ToolFunction.PRESS_IN}
_SWINGS: Final = frozenset(
    {
        Family.COUNTERHOLD_BAR,
        Family.PINS_IN_A_PLATE,
        Family.BAR_IN_SLOTS,
        Family.HOOK_SPANNER,
    }
)
_GIVES_WAY: Final = _APART | {ToolFunction.PRESS_IN, ToolFunction.RETAIN}
_LIFE: Final = re.compile(
    r"\b(brakes?|calipers?|drums?|steering|tie rods?|track rods?|ball joints?|suspension|struts?"
    r"|wheels?|hubs?|axles?|seat ?belts?|restraints?|air ?bags?|pretensioners?|prop ?shafts?"
    r"|drive ?shafts?|flywheels?|rotors?|pulleys?|fans?|couplings?|propellers?|crankshafts?)\b"
)


def cautions_for(
    requirement: Requirement, family: Family, is_stainless: bool = False
) -> tuple[str, ...]:
    """Return what to mind with a candidate of this family, the maker's word first.

    ``is_stainless``: one of the screws or nuts that are turned is of stainless steel.
    """
    function, carries = requirement.function, family not in _SHOWS_THE_WAY
    is_work = family is not Family.MEASURED_PIECE
    in_holes = family in _IN_THE_HOLES
    said = (
        (True, MAKER_FIRST),
        (bool(_LIFE.search(plain_name(requirement.name))), BENCH_ONLY),
        (function in _CLIPPED, EVERYTHING_OUT),
        (family in _TURNED, STAND_OFF),
        (family in _SWINGS, SWING),
        (is_work, EYES),
        (is_work and carries, SUPPORT),
        (is_work and not carries, NO_WEIGHT),
        (function in _GIVES_WAY, NO_SPRING),
        (function is ToolFunction.COMPRESS, FREE_LENGTH),
        (family in _NO_HITTING, NO_IMPACT),
        (family in _LEFT_BEHIND, COMES_OUT),
        (function is not ToolFunction.GAUGE, HEAT),
        (is_magnesium(requirement.workpiece) or is_magnesium(requirement.pushed), MAGNESIUM),
        (in_holes, STRIPPED),
        (function is ToolFunction.PULL, AT_THE_HUB),
        (is_stainless or (in_holes and _is_stainless(requirement.workpiece)), STAINLESS),
    )
    return tuple(text for bears, text in said if bears)


def estimate_note(need: Need | None, what: str = "force") -> str | None:
    """Say that what the work asks for is an estimate; None where it was stated, or is unknown."""
    if need is None or not need.is_estimate:
        return None
    return (
        f"The {what} needed is an estimate ({need.basis}): the real one may lie outside it. Stop at"
        " the torque given, whether it has moved or not."
    )


def is_magnesium(material: HoleMaterial | None) -> bool:
    """Whether a material is known to be magnesium."""
    return material is not None and material.kind is MaterialKind.MAGNESIUM


def _is_stainless(material: HoleMaterial | None) -> bool:
    return material is not None and material.kind is MaterialKind.STAINLESS


def plain_name(text: str) -> str:
    """Return a name in small letters, its words parted by single blanks.

    >>> plain_name("Engine-Support  bar (front)")
    'engine support bar front'
    """
    # Wide letters, accents and hidden hyphens would let a word pass that everybody reads.
    seen = "".join(one for one in normalize("NFKD", text) if category(one) not in {"Cf", "Mn"})
    return " ".join(re.findall(r"[^\W_]+", seen.casefold()))
