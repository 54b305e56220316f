"""What people type, brought to one small alphabet before anything reads it.

Dashes of every sort become "-", quotation marks of every sort the inch or the foot mark, and so
on. A character on no list is refused by its code point, so that nothing invisible gets through.
"""

import re
import unicodedata
from typing import Final

from shared.errors import InvalidInput

MOST_CHARACTERS: Final = 200
"""A line of a manual is shorter; whatever is longer is no quantity."""

VULGAR_FRACTIONS: Final = "½¼¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"

_ALIKE: Final = {
    "-": "‐‑‒–—―−",
    " ": "\t\n\u00a0\u2002\u2003\u2005\u2006\u2007\u2009\u200a\u202f",
    "µ": "\u03bc",
    "·": "⋅•∙‧",
    '"': "″”“„",
    "'": "′’‘‚",
    "°": "º˚",
    "/": "⁄∕",
    "x": "×✕",
    "...": "…",
    "°C": "℃",
    "°F": "℉",
    "": "Øø⌀",
}
_REPLACED: Final = str.maketrans({odd: plain for plain, odds in _ALIKE.items() for odd in odds})
_PLAIN: Final = re.compile(r"[A-Za-z0-9 .,'\"/+\-±~()\[\]=;:#%°µΔ·*^" + VULGAR_FRACTIONS + "]*")
_QUALIFIER: Final = re.compile(r"\((short|long|metric|us|uk|imp|imperial)\)", re.IGNORECASE)
_POWERS: Final = (("⁻¹", "-1"), ("²", "2"), ("³", "3"))


def plain_text(text: str) -> str:
    """Return ``text`` in the small alphabet that the grammar reads.

    Raises InvalidInput (pointer "/text") for empty or overlong text, digits of another script, and
    characters on no list.

    >>> plain_text("0.04−0.10 mm")
    '0.04-0.10 mm'
    """
    if len(text) > MOST_CHARACTERS:
        raise _refused(
            f"The text has {len(text)} characters; wanted at most {MOST_CHARACTERS}.",
            "Give one quantity at a time.",
        )
    plain = _powers(unicodedata.normalize("NFC", text).translate(_REPLACED))
    plain = re.sub(r"\+ ?/ ?-|\+-", "±", _QUALIFIER.sub(r" \1 ", plain))
    plain = re.sub(r" +", " ", plain).strip(" ")
    if not plain:
        raise _refused("The text is empty.", "Give a quantity, such as 22 ft-lb.")
    read = _PLAIN.match(plain)
    assert read is not None
    if read.end() < len(plain):
        raise _odd_character(plain[read.end()])
    return plain


def _powers(text: str) -> str:
    """Write mm², min⁻¹ as mm2, min-1; a raised figure after a digit stays and is refused."""
    for raised, plain in _POWERS:
        text = re.sub(rf"(?<=[A-Za-z]){raised}", plain, text)
    return re.sub(r"(?<=[A-Za-z])\^(?=[23](?![0-9]))|(?<=min)\^(?=-1)", "", text)


def _odd_character(character: str) -> InvalidInput:
    named = f"U+{ord(character):04X}"
    if character.isdigit() or character.isdecimal():
        return _refused(
            f"The digit {named} belongs to another script or is raised.",
            "Write numbers with the digits 0 to 9.",
        )
    return _refused(
        f"The character {named} has no place in a quantity.", "Leave it out and try again."
    )


def _refused(detail: str, fix: str) -> InvalidInput:
    return InvalidInput("/text", detail, fix, "text-characters")
