"""What reading trade notation gives: one value or a range, its twins in other units, the notes."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from shared.quantities.model import Quantity


class TwinStatus(StrEnum):
    """How figures printed side by side in two units agree.

    The last two need a look at the page: the one is explained by rounding alone but so far off
    that it matters which figure is used, the other is a slip.
    """

    AGREES = "agrees"
    ROUNDING = "rounding"
    COARSE_ROUNDING = "coarse-rounding"
    CONTRADICTION = "contradiction"

    @property
    def needs_checking(self) -> bool:
        """Whether a person should compare the printed page before using either figure."""
        return self in {TwinStatus.COARSE_ROUNDING, TwinStatus.CONTRADICTION}


@dataclass(frozen=True, slots=True)
class TwinBound:
    """One figure of a twin against the same figure of the quantity stated first.

    ``bound`` is "value", "lower" or "upper"; ``printed`` and ``expected`` are numbers in the twin's
    unit; ``difference_percent`` is (twin - first) / first, None where the first is zero.
    """

    bound: str
    printed: str
    expected: str
    difference_percent: Decimal | None
    status: TwinStatus


@dataclass(frozen=True, slots=True)
class StatedTwin:
    """The same quantity as printed beside it in another unit, bound by bound; the worst status."""

    text: str
    unit: str
    bounds: tuple[TwinBound, ...]
    status: TwinStatus


@dataclass(frozen=True, slots=True)
class Reading:
    """A text of the trade, read.

    Quantities are in the canonical unit of ``kind``. One value alone: ``value``. A range: ``lower``
    and ``upper``. A tolerance: all three. A limit ("0.15 mm max"): the one bound. ``then`` holds
    the angles of a tightening in steps (20 N·m + 90°). ``metric`` and ``customary`` are texts as
    the trade prints them. ``notes`` say how a custom of the trade was read.
    """

    text: str
    kind: str
    value: Quantity | None
    lower: Quantity | None
    upper: Quantity | None
    then: tuple[Quantity, ...]
    metric: str
    customary: str
    stated_twins: tuple[StatedTwin, ...]
    notes: tuple[str, ...]

    @property
    def needs_checking(self) -> bool:
        """Whether a twin disagrees with the figure stated first by more than fair rounding."""
        return any(twin.status.needs_checking for twin in self.stated_twins)
