"""Ids: a short prefix and a time-ordered random tail.

| record | prefix | record | prefix | record | prefix |
|---|---|---|---|---|---|
| assembly | asm | interchange claim | clm | job | job |
| position | pos | unit | unt | decision | dec |
| access group | grp | finding | fnd | ruling | rul |
| position set | pst | supplier | sup | shop | shp |
| labour operation | opr | offer | ofr | key | key |
| characteristic | chr | shop settings | set | part | prt |
| salvaged part | slv | reservation | rsv | fitment | fit |
| caution | cau | supersession | sps | special tool | stl |
| stock item | stk | shim pack | shm | delivery | dlv |
| outcome | out | shim place | spl | gauge | gau |
"""

import secrets
import threading
import time
from typing import Final

_DIGITS: Final = "0123456789abcdefghjkmnpqrstvwxyz"
_RANDOM_BITS: Final = 80
_LENGTH: Final = 26

_lock = threading.Lock()
_last = 0


def new_id(prefix: str) -> str:
    """Return a new id: milliseconds since 1970 (48 bits) and 80 random bits, in base 32.

    Within one process ids rise strictly, whatever the clock does; between processes they rise with
    the clock. The 32 digits leave out i, l, o, u, which people misread.

    >>> first, second = new_id("pos"), new_id("pos")
    >>> first < second, len(first), first[:4]
    (True, 30, 'pos_')
    """
    global _last  # noqa: PLW0603 - one counter per process is the point
    fresh = (time.time_ns() // 1_000_000 << _RANDOM_BITS) | secrets.randbits(_RANDOM_BITS)
    with _lock:
        # A clock that stands or steps back: go on from the last id by a random step.
        _last = fresh if fresh > _last else _last + 1 + secrets.randbits(32)
        number = _last
    return f"{prefix}_{_base32(number)}"


def _base32(number: int) -> str:
    places = range(5 * (_LENGTH - 1), -1, -5)
    return "".join(_DIGITS[(number >> place) & 31] for place in places)
