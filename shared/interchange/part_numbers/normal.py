"""A number as it is written, and the forms of it in which two numbers are compared.

Forms are for finding only: an order is written with the number as its maker writes it.
"""

import re
import unicodedata
from typing import Final

from shared.errors import InvalidInput

MOST_CHARACTERS: Final = 200
"""The longest text that is taken for a number."""

SEPARATORS: Final = " -._"
"""What parts the groups of a number, one form each; a maker's rule may keep some of them."""

_BLANKS: Final = "".join(
    chr(code)
    for code in (
        *(0x09, 0x0A, 0x0D, 0x20, 0xA0, 0x1680),
        *range(0x2000, 0x200B),
        *(0x2028, 0x2029, 0x202F, 0x205F, 0x3000),
    )
)
_OTHER_DASHES: Final = frozenset("−⁃˗")
_DOTS: Final = frozenset("·•‧∙⋅・")
_ALIKE: Final = str.maketrans(
    "АВЕКМНОРСТХУІЅЈ" + "ΑΒΕΖΗΙΚΜΝΟΡΤΥΧ" + "×",
    "ABEKMHOPCTXYISJ" + "ABEZHIKMNOPTYX" + "X",
)
_LOOK_ALIKES: Final = str.maketrans("OILSBZ", "011582")
_INVISIBLE: Final = frozenset("\u034f\u115f\u1160\u17b4\u17b5\u3164\uffa0")
"""Without a mark of their own though of no format category, as are variation selectors."""

_BETWEEN_GROUPS: Final = re.compile(r"[-./ ]+")


def written(text: str) -> str:
    """Return a number as it is kept: composed (NFC), outer blanks off, nothing else touched.

    Raises InvalidInput ("/text"): more than 200 characters, nothing visible, a control character,
    half of a surrogate pair.

    >>> written(" 0417-0263580 ")
    '0417-0263580'
    """
    if len(text) > MOST_CHARACTERS:
        raise InvalidInput(
            "/text",
            f"The text has {len(text)} characters; wanted at most {MOST_CHARACTERS}.",
            "Give one number at a time.",
            "text-length",
        )
    kept = text.strip(_BLANKS)
    for character in kept:
        if unicodedata.category(character) in {"Cc", "Cs"}:
            raise InvalidInput(
                "/text",
                f"The text holds U+{ord(character):04X}, which is no character of a number.",
                "Give the number as it is read, without control characters.",
                "text-characters",
            )
    kept = unicodedata.normalize("NFC", kept)
    if not plain(kept):
        raise InvalidInput(
            "/text", "The text is empty.", "Give a number, such as 0417-0263580.", "text-empty"
        )
    return kept


def hidden_characters(text: str) -> bool:
    """Whether a text holds characters that nobody sees: marks of direction, zero width, fillers.

    >>> hidden_characters("\\u200f716804"), hidden_characters("716804")
    (True, False)
    """
    return any(_is_hidden(character) for character in text)


def visible(text: str) -> str:
    """Return a text without the characters that nobody sees."""
    return "".join(character for character in text if not _is_hidden(character))


def plain(text: str) -> str:
    """Return a text in which exact spelling is compared: hidden characters and case evened out.

    >>> plain("306szzg\\u200b") == plain("306SZZG"), plain("306-SZZG") == plain("306SZZG")
    (True, False)
    """
    return unicodedata.normalize("NFC", visible(text).strip(_BLANKS).casefold())


def maker_key(maker: str) -> str:
    """Return a maker's name as it is compared: case aside, each run of blanks as one.

    >>> maker_key("  Oak  Hollow ")
    'oak hollow'
    """
    return " ".join(unicodedata.normalize("NFC", visible(maker).casefold()).split())


def normal_form(text: str, kept: str = "") -> str:
    """Return the form in which two spellings of one number meet.

    Full width becomes plain and case even; Greek and Cyrillic capitals that look like Latin ones,
    and the sign of multiplication, become the Latin letter; blanks, dashes, dots and underscores
    go, but for those in ``kept``. All else stays: 62/22 is not 6222, leading zeros count, the
    letter O is not the figure 0. A text of separators alone stays as it is.
    Sources: Unicode Standard Annex 15 (NFKC); letters that look alike across alphabets are the
    idea of Unicode Technical Standard 39, of which a few capitals are taken here.

    >>> normal_form("0417-026.3580"), normal_form("３０６ szzg"), normal_form("62/22")
    ('04170263580', '306SZZG', '62/22')
    >>> normal_form("100-521-00 a", kept="-")
    '100-521-00A'
    """
    even = unicodedata.normalize("NFKC", visible(text)).casefold().upper().translate(_ALIKE)
    apart = "".join(_one_form(character) for character in even)
    left = "".join(one for one in apart if one in kept or one not in SEPARATORS)
    # Only what is no separator tells numbers apart: without any, the text is all there is.
    form = left if left.strip(SEPARATORS) else apart
    # What was left out may have stood between a letter and its accent.
    return unicodedata.normalize("NFKC", " ".join(form.split()))


def folded_form(key: str) -> str:
    """Return a normal form with look-alikes made one: O 0, I L 1, S 5, B 8, Z 2.

    Two numbers that meet here may well be two parts: for offering, never for taking. Which letters
    are misread for figures is common practice, without a source.

    >>> folded_form("7168O4") == folded_form("716B04")
    True
    """
    return key.translate(_LOOK_ALIKES)


def book_form(text: str) -> str | None:
    """Return a position in a parts book as it is compared; None: the text cannot be one.

    Groups of letters and figures stay apart, whatever parts them; leading zeros of a group go.

    >>> book_form("03/11.28"), book_form("3 - 11 - 28"), book_form("28"), book_form("31128")
    ('3-11-28', '3-11-28', '28', '31128')
    >>> book_form("A+B") is None
    True
    """
    groups = _BETWEEN_GROUPS.split(normal_form(text, kept=SEPARATORS).strip("-. "))
    if not all(group.isalnum() for group in groups):
        return None
    return "-".join(group.lstrip("0") or "0" for group in groups)


def _one_form(character: str) -> str:
    """Blank, dash and dot in one form each."""
    if character.isspace():
        return " "
    if character in _OTHER_DASHES or unicodedata.category(character) == "Pd":
        return "-"
    return "." if character in _DOTS else character


def _is_hidden(character: str) -> bool:
    if character.isascii():
        return False
    is_selector = "\ufe00" <= character <= "\ufe0f" or "\U000e0100" <= character <= "\U000e01ef"
    return is_selector or character in _INVISIBLE or unicodedata.category(character) == "Cf"
