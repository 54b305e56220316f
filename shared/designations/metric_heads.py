"""Reads metric threads at the head of a designation: M8, M8x1.25, M8 x 1.0, 8x1.25."""

import re
from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from shared.designations.head_model import Head, known_threads
from shared.designations.lengths import MARK, plain_number
from shared.designations.offers import refused
from shared.designations.thread_names import Size, SizeKind, threads_of_size
from shared.errors import InvalidInput
from shared.quantities.cursor import Cursor
from shared.standards.thread_model import Thread

_NUMBER: Final = r"([0-9]{1,4}(?:\.[0-9]{1,4})?|\.[0-9]{1,4})(?![0-9/]|\.[0-9])"
_ENDS: Final = rf"(?! [0-9]{{1,3}}/|-[0-9]{{1,3}}/|{MARK})"
_METRIC: Final = re.compile(r"M ?([0-9]{1,4}(?:\.[0-9]{1,3})?)(?![0-9/]|\.[0-9])(?: ?mm\b)?", re.I)
_PITCH: Final = re.compile(
    rf"(?P<sep> ?x ?P?| ?- ?| P ?| pitch | ){_NUMBER}{_ENDS}(?: ?mm\b)?(?: ?pitch\b)?", re.I
)
_BARE_METRIC: Final = re.compile(
    rf"([0-9]{{1,3}}(?:\.[0-9])?)(?: ?mm)?(?: ?x ?P?|-(?=[0-9]*\.)){_NUMBER}{_ENDS}(?: ?mm\b)?",
    re.I,
)
_SECOND_SIZE: Final = re.compile(r" ?x ?[0-9.]", re.I)
_SAME_PITCH: Final = 1e-9
_LEAST_LENGTH: Final = Fraction(3, 2)
"""Shorter than this, mm, no screw is sold; and none is shorter than half its diameter. Common
practice, no source."""


def read_metric(cursor: Cursor, pointer: str) -> Head | None:
    """Step over M and a size, and a pitch where one is listed so; None where none stands here.

    Raises InvalidInput (``pointer``) for a size or pitch of no listed thread.
    """
    found = cursor.take(_METRIC)
    if found is None:
        return None
    size = Size(SizeKind.METRIC, Fraction(found[1]))
    known = known_threads(size, pointer)
    pitch = _PITCH.match(cursor.text, cursor.at)
    if pitch is None:
        return Head(size, known, is_bare=True)
    value = Fraction(pitch[2])
    fitting = tuple(one for one in known if _has_pitch(one, value))
    by_x = "x" in pitch["sep"].lower()
    if fitting:
        cursor.at = pitch.end()
        return Head(size, fitting, is_bare=False, notes=_pitch_or_length(size, value, by_x=by_x))
    if by_x and (_SECOND_SIZE.match(cursor.text, pitch.end()) or not _is_length(size, value)):
        raise _unknown_pitch(pointer, size, known, value)
    return Head(size, known, is_bare=True)


def read_bare_metric(cursor: Cursor) -> Head | None:
    """Step over a size and a listed pitch without M, as in 8x1.25; None for anything else."""
    found = _BARE_METRIC.match(cursor.text, cursor.at)
    if found is None:
        return None
    size, value = Size(SizeKind.METRIC, Fraction(found[1])), Fraction(found[2])
    fitting = tuple(one for one in threads_of_size(size) if _has_pitch(one, value))
    if not fitting:
        return None
    cursor.at = found.end()
    return Head(
        size, fitting, is_bare=False, notes=(f"Read as {fitting[0].designation}, M left out.",)
    )


def _has_pitch(thread: Thread, value: Fraction) -> bool:
    return abs(thread.pitch - float(value)) < _SAME_PITCH


def _is_length(size: Size, value: Fraction) -> bool:
    """Whether a figure that is no listed pitch is long enough to be the length of a screw."""
    return value >= max(_LEAST_LENGTH, size.value / 2)


def _pitch_or_length(size: Size, value: Fraction, *, by_x: bool) -> tuple[str, ...]:
    if not by_x or value.denominator != 1 or value < 2:
        return ()
    coarse = threads_of_size(size)[0].designation
    return (
        f"{value} is read as the pitch in mm; a screw {value} mm long is written {coarse}x{value}.",
    )


def _unknown_pitch(
    pointer: str, size: Size, known: Sequence[Thread], value: Fraction
) -> InvalidInput:
    listed = [
        one.designation for one in sorted(known, key=lambda one: abs(one.pitch - float(value)))
    ]
    return refused(
        pointer,
        f"{size} with a pitch of {plain_number(float(value))} mm is no listed thread.",
        listed,
        f"If {plain_number(float(value))} is a length, write the pitch before it.",
    )
