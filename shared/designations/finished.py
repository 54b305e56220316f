"""Makes the fastener of a thread and of what was written beside it; writes its one name."""

from dataclasses import replace
from typing import Final

from shared.designations.class_choices import NUT_CLASSES, classes_meant
from shared.designations.fastener_names import (
    MOST_DIAMETERS,
    implied_form,
    is_like_a_class,
    name_of,
)
from shared.designations.lengths import LONGEST, WrittenLength, inch_text, plain_number
from shared.designations.model import Fastener, FastenerForm, Hand
from shared.designations.offers import refused, shown
from shared.designations.words import SCREW_WORDS, phrases_of
from shared.designations.written import Written
from shared.errors import InvalidInput
from shared.standards.hexagons import heads_of
from shared.standards.part_standards import StandardPart, part_standard
from shared.standards.thread_model import Thread

_MOST_INCHES: Final = 12
"""A longer mixed number on a metric thread is hardly in inches: 40-1/2. Common practice."""
_SAME_WIDTH: Final = 0.05
_TURNED_BY_KEY: Final = frozenset({"hex", "hexagon", "hexagonal", "socket", "spline", "drive"})
_HAND_NOTE: Final = (
    "No LH is written: right-hand by the standard. A thread in hand may still be left: look."
)


def finished(thread: Thread, written: Written, notes: list[str]) -> list[Fastener]:
    """Return the fasteners that what was written means on this thread: one, rarely two.

    Raises InvalidInput where the two do not go together.
    """
    notes = [*notes, *written.notes]
    standards = tuple(dict.fromkeys(written.standards))
    words = (*phrases_of(written.words), *standards)
    form = _form(thread, written)
    lengths = _lengths(thread, written, form)
    classes = classes_meant(thread, written, form)
    if written.hand is None:
        notes.append(_HAND_NOTE)
    found = []
    for length, length_notes in lengths:
        for name, class_notes in classes:
            made = Fastener(
                canonical="",
                thread=thread,
                form=implied_form(form, length, name),
                hand=written.hand or Hand.RIGHT,
                length=length,
                property_class=name,
                tolerance_class=written.tolerance,
                words=words,
                notes=(*notes, *length_notes, *class_notes),
            )
            found.append(replace(made, canonical=name_of(made)))
    return found


# --- what carries the thread -------------------------------------------------------------------


def _form(thread: Thread, written: Written) -> FastenerForm:
    is_nut = written.is_nut
    is_screw = written.is_screw or bool(SCREW_WORDS & set(written.words))
    if is_nut and is_screw:
        raise refused(
            written.pointer,
            f"'{shown(written.text)}' names a nut and a screw.",
            [f"{thread.designation} nut", f"{thread.designation} screw"],
            "Ask for one of them; for a pair write the screw 'with nut'.",
        )
    others = [name for name in written.standards if _is_without_thread(name)]
    if others and not (is_nut or is_screw or written.length):
        raise refused(
            written.pointer,
            f"{others[0]} in '{shown(written.text)}' is a standard of parts without a thread.",
            [thread.designation],
            "Leave the standard out to look up the thread.",
        )
    if "washer" in written.words and not (is_nut or is_screw or written.length):
        raise refused(
            written.pointer,
            f"'{shown(written.text)}' names a washer, which has no thread.",
            [thread.designation],
            "Look the thread up alone: washers are listed with it by its size.",
        )
    if "key" in written.words and not (_TURNED_BY_KEY & set(written.words)):
        raise refused(
            written.pointer,
            f"'{shown(written.text)}' names a key, which has no thread.",
            (),
            "A shaft's key is written by width, height and length in mm: key 8x7x40.",
        )
    if is_nut:
        return FastenerForm.NUT
    return FastenerForm.SCREW if is_screw else FastenerForm.THREAD


def _is_without_thread(standard: str) -> bool:
    row = part_standard(standard)
    return row is not None and row.part is StandardPart.OTHER


# --- length ------------------------------------------------------------------------------------

_Choice = tuple[float | None, tuple[str, ...]]


def _lengths(thread: Thread, written: Written, form: FastenerForm) -> list[_Choice]:
    has_class = bool(written.figure or written.grade or written.property_class)
    if written.dash_figure is not None and (form is not FastenerForm.NUT or has_class):
        return [_behind_dash(thread, written, written.dash_figure)]
    if written.length is None:
        return [(None, ())]
    if written.length.is_loose:
        _refuse_width_as_length(thread, written.length, written, form)
    if written.length.unit:
        return [_checked(written, written.length.in_unit(written.length.unit))]
    return _without_unit(thread, written, written.length)


def _without_unit(thread: Thread, written: Written, length: WrittenLength) -> list[_Choice]:
    if thread.is_metric:
        if length.is_fraction and (length.figure > _MOST_INCHES or not length.is_behind_x):
            raise refused(
                written.pointer,
                f"The length in '{shown(written.text)}' may be one figure or two.",
                (),
                "Write it in mm, or in inches with the inch mark.",
            )
        if length.is_fraction:
            return [_checked(written, length.in_unit("in"), "A fraction is read in inches.")]
        _refuse_class_as_length(thread, written, length)
        return [_checked(written, length.in_unit("mm"))]
    inches = length.in_unit("in")
    if length.figure.denominator == 1 and inches > MOST_DIAMETERS * thread.major:
        return [
            _checked(written, length.in_unit("mm"), "The length is read in millimetres."),
            _checked(written, inches, "The length is read in inches."),
        ]
    return [_checked(written, inches)]


def _behind_dash(thread: Thread, written: Written, figure: str) -> _Choice:
    if not thread.is_metric or figure in NUT_CLASSES or written.length is not None:
        raise refused(
            written.pointer,
            f"'{figure}' in '{shown(written.text)}' may be a length or a class.",
            [f"{thread.designation} x {figure} mm", f"{thread.designation} nut {figure}"],
            "Write the length behind an x, a nut's class behind the word nut.",
        )
    return _checked(written, float(figure), f"{figure} behind the dash is read as the length.")


def _checked(written: Written, length: float, note: str = "") -> _Choice:
    if not 0 < length <= LONGEST:
        raise _bad_length(written, f"The length is {plain_number(length)} mm.")
    return length, (note,) if note else ()


def _bad_length(written: Written, detail: str) -> InvalidInput:
    return refused(
        written.pointer,
        f"{detail} Wanted more than 0 and at most {plain_number(LONGEST)} mm.",
        (),
        "Give the length in mm, or in inches with the inch mark.",
        "out-of-range",
    )


def _refuse_width_as_length(
    thread: Thread, length: WrittenLength, written: Written, form: FastenerForm
) -> None:
    """M12 nut 19 mm names the width across flats; M8 13 mm may, as that is the head's width."""
    unit = length.unit or ("mm" if thread.is_metric and not length.is_fraction else "in")
    size = length.in_unit(unit)
    heads = (head.across_flats for head in heads_of(thread))
    if form is not FastenerForm.NUT and not any(abs(size - head) < _SAME_WIDTH for head in heads):
        return
    inches = inch_text(size) if unit == "in" else None
    figure = inches or plain_number(size)
    named = thread.designation + (" nut" if form is FastenerForm.NUT else "")
    raise refused(
        written.pointer,
        f"{figure}{'' if inches else ' mm'} in '{shown(written.text)}' may be a length or the"
        " width across flats.",
        [f"{named} AF {figure}", f"{thread.designation} x {figure}{'' if inches else ' mm'}"],
        "Write a width with AF, a length behind an x.",
    )


def _refuse_class_as_length(thread: Thread, written: Written, length: WrittenLength) -> None:
    figure = plain_number(float(length.figure))
    if is_like_a_class(length.in_unit("mm")):
        raise refused(
            written.pointer,
            f"x {figure} in '{shown(written.text)}' may be a length or a property class.",
            [f"{thread.designation} {figure}", f"{thread.designation} x {figure} mm"],
        )
