"""What stands at the head of a designation; what is said of a thread that the house lacks."""

from dataclasses import dataclass

from shared.designations.offers import refused, shown
from shared.designations.series_words import absent_series
from shared.designations.thread_names import Size, nearest_sizes, threads_of_size
from shared.errors import InvalidInput
from shared.quantities.cursor import Cursor
from shared.standards.thread_model import Thread


@dataclass(frozen=True, slots=True)
class Head:
    """The threads that a head may mean, the likeliest first.

    ``is_bare``: neither pitch nor series was written, as in M10 or 3/8.
    """

    size: Size
    threads: tuple[Thread, ...]
    is_bare: bool
    notes: tuple[str, ...] = ()


def known_threads(size: Size, pointer: str) -> tuple[Thread, ...]:
    """Return all threads of a size; raises InvalidInput (``pointer``) with the nearest sizes."""
    known = threads_of_size(size)
    if not known:
        raise refused(
            pointer, f"{size} is no size of a thread in the house.", list(nearest_sizes(size))
        )
    return known


def absent_thread(cursor: Cursor, pointer: str, word: str) -> InvalidInput:
    """Return the error for a thread, named by ``word``, of which the house has no table."""
    return InvalidInput(
        pointer,
        f"'{shown(cursor.text)}' names {absent_series(word)}: no table of it is in the house.",
        "Measure it against a drawing or a gauge; it is not one of the threads known here.",
        "designation-not-held",
    )
