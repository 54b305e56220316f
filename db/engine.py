"""The engine and its transactions: one request, one transaction, on SQLite or PostgreSQL.

SQLite with its defaults loses updates without a word, so the rules are ours: foreign keys on, a
write-ahead log, every commit on disk before it is acknowledged, our own BEGIN. A transaction that
may write takes the write lock at its beginning (one that turned to writing later would fail at
once, whatever the time-out), and writers queue in the process rather than in SQLite, where they
starve each other. They share one connection: SQLite 3.7.0 to 3.51.2 can, rarely, corrupt a file
when two connections write or checkpoint at the same moment.

PostgreSQL lets several writers work at once, from several server processes. Where two of them wait
for each other it ends one; ``Sessions.write`` runs that one again from its beginning.
"""

import os
import random
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final, TypeVar

from sqlalchemy import Connection, Engine, create_engine, event, make_url
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

T = TypeVar("T")

DEFAULT_URL: Final = "sqlite:///var/corewright.db"

_WAIT_S: Final = 10
_POOL_SIZE: Final = 16
_READS: Final = "corewright_reads"
_TRIES: Final = 5
_LOST_A_RACE: Final = frozenset({"40001", "40P01"})
"""PostgreSQL's words for a transaction ended for another's sake: not serializable, deadlock."""
_write_lock = threading.Lock()


class DatabaseBusy(Exception):
    """Another writer held the database for longer than a request may wait; try again."""


def database_url() -> str:
    """Return the database's address: DATABASE_URL of the environment, or the file in ``var/``."""
    return with_driver(os.environ.get("DATABASE_URL") or DEFAULT_URL)


def with_driver(url: str) -> str:
    """Return an address that names our driver, where it names PostgreSQL alone.

    >>> with_driver("postgresql://shop@/corewright?host=/run/postgresql")
    'postgresql+psycopg://shop@/corewright?host=/run/postgresql'
    """
    for short in ("postgresql://", "postgres://"):
        if url.startswith(short):
            return "postgresql+psycopg://" + url.removeprefix(short)
    return url


def make_engine(
    url: str, *, foreign_keys: bool = True, pool_size: int = _POOL_SIZE, **more: Any
) -> Engine:
    """Make an engine; for SQLite the file's folder too.

    ``foreign_keys=False`` is for migrations alone. Raises ValueError for a database in memory:
    several connections would each see one of their own.
    """
    if "poolclass" not in more:
        more = {"pool_size": pool_size, **more}
    if make_url(url).get_backend_name() != "sqlite":
        return _postgresql_engine(url, more)
    return _sqlite_engine(url, foreign_keys, more)


def _postgresql_engine(url: str, more: dict[str, Any]) -> Engine:
    engine = create_engine(url, pool_pre_ping=True, **more)

    @event.listens_for(engine, "connect")
    def set_up(connection: DBAPIConnection, _: object) -> None:
        cursor = connection.cursor()
        cursor.execute(f"SET lock_timeout = {_WAIT_S * 1000}")
        cursor.close()
        connection.commit()

    return engine


def _sqlite_engine(url: str, foreign_keys: bool, more: dict[str, Any]) -> Engine:
    file = make_url(url).database
    if not file or file == ":memory:" or file.startswith("file:"):
        raise ValueError("Give SQLite a file: a database in memory is not shared by connections.")
    Path(file).parent.mkdir(parents=True, exist_ok=True)
    engine = create_engine(url, connect_args={"timeout": _WAIT_S, "isolation_level": None}, **more)

    @event.listens_for(engine, "connect")
    def set_up(connection: DBAPIConnection, _: object) -> None:
        cursor = connection.cursor()
        for pragma in (
            f"busy_timeout = {_WAIT_S * 1000}",
            "journal_mode = WAL",
            "synchronous = FULL",
            f"foreign_keys = {'ON' if foreign_keys else 'OFF'}",
        ):
            cursor.execute(f"PRAGMA {pragma}")
        cursor.close()

    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _begin_sqlite(connection: Connection) -> None:
    """Begin as what the transaction is: a reader that cannot write, or a writer from the start."""
    reads = connection.get_execution_options().get(_READS, False)
    connection.exec_driver_sql(f"PRAGMA query_only = {'ON' if reads else 'OFF'}")
    connection.exec_driver_sql("BEGIN" if reads else "BEGIN IMMEDIATE")


class Sessions:
    """Gives out sessions, each of them one transaction.

    ``reading()`` sees one unchanging state of the database and cannot write; ``writing()`` commits
    when its block ends well and rolls back on any error; ``write()`` does that and begins again
    after a lost race. Nobody else commits.
    """

    def __init__(self, engine: Engine) -> None:
        """Take the engine that ``make_engine`` gave; ``close`` lets go of its connections."""
        self.engine = engine
        self._is_sqlite = engine.dialect.name == "sqlite"
        if self._is_sqlite:
            self._reader: Engine = engine.execution_options(**{_READS: True})
            self._writer = make_engine(
                engine.url.render_as_string(hide_password=False), pool_size=1, max_overflow=0
            )
        else:
            self._reader = engine.execution_options(
                isolation_level="REPEATABLE READ", postgresql_readonly=True
            )
            self._writer = engine

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """Give a session that reads one state of the database."""
        with Session(self._reader, autoflush=False) as session:
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """Give a session that commits at the end; raises DatabaseBusy when others hold the lock."""
        with self._turn(), Session(self._writer, autoflush=False) as session, session.begin():
            yield session

    def write(self, work: Callable[[Session], T]) -> T:
        """Run ``work`` in a writing session and return what it returns.

        Where PostgreSQL ends the transaction for another's sake (deadlock, not serializable), the
        whole of ``work`` runs again, a few times: nothing of the attempt remains. The last error
        passes through.
        """
        for attempt in range(1, _TRIES):
            try:
                with self.writing() as session:
                    return work(session)
            except DBAPIError as error:
                if getattr(error.orig, "sqlstate", None) not in _LOST_A_RACE:
                    raise
            # At a time of its own, or the same two would meet again.
            time.sleep(random.uniform(0, 0.02 * 2**attempt))
        with self.writing() as session:
            return work(session)

    @contextmanager
    def _turn(self) -> Iterator[None]:
        if not self._is_sqlite:
            yield
            return
        if not _write_lock.acquire(timeout=_WAIT_S):
            raise DatabaseBusy
        try:
            yield
        finally:
            _write_lock.release()

    def close(self) -> None:
        """Close every connection."""
        self._writer.dispose()
        self.engine.dispose()
