"""What the environment settles: the database, the secret that signs cursors, the threads."""

import os
import secrets
from dataclasses import dataclass, field
from typing import Final

from db.engine import Sessions, database_url, make_engine
from db.queries.access import server_secret

BODY_LIMIT: Final = 2 * 1024 * 1024
SNAPSHOT_LIMIT: Final = 8 * 1024 * 1024
THREADS: Final = 12


@dataclass(frozen=True)
class Settings:
    """Everything ``create_app`` is told."""

    database_url: str
    secret: bytes = field(default_factory=lambda: secrets.token_bytes(32), repr=False)
    """Signs the cursors of lists; they grant nothing, but nobody can forge a place in a list."""

    @classmethod
    def from_environment(cls) -> "Settings":
        """Read DATABASE_URL and COREWRIGHT_SECRET; raises SQLAlchemyError without a database.

        Without a secret in the environment the one in the database counts: all processes on it
        take each other's cursors, and so does the next one after a restart.
        """
        url = database_url()
        given = os.environ.get("COREWRIGHT_SECRET")
        return cls(url, given.encode() if given else _kept_secret(url))


def _kept_secret(url: str) -> bytes:
    sessions = Sessions(make_engine(url))
    try:
        return sessions.write(lambda session: server_secret(session, "cursors"))
    finally:
        sessions.close()
