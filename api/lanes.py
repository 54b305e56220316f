"""The threads that requests are worked on in: so many at once, so many waiting, so long.

Whoever comes when as many wait already, or has waited too long, is told to come again: a queue
without end would only answer people who are gone. Long calculations have threads of their own, so
that records can be read and written however many decisions are being computed.
"""

import asyncio
import threading
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from contextvars import ContextVar
from typing import Any, Final, TypeVar

from api.errors import ApiError
from api.settings import Limits

T = TypeVar("T")

CALCULATIONS: Final = frozenset(
    ("readOptions", "calculateDecision", "createDecision", "replayDecision")
)
"""The operations that may compute for seconds."""

request_scope: ContextVar[Any] = ContextVar("request_scope", default=None)
"""The request that the running task answers."""


def _busy(detail: str) -> ApiError:
    return ApiError("busy", detail)


class _Job:
    """Work that waits for a thread, and can be given up while it does."""

    def __init__(self, work: Callable[[], Any]) -> None:
        self._work = work
        self._lock = threading.Lock()
        self._waits = True
        self.answer: Future[Any] = Future()

    def run(self) -> None:
        if not self._leave_queue():
            return
        try:
            result = self._work()
        except BaseException as error:
            self.answer.set_exception(error)
        else:
            self.answer.set_result(result)

    def give_up(self) -> None:
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
        self._count = 0
        self._count_lock = threading.Lock()

    def submit(self, fn: Callable[..., T], /, *args: Any, **kwargs: Any) -> Future[T]:
        """Queue the work; raises the problem busy when too many wait already."""
        with self._count_lock:
            if self._count >= self._most:
                raise _busy("Too many requests at once.")
            self._count += 1
            has_to_wait = self._count > self._threads_at_once
        job = _Job(lambda: fn(*args, **kwargs))
        job.answer.add_done_callback(self._one_less)
        super().submit(job.run)
        if has_to_wait:
            asyncio.get_running_loop().call_later(self._wait_s, job.give_up)
        return job.answer

    def _one_less(self, _: Future[Any]) -> None:
        with self._count_lock:
            self._count -= 1


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
        if _calculates(request_scope.get()):
            return self._calculations.submit(fn, *args, **kwargs)
        return super().submit(fn, *args, **kwargs)

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """End the threads."""
        self._calculations.shutdown(wait, cancel_futures=cancel_futures)
        super().shutdown(wait, cancel_futures=cancel_futures)


def _calculates(scope: Any) -> bool:
    """Whether a request, its key found good already, is one that computes for long."""
    if scope is None or "auth" not in scope:
        return False
    return getattr(scope.get("route_handler"), "operation_id", None) in CALCULATIONS
