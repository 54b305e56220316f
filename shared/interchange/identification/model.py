"""What was measured, what it may be, how likely each is. Lengths in millimetres."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class Doubt(StrEnum):
    """What the stated doubt of a reading means."""

    NORMAL = "normal"
    """``width`` is a standard uncertainty."""
    RECTANGULAR = "rectangular"
    """``width`` is a half-width: the reading is surely within it."""


@dataclass(frozen=True, slots=True)
class Measured:
    """A reading of one dimension, in mm (or turns per inch where the dimension says so)."""

    value: float
    width: float
    doubt: Doubt = Doubt.RECTANGULAR


class PartState(StrEnum):
    """What is known of the measured part's history."""

    UNKNOWN = "unknown"
    NEW = "new"
    USED = "used"


class Change(StrEnum):
    """How use changes a dimension: which way it may lie outside what was made."""

    NONE = "none"
    SMALLER = "smaller"
    """Worn or flattened: a shaft lip, a ring's section, a screw's crests."""
    LARGER = "larger"
    """Worn open or swollen: a seal's bore after years, an O-ring in the wrong fluid."""
    EITHER = "either"


@dataclass(frozen=True, slots=True)
class MadeSize:
    """Between what limits one dimension of a size is made, and how use may change it.

    ``typical_change`` is the mean amount, mm, of a one-sided change by use; 0: none is expected.
    """

    least: float
    most: float
    change: Change = Change.NONE
    typical_change: float = 0.0


@dataclass(frozen=True, slots=True)
class StandardSize:
    """One size that a measured part may be. ``commonness`` > 0 is its weight before measuring."""

    designation: str
    standard: str
    made: Mapping[str, MadeSize]
    nominal: Mapping[str, float]
    commonness: float = 1.0
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Likely:
    """A size with its probability; ``sizes`` are its nominal dimensions."""

    designation: str
    standard: str
    probability: float
    sizes: Mapping[str, float]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Identified:
    """Sizes, likeliest first, the probability that it is none of these, what to trust.

    The probabilities of ``items``, of ``others`` (sizes not listed) and of ``none_of_these`` add up
    to 1.
    """

    items: tuple[Likely, ...]
    others: float
    none_of_these: float
    advice: tuple[str, ...] = ()
