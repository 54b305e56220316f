"""A load of a few callers that each send their next request when the last is answered."""

import asyncio
from collections.abc import Callable
from dataclasses import dataclass
from statistics import quantiles
from time import perf_counter


@dataclass(frozen=True)
class Measured:
    """Answers in a second, and the milliseconds that half and 99 of 100 of them took at most."""

    per_second: float
    p50_ms: float
    p99_ms: float


@dataclass(frozen=True)
class Request:
    """One request as it goes over the wire, but for the Host header."""

    method: str
    path: str
    headers: tuple[tuple[str, str], ...] = ()
    body: bytes = b""

    def encoded(self) -> bytes:
        lines = [f"{self.method} {self.path} HTTP/1.1", "Host: bench"]
        lines += [f"{name}: {value}" for name, value in self.headers]
        if self.body:
            lines.append(f"Content-Length: {len(self.body)}")
        return "\r\n".join(lines).encode() + b"\r\n\r\n" + self.body


def measure(
    port: int, make: Callable[[int], Request], wanted: int, seconds: float, callers: int = 8
) -> Measured:
    """Send requests for some seconds; raises AssertionError for an answer of another status."""
    return asyncio.run(_measure(port, make, wanted, seconds, callers))


async def _measure(
    port: int, make: Callable[[int], Request], wanted: int, seconds: float, callers: int
) -> Measured:
    times: list[float] = []
    began = perf_counter()

    async def caller(first: int) -> None:
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        number = first
        while perf_counter() - began < seconds:
            start = perf_counter()
            writer.write(make(number).encoded())
            status = await _answer(reader)
            times.append((perf_counter() - start) * 1000)
            assert status == wanted, f"answered {status} to {make(number)}"
            number += callers
        writer.close()

    await asyncio.gather(*(caller(first) for first in range(callers)))
    taken = perf_counter() - began
    cuts = quantiles(times, n=100)
    return Measured(len(times) / taken, cuts[49], cuts[98])


async def _answer(reader: asyncio.StreamReader) -> int:
    head = await reader.readuntil(b"\r\n\r\n")
    first, *lines = head.decode().split("\r\n")
    headers = dict(line.lower().split(": ", 1) for line in lines if line)
    await reader.readexactly(int(headers.get("content-length", "0")))
    return int(first.split()[1])
