"""What is said of text that cannot be read: why, and which readings it allows."""

import re
from collections.abc import Mapping
from typing import Final

from shared.errors import Ambiguous, InvalidInput, WrongDimension
from shared.quantities.amounts import Amount
from shared.quantities.cursor import Cursor
from shared.quantities.units import kind_of
from shared.quantities.units import same_dimension as alike

OPENING: Final = re.compile(r" ?[(\[] ?")
_BRACKET_GOES_ON: Final = re.compile(r" ?[)\],;]")
_NO_NUMBER: Final = re.compile(r"[+-]?(?:s?nan|inf(?:inity)?)\b", re.IGNORECASE)


class NotUnderstood(InvalidInput):
    """Text that cannot be read on; ``at`` is where reading stopped."""

    code = "not-understood"

    def __init__(self, cursor: Cursor) -> None:
        rest = cursor.rest.strip(" ")[:40]
        super().__init__(
            "/text",
            f"'{rest}' is not understood, and sums are not worked out."
            if rest
            else "A number is missing at the end.",
            "Give one number with its unit, a range, or a tolerance, such as 22 ft-lb.",
        )
        self.at = cursor.at


def check_alike(unit: str, other: str) -> None:
    """Raise WrongDimension (pointer "/text") for two units that measure different things."""
    if not alike(kind_of(unit), kind_of(other)):
        raise WrongDimension(
            "/text",
            f"{unit} measures {kind_of(unit)}, {other} {kind_of(other)}.",
            "Figures that belong together have units of one kind.",
        )


def no_number_here(cursor: Cursor) -> InvalidInput:
    """Return the error for a place where a number should stand."""
    if cursor.sees(_NO_NUMBER):
        return InvalidInput(
            "/text", "That is not a finite number.", "Give a number, such as 31.42.", "number"
        )
    return NotUnderstood(cursor)


def check_order(text: str, lower: Amount | None, upper: Amount | None) -> None:
    """Raise Ambiguous for a range whose first figure is the larger; bounds are never swapped."""
    if lower is None or upper is None or lower.value <= upper.in_unit(lower.unit):
        return
    raise Ambiguous(
        "/text",
        f"The range {text} is upside down: its first figure is the larger.",
        "Compare the page and the lines beside it: the bounds may be exchanged, or a digit of "
        "one of them misprinted.",
        [
            f"{upper.figure.written} {upper.unit} to {lower.figure.written} {lower.unit} "
            "(bounds exchanged)",
            "a digit of one bound misprinted",
        ],
    )


def no_unit(cursor: Cursor, bounds: Mapping[str, Amount]) -> InvalidInput:
    """Return the question for amounts that have no unit; ``bounds`` are they by their names."""
    if cursor.sees(_BRACKET_GOES_ON):
        return InvalidInput(
            "/text",
            f"A figure in the bracket has no unit: {cursor.text[:80]}.",
            "Write the unit behind every figure.",
            "unit-missing",
        )
    if not (cursor.done or cursor.sees(OPENING)):
        return NotUnderstood(cursor)
    figures = [amount.figure for amount in bounds.values()]
    is_fraction = figures[0].is_fraction
    written = " to ".join(figure.written for figure in figures)
    units = ["in"] if is_fraction else ["mm", "in"]
    readings = [f"{written} {unit}" for unit in units]
    if is_fraction and len(figures) == 1:
        readings += [f"{written} inch square drive", f"{written} inch thread (GET /v1/fasteners)"]
    detail = f"'{cursor.text[:40]}' has no unit"
    if len(figures) == 2 and figures[0].value > figures[1].value:
        detail += ", and the range is upside down: its first figure is the larger"
        written = f"{figures[1].written} to {figures[0].written}"
        readings = [f"{written} {unit} (bounds exchanged)" for unit in units]
        readings.append("a digit of one bound misprinted: compare the lines beside it")
    return Ambiguous("/text", f"{detail}.", "Write the unit behind the number.", readings)
