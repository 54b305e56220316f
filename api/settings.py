"""What the environment settles: the database, the secret that signs cursors, the limits."""

import math
import os
import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Final

from db.engine import Sessions, database_url, make_engine
from db.queries.access import server_secret

BODY_LIMIT: Final = 2 * 1024 * 1024
SNAPSHOT_LIMIT: Final = 8 * 1024 * 1024
_PREFIX: Final = "COREWRIGHT_LIMIT_"


@dataclass(frozen=True)
class Limits:
    """What one server takes on; each is set by COREWRIGHT_LIMIT_ and its name in capitals.

    The defaults are for a shop of fifty benches on one small machine. A name that ends in ``_s``
    is in seconds. How often a caller may ask is counted in each server process by itself.
    """

    requests_per_key: int = 30_000
    """Requests of one key in a window."""
    requests_per_peer: int = 1_200
    """Requests without a good key from one address (IPv6: from one /64 network) in a window."""
    window_s: int = 60
    headers_s: float = 10
    """For the whole head of a request; also how long an idle connection is kept. At most 60."""
    body_gap_s: float = 10
    """Between two pieces of a body."""
    body_s: float = 300
    """For the whole of a body."""
    answer_gap_s: float = 20
    """For the client to take the next 128 KiB of an answer."""
    answer_s: float = 300
    """For the client to take the whole of an answer."""
    connections: int = 800
    """Open at once; more wait unaccepted. Leave room below the process's limit of open files."""
    bodies_mib: int = 128
    """Memory, in MiB, for all bodies that are being read or worked on."""
    threads: int = 12
    """Requests worked on at once, each with a connection to the database; at most 20."""
    waiting: int = 200
    """Requests that wait for such a thread; more are told to come again."""
    wait_s: float = 10
    calculations: int = 2
    """Decisions computed at once, in threads of their own."""
    calculations_waiting: int = 16
    calculation_wait_s: float = 10
    statement_s: float = 30
    """For one statement of the database."""

    @classmethod
    def from_environment(cls, environment: Mapping[str, str] = os.environ) -> "Limits":
        """Read the limits that are given; raises ValueError, in one plain line, for a bad one."""
        given = {}
        for one in fields(cls):
            text = environment.get(_PREFIX + one.name.upper())
            if text:
                given[one.name] = _number(_PREFIX + one.name.upper(), text, one.type is int)
        return cls(**given)  # type: ignore[arg-type]


def _number(name: str, text: str, whole: bool) -> float:
    try:
        number = int(text) if whole else float(text)
    except ValueError:
        number = math.nan
    if not 0 < number < 1_000_000_000:
        raise ValueError(f"{name} must be a {'whole ' if whole else ''}number above 0.")
    return number


@dataclass(frozen=True)
class Settings:
    """Everything ``create_app`` is told."""

    database_url: str
    secret: bytes = field(default_factory=lambda: secrets.token_bytes(32), repr=False)
    """Signs the cursors of lists; they grant nothing, but nobody can forge a place in a list."""
    limits: Limits = field(default_factory=Limits)

    @classmethod
    def from_environment(cls) -> "Settings":
        """Read DATABASE_URL, COREWRIGHT_SECRET and the limits.

        Raises SQLAlchemyError without a database, ValueError for a limit that is none. Without a
        secret in the environment the one in the database counts: all processes on it take each
        other's cursors, and so does the next one after a restart.
        """
        limits = Limits.from_environment()
        url = database_url()
        given = os.environ.get("COREWRIGHT_SECRET")
        return cls(url, given.encode() if given else _kept_secret(url), limits)


def _kept_secret(url: str) -> bytes:
    sessions = Sessions(make_engine(url))
    try:
        return sessions.write(lambda session: server_secret(session, "cursors"))
    finally:
        sessions.close()
