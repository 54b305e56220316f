"""What tells units of one design apart, and which parts depend on it."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum


class Hand(StrEnum):
    """Left or right: the side it sits on, or the way it turns, as the maker calls it."""

    LEFT = "left"
    RIGHT = "right"


@dataclass(frozen=True, slots=True)
class Traits:
    """What one unit is among those of its design; None: not on record.

    ``ratio`` is input turns to one output turn; ``generation`` and ``variant`` are the maker's
    words.
    """

    serial_number: str | None = None
    built_on: date | None = None
    hand: Hand | None = None
    ratio: Decimal | None = None
    generation: str | None = None
    variant: str | None = None


FEWEST_RATIO_PLACES = 2


def is_same_ratio(one: Decimal, other: Decimal) -> bool:
    """Whether two stated ratios are one, as far as the shorter of them is written.

    Compared at the fewer of their decimal places, at two at least: 3.73 is 3.727, and 1.98 is
    neither 2 nor 1.84.

    >>> is_same_ratio(Decimal("3.73"), Decimal("3.727")), is_same_ratio(Decimal(2), Decimal("1.98"))
    (True, False)
    """
    places = max(FEWEST_RATIO_PLACES, min(_places(one), _places(other)))
    step = Decimal(1).scaleb(-places)
    return one.quantize(step) == other.quantize(step)


def _places(value: Decimal) -> int:
    exponent = value.as_tuple().exponent
    return -exponent if isinstance(exponent, int) and exponent < 0 else 0


def why_of_another_kind(own: Traits, other: Traits) -> str | None:
    """Why what depends on hand, ratio, generation or variant does not go from one unit to another.

    None where every one of these that is on record of either unit is the same on both, and one at
    least is. What is on record of one unit only cannot be told, which is a no.
    """
    compared = False
    for name, mine, theirs in (
        ("hand", own.hand, other.hand),
        ("ratio", own.ratio, other.ratio),
        ("generation", own.generation, other.generation),
        ("variant", own.variant, other.variant),
    ):
        if mine is None and theirs is None:
            continue
        if mine is None or theirs is None:
            return f"depends on the {name}, and that of one unit is not on record"
        if not _is_same(mine, theirs):
            return f"depends on the {name}: the other is '{theirs}', the unit is '{mine}'"
        compared = True
    return None if compared else "depends on the variant (ratio, hand), which is not on record"


def _is_same(mine: object, theirs: object) -> bool:
    if isinstance(mine, Decimal) and isinstance(theirs, Decimal):
        return is_same_ratio(mine, theirs)
    return str(mine).casefold().split() == str(theirs).casefold().split()
