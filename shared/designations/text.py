"""What people type for a part, brought to one small alphabet before any parser reads it.

The parsers of this package receive text that ``tidy`` has been over: printable ASCII, single
blanks, "x" between sizes, points for decimal commas, plain fractions, '"' for the inch. Upper and
lower case stay as written.
"""

import re
import unicodedata
from typing import Final

from shared.errors import InvalidInput

MOST_CHARACTERS: Final = 120
"""The longest designation read; the longest that the trade writes has about half of it."""

_ALIKE: Final = {
    "-": "‐‑‒–—―−\u00ad",
    " ": "\t\n\r\u00a0\u2002\u2003\u2005\u2006\u2007\u2008\u2009\u200a\u202f()[];_",
    '"': "″”“„",
    "'": "′’‘‚`´",
    "/": "⁄∕",
    "x": "×✕*",
    "°": "º˚",
    "": "Øø⌀®™",
}
_REPLACED: Final = str.maketrans({odd: plain for plain, odds in _ALIKE.items() for odd in odds})
_FRACTIONS: Final = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_PLAIN: Final = re.compile(r"[A-Za-z0-9 .,'\"/+\-#=:&°]*")
_DECIMAL_COMMA: Final = re.compile(r"(?<=[0-9xX ]),(?=[0-9])|^,(?=[0-9])")


def tidy(text: str, pointer: str = "/text") -> str:
    """Return ``text`` in the small alphabet that the parsers of designations read.

    Raises InvalidInput (``pointer``, code "text-characters") for empty or overlong text, digits or
    letters of another script, and characters on no list.

    >>> tidy(" M8 × 1,25 × 40 – 8.8 ")
    'M8 x 1.25 x 40 - 8.8'
    >>> tidy("1½″ ×¾")
    '1 1/2" x3/4'
    """
    if len(text) > MOST_CHARACTERS:
        raise _refused(
            pointer,
            f"The text has {len(text)} characters; wanted at most {MOST_CHARACTERS}.",
            "Give one designation at a time.",
        )
    plain = unicodedata.normalize("NFC", text).translate(_REPLACED).replace("''", '"')
    for sign, figures in _FRACTIONS.items():
        plain = re.sub(rf"(?<=[0-9]){sign}", f" {figures}", plain).replace(sign, figures)
    read = _PLAIN.match(plain)
    assert read is not None
    if read.end() < len(plain):
        raise _odd_character(pointer, plain[read.end()])
    plain = _DECIMAL_COMMA.sub(".", plain).replace(",", " ")
    plain = re.sub(r" +", " ", plain).strip()
    if not plain:
        raise _refused(
            pointer, "The text is empty.", "Give a designation, such as M8x1.25 or 6205-2RS."
        )
    return plain


def _odd_character(pointer: str, character: str) -> InvalidInput:
    named = f"U+{ord(character):04X}"
    if character.isnumeric():
        return _refused(
            pointer,
            f"The digit {named} belongs to another script or is raised.",
            "Write numbers with the digits 0 to 9.",
        )
    if character.isalpha():
        return _refused(
            pointer,
            f"The letter {named} belongs to another alphabet, though it may look the same.",
            "Write letters from A to Z.",
        )
    return _refused(
        pointer,
        f"The character {named} has no place in a designation.",
        "Leave it out and try again.",
    )


def _refused(pointer: str, detail: str, fix: str) -> InvalidInput:
    return InvalidInput(pointer, detail, fix, "text-characters")
