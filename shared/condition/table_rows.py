"""The forms of a choice by table: worn parts, rows with their ends, what is chosen."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from shared.errors import InvalidInput
from shared.quantities import Quantity
from shared.quantities.units import canonical_without_doubt, convert


@dataclass(frozen=True, slots=True)
class WornPart:
    """A part whose wear is in what was measured: its pieces as measured, their sum when new."""

    what: str
    measured: tuple[Quantity, ...]
    new: Quantity


@dataclass(frozen=True, slots=True)
class TableRow:
    """A row: from ``lower`` to ``upper``, either end open where it is missing; what it says.

    An end belongs to the row unless it is excluded ("below 0.016").
    """

    says: str
    lower: Quantity | None = None
    upper: Quantity | None = None
    is_lower_excluded: bool = False
    is_upper_excluded: bool = False


class Choice(StrEnum):
    """How far the table answers."""

    ONE_ROW = "one-row"
    BETWEEN_ROWS = "between-rows"
    SEVERAL_ROWS = "several-rows"
    OUTSIDE_TABLE = "outside-table"
    DOUBTFUL = "doubtful"


@dataclass(frozen=True, slots=True)
class RowChance:
    """A row (its number from 0; None: no row) and the probability that the true value is there."""

    row: int | None
    probability: float


@dataclass(frozen=True, slots=True)
class TableChoice:
    """What a table says of a measured value; sizes in ``unit``, that of the measured value.

    ``row`` None: none is told. ``raw_row``: what the value would give with the wear left in.
    ``standard_uncertainty`` None: the doubt of something that counts is not known.
    """

    unit: str
    wear: Decimal
    corrected: Decimal
    standard_uncertainty: float | None
    choice: Choice
    row: int | None
    raw_row: int | None
    rows_at_value: tuple[int, ...]
    chances: tuple[RowChance, ...]
    to_edge: Decimal | None
    notes: tuple[str, ...]
    is_changed_by_wear: bool
    """Whether with the wear left in the table would say something else."""


@dataclass(frozen=True, slots=True)
class Span:
    """A row's ends in the unit of the measured value."""

    lower: Decimal | None
    upper: Decimal | None
    is_lower_excluded: bool
    is_upper_excluded: bool

    def holds(self, value: Decimal) -> bool:
        """Whether a value stands in the row."""
        above = self.lower is None or (
            value > self.lower if self.is_lower_excluded else value >= self.lower
        )
        below = self.upper is None or (
            value < self.upper if self.is_upper_excluded else value <= self.upper
        )
        return above and below


def span_of(row: TableRow, unit: str, kind: str, place: int) -> Span:
    """Return a row's ends in ``unit``; raises InvalidInput below /rows/<place>."""

    def end(limit: Quantity | None, name: str) -> Decimal | None:
        if limit is None:
            return None
        pointer = f"/rows/{place}/{name}"
        canonical_without_doubt(
            limit,
            kind,
            pointer,
            detail="An end of a row states an uncertainty; a table is what it says.",
            fix="Leave it out; the doubt belongs to the measured value.",
        )
        return convert(limit.value, limit.unit, unit)

    lower, upper = end(row.lower, "lower"), end(row.upper, "upper")
    at = f"/rows/{place}"
    if lower is None and upper is None:
        raise InvalidInput(at, "The row has no end.", "Give lower, upper or both.", "limit-missing")
    if lower is not None and upper is not None and lower > upper:
        raise InvalidInput(
            f"{at}/upper",
            f"The upper end {upper:.6g} {unit} is below the lower end {lower:.6g} {unit}.",
            "Exchange the ends or mend the slip.",
            "limits-upside-down",
        )
    return Span(lower, upper, row.is_lower_excluded, row.is_upper_excluded)
