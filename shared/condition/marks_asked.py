"""What is asked of marked cases and gears: marks, lengths, what was changed; and its check."""

from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from shared.condition.shim_choice import ChoiceRule
from shared.errors import InvalidInput
from shared.quantities import Quantity, canonical_without_doubt, check_number

MOST_PLACES = 100
MOST_SHIMS = 200
LARGEST_MARK = 100_000


class LargerMark(StrEnum):
    """What a larger mark wants of the shim."""

    THICKER = "thicker"
    THINNER = "thinner"


class Changed(StrEnum):
    """What is no longer the part with which the old shims were chosen."""

    CASE = "case"
    GEARS = "gears"
    BEARINGS = "bearings"


class MarkedOn(StrEnum):
    """What bears the marks; a mark speaks of nothing else."""

    CASE = "case"
    GEARS = "gears"


@dataclass(frozen=True, slots=True)
class MarkedPlace:
    """One place of a shim, with the marks that speak of it; None: there is no mark.

    ``marked_on``: what bears both marks, the old and the new one of its kind.
    At most one of ``old_shim``, the shim that sat there, and ``base``, the length of the maker's
    formula "base + mark" (base - mark where a larger mark wants a thinner shim).
    """

    name: str
    marked_on: MarkedOn
    old_mark: Decimal | None = None
    new_mark: Decimal | None = None
    old_shim: Quantity | None = None
    base: Quantity | None = None


@dataclass(frozen=True, slots=True)
class MarksAsked:
    """What is marked, what was changed, how the maker reads the marks, which shims there are.

    ``mark_unit`` is the length that a mark of 1 stands for. ``rule`` None: none is chosen.
    """

    mark_unit: Quantity
    places: tuple[MarkedPlace, ...]
    changed: tuple[Changed, ...]
    larger_mark: LargerMark | None = None
    shims: tuple[Quantity, ...] = ()
    rule: ChoiceRule | None = None


def check_marks(asked: MarksAsked) -> None:
    """Check that the marks can be reckoned with; raises InvalidInput at the member."""
    _check_above_zero(asked.mark_unit, "/mark_unit")
    _check_places(asked)
    if len(asked.shims) > MOST_SHIMS:
        raise InvalidInput(
            "/shims",
            f"Got {len(asked.shims)} shims; wanted at most {MOST_SHIMS}.",
            "Give the thicknesses that come into question, each once.",
            "out-of-range",
        )
    for index, shim in enumerate(asked.shims):
        _check_above_zero(shim, f"/shims/{index}")
    if asked.rule is not None and not asked.shims:
        raise InvalidInput(
            "/shims",
            f"Got the rule {asked.rule} and no shims to choose from.",
            "Give shims, or leave the rule out.",
            "missing",
        )


def _check_places(asked: MarksAsked) -> None:
    if not 1 <= len(asked.places) <= MOST_PLACES:
        raise InvalidInput(
            "/places",
            f"Got {len(asked.places)} places; wanted 1 to {MOST_PLACES}.",
            "Give each place of a shim once.",
            "out-of-range",
        )
    names: set[str] = set()
    for index, place in enumerate(asked.places):
        pointer = f"/places/{index}"
        if place.name in names:
            raise InvalidInput(
                f"{pointer}/name",
                f"The place '{place.name}' is there twice.",
                "Give each place once.",
                "duplicate",
            )
        names.add(place.name)
        _check_place(asked, place, pointer)


def _check_place(asked: MarksAsked, place: MarkedPlace, pointer: str) -> None:
    for name in ("old_mark", "new_mark"):
        mark = getattr(place, name)
        if mark is not None:
            _check_mark(mark, f"{pointer}/{name}")
    for name in ("old_shim", "base"):
        length = getattr(place, name)
        if length is not None:
            _check_above_zero(length, f"{pointer}/{name}")
    if place.old_shim is not None and place.base is not None:
        raise InvalidInput(
            f"{pointer}/base",
            "Got old_shim and base; the new shim follows from one of them.",
            "Give the shim that sat there, or the base of the maker's formula.",
            "contradiction",
        )
    _check_changed(asked, place)


def is_changed(marked_on: MarkedOn, changed: Collection[Changed]) -> bool:
    """Whether what bears the marks was changed."""
    return Changed(marked_on.value) in changed


def _check_changed(asked: MarksAsked, place: MarkedPlace) -> None:
    """Refuse marks that differ on something that is not named as changed."""
    marks = (place.old_mark, place.new_mark)
    if None in marks or marks[0] == marks[1] or is_changed(place.marked_on, asked.changed):
        return
    raise InvalidInput(
        "/changed",
        f"'{place.name}' has the marks {place.old_mark:f} and {place.new_mark:f} of the"
        f" {place.marked_on}, which are not named as changed.",
        "Name what was changed (case, gears, bearings), or mend the marks or what bears them.",
        "contradiction",
    )


def _check_mark(mark: Decimal, pointer: str) -> None:
    check_number(mark, pointer)
    if abs(mark) > LARGEST_MARK:
        raise InvalidInput(
            pointer,
            f"The mark is {mark:f}; wanted from -{LARGEST_MARK} to {LARGEST_MARK}.",
            "Give the figure as it is marked.",
            "out-of-range",
        )


def _check_above_zero(length: Quantity, pointer: str) -> None:
    canonical_without_doubt(
        length,
        "length",
        pointer,
        detail="It states an uncertainty; marks are reckoned with lengths as they are written.",
        fix="Leave it out; measure where a doubt matters.",
    )
    if length.value <= 0:
        raise InvalidInput(
            f"{pointer}/value",
            f"It is {length.value:f} {length.unit}; wanted more than 0.",
            "Give a length above 0.",
            "out-of-range",
        )
