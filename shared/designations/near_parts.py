"""Parts without a thread that an unreadable text comes near to: offered, never taken for it."""

import re
from collections.abc import Callable, Iterator, Sequence
from typing import Final

from shared.designations.measures import find_sizes
from shared.designations.model import Designated
from shared.standards.o_rings import o_rings

Reader = Callable[[str], tuple[Designated, ...]]

_MOST: Final = 4
_MOST_LEFT_OUT: Final = 2
_LETTERS_FOR_FIGURES: Final = str.maketrans({"O": "0", "o": "0", "I": "1", "l": "1"})
_HAS_FIGURE: Final = re.compile(r"[0-9]")
_THREE_SIZES: Final = re.compile(r"(\d{1,3}(?:\.\d+)?) (\d{1,3}(?:\.\d+)?) (\d{1,3}(?:\.\d+)?)\b")
_NUMBERED_RING: Final = re.compile(r"\b[0-9]-(\d{3})\b")
_NEAR_SECTION: Final = 0.1
_NEAR_INSIDE: Final = 0.04
"""How far a ring's inside may lie from the one written, as a share of it, to be worth offering."""


def nearest_parts(plain: str, readers: Sequence[Reader]) -> list[str]:
    """Return the names of parts that tidied text comes near to, at most four; none if none do.

    Tried are letters written for figures, sizes parted by blanks, dash numbers with a figure before
    them, the text without its first or last two words, and O-rings of nearly the size.

    >>> from shared.designations.bearings import read_bearing
    >>> nearest_parts("62O5", [read_bearing])
    ['6205']
    """
    for text in _near_texts(plain):
        found = [part.canonical for read in readers for part in read(text)]
        if found:
            return list(dict.fromkeys(found))[:_MOST]
    return _near_rings(plain)


def _near_texts(plain: str) -> Iterator[str]:
    yield " ".join(
        word.translate(_LETTERS_FOR_FIGURES) if _HAS_FIGURE.search(word) else word
        for word in plain.split(" ")
    )
    yield _THREE_SIZES.sub(r"\1x\2x\3", plain, count=1)
    yield _NUMBERED_RING.sub(r"AS568-\1", plain)
    words = plain.split(" ")
    for left_out in range(1, min(len(words), _MOST_LEFT_OUT + 1)):
        yield " ".join(words[:-left_out])
        yield " ".join(words[left_out:])


def _near_rings(plain: str) -> list[str]:
    found = find_sizes(plain)
    if found is None or len(found[0]) != 2:
        return []
    inside, section = found[0]
    near = [
        (abs(ring.inside - inside) + abs(ring.section - section), ring.name)
        for ring in o_rings()
        if abs(ring.section - section) <= _NEAR_SECTION
        and abs(ring.inside - inside) <= _NEAR_INSIDE * inside
    ]
    return [name for _, name in sorted(near)[:_MOST]]
