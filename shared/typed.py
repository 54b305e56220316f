"""Plain data into frozen dataclasses, safe for the first callers that come at once."""

import threading
from typing import TypeVar

import msgspec

T = TypeVar("T")

_learning = threading.Lock()
_learnt: set[type] = set()


def convert(data: object, kind: type[T], strict: bool = True) -> T:
    """Build a dataclass tree of ``kind`` from dictionaries and lists; raises ValidationError.

    ``strict``: whether a number written as text is refused where a number is wanted.
    """
    _learn(kind)
    return msgspec.convert(data, kind, strict=strict)


def decode(data: bytes, kind: type[T], strict: bool = True) -> T:
    """Build a dataclass tree of ``kind`` from JSON; raises MsgspecError."""
    _learn(kind)
    return msgspec.json.decode(data, type=kind, strict=strict)


def _learn(kind: type) -> None:
    """Let the library read the kind's members, and those of all kinds in it, in one thread.

    It keeps what it reads in each class, and puts it there before it is complete: a second thread
    that comes meanwhile takes the incomplete one, and the process ends with a segmentation fault.
    """
    if kind in _learnt:
        return
    with _learning:
        msgspec.json.Decoder(kind)
        _learnt.add(kind)
