"""What is said of a designation that cannot be read: why, and the nearest forms that can be."""

import re
from collections.abc import Collection, Sequence
from difflib import get_close_matches
from fractions import Fraction
from functools import cache
from typing import Final

from shared.designations.thread_names import Size, SizeKind, size_of_decimal, threads_of_size
from shared.errors import InvalidInput
from shared.standards.threads import threads

_MOST_OFFERED: Final = 6
_LONGEST_COMPARED: Final = 24
_SHOWN: Final = 40
_LIKE: Final = 0.7
"""How like a text is to a name offered for it: what is less like is another, no misspelling."""
_FIGURE: Final = re.compile(r"([0-9]?\.[0-9]{1,4}|[0-9]{1,2})(?: ?mm)?(?= |$)")


def refused(
    pointer: str, detail: str, nearest: Sequence[str], also: str = "", code: str = ""
) -> InvalidInput:
    """Return the error (code "designation-unknown" unless another is given) that offers forms."""
    named = ", ".join(nearest[:_MOST_OFFERED])
    fix = (
        f"Nearest readable: {named}." if named else "Write it as a standard does, such as M8x1.25."
    )
    return InvalidInput(pointer, detail, f"{fix} {also}".strip(), code or "designation-unknown")


def nearest_names(text: str, names: Collection[str] = ()) -> list[str]:
    """Return the names most like ``text`` by their letters, of ``names`` or of all threads."""
    wanted = _plain(text)[:_LONGEST_COMPARED]
    plain = {_plain(name): name for name in names} if names else _thread_names()
    return [plain[found] for found in get_close_matches(wanted, plain, n=4, cutoff=_LIKE)]


def offers_for_figure(text: str) -> list[str]:
    """Return the names that a bare figure may stand for: 8 for M8 or #8, .25 for 1/4 in.

    >>> offers_for_figure("8"), offers_for_figure(".25")
    (['M8', '#8'], ['1/4 in'])
    """
    found = _FIGURE.match(text)
    if found is None:
        return []
    text = found[1]
    if "." not in text:
        sizes = [Size(kind, Fraction(text)) for kind in (SizeKind.METRIC, SizeKind.NUMBER)]
        return [str(size) for size in sizes if threads_of_size(size)]
    size = size_of_decimal(text)
    if size is None:
        return []
    return [f"{size} in" if size.kind is SizeKind.INCH else str(size)]


def shown(text: str) -> str:
    """Return text as a message quotes it."""
    return text if len(text) <= _SHOWN else text[: _SHOWN - 3] + "..."


@cache
def _thread_names() -> dict[str, str]:
    return {_plain(thread.designation): thread.designation for thread in threads()}


def _plain(text: str) -> str:
    return "".join(character for character in text.lower() if not character.isspace())
