"""Snapshots and results as JSON and back, and the hash that names a snapshot.

Decimals and dates are text, absent values are null, members are sorted: equal snapshots give equal
bytes. The same form is what the API takes and gives.
"""

import hashlib
from typing import Any, TypeVar

import msgspec

from shared import typed
from shared.decision.result import DecisionResult
from shared.decision.snapshot import Snapshot

T = TypeVar("T")


def to_builtins(value: object) -> Any:
    """Return a dataclass tree as dictionaries, lists and text, ready for JSON."""
    return msgspec.to_builtins(value, order="deterministic")


def from_builtins(data: object, kind: type[T]) -> T:
    """Build a dataclass tree of ``kind`` from what ``to_builtins`` gave; raises ValidationError."""
    return typed.convert(data, kind, strict=False)


def to_bytes(value: Snapshot | DecisionResult) -> bytes:
    """Canonical JSON: the same value gives the same bytes."""
    return msgspec.json.encode(value, order="sorted")


def snapshot_from_bytes(data: bytes) -> Snapshot:
    """Read a stored snapshot again."""
    return typed.decode(data, Snapshot, strict=False)


def snapshot_hash(snapshot: Snapshot) -> str:
    """SHA-256 of the canonical JSON, in hexadecimal."""
    return hashlib.sha256(to_bytes(snapshot)).hexdigest()
