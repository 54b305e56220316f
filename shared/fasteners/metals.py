"""What a fastener is made of, as far as its words tell: whose figures may be counted at all."""

from enum import Enum, auto
from typing import Final

from shared.designations.model import Fastener
from shared.errors import InvalidInput
from shared.fasteners.equivalence_traps import words_of
from shared.standards.property_classes import ClassFamily, family_of


class Metal(Enum):
    """What the house has figures for."""

    STEEL = auto()
    STAINLESS = auto()


_NO_FIGURES: Final = frozenset(
    "brass bronze copper titanium aluminium aluminum nylon plastic alloy".split()
)
_NEVER_OF_STEEL: Final = frozenset("titanium aluminium aluminum".split())
"""Beside a class of steel the others may be a plating or a patch on the thread."""
_STAINLESS: Final = frozenset("stainless ss a1 a2 a3 a4 a5 18-8 303 304 316 316l".split())
_OTHER_STAINLESS: Final = frozenset("410 416 c1 c3 c4 f1".split())
_STEEL_ALLOY: Final = frozenset({"steel"})


def metal_of(fastener: Fastener, pointer: str = "/designation") -> Metal:
    """Return steel, unless the words or the class say stainless.

    Raises InvalidInput for a metal without figures here: brass or polyamide must not be counted as
    the lowest steel, which is far stronger. And for words that contradict the class.
    """
    words, marked = words_of(fastener), fastener.property_class
    is_stainless_class = marked is not None and family_of(marked) is ClassFamily.STAINLESS
    other = words & (_NO_FIGURES if marked is None else _NEVER_OF_STEEL)
    if other and not (other == {"alloy"} and words & _STEEL_ALLOY):
        raise InvalidInput(
            pointer,
            f"The house has no strength of screws of {', '.join(sorted(other))}: they may be far"
            " weaker than the weakest of steel.",
            "Ask its maker for strength and torque; state the class where the head bears one.",
            "metal-unknown",
        )
    if marked is None and words & _OTHER_STAINLESS:
        raise InvalidInput(
            pointer,
            "This stainless steel may be of several strengths, and no property class is given.",
            "State the class on its head, such as C1-70.",
            "metal-unknown",
        )
    if words & _STAINLESS and marked is not None and not is_stainless_class:
        raise InvalidInput(
            pointer,
            f"Class {marked} is none of stainless steel, whose classes are written A2-70: its"
            " strength cannot be told.",
            "Look at the head: give the class it bears, or leave out what is not so.",
            "metal-unknown",
        )
    is_stainless = is_stainless_class or bool(words & _STAINLESS)
    return Metal.STAINLESS if is_stainless else Metal.STEEL
