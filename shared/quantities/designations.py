"""Designations that look like sums: 1/2-13, M8x1.25, 25x47x12, 6205. Never read as arithmetic."""

import re
from typing import Final

from shared.errors import InvalidInput

# Numbered unified threads, ASME B1.1 (from memory): without a unit, 10-32 is one of these.
_NUMBERED_THREADS: Final = frozenset(
    "0-80 1-64 1-72 2-56 2-64 3-48 3-56 4-40 4-48 5-40 5-44 6-32 6-40 8-32 8-36 "
    "10-24 10-32 12-24 12-28".split()
)

_THREAD: Final = (
    # M8, M8x1.25, G 1/4, Tr 20x4
    re.compile(r"(?:MF?|G|R[cp]?|Tr|W|BSW|NPT) ?[0-9]"),
    # 1/2-13, 1/2"-13, 1 1/8-12: a fraction of an inch and turns per inch, of which there are 4 up
    re.compile(
        r"(?:[0-9]{1,2}[ -])?(?:[0-9]{1,2}/[0-9]{1,3}|[½¼¾⅛⅜⅝⅞])\"?-"
        r"(?:[4-9]|[1-9][0-9])(?![0-9/.,\"']|[ -][0-9]+/)"
    ),
    re.compile(r".{0,60}\b(?:UN[CFSR]?|UNEF|UNJ[CF]|NPTF?|BSP[PT]?|BS[WF])\b"),
)
_SIZES: Final = re.compile(r"[A-Z]{0,3} ?[0-9.,/]{1,12} ?\"? ?x ?[0-9.,]")
_BEARING: Final = re.compile(
    r"[0-9]{4,5}$|[A-Z]{1,3} ?[0-9]{3,6}\b"
    r"|[0-9]{3,5}[-/ ]?(?:2?RS[0-9A-Z]?|2?RZ|2?Z{1,2}|DDU?|LLU|VV|C[2-5])\b"
)
_BORE_AFTER_SLASH: Final = re.compile(r"([0-9]{2})/([0-9]{2})$")
_BOUND: Final = re.compile(r"#? ?([0-9]{1,2}) ?- ?([0-9]{2})$")


def refuse_designation(text: str) -> None:
    """Raise InvalidInput (pointer "/text", code "designation") if ``text`` names a part.

    ``text`` is plain text. The error says where such a name is looked up instead.
    """
    if any(pattern.match(text) for pattern in _THREAD) or _is_numbered_thread(text):
        raise _designation(
            text,
            "a thread or screw",
            "Look it up at GET /v1/designations?text=... or GET /v1/fasteners?designation=...",
        )
    if _SIZES.match(text) or _BEARING.match(text) or _is_bearing_with_slash(text):
        raise _designation(
            text,
            "a bearing, a seal or a size in several measures",
            "Look it up at GET /v1/designations?text=..., measured sizes at GET"
            " /v1/identifications; for a quantity give one number with its unit.",
        )


def _is_numbered_thread(text: str) -> bool:
    found = _BOUND.match(text)
    return found is not None and f"{found.group(1)}-{found.group(2)}" in _NUMBERED_THREADS


def _is_bearing_with_slash(text: str) -> bool:
    """62/22 is a bearing of 22 mm bore; 27/64 is a proper fraction, asked about later."""
    found = _BORE_AFTER_SLASH.match(text)
    return found is not None and int(found.group(1)) > int(found.group(2))


def _designation(text: str, what: str, fix: str) -> InvalidInput:
    return InvalidInput(
        "/text", f"'{text[:40]}' is the designation of {what}, not a quantity.", fix, "designation"
    )
