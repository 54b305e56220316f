"""The threads that requests are worked on in: so many at once, so many waiting, so long.

Whoever comes when as many wait already, or has waited too long, is told to come again: a queue
without end would only answer people who are gone. Long calculations have threads of their own, so
that records can be read and written however many decisions are being computed; whose client is gone
is told so, and stops.
"""

import asyncio
import threading
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from contextvars import ContextVar
from typing import Any, Final, TypeVar

from api.errors import ApiError
from api.settings import Limits
from api.slow import watching
from shared.decision.planning.budget import Cancelled

T = TypeVar("T")

CALCULATIONS: Final = frozenset(
    (
        "readOptions",
        "readCustomerOptions",
        "calculateDecision",
        "createDecision",
        "replayDecision",
        "readSubstitutes",
        "readDonors",
        "calculateSubstitutes",
    )
)
"""The operations that may compute for seconds."""

request_scope: ContextVar[Any] = ContextVar("request_scope", default=None)
"""The request that the running task answers."""


_ENDING: Final = "The server is being stopped."


def _busy(detail: str) -> ApiError:
    return ApiError("busy", detail)


_working = threading.local()


def given_up() -> Callable[[], bool]:
    """Return what tells whether the work of this thread was given up since: its client is gone.

    Called by a handler, in the thread it runs in; what is returned may be asked by any thread, as
    often as one likes. Outside the lanes nothing is ever given up.
    """
    answer: _Promised | None = getattr(_working, "answer", None)
    return _never if answer is None else answer.is_given_up.is_set


def _never() -> bool:
    return False


class _Promised(Future[Any]):
    """An answer that remembers being cancelled even when it is being worked on already."""

    def __init__(self) -> None:
        super().__init__()
        self.is_given_up = threading.Event()

    def cancel(self) -> bool:
        self.is_given_up.set()
        return super().cancel()


class _Job:
    """Work that waits for a thread, and can be given up while it does."""

    def __init__(self, work: Callable[[], Any]) -> None:
        self._work = work
        self._lock = threading.Lock()
        self._waits = True
        self.answer = _Promised()

    def run(self) -> None:
        if not self._leave_queue():
            return
        _working.answer = self.answer
        try:
            self._work_out()
        finally:
            del _working.answer

    def _work_out(self) -> None:
        try:
            result = self._work()
        except Cancelled:
            # Heard only where the client is still there, and it is the server that goes.
            self.answer.set_exception(_busy(_ENDING))
        except BaseException as error:
            self.answer.set_exception(error)
        else:
            self.answer.set_result(result)

    def give_up(self, why: str) -> None:
        """Take the job out of the queue, or tell who works on it to stop."""
        if self._leave_queue():
            self.answer.set_exception(_busy(why))
        else:
            self.answer.is_given_up.set()

    def waited_too_long(self) -> None:
        if self._leave_queue():
            self.answer.set_exception(_busy("No thread came free in time."))

    def _leave_queue(self) -> bool:
        """Whether the job waited until now and is still wanted."""
        with self._lock:
            waited, self._waits = self._waits, False
        return waited and self.answer.set_running_or_notify_cancel()


class Lane(ThreadPoolExecutor):
    """Threads with a queue that is bounded in length and in time; called from the event loop."""

    def __init__(self, threads: int, waiting: int, wait_s: float, name: str) -> None:
        """Take the numbers, and the name that the threads bear."""
        super().__init__(threads, name)
        self._threads_at_once = threads
        self._most = threads + waiting
        self._wait_s = wait_s
        self._jobs: set[_Job] = set()
        self._jobs_lock = threading.Lock()

    def submit(self, fn: Callable[..., T], /, *args: Any, **kwargs: Any) -> Future[T]:
        """Queue the work; raises the problem busy when too many wait already."""
        job = _Job(lambda: fn(*args, **kwargs))
        with self._jobs_lock:
            if len(self._jobs) >= self._most:
                raise _busy("Too many requests at once.")
            self._jobs.add(job)
            has_to_wait = len(self._jobs) > self._threads_at_once
        job.answer.add_done_callback(lambda _: self._one_less(job))
        super().submit(job.run)
        if has_to_wait:
            asyncio.get_running_loop().call_later(self._wait_s, job.waited_too_long)
        return job.answer

    @property
    def count(self) -> int:
        """How many jobs are worked on or wait."""
        return len(self._jobs)

    def give_up_all(self) -> None:
        """Tell all that is worked on to stop, all that waits that it is too late."""
        with self._jobs_lock:
            jobs = list(self._jobs)
        for job in jobs:
            job.give_up(_ENDING)

    def _one_less(self, job: _Job) -> None:
        with self._jobs_lock:
            self._jobs.discard(job)


class Lanes(Lane):
    """The threads of all handlers; what computes for long goes to those of calculations."""

    def __init__(self, limits: Limits) -> None:
        """Take the limits of the server."""
        super().__init__(limits.threads, limits.waiting, limits.wait_s, "handler")
        self._calculations = Lane(
            limits.calculations,
            limits.calculations_waiting,
            limits.calculation_wait_s,
            "calculation",
        )

    def submit(self, fn: Callable[..., T], /, *args: Any, **kwargs: Any) -> Future[T]:
        """Queue the work where it belongs; raises the problem busy."""
        if not _calculates(request_scope.get()):
            return super().submit(fn, *args, **kwargs)
        answer = self._calculations.submit(fn, *args, **kwargs)
        client = watching.get()
        if client is not None and not _stores(request_scope.get()):
            client.watch()
        return answer

    def end_calculations(self) -> None:
        """Give up the calculations that still run or wait: the server is being stopped."""
        self._calculations.give_up_all()

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """End the threads."""
        self._calculations.shutdown(wait, cancel_futures=cancel_futures)
        super().shutdown(wait, cancel_futures=cancel_futures)


def _stores(scope: Any) -> bool:
    """Whether a request is one that stores something: sent whole it is done, whoever waits."""
    return bool(scope["route_handler"].opt.get("stores"))


def _calculates(scope: Any) -> bool:
    """Whether a request, its key found good already, is one that computes for long."""
    if scope is None or "auth" not in scope:
        return False
    return getattr(scope.get("route_handler"), "operation_id", None) in CALCULATIONS
