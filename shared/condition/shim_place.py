"""Places for shims in an assembly: what they set, which sizes there are, how the maker chooses."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from shared.condition.model import ShimEffect
from shared.quantities import Quantity


class ShimAim(StrEnum):
    """Where in the range of what is set a pack should come to."""

    MIDDLE = "middle"
    LOWER = "lower"
    UPPER = "upper"


class ShimRounding(StrEnum):
    """What becomes of a wanted thickness that is no multiple of the step."""

    NEAREST = "nearest"
    UP = "up"
    DOWN = "down"


@dataclass(frozen=True, slots=True)
class RoundingStep:
    """A row of a maker's rounding table: last digits from ``first`` to ``last`` become ``to``.

    All three count units of the table (0.01 mm), from 0; ``to`` may be a whole decade ("10").
    """

    first: int
    last: int
    to: int


@dataclass(frozen=True, slots=True)
class ShimRule:
    """How a maker chooses shims, as data; what is not given is as the house does it.

    ``most_shims``: no more than that many. ``step`` and ``rounding``: the wanted thickness is
    rounded to multiples. ``digits`` is a rounding table for the last decade of ``digits_unit``.
    ``thicker_by``: where no pack makes the thickness, so much is added, and again, up to
    ``thicker_at_most``. ``mean_cut_to``: a mean of readings is cut off, not rounded, to multiples.
    """

    aim: ShimAim = ShimAim.MIDDLE
    most_shims: int | None = None
    step: Quantity | None = None
    rounding: ShimRounding | None = None
    digits: tuple[RoundingStep, ...] = ()
    digits_unit: Quantity | None = None
    thicker_by: Quantity | None = None
    thicker_at_most: Quantity | None = None
    mean_cut_to: Quantity | None = None
    source: str | None = None


@dataclass(frozen=True, slots=True)
class ShimSize:
    """A thickness that is sold for a place; ``is_discontinued``: not any more."""

    thickness: Quantity
    part_id: str | None = None
    is_discontinued: bool = False


@dataclass(frozen=True, slots=True)
class AssortmentLine:
    """So many pieces of a part that are had at hand before anybody knows which are needed."""

    part_id: str
    quantity: int = 1


@dataclass(frozen=True, slots=True)
class ShimPlace:
    """A place for shims in an assembly: knowledge of the design, not of one unit.

    ``sets_characteristic_id``: what they set; its limits when new are the range. ``effect``: what
    more shims do to it, by ``factor`` mm for each mm. ``disturbed_by_position_ids``: positions
    whose part, once it is another one, calls for measuring anew. ``assortment``: what is then had
    at hand. Sizes are those sold for the place.
    """

    id: str
    position_id: str
    name: str
    effect: ShimEffect
    factor: Decimal = Decimal(1)
    sets_characteristic_id: str | None = None
    sizes: tuple[ShimSize, ...] = ()
    rule: ShimRule | None = None
    assortment: tuple[AssortmentLine, ...] = ()
    disturbed_by_position_ids: tuple[str, ...] = ()
    seating: str | None = None
    """What is done before it is measured (bearings seated by turning the shaft both ways)."""
    source: str | None = None
