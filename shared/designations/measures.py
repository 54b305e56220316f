"""What designations by size share: sizes joined by "x", and the words beside them."""

import re
from collections.abc import Mapping, Sequence
from typing import Final, TypeVar

T = TypeVar("T")

_NUMBER: Final = r"(?:\d{1,4}[ -]\d{1,2}/\d{1,3}|\d{1,4}/\d{1,3}|\d{0,4}\.\d{1,4}|\d{1,4})"
_INCH: Final = r' ?(?:"|in\b\.?|inch\b|mm\b)?'
_SIZES: Final = re.compile(rf"(?<![\d./]){_NUMBER}(?:{_INCH} ?[xX] ?{_NUMBER}){{1,2}}(?![\d./])")
_EACH: Final = re.compile(_NUMBER)
_DASHED: Final = re.compile(r"(?<![\d.\w])(\d{1,3})([-/])(\d{1,3})\2(\d{1,2})(?![\d./\w-])")
_IS_INCH: Final = re.compile(r'"|(?<![a-z])(?:in|inch|inches)\b', re.IGNORECASE)
_EDGES: Final = " -,.:=/\"'"
_LONGEST_PHRASE: Final = 4


def find_sizes(text: str) -> tuple[tuple[float, ...], str, str] | None:
    """Return the two or three sizes joined by "x", the text before them, and the text behind.

    Sizes are in the unit written; None where there are none or a fraction divides by 0.

    >>> find_sizes("A25 x 47x7 NBR")
    ((25.0, 47.0, 7.0), 'A', ' NBR')
    >>> find_sizes('O-ring 1 x 1/8"')
    ((1.0, 0.125), 'O-ring ', '"')
    """
    found = _SIZES.search(text)
    if found is None:
        return None
    values = tuple(number(part) for part in _EACH.findall(found.group()))
    known = tuple(value for value in values if value is not None)
    if len(known) < len(values) or not all(known):
        return None
    return known, text[: found.start()], text[found.end() :]


def joined_by_x(text: str) -> str:
    """Return text whose first three whole numbers joined by dashes or slashes are joined by x.

    >>> joined_by_x("25-47-7 NBR")
    '25x47x7 NBR'
    """
    return _DASHED.sub(r"\1x\3x\4", text, count=1)


def is_in_inches(text: str) -> bool:
    """Whether the text names the inch.

    >>> is_in_inches('1 x 1/8"'), is_in_inches("0.984x0.139 in"), is_in_inches("tin 25x47x7")
    (True, True, False)
    """
    return _IS_INCH.search(text) is not None


def number(text: str) -> float | None:
    """Return a decimal, a fraction or a mixed number as a float; None where it divides by 0."""
    whole, _, part = text.replace("-", " ").rpartition(" ")
    if "/" not in part:
        return float(part)
    upper, lower = part.split("/")
    return None if int(lower) == 0 else (int(whole) if whole else 0) + int(upper) / int(lower)


def short(value: float) -> str:
    """Return a size as a designation has it: at most four places, no idle zeros.

    >>> short(25.0), short(24.99), short(0.1 + 0.2)
    ('25', '24.99', '0.3')
    """
    return f"{value:.4f}".rstrip("0").rstrip(".")


def by_x(*sizes: float) -> str:
    """Return sizes as a designation has them.

    >>> by_x(25, 47, 7)
    '25x47x7'
    """
    return "x".join(short(size) for size in sizes)


def words_of(text: str) -> tuple[str, ...]:
    """Return the words of the text, marks at their edges left off."""
    bare = (word.strip(_EDGES) for word in text.split())
    return tuple(word for word in bare if word)


def sorted_out(words: Sequence[str], phrases: Mapping[str, T]) -> tuple[tuple[T, ...], list[str]]:
    """Split words into what phrases of up to four words mean, and the words that are none.

    The longest phrase wins; upper and lower case count as one.

    >>> sorted_out(("Oil", "seal", "NBR"), {"oil seal": 1, "seal": 2})
    ((1,), ['NBR'])
    """
    meant: list[T] = []
    left: list[str] = []
    at = 0
    while at < len(words):
        for length in range(_LONGEST_PHRASE, 0, -1):
            phrase = " ".join(words[at : at + length]).casefold()
            if at + length <= len(words) and phrase in phrases:
                meant.append(phrases[phrase])
                at += length
                break
        else:
            left.append(words[at])
            at += 1
    return tuple(meant), left
