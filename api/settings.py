"""What the environment settles: the database, the secret that signs cursors, the threads."""

import os
import secrets
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from sqlalchemy import make_url

from db.engine import database_url

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
        """Read DATABASE_URL and COREWRIGHT_SECRET.

        Without a secret in the environment one is made on first use and kept beside a database
        that is a file; otherwise it lasts as long as the process, and so do cursors.
        """
        url = database_url()
        given = os.environ.get("COREWRIGHT_SECRET")
        return cls(url, given.encode() if given else _kept_secret(url))


def _kept_secret(url: str) -> bytes:
    parsed = make_url(url)
    if parsed.get_backend_name() != "sqlite" or not parsed.database:
        return secrets.token_bytes(32)
    file = Path(parsed.database).with_suffix(".secret")
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        with os.fdopen(os.open(file, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "wb") as new:
            new.write(secrets.token_bytes(32))
    except FileExistsError:
        pass
    except OSError:
        return secrets.token_bytes(32)
    return file.read_bytes() or secrets.token_bytes(32)
