"""Shims by marks: what the maker marked on cases and gears, and what a changed mark does to a shim.

A mark counts parts of a length ("+8" in 0.01 mm), and the maker alone says whether a larger one
wants a thicker or a thinner shim. All figures are exact decimals of the lengths as given; nothing
goes through rounded inches. Marks speak of the case or the gear that bears them, never of bearings.
Source: rules of makers' manuals of several trades (new shim = old shim + change of the mark; base
+ mark), worked in common practice; the sign and the unit are always the caller's.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from shared.condition.marks_asked import (
    Changed,
    LargerMark,
    MarkedOn,
    MarkedPlace,
    MarksAsked,
    check_marks,
    is_changed,
)
from shared.condition.shim_choice import choose_shim
from shared.errors import InvalidInput
from shared.quantities import Quantity, convert

_CHECK_MISSING = "the {} mark is missing and counts as 0: check the setting when it is assembled"

_SAY_NOTHING = {
    MarkedOn.CASE: "marks of the case say nothing of other gears: measure anew",
    MarkedOn.GEARS: "marks of the gears say nothing of another case: measure anew",
}


class Advice(StrEnum):
    """What is to be done with the shims."""

    NO_CHANGE = "no-change"
    BY_MARKS = "by-marks"
    MEASURE_ANEW = "measure-anew"


@dataclass(frozen=True, slots=True)
class PlaceByMarks:
    """What the marks say of one place; lengths in the unit of the marks.

    ``difference`` is new mark less old mark as a length, whatever it does to the shim; ``change``
    what it does to the shim's thickness. ``old_target`` and ``new_target``: what base and mark come
    to. ``chosen``: a shim of the list, as it was given; ``chosen_over``: by how much it is thicker
    than wanted. What cannot be told is None, and ``to_check`` says what to do.
    """

    name: str
    advice: Advice
    difference: Quantity | None = None
    change: Quantity | None = None
    old_target: Quantity | None = None
    new_target: Quantity | None = None
    new_shim: Quantity | None = None
    chosen: Quantity | None = None
    chosen_over: Quantity | None = None
    to_check: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ShimsByMarks:
    """The advice for the whole, why, and each place in the order asked."""

    advice: Advice
    reason: str
    places: tuple[PlaceByMarks, ...]


def shims_by_marks(asked: MarksAsked) -> ShimsByMarks:
    """What changed marks make of the shims, or that marks do not say enough.

    Nothing changed: no change. The case alone, or the gears alone, each with its own marks: by the
    difference of the marks. Any bearing, case and gears both, or marks of what was not changed:
    measured anew, and no thickness is told. Raises InvalidInput for a mark unit or shim not above
    0, no places or too many, a shim that would come to nothing, marks that differ where what bears
    them was not changed.
    """
    check_marks(asked)
    unit = _in_mm(asked.mark_unit)
    advice, reason = _advice(asked.changed)
    places = tuple(
        _at_place(asked, place, unit, advice, f"/places/{index}")
        for index, place in enumerate(asked.places)
    )
    if advice is Advice.BY_MARKS and all(one.advice is Advice.MEASURE_ANEW for one in places):
        advice, reason = (
            Advice.MEASURE_ANEW,
            ("no mark given speaks of what was changed: make the full selection by measuring"),
        )
    return ShimsByMarks(advice, reason, places)


def _advice(changed: Sequence[Changed]) -> tuple[Advice, str]:
    what = set(changed)
    if not what:
        return Advice.NO_CHANGE, "case, gears and bearings are the original ones: shims stay"
    if Changed.BEARINGS in what:
        return Advice.MEASURE_ANEW, (
            "a bearing was changed, and no mark speaks of bearings: make the full selection by"
            " measuring"
        )
    if what == {Changed.CASE, Changed.GEARS}:
        return Advice.MEASURE_ANEW, (
            "case and gears were both changed: make the full selection by measuring"
        )
    which = "case" if Changed.CASE in what else "gears"
    return Advice.BY_MARKS, (
        f"only the {which} changed, all else is the original: each shim changes by the difference"
        f" of the marks of the {which}; the donor's shims do not come along"
    )


def _at_place(
    asked: MarksAsked, place: MarkedPlace, unit: Decimal, advice: Advice, pointer: str
) -> PlaceByMarks:
    if advice is Advice.NO_CHANGE:
        return PlaceByMarks(place.name, advice)
    if advice is Advice.MEASURE_ANEW:
        told = "measure anew: the marks alone are not enough here"
        return PlaceByMarks(place.name, advice, to_check=(told,))
    why_not = _why_not_by_marks(asked.changed, place)
    if why_not is not None:
        return PlaceByMarks(place.name, Advice.MEASURE_ANEW, to_check=(why_not,))
    return _by_marks(asked, place, unit, pointer)


def _why_not_by_marks(changed: Sequence[Changed], place: MarkedPlace) -> str | None:
    """Why the marks of a place do not tell its shim, where case or gears alone were changed."""
    if not is_changed(place.marked_on, changed):
        return _SAY_NOTHING[place.marked_on]
    if place.old_mark is None and place.new_mark is None:
        return "neither is marked: measure anew"
    is_marked = place.old_mark is not None and place.new_mark is not None
    if Changed.GEARS in changed and not is_marked:
        return "a gear without its mark says nothing of the shim: measure anew"
    return None


def _by_marks(asked: MarksAsked, place: MarkedPlace, unit: Decimal, pointer: str) -> PlaceByMarks:
    """Both marks counted; lengths are mm until they go out in the unit of the marks."""
    old, new = place.old_mark or Decimal(0), place.new_mark or Decimal(0)
    marks = (("old", place.old_mark), ("new", place.new_mark))
    to_check = [_CHECK_MISSING.format(which) for which, mark in marks if mark is None]
    sign = -1 if asked.larger_mark is LargerMark.THINNER else 1
    difference = (new - old) * unit
    if asked.larger_mark is None and (difference or place.base is not None):
        to_check.append(
            "whether a larger mark wants a thicker or a thinner shim is not known: ask the manual"
            " for the direction"
        )
    base = None if place.base is None else _in_mm(place.base)
    old_target = None if base is None else base + sign * old * unit
    new_target = None if base is None else base + sign * new * unit
    start = old_target if place.old_shim is None else _in_mm(place.old_shim)
    _check_left(new_target, f"{pointer}/base")
    wanted = None
    is_unmoved = not difference and place.base is None
    if start is not None and (asked.larger_mark is not None or is_unmoved):
        wanted = start + sign * difference
        _check_left(wanted, f"{pointer}/{'base' if base is not None else 'old_shim'}")
    chosen, told = _chosen(asked, wanted, unit)
    over = None if chosen is None or wanted is None else _in_mm(chosen) - wanted
    to_check += told

    def out(length: Decimal | None) -> Quantity | None:
        return _stated(length, asked.mark_unit.unit)

    return PlaceByMarks(
        place.name,
        Advice.BY_MARKS,
        difference=out(difference),
        change=None if asked.larger_mark is None and difference else out(sign * difference),
        old_target=out(old_target),
        new_target=out(new_target),
        new_shim=out(wanted),
        chosen=chosen,
        chosen_over=out(over),
        to_check=tuple(to_check),
    )


def _chosen(
    asked: MarksAsked, wanted: Decimal | None, unit: Decimal
) -> tuple[Quantity | None, list[str]]:
    if asked.rule is None or wanted is None:
        return None, []
    lengths = [_in_mm(shim) for shim in asked.shims]
    index, why_not = choose_shim(wanted, lengths, asked.rule, finest=unit)
    if index is None:
        return None, [f"no shim of the list is taken: {why_not}"]
    return asked.shims[index], []


def _stated(length: Decimal | None, unit: str) -> Quantity | None:
    return None if length is None else Quantity(convert(length + 0, "mm", unit), unit)


def _in_mm(length: Quantity) -> Decimal:
    return convert(length.value, length.unit, "mm")


def _check_left(length: Decimal | None, pointer: str) -> None:
    if length is not None and length <= 0:
        raise InvalidInput(
            pointer,
            f"With the new mark it comes to {length:f} mm; wanted more than 0.",
            "Look at the marks, the length that a mark stands for, and which way they count.",
            "out-of-range",
        )
