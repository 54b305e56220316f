"""Reads what a plain washer is for: M8 washer, ISO 7089 M8, 1/4 in washer. Sizes in mm."""

import re
from typing import Final, NamedTuple

from shared.designations.model import Fastener, PartKind
from shared.designations.reading import read_fastener, readings_of
from shared.errors import InvalidInput
from shared.standards.washers import Washer, washers_of

_WASHER_STANDARD: Final = re.compile(
    r"\b(?:(?:DIN )?(?:EN )?(ISO) ?(7089|7090|7093)(?:-1)?|(DIN) ?(125|9021)(?:[- ]?[12AB])?)"
    r"(?::[0-9]{4})?\b(?: ?- ?(?=\S))?",
    re.IGNORECASE,
)
_WORDS: Final = re.compile(
    r"\b(?:plain|flat|large|wide|narrow|washers?|steel|zinc|plated|form [AB])\b|\b[0-9]{3} ?HV\b"
    r"|\bHV ?[0-9]{3}\b",
    re.IGNORECASE,
)
_SAID_LARGE: Final = re.compile(r"\b(?:large|wide)\b", re.IGNORECASE)
OTHER_METAL: Final = re.compile(
    r"\b(?:stainless|A[1-5]|brass|bronze|copper|alumini?um|titanium|nylon|plastic|polyamide)\b",
    re.IGNORECASE,
)
_LARGE: Final = frozenset({"7093", "9021"})
_FORMS_LARGE: Final = frozenset({"large", "inch, wide"})


class WasherRead(NamedTuple):
    """The thread that a washer is for, and the least ring that it may be.

    ``inside`` is the greatest of the forms left open, ``outside`` the least. ``thickness`` is None
    where they differ in it: a thicker washer takes thread from the hole, a thinner one bends.
    ``is_of_steel``: its standard is of steel washers, and no word names another metal.
    """

    fastener: Fastener
    inside: float
    outside: float
    thickness: float | None
    is_of_steel: bool


def read_washer(text: str, pointer: str = "/designation") -> WasherRead:
    """Return what a plain washer's designation says.

    Raises InvalidInput where it names no thread, or one without a washer in the table.

    >>> read_washer("ISO 7089 - M8 - 200 HV").outside
    16.0
    """
    named = _WASHER_STANDARD.search(text)
    number = None if named is None else named[2] or named[4]
    left = _WORDS.sub(" ", _WASHER_STANDARD.sub(" ", text))
    plain = " ".join(left.replace(" - ", " ").split()).strip("- ,")
    # The pitch does not matter to a washer: 1/4 may be UNC or UNF, and of no series without one.
    readings = [
        found
        for found in readings_of(plain, {PartKind.FASTENER}, pointer)
        if isinstance(found, Fastener) and washers_of(found.thread)
    ]
    fastener = readings[0] if readings else read_fastener(plain, pointer)
    is_large = number in _LARGE if number else True if _SAID_LARGE.search(text) else None
    rows = _of_form(washers_of(fastener.thread), is_large=is_large)
    others = {_of_form(washers_of(one.thread), is_large=is_large) for one in readings}
    if len(others) > 1:
        read_fastener(plain, pointer)
    if not rows:
        raise InvalidInput(
            pointer,
            f"No table has a washer for {fastener.thread.designation}.",
            "State its inside and outside diameter and its thickness as features.",
            "washer",
        )
    heights = {row.height for row in rows}
    return WasherRead(
        fastener,
        inside=max(row.inside_diameter for row in rows),
        outside=min(row.outside_diameter for row in rows),
        thickness=heights.pop() if len(heights) == 1 else None,
        is_of_steel=number is not None and not OTHER_METAL.search(text),
    )


def _of_form(rows: tuple[Washer, ...], *, is_large: bool | None) -> tuple[Washer, ...]:
    if is_large is None:
        return rows
    return tuple(row for row in rows if (row.form in _FORMS_LARGE) is is_large)
