"""Reads the thread at the head of a designation: M8x1.25, 1/4-20 UNC, #10-32, 3/8W, G 1/4, 2 BA."""

from shared.designations.head_model import Head, absent_thread
from shared.designations.inch_heads import read_ba, read_inch
from shared.designations.metric_heads import read_bare_metric, read_metric
from shared.designations.series_words import ABSENT_BEFORE
from shared.quantities.cursor import Cursor


def read_head(cursor: Cursor, pointer: str, *, with_bare_metric: bool = True) -> Head | None:
    """Step over a thread and return it; None, and the cursor unmoved, where none stands here.

    ``with_bare_metric``: whether 8x1.25 may be a thread. Raises InvalidInput (``pointer``) for what
    is surely meant as a thread but is none of the house's.
    """
    if absent := cursor.take(ABSENT_BEFORE):
        raise absent_thread(cursor, pointer, absent[1])
    found = read_metric(cursor, pointer) or read_ba(cursor, pointer)
    if found is None and with_bare_metric:
        found = read_bare_metric(cursor)
    return found or read_inch(cursor, pointer)
