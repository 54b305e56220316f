"""What the list of the house's tables says of each."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class TableInfo:
    """A table: its name, what it holds, the publications it is from, how it is read.

    ``name`` is the file's without its ending, or the topic's where the rows are computed; ``title``
    says in words what it holds and its range; ``load`` reads and checks it, and returns its rows
    (each with ``source``, ``edition``, ``basis``, or a thread's ``standard``). ``note`` says what
    it leaves out or how far it may be trusted.
    """

    name: str
    title: str
    load: Callable[[], Sequence[Any]]
    note: str = ""
