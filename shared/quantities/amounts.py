"""One amount: a number and the unit behind it, or a sum such as 6' 2" that is one length."""

import re
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Final

from shared.errors import Ambiguous, InvalidInput
from shared.quantities.cursor import Cursor
from shared.quantities.figures import Figure, read_figure
from shared.quantities.model import Quantity
from shared.quantities.printed import short
from shared.quantities.spellings import ask_which, read_unit, unknown_unit
from shared.quantities.units import (
    as_decimal,
    check_quantity,
    convert,
    difference_unit,
    kind_of,
)

# Larger unit -> the smaller one that may follow it in a sum, and how many of those it holds.
_SUMS: Final = {"ft": ("in", 12), "lb": ("oz", 16), "h": ("min", 60)}
_JOINT: Final = re.compile(r" ?-? ?(?=[0-9.]|[½¼¾⅐-⅞])")
_LETTERS: Final = re.compile(r"[A-Za-z°µΔ%_]")

# A fraction before one of these may as well be two figures: 10/12 N·m.
_SELDOM_IN_FRACTIONS: Final = frozenset({"torque", "pressure", "stress", "temperature", "force"})


@dataclass(frozen=True, slots=True)
class Amount:
    """A number with its unit code ("" where none was written) and how it was read (``note``)."""

    figure: Figure
    unit: str
    note: str = ""

    @property
    def value(self) -> Decimal:
        """The number in ``unit``."""
        return self.figure.value

    @property
    def kind(self) -> str:
        """The kind of quantity that the unit measures."""
        return kind_of(self.unit)

    def in_unit(self, code: str) -> Decimal:
        """Return the number in another unit; raises WrongDimension."""
        return convert(self.value, self.unit, code)

    def step_in(self, code: str, step: Decimal) -> Decimal:
        """Return a step of this amount's number (a difference) in another unit."""
        return convert(step, difference_unit(self.unit), difference_unit(code))

    def inheriting(self, code: str) -> "Amount":
        """Return the same amount with a unit, where it had none of its own."""
        return self if self.unit else replace(self, unit=code)


def read_amount(cursor: Cursor, words_that_may_follow: re.Pattern[str]) -> Amount | None:
    """Read the amount that starts here, or return None and stay.

    Raises Ambiguous (pointer "/text") for a unit or a fraction with two meanings, UnknownUnit for a
    word that stands where the unit should and is none of ``words_that_may_follow``.
    """
    figure = read_figure(cursor)
    if figure is None:
        return None
    before_unit = cursor.at
    cursor.blanks()
    unit_starts_at = cursor.at
    spelling = read_unit(cursor)
    if spelling is None:
        if cursor.sees(_LETTERS) and not cursor.sees(words_that_may_follow):
            raise unknown_unit(cursor.rest)
        cursor.at = before_unit
        return Amount(figure, "")
    if spelling.readings:
        raise ask_which(spelling, figure.written)
    unit_as_written = cursor.text[unit_starts_at : cursor.at]
    is_bare_fraction = figure.is_fraction and "-" not in figure.written
    if is_bare_fraction and kind_of(spelling.code) in _SELDOM_IN_FRACTIONS:
        _ask_about_fraction(figure, unit_as_written)
    amount = Amount(_times(figure, spelling.factor), spelling.code, spelling.note)
    return checked(_with_smaller_unit(amount, cursor))


def checked(amount: Amount) -> Amount:
    """Return the amount, or raise InvalidInput (pointer "/text") for one that cannot be."""
    try:
        check_quantity(Quantity(amount.value, amount.unit), amount.kind, "")
    except InvalidInput as error:
        raise InvalidInput("/text", error.detail, error.fix, error.code) from None
    return amount


def _times(figure: Figure, factor: Decimal) -> Figure:
    if factor == 1:
        return figure
    value = figure.value * factor
    return Figure(value, f"{value:f}", figure.step * factor, figure.coarse_step * factor)


def _with_smaller_unit(amount: Amount, cursor: Cursor) -> Amount:
    """Read on to the inches of a length in feet (6' 2"), where they follow."""
    if amount.unit not in _SUMS or amount.value < 1 or amount.value % 1:
        return amount
    smaller_unit, most = _SUMS[amount.unit]
    start = cursor.at
    smaller = _smaller_amount(cursor, smaller_unit)
    if smaller is None or smaller.value >= most:
        cursor.at = start
        return amount
    total = as_decimal(Fraction(amount.value) * most + Fraction(smaller.value))
    step = smaller.step or Decimal(0)
    return Amount(Figure(total, short(total), step, step), smaller_unit)


def _smaller_amount(cursor: Cursor, unit: str) -> Figure | None:
    if cursor.take(_JOINT) is None:
        return None
    figure = read_figure(cursor)
    cursor.blanks()
    spelling = read_unit(cursor)
    if figure is None or spelling is None or spelling.code != unit:
        return None
    return figure


def _ask_about_fraction(figure: Figure, unit: str) -> None:
    above, _, below = figure.written.partition("/")
    raise Ambiguous(
        "/text",
        f"{figure.written} {unit} may be a fraction or two figures.",
        "Write a decimal, or the one figure that is meant.",
        [f"{figure.value} {unit}", f"{above} {unit}", f"{below} {unit}"],
    )
