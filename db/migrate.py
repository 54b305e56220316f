"""Bring a database to the newest schema: the same from source, editable install and wheel."""

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import inspect, make_url, pool, text

from db.engine import make_engine

if TYPE_CHECKING:
    from alembic.config import Config


def upgrade(url: str, revision: str = "head") -> None:
    """Migrate up to ``revision``; raises alembic's CommandError for one that is not known.

    One transaction: a migration that is cut short has changed nothing, and is begun again.
    """
    from alembic import command  # noqa: PLC0415 - a third of a second that only migrations need

    with _one_at_a_time(url):
        command.upgrade(migration_config(url), revision)


def downgrade(url: str, revision: str) -> None:
    """Migrate down to ``revision``, "base" for nothing at all. What it drops is lost."""
    from alembic import command  # noqa: PLC0415

    with _one_at_a_time(url):
        command.downgrade(migration_config(url), revision)


@contextmanager
def _one_at_a_time(url: str) -> Iterator[None]:
    """Let two migrations of one SQLite file follow each other; PostgreSQL has its own lock.

    A file that is turned to its write-ahead log by two at once is locked for one of them, and that
    one does not wait.
    """
    address = make_url(url)
    if address.get_backend_name() != "sqlite" or not address.database:
        yield
        return
    folder = Path(address.database).absolute().parent
    folder.mkdir(parents=True, exist_ok=True)
    # The folder is what both find, whether or not there is a file yet.
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX)
        yield
    finally:
        os.close(descriptor)


def current(url: str) -> str | None:
    """Return the revision that the database is at; None before the first migration."""
    engine = make_engine(url, poolclass=pool.NullPool)
    with engine.connect() as connection:
        if not inspect(connection).has_table("alembic_version"):
            return None
        return connection.execute(text("SELECT version_num FROM alembic_version")).scalar()


def newest() -> str | None:
    """Return the revision that this version of the service works with."""
    from alembic.script import ScriptDirectory  # noqa: PLC0415

    return ScriptDirectory.from_config(migration_config("")).get_current_head()


def migration_config(url: str) -> "Config":
    """Return alembic's configuration, made in code: there is no ini file to be found."""
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    # The option passes through interpolation, where a single "%" has a meaning of its own.
    config.set_main_option("script_location", str(script_folder()).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["url"] = url
    return config


def script_folder() -> Path:
    """Return where the migrations lie: in the wheel beside this file, else next to ``db/``."""
    here = Path(__file__).resolve().parent
    packed = here / "migrations"
    return packed if (packed / "env.py").exists() else here.parent / "alembic"
