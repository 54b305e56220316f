"""What reading a designation gives: one frozen value per kind of part, each with its one name.

Lengths in millimetres. ``canonical`` is the one form that goes out: reading it gives the same
value again. ``words`` are what was written besides and is kept as it stood ("hexagon head").
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar

from shared.standards.thread_model import Thread


class PartKind(StrEnum):
    """What a designation names."""

    FASTENER = "fastener"
    BEARING = "bearing"
    SHAFT_SEAL = "shaft seal"
    O_RING = "O-ring"
    RETAINING_RING = "retaining ring"
    KEY = "parallel key"
    SHIM = "shim ring"


class Hand(StrEnum):
    """Which way a thread goes in: by the standards a thread is right-hand unless marked LH."""

    RIGHT = "right"
    LEFT = "left"


class FastenerForm(StrEnum):
    """What carries the thread."""

    SCREW = "screw"
    """Anything with an external thread: bolt, screw, stud."""
    NUT = "nut"
    THREAD = "thread"
    """Not said: the thread alone."""


@dataclass(frozen=True, slots=True)
class Fastener:
    """A threaded part, or a thread alone.

    ``property_class`` is canonical: "8.8", "A2-70", "SAE 5", a nut's "8" or "SAE 5"; None where
    none is written. ``tolerance_class`` "6g", "6H", "2A" as written. ``length`` is nominal.
    """

    kind: ClassVar[PartKind] = PartKind.FASTENER
    canonical: str
    thread: Thread
    form: FastenerForm = FastenerForm.THREAD
    hand: Hand = Hand.RIGHT
    length: float | None = None
    property_class: str | None = None
    tolerance_class: str | None = None
    words: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Mark:
    """A prefix or suffix, its family ("seals", "clearance", "cage"), its meaning.

    A known ``mark`` has the one spelling of the house (ZZ is 2Z); an unknown one is as written.
    """

    mark: str
    family: str
    meaning: str
    is_known: bool = True


@dataclass(frozen=True, slots=True)
class Bearing:
    """A rolling bearing. ``basic`` is its number without suffixes: "6205", "62/22", "HK1612".

    ``bore``, ``outside``, ``width`` are boundary dimensions; None where no table of the house holds
    the number (then ``notes`` says so). For a tapered bearing ``width`` is the assembled one.
    """

    kind: ClassVar[PartKind] = PartKind.BEARING
    canonical: str
    basic: str
    type_name: str
    standard: str
    bore: float | None
    outside: float | None
    width: float | None
    marks: tuple[Mark, ...] = ()
    words: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ShaftSeal:
    """A rotary shaft lip-type seal (ISO 6194-1): shaft x housing x width, mm.

    ``lip_type`` is a word of the standard's types where written: "rubber-covered", "metal-cased",
    "metal-cased, reinforced"; ``has_dust_lip`` and ``spin`` ("right", "left", "either") None where
    not said.
    """

    kind: ClassVar[PartKind] = PartKind.SHAFT_SEAL
    canonical: str
    shaft: float
    housing: float
    width: float
    lip_type: str | None = None
    has_dust_lip: bool | None = None
    spin: str | None = None
    material: str | None = None
    is_listed: bool = True
    words: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ORing:
    """An O-ring: inside diameter x section, mm; ``dash`` its number in AS568 ("214")."""

    kind: ClassVar[PartKind] = PartKind.O_RING
    canonical: str
    inside: float
    section: float
    standard: str | None
    dash: str | None = None
    material: str | None = None
    hardness: int | None = None
    words: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RetainingRing:
    """A retaining ring for shafts (DIN 471) or bores (DIN 472): nominal x thickness, mm."""

    kind: ClassVar[PartKind] = PartKind.RETAINING_RING
    canonical: str
    standard: str
    is_external: bool
    nominal: float
    thickness: float
    words: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Key:
    """A parallel key (DIN 6885-1): form, width x height x length, mm."""

    kind: ClassVar[PartKind] = PartKind.KEY
    canonical: str
    standard: str
    form: str | None
    width: float
    height: float
    length: float | None
    words: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Shim:
    """A shim or supporting ring (DIN 988): inside x outside x thickness, mm."""

    kind: ClassVar[PartKind] = PartKind.SHIM
    canonical: str
    standard: str
    is_supporting: bool
    inside: float
    outside: float
    thickness: float
    words: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


Designated = Fastener | Bearing | ShaftSeal | ORing | RetainingRing | Key | Shim


class StandIn(StrEnum):
    """Whether an offered part may take the place of a wanted one, by their designations alone."""

    SAME = "same"
    SERVES = "serves"
    """Not the same, but at least as good in all that the designation tells: this way only."""
    ON_CONDITION = "on condition"
    """Fits by size; what differs has to be looked at (``conditions`` say what)."""
    NO = "no"
    UNKNOWN = "cannot be told"


@dataclass(frozen=True, slots=True)
class Comparison:
    """A wanted part against an offered one: outcome, what is gained and lost, what to check."""

    outcome: StandIn
    gained: tuple[str, ...] = ()
    lost: tuple[str, ...] = ()
    conditions: tuple[str, ...] = ()
