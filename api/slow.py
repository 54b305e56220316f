"""Slow and vanished clients: they hold neither a thread nor memory for longer than the limits.

The head of a request is timed by the server itself (``api/server.py``), its body and the answer
here. None of it takes a thread: bodies are read, answers sent, by the event loop.
"""

import asyncio
from collections.abc import Awaitable, Callable
from typing import Any, Final

from api.errors import ApiError
from api.settings import Limits

_PIECE: Final = 128 * 1024
_MIB: Final = 1024 * 1024
_AFTER_S: Final = 0.05
"""Requests answered sooner are not watched: it would cost more than it saves."""

Receive = Callable[[], Awaitable[Any]]
Send = Callable[[Any], Awaitable[None]]


class ReaderTooSlow(Exception):
    """The client did not take the answer in time; its connection is cut."""


class Memory:
    """How many bytes of bodies may be held at once, by all requests together."""

    def __init__(self, limits: Limits) -> None:
        """Take the limits of the server."""
        self.free_bytes = limits.bodies_mib * _MIB

    def take(self, count: int) -> None:
        """Take so many bytes; raises the problem busy when they are not free."""
        if count > self.free_bytes:
            raise ApiError(
                "busy", "Too many large bodies at once.", headers={"Connection": "close"}
            )
        self.free_bytes -= count


class Body:
    """A request's body as it comes in: in time, or the problem request-timeout."""

    def __init__(self, receive: Receive, limits: Limits, memory: Memory) -> None:
        """Take what receives the messages, the limits and the memory for bodies."""
        self._receive = receive
        self._limits = limits
        self._memory = memory
        self._held_bytes = 0
        self._is_whole = False
        self._ends_at: float | None = None

    async def receive(self) -> Any:
        """Return the next message; raises ApiError."""
        if self._is_whole:
            return await self._receive()
        message = await self._next()
        if message["type"] == "http.request":
            count = len(message.get("body", b""))
            self._memory.take(count)
            self._held_bytes += count
            self._is_whole = not message.get("more_body", False)
        return message

    async def _next(self) -> Any:
        now = asyncio.get_running_loop().time()
        if self._ends_at is None:
            self._ends_at = now + self._limits.body_s
        try:
            async with asyncio.timeout_at(min(now + self._limits.body_gap_s, self._ends_at)):
                return await self._receive()
        except TimeoutError:
            raise ApiError(
                "request-timeout",
                f"The body came too slowly: wanted its next piece within"
                f" {self._limits.body_gap_s:g} s and all of it within {self._limits.body_s:g} s.",
                headers={"Connection": "close"},
            ) from None

    def let_go(self) -> None:
        """Give the memory back; the request is over."""
        self._memory.free_bytes += self._held_bytes
        self._held_bytes = 0


class Answer:
    """An answer on its way to the client: large ones piece by piece, in time, or cut."""

    def __init__(self, send: Send, limits: Limits) -> None:
        """Take what sends the messages, and the limits."""
        self._send = send
        self._limits = limits
        self._ends_at: float | None = None

    async def send(self, message: Any) -> None:
        """Send a message; raises ReaderTooSlow."""
        body = message.get("body", b"") if message["type"] == "http.response.body" else b""
        more = message.get("more_body", False)
        if not more and len(body) <= _PIECE and self._ends_at is None:
            await self._send(message)  # nothing to wait for: the server takes it whole
            return
        for start in range(0, len(body), _PIECE):
            await self._in_time(body[start : start + _PIECE])
        if not more:
            await self._send({"type": "http.response.body", "body": b"", "more_body": False})

    async def _in_time(self, piece: bytes) -> None:
        now = asyncio.get_running_loop().time()
        if self._ends_at is None:
            self._ends_at = now + self._limits.answer_s
        try:
            async with asyncio.timeout_at(min(now + self._limits.answer_gap_s, self._ends_at)):
                await self._send({"type": "http.response.body", "body": piece, "more_body": True})
        except TimeoutError:
            raise ReaderTooSlow from None


async def answer_while_there(
    answer: Callable[[Receive], Awaitable[None]], receive: Receive
) -> bool:
    """Answer a request without a body for as long as its client is there; say if it was to the end.

    A reading request whose client is gone gives up its place in the queue. What already runs in a
    thread runs to its end, which the limit of statements bounds. Only who waits is watched.
    """
    watch = _Watch(receive)
    try:
        await answer(_without_body())
    except asyncio.CancelledError:
        if not watch.is_gone:
            raise
        watch.answering.uncancel()
        return False
    finally:
        watch.end()
    return True


class _Watch:
    """Watches for the client's going, and cancels the task that answers it."""

    def __init__(self, receive: Receive) -> None:
        task = asyncio.current_task()
        assert task is not None
        self.answering = task
        self.is_gone = False
        self._receive = receive
        self._watching: asyncio.Task[None] | None = None
        self._timer = asyncio.get_running_loop().call_later(_AFTER_S, self._begin)

    def _begin(self) -> None:
        self._watching = asyncio.ensure_future(self._until_gone())

    async def _until_gone(self) -> None:
        try:
            while (await self._receive())["type"] != "http.disconnect":
                pass
        except ApiError:
            return  # a body that nobody asked for, too slow or too large: it is let be
        self.is_gone = True
        self.answering.cancel()

    def end(self) -> None:
        self._timer.cancel()
        if self._watching is not None:
            self._watching.cancel()


def _without_body() -> Receive:
    messages = [{"type": "http.request", "body": b"", "more_body": False}]

    async def receive() -> Any:
        if messages:
            return messages.pop()
        return await asyncio.get_running_loop().create_future()

    return receive
