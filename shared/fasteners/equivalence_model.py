"""What a comparison of fasteners by their classes gives. Stresses in MPa, loads in N."""

from dataclasses import dataclass
from enum import StrEnum


class Outcome(StrEnum):
    """What an offered class is beside the wanted one."""

    SAME = "the same class"
    AT_LEAST = "at least as strong"
    NOT_COMPARABLE = "not comparable"
    """A figure is missing on one side, or figures are not the whole matter: ``reasons`` say."""
    WEAKER = "weaker"
    OTHER_THREAD = "another thread"
    """Never into the same hole or nut, however strong."""


@dataclass(frozen=True, slots=True)
class Compared:
    """One figure of the wanted fastener beside that of the offered one, in ``unit``.

    ``shortfall`` is by how much the offered one falls short, 0 where it does not, None where a
    figure is missing; ``shortfall_percent`` the same in per cent of the wanted (None for Rockwell
    hardness, whose points are no shares).
    """

    what: str
    wanted: float | None
    offered: float | None
    unit: str
    shortfall: float | None
    shortfall_percent: float | None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Equivalent:
    """An offered fastener. ``figures`` tell where it falls short, ``traps`` what figures hide."""

    designation: str
    thread: str
    property_class: str
    is_marked: bool
    outcome: Outcome
    figures: tuple[Compared, ...]
    reasons: tuple[str, ...]
    traps: tuple[str, ...]
    nut_classes: tuple[str, ...]
    standard: str
    edition: str


@dataclass(frozen=True, slots=True)
class Equivalents:
    """What may stand in for a fastener, by its class.

    ``counted_class`` is the class compared with; ``is_assumed`` says that none was marked.
    ``refusal`` is the reason why nothing may stand in, and then there are no items.
    """

    designation: str
    counted_class: str | None
    is_assumed: bool
    refusal: str | None
    items: tuple[Equivalent, ...]
    cautions: tuple[str, ...]


def compared(
    what: str, wanted: float | None, offered: float | None, unit: str, note: str = ""
) -> Compared:
    """Set two figures side by side; nothing is rounded, so nothing is rounded up.

    >>> round(compared("proof stress", 830.0, 827.371, "MPa").shortfall_percent, 4)
    0.3167
    """
    if wanted is None or offered is None:
        return Compared(what, wanted, offered, unit, None, None, note)
    shortfall = max(wanted - offered, 0.0)
    is_share = not unit.startswith("HR") and wanted > 0
    percent = 100 * shortfall / wanted if is_share else None
    return Compared(what, wanted, offered, unit, shortfall, percent, note)
