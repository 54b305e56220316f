"""Which property class was meant, by what carries the thread: 8.8, A2-70, grade 5, a nut's 8."""

from typing import Final

from shared.designations.model import FastenerForm
from shared.designations.offers import refused, shown
from shared.designations.thread_names import UNIFIED
from shared.designations.written import Written
from shared.standards.nuts import nut_class_names
from shared.standards.property_classes import class_names
from shared.standards.thread_model import Thread

NUT_CLASSES: Final = ("04", "05", "4", "5", "6", "8", "9", "10", "12")
"""ISO 898-2 and, for 4 of the large sizes, its earlier edition; from memory."""

ClassChoice = tuple[str | None, tuple[str, ...]]


def classes_meant(thread: Thread, written: Written, form: FastenerForm) -> list[ClassChoice]:
    """Return the classes that may be meant, each with its notes: one, rarely two, None for none.

    Raises InvalidInput for a class that is on no list or belongs to another kind of part.
    """
    named = [one for one in (written.property_class, written.grade, written.figure) if one]
    if len(named) > 1:
        raise refused(
            written.pointer,
            f"'{shown(written.text)}' names more than one class: {', '.join(named)}.",
            (),
            "Give the one that is marked on the part.",
        )
    if written.is_loose_strength and written.length is None and form is not FastenerForm.NUT:
        name = str(written.property_class)
        raise refused(
            written.pointer,
            f"'{name.replace('-', ' ')}' in '{shown(written.text)}' may be a class, or a steel and"
            " a length.",
            [
                f"{thread.designation} {name}",
                f"{thread.designation}x{name.partition('-')[2]} {name[:2]}",
            ],
        )
    if written.grade is not None:
        return _grade(thread, written, written.grade, form)
    figure = written.figure
    if figure is None and form is FastenerForm.NUT and written.property_class is None:
        figure = written.dash_figure
    if figure is not None:
        return [_nut_class(thread, written, figure, form)]
    if written.property_class is None:
        return [(None, ())]
    return [_screw_class(thread, written, written.property_class, form)]


def _screw_class(thread: Thread, written: Written, name: str, form: FastenerForm) -> ClassChoice:
    known = class_names()
    if form is FastenerForm.NUT:
        known += tuple(one for one in nut_class_names() if one not in known)  # thin stainless ones
    if name not in known:
        raise refused(
            written.pointer,
            f"{name} in '{shown(written.text)}' is no property class of the house.",
            [f"{thread.designation} {one}" for one in ("8.8", "10.9", "12.9", "A2-70")],
            f"Classes: {', '.join(known)}.",
        )
    if form is FastenerForm.NUT and "." in name:
        raise refused(
            written.pointer,
            f"{name} is a screw's property class; a nut's is one figure.",
            [f"{thread.designation} nut {name.partition('.')[0]}"],
            "Read the figure that is marked on the nut.",
        )
    if thread.is_metric:
        return name, ()
    standard = "ISO 898-1" if "." in name else "ISO 3506-1"
    return name, (
        f"{standard} covers metric threads; on {thread.designation} the class is the maker's word.",
    )


def _nut_class(thread: Thread, written: Written, figure: str, form: FastenerForm) -> ClassChoice:
    is_nut = form is FastenerForm.NUT
    has_length = written.length is not None or written.dash_figure is not None
    if figure not in NUT_CLASSES or (not is_nut and has_length):
        raise refused(
            written.pointer,
            f"Class {figure} in '{shown(written.text)}' is no class of a screw.",
            [f"{thread.designation} {one}" for one in class_names() if one.startswith(figure)],
            f"A nut's class is one of {', '.join(NUT_CLASSES)}, behind the word nut.",
        )
    if form is FastenerForm.SCREW:
        raise refused(
            written.pointer,
            f"Class {figure} is a nut's; a screw's has two figures.",
            [f"{thread.designation} {one}" for one in class_names() if one.startswith(figure)],
        )
    notes = () if is_nut else ("A class of one figure is a nut's (ISO 898-2).",)
    if thread.series in UNIFIED:
        return _sae_nut(written, thread, figure)
    return figure, notes


def _sae_nut(written: Written, thread: Thread, figure: str) -> ClassChoice:
    if figure not in {"2", "5", "8"}:
        raise refused(
            written.pointer,
            f"{figure} is no grade of an inch nut.",
            [f"{thread.designation} nut SAE {one}" for one in ("2", "5", "8")],
        )
    return f"SAE {figure}", ("Read as a grade of SAE J995.",)


def _grade(thread: Thread, written: Written, grade: str, form: FastenerForm) -> list[ClassChoice]:
    if form is FastenerForm.NUT:
        if thread.is_metric and not written.is_sae and grade in NUT_CLASSES:
            return [(grade, (f"Grade {grade} of a metric nut is read as class {grade}.",))]
        return [_sae_nut(written, thread, grade)]
    name = f"SAE {grade}"
    if "titanium" in written.words and not written.is_sae:
        raise refused(
            written.pointer,
            f"Grade {grade} of titanium in '{shown(written.text)}' is an alloy, no grade of SAE"
            " J429.",
            [f"{thread.designation} titanium"],
            "No strength of titanium screws is held here.",
        )
    if name not in class_names():
        raise refused(
            written.pointer,
            f"Grade {grade} in '{shown(written.text)}' is no grade of SAE J429 in the house.",
            [
                f"{thread.designation} {one}"
                for one in sorted(class_names(), key=lambda one: not one.startswith(f"{grade}."))
                if one.startswith(("SAE", f"{grade}."))
            ],
        )
    if not thread.is_metric:
        if thread.series in UNIFIED:
            return [(name, ())]
        note = f"SAE J429 covers unified threads, not {thread.designation}."
        return [(name, (note,))]
    note = (
        f"SAE J429 covers inch threads, and {thread.designation} is metric: look for the property"
        " class marked on the head; no strength is sure until it is read."
    )
    alike = [one for one in class_names() if one == f"{grade}.8"]
    choices: list[ClassChoice] = [(name, (note,))]
    if alike and grade == "8" and not written.is_sae:
        # Class 8.8 is often called "grade 8", which is far stronger: both readings are answered.
        choices.insert(0, ("8.8", ("Class 8.8 is called grade 8 at times; SAE 8 is stronger.",)))
    return choices
