"""A row of a maker's table: the calculation's question and answer."""

from decimal import Decimal
from typing import Any, Self

from pydantic import Field

from api.schemas.base import (
    Answer,
    Body,
    DecimalOut,
    Flag,
    ProbabilityText,
    QuantityIn,
    QuantityOut,
    ShortText,
)
from api.schemas.figures import computed, quantity_or_null
from shared.condition.table_rows import Choice, TableChoice

MOST_ROWS = 200
MOST_CORRECTIONS = 50
_TWELVE_PLACES = Decimal("1E-12")


def _inch(value: str) -> dict[str, Any]:
    return {"value": value, "unit": "in"}


class WornPartIn(Body):
    """A part whose wear is in what was measured."""

    what: ShortText = Field(description="Which part.", examples=["bottom washers"])
    measured: tuple[QuantityIn, ...] = Field(
        min_length=1,
        max_length=100,
        description="Each of its pieces as measured; they are added up.",
        examples=[[_inch("0.117"), _inch("0.116")]],
    )
    new: QuantityIn = Field(
        description="What all its pieces together measure when new.", examples=[_inch("0.244")]
    )


class TableRowIn(Body):
    """A row of the table; an open end is left out."""

    says: ShortText = Field(description="What the row says.", examples=["0.005 in oversize"])
    lower: QuantityIn | None = Field(
        default=None, description="From which value.", examples=[_inch("0.017")]
    )
    upper: QuantityIn | None = Field(
        default=None, description="Up to which value.", examples=[_inch("0.026")]
    )
    is_lower_excluded: Flag = Field(
        default=False,
        description="Whether the lower end itself is not in the row ('above 0.036').",
        examples=[False],
    )
    is_upper_excluded: Flag = Field(
        default=False,
        description="Whether the upper end itself is not in the row ('below 0.016').",
        examples=[False],
    )


class TableChoiceQuestion(Body):
    """What was measured, whose wear is in it, and the maker's table."""

    measured: QuantityIn = Field(
        description="What was measured and grows as its parts wear: end play, backlash.",
        examples=[_inch("0.034")],
    )
    corrections: tuple[WornPartIn, ...] = Field(
        default=(),
        max_length=MOST_CORRECTIONS,
        description="Parts that are renewed anyhow: their wear (when new less as measured) is taken"
        " out before the table is used.",
    )
    rows: tuple[TableRowIn, ...] = Field(
        min_length=1, max_length=MOST_ROWS, description="The table."
    )
    acceptance_probability: ProbabilityText = Field(
        default=Decimal("0.95"),
        description="Probability of one row from which on it is chosen where the doubt is known,"
        " from 0.5 to below 1; 0.95 if not given.",
        examples=["0.95"],
    )


class RowAnswer(Answer):
    """A row of the table as it was asked about."""

    number: int = Field(description="Its number, from 0.", examples=[1], ge=0, le=MOST_ROWS)
    says: str = Field(description="What it says.", examples=["0.005 in oversize"], max_length=200)


class RowChanceOut(Answer):
    """A row and the probability that the true value stands in it."""

    row: RowAnswer | None = Field(description="The row; null: in none of them.")
    probability: DecimalOut = Field(description="Its probability.", examples=["0.987000000"])


class TableChoiceAnswer(Answer):
    """What the table says."""

    wear: QuantityOut = Field(
        description="The wear taken out; below 0: parts measure more than when new.",
        examples=[_inch("0.011")],
    )
    corrected: QuantityOut = Field(
        description="What counts for the table.", examples=[_inch("0.023")]
    )
    standard_uncertainty: QuantityOut | None = Field(
        description="Of the corrected value; null where a doubt is not known.",
        examples=[_inch("0.000500000000")],
    )
    choice: Choice = Field(
        description="How far the table answers: one row; between rows; in several rows; outside"
        " it; or the doubt reaches over more than one row.",
        examples=["one-row"],
    )
    row: RowAnswer | None = Field(description="The row; null where none is told.")
    raw_row: RowAnswer | None = Field(
        description="The row that the value would give with the wear left in: the wrong one, where"
        " it is another."
    )
    is_changed_by_wear: Flag = Field(
        description="Whether taking the wear out changes what the table says.", examples=[True]
    )
    rows_at_value: tuple[RowAnswer, ...] = Field(
        description="Every row in which the corrected value stands, doubt left aside.",
        max_length=MOST_ROWS,
    )
    chances: tuple[RowChanceOut, ...] = Field(
        description="Rows that the doubt reaches, likeliest first; none where it is not known.",
        max_length=MOST_ROWS + 1,
    )
    to_nearest_end: QuantityOut | None = Field(
        description="How far the corrected value is from the nearest end of a row.",
        examples=[_inch("0.003")],
    )
    notes: tuple[str, ...] = Field(
        description="Gaps and overlaps of the table, values between rows, what is missing.",
        examples=[["A doubt is not stated: say it, or with which gauge."]],
        max_length=MOST_ROWS * 2,
    )

    @classmethod
    def of(cls, found: TableChoice, asked: TableChoiceQuestion) -> Self:
        """Carry a choice over the border."""

        def row(number: int | None) -> RowAnswer | None:
            if number is None:
                return None
            return RowAnswer(number=number, says=asked.rows[number].says)

        def exact(value: Decimal) -> QuantityOut:
            places = value.as_tuple().exponent
            is_longer = isinstance(places, int) and places < -12
            shown = value.quantize(_TWELVE_PLACES) if is_longer else value
            return QuantityOut(value=shown, unit=found.unit)

        return cls(
            wear=exact(found.wear),
            corrected=exact(found.corrected),
            standard_uncertainty=quantity_or_null(found.standard_uncertainty, found.unit),
            choice=found.choice,
            row=row(found.row),
            raw_row=row(found.raw_row),
            is_changed_by_wear=found.is_changed_by_wear,
            rows_at_value=tuple(
                RowAnswer(number=number, says=asked.rows[number].says)
                for number in found.rows_at_value
            ),
            chances=tuple(
                RowChanceOut(row=row(one.row), probability=computed(one.probability))
                for one in found.chances
            ),
            to_nearest_end=None if found.to_edge is None else exact(found.to_edge),
            notes=found.notes,
        )
