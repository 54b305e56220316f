"""Reads inch, numbered, BA and pipe threads at the head: 1/4-20 UNC, #10-32, 2 BA, G 1/4, 3/8."""

import re
from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from shared.designations.head_model import Head, absent_thread, known_threads
from shared.designations.lengths import MARK, inches_of, plain_number
from shared.designations.offers import refused, shown
from shared.designations.series_words import ABSENT_AFTER, SERIES_AFTER, SERIES_BEFORE, series_of
from shared.designations.thread_names import (
    Size,
    SizeKind,
    of_series,
    size_of_decimal,
    threads_of_size,
)
from shared.errors import InvalidInput
from shared.quantities.cursor import Cursor
from shared.standards.thread_model import Thread, ThreadSeries

_BY_NUMBER: Final = re.compile(
    r"(?:# ?|(?:no|nr)\.? ?|number )([0-9]{1,2})(?![0-9/]|\.[0-9])", re.I
)
_BA: Final = re.compile(
    r"(?:(?:no|nr)\.? ?)?(?:([0-9]{1,2})[ -]{0,2}BA(?![A-WYZ])|BA ?([0-9]{1,2})\b)", re.I
)
_FRACTION: Final = re.compile(
    r"(?:([0-9]{1,2})(?: ?- ?| ))?([0-9]{1,2})/([0-9]{1,3})(?![0-9/]|\.[0-9])"
)
_DECIMAL: Final = re.compile(r"([0-9]?\.[0-9]{1,4})(?![0-9/.])")
_WHOLE: Final = re.compile(r"([0-9]{1,2})(?![0-9/]|\.[0-9])")
_MARK: Final = re.compile(MARK, re.I)

_TURNS: Final = r"((?:[2-7]|11)(?:\.5| 1/2|-1/2)|[0-9]{1,2})(?![0-9/]|\.[0-9])"
_DASH_TURNS: Final = re.compile(rf" ?- ?{_TURNS}")
_BLANK_TURNS: Final = re.compile(rf" {_TURNS}(?= ?-? ?[UNBCWGRtx]|$)", re.I)
_X_TURNS: Final = re.compile(rf" ?x ?{_TURNS}")
_TURNS_WORD: Final = re.compile(r" ?-? ?(?:tpi|turns per inch|threads per inch)\b", re.I)
_FEWEST_TURNS: Final = 4
_BRASS_TURNS: Final = 26
_BLANK_SERIES: Final = re.compile(r" [0-9]{1,2}(?: ?-? ?)(?:UN[CFS]?|UNEF|BS[WFC]|tpi)\b", re.I)


def read_ba(cursor: Cursor, pointer: str) -> Head | None:
    """Step over a BA thread; None, and the cursor unmoved, where none stands here."""
    found = cursor.take(_BA)
    if found is None:
        return None
    size = Size(SizeKind.BA, Fraction(found[1] or found[2]))
    return Head(size, known_threads(size, pointer), is_bare=False)


def read_inch(cursor: Cursor, pointer: str) -> Head | None:
    """Step over a thread named by inches or a number; None where none stands here.

    Raises InvalidInput (``pointer``) for a size, series or turns per inch of no listed thread.
    """
    start = cursor.at
    before = cursor.take(SERIES_BEFORE)
    sizes = _sizes(cursor, series_said=before is not None)
    if not sizes:
        cursor.at = start
        return None
    series = series_of(before[1]) if before else None
    return _finished(cursor, pointer, sizes, series)


def _sizes(cursor: Cursor, *, series_said: bool) -> tuple[Size, ...]:
    """Step over an inch or number size; return what it may be, nothing where none stands here."""
    start = cursor.at
    if found := cursor.take(_BY_NUMBER):
        return (Size(SizeKind.NUMBER, Fraction(found[1])),)
    if found := cursor.take(_FRACTION):
        inches = inches_of(found[1], found[2], found[3])
        cursor.take(_MARK)
        return () if inches is None else (Size(SizeKind.INCH, inches),)
    is_decimal = cursor.take(_DECIMAL)
    found = is_decimal or cursor.take(_WHOLE)
    if found is None:
        return ()
    is_marked = cursor.take(_MARK) is not None
    if not (is_marked or series_said or _goes_on(cursor)):
        cursor.at = start
        return ()
    if is_decimal:
        size = size_of_decimal(found[1])
        if size is None and not (is_marked or series_said):
            cursor.at = start
        return (size,) if size is not None else ()
    inch = Size(SizeKind.INCH, Fraction(found[1]))
    number = Size(SizeKind.NUMBER, Fraction(found[1]))
    return (inch,) if is_marked else (inch, number)


def _goes_on(cursor: Cursor) -> bool:
    """Whether turns per inch or a series follow: without them a figure is no thread's size."""
    return any(
        cursor.sees(pattern) for pattern in (_DASH_TURNS, SERIES_AFTER, ABSENT_AFTER, _BLANK_SERIES)
    )


def _finished(
    cursor: Cursor, pointer: str, sizes: Sequence[Size], series: frozenset[ThreadSeries] | None
) -> Head | None:
    some = tuple(thread for size in sizes for thread in threads_of_size(size))
    if not some and len(sizes) > 1:
        return None
    some = some or known_threads(sizes[0], pointer)
    some, has_turns = _with_turns(cursor, pointer, sizes, some, series)
    if absent := cursor.take(ABSENT_AFTER):
        raise absent_thread(cursor, pointer, absent[1])
    if series is None and (after := cursor.take(SERIES_AFTER)):
        series = series_of(after[1])
    if series is not None:
        some = _in_series(cursor, pointer, some, series)
        if not has_turns:
            some, has_turns = _with_turns(cursor, pointer, sizes, some, series)
    return Head(
        _own(sizes, some),
        some,
        is_bare=series is None and not has_turns,
        notes=_absent_twins(some) if series is None and has_turns else (),
    )


def _absent_twins(some: Sequence[Thread]) -> tuple[str, ...]:
    """Say which threads of the same size and turns per inch have no table in the house."""
    found = {thread.series for thread in some}
    notes = []
    if ThreadSeries.CYCLE in found and some[0].turns_per_inch == _BRASS_TURNS:
        notes.append(
            "The British brass thread has 26 turns per inch in every size, flanks of 55 degrees"
            " (from memory): no table of it is held here."
        )
    if ThreadSeries.NPT in found:
        notes.append(
            "NPT shares size and turns with the dryseal and the parallel American pipe threads"
            " (NPTF, NPSM; from memory): no table of them is held here."
        )
    return tuple(notes)


def _own(sizes: Sequence[Size], some: Sequence[Thread]) -> Size:
    return next((size for size in sizes if some[0] in threads_of_size(size)), sizes[0])


def _with_turns(
    cursor: Cursor,
    pointer: str,
    sizes: Sequence[Size],
    some: tuple[Thread, ...],
    series: frozenset[ThreadSeries] | None,
) -> tuple[tuple[Thread, ...], bool]:
    """Step over turns per inch, where they stand; keep the threads that have them."""
    for pattern in (_DASH_TURNS, _BLANK_TURNS, _X_TURNS):
        found = pattern.match(cursor.text, cursor.at)
        if found is None:
            continue
        turns = _turns(found[1])
        fitting = tuple(one for one in some if one.turns_per_inch == turns)
        word = _TURNS_WORD.match(cursor.text, found.end())
        is_said = word is not None or SERIES_AFTER.match(cursor.text, found.end()) is not None
        if pattern is _X_TURNS and not is_said:
            if fitting and series is None:
                raise _turns_or_length(pointer, fitting, found[1])
            continue
        if fitting or ((is_said or pattern is _DASH_TURNS) and turns >= _FEWEST_TURNS):
            if not fitting:
                raise _unknown_turns(pointer, sizes, some, turns)
            cursor.at = word.end() if word else found.end()
            return fitting, True
    return some, False


def _turns(text: str) -> float:
    half = next((one for one in (".5", " 1/2", "-1/2") if text.endswith(one)), "")
    return float(text.removesuffix(half)) + (0.5 if half else 0.0)


def _in_series(
    cursor: Cursor, pointer: str, some: tuple[Thread, ...], series: frozenset[ThreadSeries]
) -> tuple[Thread, ...]:
    fitting = of_series(some, series)
    if fitting:
        return fitting
    written = shown(cursor.text[: cursor.at].strip())
    raise refused(
        pointer,
        f"'{written}' is no listed thread: the size has no such series or turns per inch.",
        [one.designation for one in some],
    )


def _unknown_turns(
    pointer: str, sizes: Sequence[Size], some: Sequence[Thread], turns: float
) -> InvalidInput:
    near = sorted(some, key=lambda one: abs((one.turns_per_inch or 0.0) - turns))
    return refused(
        pointer,
        f"{sizes[0]} with {plain_number(turns)} turns per inch is no listed thread.",
        [one.designation for one in near],
    )


def _turns_or_length(pointer: str, fitting: Sequence[Thread], figure: str) -> InvalidInput:
    return refused(
        pointer,
        f"x {figure} may be turns per inch or a length.",
        [one.designation for one in fitting],
        f"For a length write its unit: x {figure} mm.",
    )
