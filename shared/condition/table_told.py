"""What is told beside a row of a table: values between rows, gaps, overlaps, odd wear."""

from collections.abc import Sequence
from decimal import Decimal
from itertools import pairwise

from shared.condition.table_rows import Choice, Span, TableRow, WornPart


def notes_of_wear(worn: Sequence[WornPart], wears: Sequence[Decimal]) -> list[str]:
    """Tell parts that measure more than when new."""
    return [
        f"{part.what}: measured more than when new: an oversize part, or a slip."
        for part, wear in zip(worn, wears, strict=True)
        if wear < 0
    ]


def notes_of_choice(
    choice: Choice, value: Decimal, unit: str, spans: Sequence[Span], rows: Sequence[TableRow]
) -> list[str]:
    """Tell why no row was chosen."""
    if choice is Choice.BETWEEN_ROWS:
        below = [
            (one.upper, place)
            for place, one in enumerate(spans)
            if one.upper is not None and one.upper <= value
        ]
        above = [
            (one.lower, place)
            for place, one in enumerate(spans)
            if one.lower is not None and one.lower >= value
        ]
        before, after = rows[max(below)[1]], rows[min(above)[1]]
        return [
            f"{value:f} {unit} falls between two rows of the table: '{before.says}' and"
            f" '{after.says}'. The table does not answer; ask its maker, or measure again."
        ]
    if choice is Choice.OUTSIDE_TABLE:
        return [f"{value:f} {unit} lies outside the table."]
    if choice is Choice.DOUBTFUL:
        return ["The doubt of the value reaches over more than its row: measure more finely."]
    if choice is Choice.SEVERAL_ROWS:
        return [f"{value:f} {unit} stands in more than one row: the table contradicts itself."]
    return []


def notes_of_table(spans: Sequence[Span], rows: Sequence[TableRow], unit: str) -> list[str]:
    """Tell gaps and overlaps between neighbouring rows."""
    told = []
    order = sorted(range(len(spans)), key=lambda place: _place(spans[place]))
    for one, other in pairwise(order):
        upper, lower = spans[one].upper, spans[other].lower
        says = f"'{rows[one].says}' and '{rows[other].says}'"
        if upper is None or lower is None or upper > lower:
            told.append(f"The rows {says} overlap.")
        elif upper < lower:
            told.append(
                f"Between the rows {says} nothing is said of {upper:f} to {lower:f} {unit}."
            )
        elif spans[one].is_upper_excluded and spans[other].is_lower_excluded:
            told.append(f"Between the rows {says} nothing is said of {upper:f} {unit} itself.")
        elif not (spans[one].is_upper_excluded or spans[other].is_lower_excluded):
            told.append(f"Both rows {says} hold {upper:f} {unit}.")
    return told


def _place(span: Span) -> tuple[Decimal, Decimal]:
    least, most = Decimal("-Infinity"), Decimal("Infinity")
    return (
        least if span.lower is None else span.lower,
        most if span.upper is None else span.upper,
    )
