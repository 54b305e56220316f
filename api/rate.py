"""How often a caller may ask: a count per key, and per address for requests without a good key.

Header fields ``RateLimit-Policy`` and ``RateLimit`` as in the IETF draft "RateLimit header fields
for HTTP" (httpapi working group), structured fields of RFC 9651. Kept in the memory of the process
and bounded in size; several processes count each for itself. Forwarded-for headers are not
believed: anybody can write them.

A key that was good a moment ago is recognised by its hash, which decides only which count applies:
it lets nobody in. So a wrong key is refused, once over the limit, without a look into the database.
"""

import hashlib
import ipaddress
import math
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from api.errors import ApiError
from api.settings import Limits

_MOST: Final = 10_000

Clock = Callable[[], float]
"""Gives seconds that only ever rise."""


@dataclass(frozen=True, slots=True)
class Quota:
    """So many requests in a window of so many seconds, under a name."""

    name: str
    requests: int
    window_s: int


@dataclass(frozen=True, slots=True)
class Standing:
    """What a caller has left of its quota."""

    quota: Quota
    left: int
    reset_s: int
    """Seconds until the whole quota is there again."""
    is_over: bool = False

    def headers(self) -> list[tuple[bytes, bytes]]:
        """Return the two header fields.

        >>> Standing(Quota("shop", 600, 60), 599, 42).headers()
        [(b'ratelimit-policy', b'"shop";q=600;w=60'), (b'ratelimit', b'"shop";r=599;t=42')]
        """
        quota = self.quota
        policy = f'"{quota.name}";q={quota.requests};w={quota.window_s}'
        return [
            (b"ratelimit-policy", policy.encode()),
            (b"ratelimit", f'"{quota.name}";r={self.left};t={self.reset_s}'.encode()),
        ]

    def problem(self) -> ApiError:
        """Return the problem of a caller over its limit."""
        return ApiError(
            "rate-limited",
            f"More than {self.quota.requests} requests in {self.quota.window_s} s.",
            retry_after_s=self.reset_s,
        )


class Windows:
    """Counts the requests of each caller in a window that begins with the first of them."""

    def __init__(self, quota: Quota, clock: Clock, most: int = _MOST) -> None:
        """Take the quota, a clock and how many callers to remember; the oldest give way."""
        self._quota = quota
        self._clock = clock
        self._most = most
        self._open: OrderedDict[Any, tuple[float, int]] = OrderedDict()

    def __len__(self) -> int:
        return len(self._open)

    def take(self, caller: Any) -> Standing:
        """Count one request."""
        now = self._clock()
        began, count = self._open.get(caller, (-math.inf, 0))
        if now >= began + self._quota.window_s:
            self._open.pop(caller, None)  # so that the order stays that of the windows' beginnings
            began, count = now, 0
        is_over = count >= self._quota.requests
        self._open[caller] = (began, count if is_over else count + 1)
        if len(self._open) > self._most:
            self._open.popitem(last=False)
        return self._standing(caller, is_over)

    def give_back(self, caller: Any) -> None:
        """Take one request back."""
        if caller in self._open:
            began, count = self._open[caller]
            self._open[caller] = (began, max(0, count - 1))

    def _standing(self, caller: Any, is_over: bool) -> Standing:
        began, count = self._open[caller]
        reset_s = max(1, math.ceil(began + self._quota.window_s - self._clock()))
        return Standing(self._quota, self._quota.requests - count, reset_s, is_over)


class RateLimiter:
    """Decides which count a request belongs to; for one event loop, without locks."""

    def __init__(self, limits: Limits, clock: Clock) -> None:
        """Take the limits and a clock."""
        self._keys = Windows(Quota("shop", limits.requests_per_key, limits.window_s), clock)
        self._peers = Windows(Quota("peer", limits.requests_per_peer, limits.window_s), clock)
        self._good: OrderedDict[bytes, None] = OrderedDict()

    def arrive(self, scope: Any) -> "Visit":
        """Count a request that comes in."""
        key, peer = _key_of(scope), _peer_of(scope)
        if key is not None and key in self._good:
            return Visit(key, peer, self._keys.take(key), by_key=True)
        return Visit(key, peer, self._peers.take(peer), by_key=False)

    def settle(self, visit: "Visit", *, let_in: bool, status: int) -> Standing:
        """Count an answered request to whom it belongs, now that its key is known; say how it is.

        Without this, fifty benches that start at once behind one address would use up its quota.
        """
        if visit.by_key and status == 401:
            self._good.pop(visit.key or b"", None)
        elif let_in and not visit.by_key and visit.key is not None:
            self._good[visit.key] = None
            if len(self._good) > _MOST:
                self._good.popitem(last=False)
            self._peers.give_back(visit.peer)
            return self._keys.take(visit.key)
        return visit.standing


@dataclass(frozen=True, slots=True)
class Visit:
    """One request as the limiter sees it: the hash of its key, its peer, where it was counted."""

    key: bytes | None
    peer: str
    standing: Standing
    by_key: bool


def _key_of(scope: Any) -> bytes | None:
    found = [value for name, value in scope["headers"] if name == b"authorization"]
    return hashlib.sha256(found[0]).digest() if len(found) == 1 else None


def _peer_of(scope: Any) -> str:
    """Return the address of the other end of the connection; of IPv6 the network of 64 bits.

    >>> _peer_of({"client": ("2001:db8:0:1:2:3:4:5", 50000)})
    '2001:db8:0:1::/64'
    """
    text = str(scope["client"][0]) if scope.get("client") else ""
    if ":" not in text:
        return text
    try:
        address = ipaddress.IPv6Address(text.partition("%")[0])
    except ValueError:
        return text
    if address.ipv4_mapped is not None:
        return str(address.ipv4_mapped)
    return str(ipaddress.IPv6Network((address, 64), strict=False))
