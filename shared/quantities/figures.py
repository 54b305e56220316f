"""Numbers as the trade writes them: 1,5 and .004, 3/8, 1-1/4, 10 3/8, 1½, 1e7, 1,234.5.

A number has one expression: a decimal, a fraction, or a mixed number; there is no arithmetic. A
comma or point that can be read two ways is asked about.
"""

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Final

from shared.errors import Ambiguous, InvalidInput
from shared.quantities.characters import VULGAR_FRACTIONS
from shared.quantities.cursor import Cursor
from shared.quantities.units import as_decimal, check_number

_MOST_CHARACTERS: Final = 40
_MOST_PLACES: Final = 15
_DENOMINATORS: Final = frozenset({2, 3, 4, 6, 8, 16, 32, 64, 128})

_VULGAR: Final = f"[{VULGAR_FRACTIONS}]"
_SIGN: Final = re.compile(rf"([+-]) ?(?=[0-9]|[.,][0-9]|{_VULGAR})")
_DIGITS: Final = re.compile(r"[0-9]+(?:[.,][0-9]+)*|(?:[.,][0-9]+)+")
_POWER_OF_TEN: Final = re.compile(r"[eE]([+-]?[0-9]+)(?![A-Za-z0-9])")
_FRACTION: Final = re.compile(r"/([0-9]+)")
_MIXED: Final = re.compile(rf"[ -]?(?:({_VULGAR})|(?<=[ -])([0-9]+)/([0-9]+))")
_VULGAR_ALONE: Final = re.compile(_VULGAR)
_START: Final = re.compile(rf"[+-]? ?(?:[0-9]|[.,][0-9]|{_VULGAR})")


@dataclass(frozen=True, slots=True)
class Figure:
    """A number as read.

    ``written`` is how it stood; ``step`` the worth of its last printed digit (0.01 for "0.30"),
    0 for a fraction, which is exact; ``coarse_step`` the worth of its last digit that is not zero
    (10 for "120"): what it may have been rounded to.
    """

    value: Decimal
    written: str
    step: Decimal
    coarse_step: Decimal
    is_fraction: bool = False


def number_follows(cursor: Cursor) -> bool:
    """Return whether a number starts here."""
    return cursor.sees(_START)


def read_figure(cursor: Cursor) -> Figure | None:
    """Read the number that starts here, or return None and stay.

    Raises Ambiguous (pointer "/text") where a comma may part thousands or decimals and where a
    fraction may be two numbers; InvalidInput for what is no number or too large a one.
    """
    start = cursor.at
    sign = cursor.take(_SIGN)
    figure = _unsigned(cursor)
    if figure is None:
        cursor.at = start
        return None
    if cursor.at - start > _MOST_CHARACTERS:
        raise _no_number(f"A number has more than {_MOST_CHARACTERS} characters.")
    check_number(figure.value, "/text")
    if figure.value and figure.value.adjusted() > _MOST_PLACES:
        raise _no_number(f"{figure.value:.3E} is more than anything a workshop measures.")
    if sign is None or sign.group(1) == "+":
        return figure
    return Figure(
        -figure.value, "-" + figure.written, figure.step, figure.coarse_step, figure.is_fraction
    )


def _unsigned(cursor: Cursor) -> Figure | None:
    vulgar = cursor.take(_VULGAR_ALONE)
    if vulgar is not None:
        return _fraction(0, _vulgar(vulgar.group()))
    found = cursor.take(_DIGITS)
    if found is None:
        return None
    digits = found.group()
    if len(digits) > _MOST_CHARACTERS:
        raise _no_number(f"A number has more than {_MOST_CHARACTERS} characters.")
    power = cursor.take(_POWER_OF_TEN)
    if power is not None:
        return _scaled(_decimal_text(digits, cursor), power.group(1))
    if digits.isdigit():
        fraction = _after_whole_number(digits, cursor)
        if fraction is not None:
            return fraction
    return _decimal(_decimal_text(digits, cursor))


def _after_whole_number(digits: str, cursor: Cursor) -> Figure | None:
    """Read on to a fraction (3/8) or a mixed number (1-1/4, 10 3/8, 1½) where one follows."""
    fraction = cursor.take(_FRACTION)
    if fraction is not None:
        return _common_fraction(digits, fraction.group(1), cursor)
    start = cursor.at
    mixed = cursor.take(_MIXED)
    if mixed is None:
        return None
    if mixed.group(1):
        return _fraction(int(digits), _vulgar(mixed.group(1)))
    above, below = int(mixed.group(2)), int(mixed.group(3))
    if above >= below or below not in _DENOMINATORS:
        cursor.at = start
        return None
    return _fraction(int(digits), Fraction(above, below))


def _common_fraction(above: str, below: str, cursor: Cursor) -> Figure:
    """Read a/b as a rule is divided; else ask: 62/22 is a bearing, 10/12 may be two figures."""
    top, bottom = int(above[:_MOST_CHARACTERS]), int(below[:_MOST_CHARACTERS])
    if top >= bottom or bottom not in _DENOMINATORS:
        raise Ambiguous(
            "/text",
            f"{above}/{below} is no fraction that a rule is divided into.",
            "Write a mixed number (1-1/4), a decimal, or the one figure that is meant.",
            [f"{above}{cursor.rest}", f"{below}{cursor.rest}", f"designation {above}/{below}"],
        )
    return _fraction(0, Fraction(top, bottom))


def _vulgar(character: str) -> Fraction:
    return Fraction(unicodedata.numeric(character)).limit_denominator(10)


def _fraction(whole: int, part: Fraction) -> Figure:
    written = f"{whole}-{part}" if whole else str(part)
    return Figure(as_decimal(whole + part), written, Decimal(0), Decimal(0), is_fraction=True)


def _decimal(text: str) -> Figure:
    value = Decimal(text)
    _, digits, exponent = value.as_tuple()
    assert isinstance(exponent, int)
    zeros = len(digits) - len("".join(map(str, digits)).rstrip("0")) if value else 0
    written = f"0{text}" if text.startswith(".") else text
    return Figure(value, written, Decimal(1).scaleb(exponent), Decimal(1).scaleb(exponent + zeros))


def _scaled(text: str, power: str) -> Figure:
    if len(power) > 4:
        raise _no_number(f"The power of ten {power[:8]} is too large.")
    figure = _decimal(text)
    places = int(power)
    check_number(Decimal(f"1E{places}"), "/text")
    value = figure.value.scaleb(places)
    return Figure(
        value, f"{value:f}", figure.step.scaleb(places), figure.coarse_step.scaleb(places)
    )


def _decimal_text(digits: str, cursor: Cursor) -> str:
    """Return the digits with a point for the decimal sign and nothing between the thousands."""
    commas, points = digits.count(","), digits.count(".")
    if commas == 0 and points <= 1:
        return digits
    if commas == 1 and points == 0:
        return _one_comma(digits, cursor)
    if commas and points:
        return _both_signs(digits)
    return _thousands(digits, "," if commas else ".")


def _one_comma(digits: str, cursor: Cursor) -> str:
    before, after = digits.split(",")
    if len(after) == 3 and 1 <= len(before) <= 3 and not before.startswith("0"):
        raise Ambiguous(
            "/text",
            f"The comma in {digits} may part thousands or decimals.",
            "Write it without a comma.",
            [f"{before}{after}{cursor.rest}", f"{before}.{after}{cursor.rest}"],
        )
    return f"{before}.{after}"


def _both_signs(digits: str) -> str:
    """Read 1,234.5 or 1.234,5: the sign that comes last is the decimal sign."""
    decimal_sign = max(",.", key=digits.rfind)
    if digits.count(decimal_sign) > 1:
        raise _no_number(f"{digits} is no number.")
    whole, part = digits.split(decimal_sign)
    return f"{_thousands(whole, '.' if decimal_sign == ',' else ',')}.{part}"


def _thousands(digits: str, sign: str) -> str:
    first, *groups = digits.split(sign)
    if not 1 <= len(first) <= 3 or first == "0" or any(len(group) != 3 for group in groups):
        raise _no_number(f"{digits} is no number.")
    return first + "".join(groups)


def _no_number(detail: str) -> InvalidInput:
    return InvalidInput("/text", detail, "Write one plain number, such as 31.42.", "number")
