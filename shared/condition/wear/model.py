"""Words for wear: sizes over hours, the side of the limit, what a trend is and why there is none.

Hours are running hours of the unit; sizes are in one unit, the canonical one of their kind.
"""

from dataclasses import dataclass
from enum import StrEnum

from shared.condition.wear.line import Line
from shared.condition.wear.rates import Rates


class Side(StrEnum):
    """Which limit wear moves the size towards: a bore to its upper, a journal to its lower."""

    LOWER = "lower"
    UPPER = "upper"

    @property
    def sign(self) -> int:
        """What a size is multiplied by so that wear makes it larger."""
        return 1 if self is Side.UPPER else -1


class NoTrendReason(StrEnum):
    """Why no hours to the limit are told."""

    NO_LIMIT = "no-limit"
    TOO_FEW_POINTS = "too-few-points"
    DOUBT_UNKNOWN = "doubt-unknown"
    HOURS_BACKWARDS = "hours-backwards"
    WRONG_WAY = "wrong-way"
    NOT_SIGNIFICANT = "not-significant"


@dataclass(frozen=True, slots=True)
class WearPoint:
    """A size at so many hours with its standard uncertainty (None: not known).

    ``is_new``: not measured, the size when new at 0 hours.
    """

    hours: float
    size: float
    u: float | None = None
    is_new: bool = False


@dataclass(frozen=True, slots=True)
class Trend:
    """A usable straight line of wear, and the limit that it leads to.

    ``lines`` are in worn size (``side.sign`` times the size): the line through all points first,
    then the one through two of them by which the governing rate goes. ``now_hours``: from when
    hours are counted. ``confidence``: probability with which the slope is above 0, and that for
    which bounds are told unless another is asked for.
    """

    points: tuple[WearPoint, ...]
    side: Side
    limit: float
    unit: str
    now_hours: float
    lines: tuple[Line, ...]
    rates: Rates
    confidence: float
    warnings: tuple[str, ...] = ()

    @property
    def is_beyond(self) -> bool:
        """Whether the latest reading is at the limit or beyond it, doubt left aside."""
        return is_beyond(self.points, self.side, self.limit)


@dataclass(frozen=True, slots=True)
class NoTrend:
    """Why there is no usable trend, in a word and in a sentence.

    ``lower_hours``: hours within which the limit is not reached at the confidence asked for, where
    at least that can be told. ``estimate_hours``: by the governing rate, where only the bounds are
    missing.
    """

    reason: NoTrendReason
    text: str
    points: tuple[WearPoint, ...] = ()
    is_beyond: bool = False
    rates: Rates | None = None
    lower_hours: float | None = None
    estimate_hours: float | None = None
    unit: str = "mm"
    warnings: tuple[str, ...] = ()


def is_beyond(points: tuple[WearPoint, ...], side: Side, limit: float) -> bool:
    """Whether the latest measured size is at the limit or beyond it."""
    measured = [point for point in points if not point.is_new]
    return bool(measured) and side.sign * (measured[-1].size - limit) >= 0
