"""How hard one answer may be looked for, and the asker's leave to stop.

The measure is the solver's own deterministic time, and a little for each problem handed over
(``search.EFFORT_PER_VARIABLE``): a unit is some seconds. It is summed over all searches of one
answer, so that a case and a limit stop at the same place on every machine. The asker's leave to
stop changes no result: it ends the answer with ``Cancelled``.
"""

import math
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Event, Thread

from shared.errors import CorewrightError

LOOKS_EVERY_SECONDS = 0.05
"""How often it is looked, during a long search, whether the asker has gone away."""


class Cancelled(CorewrightError):
    """Whoever asked no longer wants the answer."""

    code = "cancelled"

    def __init__(self) -> None:
        super().__init__("The answer is no longer wanted.")


class Budget:
    """Deterministic time that all searches of one answer share.

    ``limit``: so much in all; None: no bound. ``is_cancelled``: asked between the searches, and
    from another thread during a long one; it must be quick and must not raise.
    """

    def __init__(
        self, limit: float | None = None, is_cancelled: Callable[[], bool] | None = None
    ) -> None:
        self.limit = math.inf if limit is None else limit
        self.used = 0.0
        self.solves = 0
        self._left_out: dict[str, None] = {}
        self._is_cancelled = is_cancelled

    @property
    def left(self) -> float:
        """Deterministic time that may still be spent; never below 0."""
        return max(0.0, self.limit - self.used)

    @property
    def is_spent(self) -> bool:
        """Whether nothing is left: no further search is begun."""
        return self.left <= 0

    def spend(self, deterministic_time: float, solves: int = 1) -> None:
        """Note what searches took."""
        self.used += deterministic_time
        self.solves += solves

    @property
    def left_out(self) -> tuple[str, ...]:
        """What the limit left no room for, in words, in the order in which it was met."""
        return tuple(self._left_out)

    def leave_out(self, what: str) -> None:
        """Note something that the limit left no room for; each is told once."""
        self._left_out[what] = None

    def check(self) -> None:
        """Raise Cancelled if the answer is no longer wanted."""
        if self._is_cancelled is not None and self._is_cancelled():
            raise Cancelled

    @contextmanager
    def watching(self, stop: Callable[[], None]) -> Iterator[None]:
        """While this is entered, call ``stop`` as soon as the answer is no longer wanted."""
        is_cancelled = self._is_cancelled
        if is_cancelled is None:
            yield
            return
        is_done = Event()

        def watch() -> None:
            while not is_done.wait(LOOKS_EVERY_SECONDS):
                if is_cancelled():
                    stop()

        watcher = Thread(target=watch, name="search-watcher", daemon=True)
        watcher.start()
        try:
            yield
        finally:
            is_done.set()
            watcher.join()
