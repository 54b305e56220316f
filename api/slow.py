"""Slow and vanished clients: they hold neither a thread nor memory for longer than the limits.

The head of a request is timed by the server itself (``api/server.py``), its body and the answer
here. None of it takes a thread: bodies are read, answers sent, by the event loop.
"""

import asyncio
from collections.abc import Awaitable, Callable
from contextvars import ContextVar
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
        """Give the memory back; the request is over.

        What was raised over a body may hold on to it for a while, and as long as anything holds on
        to what receives, the server leaves a connection open whose body was not read to its end.
        """
        self._memory.free_bytes += self._held_bytes
        self._held_bytes = 0
        self._receive = _nothing_more


async def _nothing_more() -> Any:
    return {"type": "http.disconnect"}


async def _nowhere(message: Any) -> None:
    del message


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

    def let_go(self) -> None:
        """Hold on to nothing of the server's; the request is over (see ``Body.let_go``)."""
        self._send = _nowhere

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
    thread is told (``api/lanes.py``), and runs to its end unless it asks; the limit of statements
    bounds it. Only who waits is watched.
    """
    client = Client(receive)
    client.watch()
    return await client.be_answered(answer(_without_body()))


async def answer_to_who_waits(
    answer: Callable[[Receive], Awaitable[None]], receive: Receive
) -> bool:
    """Answer a request with a body; say if it was to the end.

    Its client is watched only from the moment that ``watching`` is told to: when the body is read,
    and long work begins that changes nothing. What writes is never broken off.
    """
    client = Client(receive)
    token = watching.set(client)
    try:
        return await client.be_answered(answer(receive))
    finally:
        watching.reset(token)


class Client:
    """Who waits for the answer that the running task gives; gone, the task is cancelled."""

    def __init__(self, receive: Receive) -> None:
        """Take what receives the messages of the client."""
        task = asyncio.current_task()
        assert task is not None
        self._answering = task
        self._is_gone = False
        self._receive = receive
        self._watching: asyncio.Task[None] | None = None
        self._timer: asyncio.TimerHandle | None = None

    def watch(self) -> None:
        """Begin to watch, unless the answer is given soon."""
        if self._timer is None:
            self._timer = asyncio.get_running_loop().call_later(_AFTER_S, self._begin)

    async def be_answered(self, answer: Awaitable[None]) -> bool:
        """Wait for the answer; say if it was given to the end."""
        try:
            await answer
        except asyncio.CancelledError:
            if not self._is_gone:
                raise
            self._answering.uncancel()
            return False
        finally:
            self._end()
        return True

    def _begin(self) -> None:
        self._watching = asyncio.ensure_future(self._until_gone())

    async def _until_gone(self) -> None:
        try:
            while (await self._receive())["type"] != "http.disconnect":
                pass
        except ApiError:
            return  # a body that nobody asked for, too slow or too large: it is let be
        self._is_gone = True
        self._answering.cancel()

    def _end(self) -> None:
        if self._timer is not None:
            self._timer.cancel()
        if self._watching is not None:
            self._watching.cancel()


watching: ContextVar[Client | None] = ContextVar("watching", default=None)
"""The client of the running task, where it is to be watched once long work begins."""


def _without_body() -> Receive:
    messages = [{"type": "http.request", "body": b"", "more_body": False}]

    async def receive() -> Any:
        if messages:
            return messages.pop()
        return await asyncio.get_running_loop().create_future()

    return receive
