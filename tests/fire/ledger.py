"""What callers were told, kept outside the server: the truth that the database must agree with."""

from dataclasses import dataclass, field
from typing import Any


@dataclass
class Post:
    """One request that stores a record, under one Idempotency-Key."""

    key: str
    path: str
    body: dict[str, Any]
    answer: bytes | None = None
    """The acknowledgement, byte for byte; None while the answer is lost."""
    record_id: str | None = None
    refusal: str | None = None
    """The problem type of a refusal that is for good, such as "duplicate"."""
    times_sent: int = 0

    @property
    def is_settled(self) -> bool:
        return self.answer is not None or self.refusal is not None


@dataclass
class Edit:
    """A change or a deletion whose answer was lost: it happened or it did not."""

    method: str
    version: int
    patch: dict[str, Any] | None = None


@dataclass
class Known:
    """A record as it was last acknowledged."""

    path: str
    members: dict[str, Any]
    writes: int = 1
    """Acknowledged writes: as many audit rows there must be."""
    is_deleted: bool = False
    lost: Edit | None = None

    @property
    def id(self) -> str:
        return str(self.members["id"])

    @property
    def version(self) -> int:
        return int(self.members["version"])


@dataclass
class Ledger:
    """One caller's requests and the records that came of them; one thread writes it."""

    posts: list[Post] = field(default_factory=list)
    records: dict[str, Known] = field(default_factory=dict)
    findings: list[str] = field(default_factory=list)
    """What no server may do, whatever befalls it."""
    lost: int = 0
    """Requests whose answer did not come."""
    repeated: int = 0
    """Of those sent again, how many had been stored the first time."""
    refused: dict[str, int] = field(default_factory=dict)

    @property
    def acknowledged(self) -> int:
        return sum(known.writes for known in self.records.values())
