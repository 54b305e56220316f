"""Which bolt a hexagon head may belong to, and whether the head tells the pitch. Lengths in mm."""

from dataclasses import dataclass
from math import isfinite
from typing import Final

from shared.errors import InvalidInput, OutOfRange
from shared.standards.hexagons import Hexagon, heads_for

CALIPER_DOUBT: Final = 0.1
"""Half-width of the doubt of a caliper across flats where none is stated. Common practice."""

_MOST: Final = 300.0
_MOST_DOUBT: Final = 1.0
_HINT: Final = (
    "A hint, no measurement: fine-pitch and special screws have the same heads. Check with a pitch"
    " gauge before turning it into anything."
)
_NOT_TOLD: Final = "The head does not tell the pitch: measure it, do not guess."
_NOT_HERE: Final = "Not in this table: measure the thread, diameter and pitch, do not guess."
_WORN: Final = (
    "Worn or filed flats measure small; a spanner half a millimetre too wide still seems to fit."
)
_NO_DIAMETER: Final = (
    "Measure the thread's outside diameter too: one width is made for several threads."
)


@dataclass(frozen=True, slots=True)
class PossibleHeads:
    """What a width across flats may be.

    ``pitch`` is the one usual with every head found; None without the outside diameter: heads with
    a flange and special ones have the flats of another size.
    """

    items: tuple[Hexagon, ...]
    pitch: float | None
    advice: tuple[str, ...]


def possible_heads(
    across_flats: float, plus_minus: float = CALIPER_DOUBT, major: float | None = None
) -> PossibleHeads:
    """Return the heads that a width across flats (mm) may be, for an outside diameter if given.

    Raises OutOfRange (/across_flats, /major) and InvalidInput (/plus_minus). Sources: the rows of
    the hexagon table; usual pitches of Japanese-standard heads: a public forum's table.

    >>> possible_heads(14, major=10).pitch, possible_heads(17, major=10).pitch
    (1.25, None)
    """
    for name, value in (("across_flats", across_flats), ("major", major)):
        if value is not None and not (isfinite(value) and 0 < value <= _MOST):
            raise OutOfRange(name, f"{value:g} mm", f"above 0 mm, at most {_MOST:g} mm")
    if not (isfinite(plus_minus) and 0 < plus_minus <= _MOST_DOUBT):
        raise InvalidInput(
            "/plus_minus",
            f"plus_minus is {plus_minus:g} mm; over {_MOST_DOUBT:g} mm tells nothing.",
            f"Measure again, and give above 0 mm, at most {_MOST_DOUBT:g} mm.",
            "out-of-range",
        )
    items = heads_for(across_flats, plus_minus, major)
    if not items:
        return PossibleHeads((), None, (_NOT_HERE, _WORN))
    pitches = {item.usual_pitches for item in items}
    only = pitches.pop() if len(pitches) == 1 else ()
    pitch = only[0] if len(only) == 1 and major is not None else None
    more = (_NO_DIAMETER,) if major is None else ()
    return PossibleHeads(items, pitch, (_NOT_TOLD if pitch is None else _HINT, *more, _WORN))
