"""One expression: an amount, a range, a tolerance, or a limit."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from shared.errors import Ambiguous, InvalidInput
from shared.quantities.amounts import Amount, checked, read_amount
from shared.quantities.cursor import Cursor
from shared.quantities.figures import Figure, number_follows
from shared.quantities.printed import short
from shared.quantities.refusals import check_alike, no_number_here, no_unit
from shared.quantities.units import convert, difference_unit

PLUS: Final = re.compile(r" ?(?:,? ?(?:and )?then\b|plus\b|\+) ?", re.IGNORECASE)

_BEFORE: Final = re.compile(
    r"(?:an?|the|of|torque|tighten(?: to)?|gap|clearance|end play|play|diameter|dia\.?|length|width"
    r"|depth|thickness|bore|shim)\b[ :]*",
    re.IGNORECASE,
)
_AFTER: Final = re.compile(
    r" ?(?:torque|gap|clearance|end play|play|diameter|dia\.?|thick|wide|long|deep|high|length"
    r"|width|depth|thickness|bore|shim|drive)\b\.?",
    re.IGNORECASE,
)
_LIMIT: Final = re.compile(r" ?(max|min)(?:imum)?\b\.? ?:?", re.IGNORECASE)
_DASH: Final = re.compile(r" ?(?:-|~|\.{2,3}|to\b|thru\b|through\b|up to\b) ?", re.IGNORECASE)
_TOLERANCE: Final = re.compile(r" ?± ?")
_MINUS: Final = re.compile(r" ?[/,]? ?- ?")
_RISE: Final = re.compile(r" ?(?:(?:temperature )?(?:rise|drop|difference))\b", re.IGNORECASE)

WORDS_AFTER_NUMBER: Final = re.compile(
    rf"(?:{_AFTER.pattern}|{_LIMIT.pattern}|{_DASH.pattern}|{PLUS.pattern}|or\b)", re.IGNORECASE
)

# A rise of 18 °F is a difference, 10 K; without the word it is a temperature.
_RISE_UNITS: Final = {"°C": "K", "°F": "Δ°F"}
_MOST_WORDS: Final = 4


@dataclass(frozen=True, slots=True)
class Expression:
    """What one expression says: a value, a range, a tolerance (all three), or one limit."""

    text: str
    value: Amount | None = None
    lower: Amount | None = None
    upper: Amount | None = None

    @property
    def bounds(self) -> dict[str, Amount]:
        """The amounts that are there, by the name of the bound."""
        named = {"value": self.value, "lower": self.lower, "upper": self.upper}
        return {bound: amount for bound, amount in named.items() if amount is not None}

    @property
    def unit(self) -> str:
        """The unit of the first amount."""
        return next(iter(self.bounds.values())).unit

    def in_units(self, others: Mapping[str, str]) -> "Expression":
        """Return the same numbers in other units, unit by unit: pounds read as pounds-force."""
        changed = {
            bound: replace(amount, unit=others.get(amount.unit, amount.unit))
            for bound, amount in self.bounds.items()
        }
        return Expression(self.text, **changed)


def read_expression(cursor: Cursor) -> Expression:
    """Read the expression that starts here; words around it that say nothing new are passed over.

    Raises, with pointer "/text", Ambiguous where there is no unit, and as ``read_amount`` does.
    """
    start = cursor.at
    limit = _words_before(cursor)
    first = read_amount(cursor, WORDS_AFTER_NUMBER)
    if first is None:
        raise no_number_here(cursor)
    found = _range(cursor, first) or _tolerance(cursor, first) or Expression("", value=first)
    for _ in range(_MOST_WORDS):
        limit = _limit(cursor) or limit
        if cursor.take(_AFTER) is None:
            break
    if cursor.take(_RISE) is not None:
        found = found.in_units(_RISE_UNITS)
    if limit:
        found = _limited(found, limit)
    found = replace(found, text=cursor.text[start : cursor.at].strip(" "))
    if not found.unit:
        raise no_unit(cursor, found.bounds)
    return found


def _words_before(cursor: Cursor) -> str:
    limit = ""
    for _ in range(_MOST_WORDS):
        limit = _limit(cursor) or limit
        cursor.blanks()
        if cursor.take(_BEFORE) is None:
            break
    return limit


def _limit(cursor: Cursor) -> str:
    found = cursor.take(_LIMIT)
    return found.group(1).lower() if found else ""


def _limited(found: Expression, limit: str) -> Expression:
    if found.value is None or found.lower is not None:
        raise InvalidInput(
            "/text",
            "A range cannot be a limit as well.",
            "Give the range, or the one limit.",
            "not-understood",
        )
    return Expression("", **{"upper" if limit == "max" else "lower": found.value})


def _range(cursor: Cursor, first: Amount) -> Expression | None:
    start = cursor.at
    if cursor.take(_DASH) is None or not number_follows(cursor):
        cursor.at = start
        return None
    last = read_amount(cursor, WORDS_AFTER_NUMBER)
    assert last is not None
    if first.unit and not last.unit:
        raise Ambiguous(
            "/text",
            f"The unit stands behind the first figure only: {cursor.text[start - 20 :][:40]}.",
            "Write the unit behind the last figure.",
            [f"{first.figure.written} to {last.figure.written} {first.unit}"],
        )
    first = first.inheriting(last.unit)
    if first.unit:
        check_alike(first.unit, last.unit)
    return Expression("", lower=first, upper=last)


def _tolerance(cursor: Cursor, middle: Amount) -> Expression | None:
    """Read ± 5, or + 0.02 / - 0.01, behind an amount."""
    start = cursor.at
    if cursor.take(_TOLERANCE) is not None:
        half = read_amount(cursor, WORDS_AFTER_NUMBER)
        if half is None:
            raise no_number_here(cursor)
        return _between(middle, half, half)
    if cursor.take(PLUS) is None or not number_follows(cursor):
        cursor.at = start
        return None
    above = read_amount(cursor, WORDS_AFTER_NUMBER)
    if cursor.take(_MINUS) is None or not number_follows(cursor):
        cursor.at = start
        return None
    below = read_amount(cursor, WORDS_AFTER_NUMBER)
    assert above is not None
    assert below is not None
    return _between(middle, below, above)


def _between(middle: Amount, below: Amount, above: Amount) -> Expression:
    unit = middle.unit or above.unit or below.unit
    if not unit:
        return Expression("", value=middle)
    if not middle.unit and unit == "%":
        raise InvalidInput(
            "/text",
            "The tolerance is in per cent and the value has no unit.",
            "Write the unit behind the value.",
            "unit-missing",
        )
    middle = middle.inheriting(unit)
    return Expression(
        "",
        value=middle,
        lower=_moved(middle, below.inheriting(unit), -1),
        upper=_moved(middle, above.inheriting(unit), 1),
    )


def _moved(middle: Amount, by: Amount, sign: int) -> Amount:
    """Return the middle moved by a tolerance: a part of a hundred, or a difference."""
    if by.value < 0:
        raise InvalidInput(
            "/text", "A tolerance is negative.", "Give it without a sign.", "not-understood"
        )
    if by.unit == "%" and middle.unit != "%":
        difference = abs(middle.value) * by.value / 100
    elif by.unit == middle.unit:
        difference = by.value
    else:
        check_alike(difference_unit(by.unit), difference_unit(middle.unit))
        difference = convert(by.value, difference_unit(by.unit), difference_unit(middle.unit))
    value = middle.value + sign * difference
    step = max(middle.figure.step, by.figure.step if by.unit == middle.unit else Decimal(0))
    return checked(Amount(Figure(value, short(value), step, step), middle.unit, middle.note))
