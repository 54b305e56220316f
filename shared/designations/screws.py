"""Reads screws, nuts and bare threads: M8x1.25x40 8.8, 1/4-20 UNC x 1 1/2 grade 5, M8 nut 8.

All that a text may mean comes back, the likeliest first; nothing is guessed and nothing dropped.
"""

from collections.abc import Iterable
from typing import Final

from shared.designations.finished import finished
from shared.designations.head_model import Head
from shared.designations.lengths import plain_number
from shared.designations.model import Fastener
from shared.designations.offers import refused, shown
from shared.designations.thread_heads import read_head
from shared.designations.thread_names import METRIC, PIPE, UNIFIED, of_series, threads_of_size
from shared.designations.words import SCREW_WORDS
from shared.designations.written import Written, step_over_separators, without_dots
from shared.errors import InvalidInput
from shared.quantities.cursor import Cursor
from shared.standards.part_standards import StandardPart, part_standard
from shared.standards.thread_model import Thread, ThreadSeries

_S: Final = ThreadSeries


def read_screw(text: str, pointer: str = "/text") -> tuple[Fastener, ...]:
    """Return every fastener or thread that ``text`` (tidied) may name, the likeliest first.

    Nothing if no thread stands in it. Raises InvalidInput (``pointer``) for what begins as a thread
    and cannot be read to its end, naming the piece.
    """
    plain = without_dots(text)
    cursor = Cursor(plain)
    written = Written(plain, pointer)
    head = _read(cursor, written, pointer)
    if head is None:
        return ()
    threads = _kept(head, written, pointer)
    found: list[Fastener] = []
    refusal: InvalidInput | None = None
    for thread in threads:
        try:
            found += finished(thread, written, _notes(head, thread, written))
        except InvalidInput as error:
            refusal = refusal or error
    if not found and refusal is not None:
        raise refusal
    return tuple(found)


def _read(cursor: Cursor, written: Written, pointer: str) -> Head | None:
    """Step over the whole text; None where it is no thread at all."""
    head: Head | None = None
    while True:
        step_over_separators(cursor)
        if cursor.done:
            break
        if head is None:
            head = read_head(cursor, pointer, with_bare_metric=not _is_other(written))
            if head is not None:
                if any(thread.series in PIPE for thread in head.threads):
                    written.take_pipe_class(cursor)
                continue
        if not written.take_one(cursor):
            if head is None:
                return None
            raise written.unread(cursor, _so_far(head, written))
    if head is not None and written.loose_at is not None and not written.is_nut:
        cursor.at, written.figure = written.loose_at, None
        raise written.unread(cursor, _so_far(head, written))
    return head


def _so_far(head: Head, written: Written) -> str:
    """Return the name of what was read before the piece that could not be read."""
    try:
        return finished(head.threads[0], written, [])[0].canonical
    except InvalidInput:
        return head.threads[0].designation


def _is_other(written: Written) -> bool:
    """Whether a standard of parts without a thread is named: DIN 471 25x1.2 is no M25."""
    found = [part_standard(one) for one in written.standards]
    return any(row is not None and row.part is StandardPart.OTHER for row in found)


def _kept(head: Head, written: Written, pointer: str) -> tuple[Thread, ...]:
    """Return the threads that all words beside the head leave open."""
    threads = head.threads
    if head.is_bare and head.size.kind == "M" and "fine" not in written.kept_to:
        threads = of_series(threads, {_S.METRIC_COARSE}) or threads
    for word, series in written.kept_to.items():
        threads = _narrowed(threads, of_series(threads, series), word, written, pointer)
    if written.tolerance is not None:
        threads = _narrowed(
            threads, _of_tolerance(threads, written.tolerance), written.tolerance, written, pointer
        )
    if written.grade is not None and not all(thread.is_metric for thread in threads):
        threads = of_series(threads, UNIFIED) or threads
    if _is_fastener(written):
        threads = tuple(one for one in threads if one.series not in PIPE) or threads
    words = set(written.words)
    if words & {"male", "external"}:
        threads = _without(threads, {_S.PIPE_TAPER_INTERNAL, _S.PIPE_PARALLEL_INTERNAL})
    if words & {"female", "internal"}:
        threads = _without(threads, {_S.PIPE_TAPER_EXTERNAL})
    if "taper" in words or "tapered" in words:
        threads = tuple(one for one in threads if one.is_taper) or threads
    if "parallel" in words:
        threads = tuple(one for one in threads if not one.is_taper) or threads
    return threads


def _is_fastener(written: Written) -> bool:
    return (
        written.length is not None
        or written.is_nut
        or written.is_screw
        or bool(SCREW_WORDS & set(written.words))
        or written.property_class is not None
        or written.figure is not None
        or written.grade is not None
    )


def _without(threads: tuple[Thread, ...], series: Iterable[ThreadSeries]) -> tuple[Thread, ...]:
    return tuple(one for one in threads if one.series not in set(series)) or threads


def _narrowed(
    threads: tuple[Thread, ...],
    left: tuple[Thread, ...],
    word: str,
    written: Written,
    pointer: str,
) -> tuple[Thread, ...]:
    if left:
        return left
    raise refused(
        pointer,
        f"'{word}' does not belong to the thread in '{shown(written.text)}'.",
        [one.designation for one in threads],
    )


def _of_tolerance(threads: tuple[Thread, ...], tolerance: str) -> tuple[Thread, ...]:
    if tolerance in {"A", "B"}:
        return of_series(threads, {_S.PIPE_PARALLEL})
    return of_series(threads, UNIFIED if tolerance[-1] in "AB" else METRIC)


def _notes(head: Head, thread: Thread, written: Written) -> list[str]:
    notes = list(head.notes)
    if head.is_bare and thread.series is _S.METRIC_COARSE:
        of_size = [one for one in threads_of_size(head.size) if one is not thread]
        older = [one.designation for one in of_size if one.series is _S.METRIC_OLDER]
        fine = [one.designation for one in of_size if one.series is not _S.METRIC_OLDER]
        pitch = plain_number(thread.pitch)
        listed = f"; fine pitches are written: {', '.join(fine)}" if fine else ""
        listed += f"; on old vehicles: {', '.join(older)}" if older else ""
        notes.append(f"No pitch is written: the coarse one, {pitch} mm, by ISO 965-1{listed}.")
    elif head.is_bare and thread.is_metric and "fine" not in written.kept_to:
        notes.append(
            f"No pitch is written, and ISO 261 has no coarse one for this size: it may be"
            f" {thread.designation}; measure the pitch."
        )
    if written.grade is not None and len(head.threads) > 1 and thread.series in UNIFIED:
        others = [one.designation for one in head.threads if one.series not in UNIFIED]
        if others:
            notes.append(
                f"A grade of SAE J429 belongs to unified threads: {', '.join(others[:4])} left out."
            )
    return notes
