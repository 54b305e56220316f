"""The one name of a fastener: what goes out, and what reading it gives back."""

from typing import Final

from shared.designations.class_choices import NUT_CLASSES
from shared.designations.lengths import inch_text, plain_number
from shared.designations.model import Fastener, FastenerForm, Hand
from shared.designations.words import NUT_WORDS, SCREW_WORDS
from shared.standards.part_standards import StandardPart, part_standard
from shared.standards.property_classes import class_names

MOST_DIAMETERS: Final = 24
"""A whole number without a unit on an inch thread is inches up to so many diameters; above that it
may be millimetres. Common practice, no source."""

_FORMS: Final = {StandardPart.SCREW: FastenerForm.SCREW, StandardPart.NUT: FastenerForm.NUT}


def name_of(part: Fastener) -> str:
    """Return the canonical name: thread, tolerance, LH, length, nut or screw, class, words.

    Reading it gives the part again. Lengths on metric threads are in mm, on others in inches where
    they are whole 64ths.
    """
    name = part.thread.designation
    if part.tolerance_class is not None:
        name += (
            f" {part.tolerance_class}"
            if len(part.tolerance_class) == 1
            else (f"-{part.tolerance_class}")
        )
    if part.hand is Hand.LEFT:
        name += "-LH"
    pieces = [name + _length_text(part, name)]
    if part.form is FastenerForm.NUT and not NUT_WORDS & set(part.words):
        pieces.append("nut")
    if part.form is FastenerForm.SCREW and not _shows_screw(part):
        pieces.append("screw")
    if part.property_class is not None:
        pieces.append(part.property_class)
    return " ".join([*pieces, *part.words])


def _shows_screw(part: Fastener) -> bool:
    """Whether length, class, words or standard say that it is a screw."""
    return (
        bool(SCREW_WORDS & set(part.words))
        or any(form_of_standard(word) is FastenerForm.SCREW for word in part.words)
        or implied_form(FastenerForm.THREAD, part.length, part.property_class) is FastenerForm.SCREW
    )


def _length_text(part: Fastener, name: str) -> str:
    if part.length is None:
        return ""
    if part.thread.is_metric and is_like_a_class(part.length):
        return f" x {plain_number(part.length)} mm"
    if part.thread.is_metric:
        closed = name == part.thread.designation
        return f"x{plain_number(part.length)}" if closed else f" x {plain_number(part.length)}"
    inches = inch_text(part.length)
    if inches is None:
        return f" x {plain_number(part.length)} mm"
    is_long = part.length > MOST_DIAMETERS * part.thread.major
    return f" x {inches} in" if is_long else f" x {inches}"


def form_of_standard(name: str) -> FastenerForm | None:
    """Return what the parts of a standard are; None for one not listed or without a thread."""
    row = part_standard(name)
    return _FORMS.get(row.part) if row is not None else None


def is_like_a_class(length: float) -> bool:
    """Whether a length in mm, written without its unit, may be taken for a property class."""
    figure = plain_number(length)
    return figure.endswith((".8", ".9")) and figure in class_names()


def implied_form(form: FastenerForm, length: float | None, name: str | None) -> FastenerForm:
    """Return what carries the thread where no word says it: a length and a class tell."""
    if form is not FastenerForm.THREAD:
        return form
    if length is not None or (name is not None and "." in name and not name.startswith("SAE")):
        return FastenerForm.SCREW
    return FastenerForm.NUT if name in NUT_CLASSES else form
