"""Lengths and inch sizes as people write them: 40, 37.5 mm, 3/4, 1-1/2 in, .750", 2 in long."""

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from shared.standards.thread_geometry import MM_PER_INCH

LONGEST: Final = 3000.0
"""The longest length read, mm: threaded rod is sold in lengths of up to 3 m."""

MARK: Final = r" ?(?:\"|inch(?:es)?\b|in\b\.?)"
"""What says that a figure is in inches."""

FIGURE: Final = (
    r"(?:(?P<whole>[0-9]{1,3})(?: ?- ?| ))?(?P<top>[0-9]{1,3})/(?P<bottom>[0-9]{1,3})(?![0-9/.])"
    r"|(?P<decimal>[0-9]+(?:\.[0-9]+)?|\.[0-9]+)(?![0-9/]|\.[0-9])"
)
"""A figure of a length: a fraction, a mixed number, a decimal."""

_UNIT: Final = rf"(?P<unit> ?mm\b|{MARK})?"
LENGTH: Final = rf"(?:{FIGURE}){_UNIT}"

_FINEST: Final = 64
"""Rules in inches are divided down to 64ths; anything finer is written as a decimal."""


@dataclass(frozen=True, slots=True)
class WrittenLength:
    """A length as it stands: its figure, and "mm", "in" or "" where no unit is written."""

    figure: Fraction
    unit: str
    is_fraction: bool
    is_behind_x: bool = False
    is_loose: bool = False
    """Whether neither an x nor a word says that it is a length: M8 13 mm."""

    def in_unit(self, unit: str) -> float:
        """Return it in mm, its figure taken in ``unit`` ("mm" or "in"), to the nanometre."""
        scale = Fraction(254, 10) if unit == "in" else Fraction(1)
        return round(float(self.figure * scale), 6)


def written_length(found: re.Match[str]) -> WrittenLength | None:
    """Return the length of a match of LENGTH; None for a fraction that no rule is divided into."""
    unit = (found["unit"] or "").strip().lower()
    is_behind_x = found[0][:1] in "xX"
    known = unit if unit in {"", "mm"} else "in"
    if found["decimal"] is not None:
        return WrittenLength(Fraction(found["decimal"]), known, False, is_behind_x)
    figure = inches_of(found["whole"], found["top"], found["bottom"])
    return None if figure is None else WrittenLength(figure, known, True, is_behind_x)


def inches_of(whole: str | None, top: str, bottom: str) -> Fraction | None:
    """Return a (mixed) fraction of an inch; None unless in lowest terms, halves to 64ths.

    >>> inches_of("1", "1", "2"), inches_of(None, "3", "7")
    (Fraction(3, 2), None)
    """
    under = int(bottom)
    if not 1 < under <= _FINEST or under & (under - 1) or int(top) not in range(1, under, 2):
        return None
    return int(whole or 0) + Fraction(int(top), under)


def inch_text(length: float) -> str | None:
    """Return a length in mm as whole inches and a fraction; None if it is no multiple of 1/64 in.

    >>> inch_text(38.1), inch_text(19.05), inch_text(25.4), inch_text(40.0)
    ('1 1/2', '3/4', '1', None)
    """
    parts = round(length / MM_PER_INCH * _FINEST)
    if parts <= 0 or round(parts * MM_PER_INCH / _FINEST, 6) != length:
        return None
    inches = Fraction(parts, _FINEST)
    whole, rest = divmod(inches, 1)
    return " ".join(str(part) for part in (whole, rest) if part) if rest else str(whole)


def plain_number(value: float) -> str:
    """Return a figure in mm without an exponent or zeros at its end.

    >>> plain_number(40.0), plain_number(1.25), plain_number(0.1)
    ('40', '1.25', '0.1')
    """
    return f"{value:.6f}".rstrip("0").rstrip(".")
