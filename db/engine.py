"""The engine and its transactions: one request, one transaction, on SQLite or PostgreSQL.

SQLite with its defaults loses updates without a word, so the rules are ours: foreign keys on, a
write-ahead log, every commit on disk before it is acknowledged, our own BEGIN. A transaction that
may write takes the write lock at its beginning (one that turned to writing later would fail at
once, whatever the time-out), and writers queue in the process rather than in SQLite, where they
starve each other. They share one connection, which alone writes and checkpoints: SQLite 3.7.0 to
3.51.2 can, rarely, corrupt a file when two connections do so at the same moment. It is opened
before the first reader and closed after the last, so that no reader, closing, is the one who
checkpoints. Other processes of this service on the same file (a command beside the server) take
turns with it by a lock on a file beside it; migrations do not, they want the server stopped.

PostgreSQL lets several writers work at once, from several server processes. Where two of them wait
for each other it ends one; ``Sessions.write`` runs that one again from its beginning.
"""

import fcntl
import os
import random
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
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
_IDLE_S: Final = 60
_CONNECT_S: Final = 10
_STEPS: Final = 20_000
"""Instructions of SQLite's machine between two looks at the clock: about a millisecond."""
_LONGEST_STEPS_S: Final = 0.1
"""What those take at most; a longer pause was the reader's."""
_FIRST_FAULTY: Final = (3, 7, 0)
_LAST_FAULTY: Final = (3, 51, 2)
_TRIES: Final = 5
_LOST_A_RACE: Final = frozenset({"40001", "40P01"})
"""PostgreSQL's words for a transaction ended for another's sake: not serializable, deadlock."""
_POLL_S: Final = 0.005
_TOO_LONG: Final = frozenset({"57014", "25P03"})
"""A statement, or a transaction that did nothing, ended for its length."""
_write_lock = threading.Lock()


class DatabaseBusy(Exception):
    """Others held the database, or one statement would have, for longer than a request may."""


def has_wal_reset_fault(sqlite_version: str) -> bool:
    """Whether a version of SQLite may corrupt a file that two connections write or checkpoint.

    Versions that cannot be read, and those said to be mended in an older line, count as faulty.

    >>> [has_wal_reset_fault(version) for version in ("3.6.23", "3.40.1", "3.51.2", "3.51.3")]
    [False, True, True, False]
    """
    try:
        version = tuple(int(piece) for piece in sqlite_version.split("."))
    except ValueError:
        return True
    return _FIRST_FAULTY <= version[:3] <= _LAST_FAULTY


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
    url: str,
    *,
    foreign_keys: bool = True,
    pool_size: int = _POOL_SIZE,
    statement_s: float | None = None,
    **more: Any,
) -> Engine:
    """Make an engine; for SQLite the file's folder too.

    ``foreign_keys=False`` is for migrations alone. ``statement_s`` bounds each statement (SQLite:
    each that reads) and what a forgotten transaction may hold; without it, as for migrations and
    copies, nothing does. Raises ValueError for a database in memory: several connections would
    each see one of their own.
    """
    if "poolclass" not in more:
        more = {"pool_size": pool_size, **more}
    if make_url(url).get_backend_name() != "sqlite":
        return _postgresql_engine(url, statement_s, more)
    return _sqlite_engine(url, foreign_keys, statement_s, more)


def _postgresql_engine(url: str, statement_s: float | None, more: dict[str, Any]) -> Engine:
    engine = create_engine(
        url, pool_pre_ping=True, connect_args={"connect_timeout": _CONNECT_S}, **more
    )
    limits = {"lock_timeout": _WAIT_S * 1000}
    if statement_s is not None:
        limits["statement_timeout"] = max(1, round(statement_s * 1000))
        limits["idle_in_transaction_session_timeout"] = _IDLE_S * 1000

    @event.listens_for(engine, "connect")
    def set_up(connection: DBAPIConnection, _: object) -> None:
        cursor = connection.cursor()
        for name, milliseconds in limits.items():
            cursor.execute(f"SET {name} = {milliseconds}")
        cursor.close()
        connection.commit()

    return engine


def _sqlite_engine(
    url: str, foreign_keys: bool, statement_s: float | None, more: dict[str, Any]
) -> Engine:
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
    if statement_s is not None:
        event.listen(engine, "before_cursor_execute", partial(_time_reads, statement_s))
    return engine


class WorkTime:
    """How long SQLite has worked on a statement; what its reader takes between rows is not it."""

    def __init__(self, limit_s: float, clock: Callable[[], float] = time.monotonic) -> None:
        """Take the limit, and a clock in seconds."""
        self._left_s = limit_s
        self._clock = clock
        self._last_s = clock()

    def is_over(self) -> bool:
        """Whether the limit is passed; asked by SQLite every so many steps of its machine."""
        now_s = self._clock()
        self._left_s -= min(now_s - self._last_s, _LONGEST_STEPS_S)
        self._last_s = now_s
        return self._left_s < 0


def _time_reads(
    statement_s: float,
    connection: Connection,
    cursor: Any,
    *_: object,
) -> None:
    """Have SQLite stop a reading statement that it has worked on for too long."""
    if not connection.get_execution_options().get(_READS, False):
        return
    cursor.connection.set_progress_handler(WorkTime(statement_s).is_over, _STEPS)


def _begin_sqlite(connection: Connection) -> None:
    """Begin as what the transaction is: a reader that cannot write, or a writer from the start."""
    reads = connection.get_execution_options().get(_READS, False)
    # A connection remembers what it was told last: readers and the writer have their own.
    if connection.info.get(_READS) is not reads:
        connection.exec_driver_sql(f"PRAGMA query_only = {'ON' if reads else 'OFF'}")
        connection.info[_READS] = reads
    connection.exec_driver_sql("BEGIN" if reads else "BEGIN IMMEDIATE")


def _never_checkpoint(connection: DBAPIConnection, _: object) -> None:
    connection.cursor().execute("PRAGMA wal_autocheckpoint = 0")


class _Turns:
    """One writer of an SQLite file at a time: in this process, then among all on the machine."""

    def __init__(self, engine: Engine) -> None:
        self._path = f"{engine.url.database}-turn"

    @contextmanager
    def one(self) -> Iterator[None]:
        """Have the turn; raises DatabaseBusy when others keep it for too long."""
        ends_at = time.monotonic() + _WAIT_S
        if not _write_lock.acquire(timeout=_WAIT_S):
            raise DatabaseBusy
        try:
            with self._among_processes(ends_at):
                yield
        finally:
            _write_lock.release()

    @contextmanager
    def _among_processes(self, ends_at: float) -> Iterator[None]:
        try:
            held = os.open(self._path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
        except OSError:
            yield  # a folder that is gone or full: SQLite itself says so, and better
            return
        try:
            while not _locked(held):
                if time.monotonic() > ends_at:
                    raise DatabaseBusy
                time.sleep(_POLL_S)
            yield
        finally:
            os.close(held)  # and with it the lock goes


def _locked(file: int) -> bool:
    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


class Sessions:
    """Gives out sessions, each of them one transaction.

    ``reading()`` sees one unchanging state of the database and cannot write; ``writing()`` commits
    when its block ends well and rolls back on any error; ``write()`` does that and begins again
    after a lost race. Nobody else commits.
    """

    def __init__(self, engine: Engine) -> None:
        """Take the engine that ``make_engine`` gave; ``close`` lets go of its connections."""
        self.engine = engine
        is_sqlite = engine.dialect.name == "sqlite"
        self._writer_is_open = not is_sqlite
        if is_sqlite:
            self._reader: Engine = engine.execution_options(**{_READS: True})
            self._turns: _Turns | None = _Turns(engine)
            event.listen(engine, "connect", _never_checkpoint)
            self._writer = make_engine(
                engine.url.render_as_string(hide_password=False), pool_size=1, max_overflow=0
            )
        else:
            self._reader = engine.execution_options(
                isolation_level="REPEATABLE READ", postgresql_readonly=True
            )
            self._writer = engine
            self._turns = None

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """Give a session that reads one state of the database; raises DatabaseBusy."""
        self._open_writer_first()
        with _bounded(), Session(self._reader, autoflush=False) as session:
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """Give a session that commits at the end; raises DatabaseBusy when others hold the lock."""
        with _bounded(), self._turn():
            self._open_writer_first()
            with Session(self._writer, autoflush=False) as session, session.begin():
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
        if self._turns is None:
            yield
            return
        with self._turns.one():
            yield

    def _open_writer_first(self) -> None:
        """Open the writing connection of SQLite; it stays open, and is the last to be closed."""
        if not self._writer_is_open:
            self._writer.connect().close()
            self._writer_is_open = True

    def close(self) -> None:
        """Close every connection, the writing one last."""
        self.engine.dispose()
        self._writer.dispose()


@contextmanager
def _bounded() -> Iterator[None]:
    """Turn a statement that was stopped for its length into DatabaseBusy."""
    try:
        yield
    except DBAPIError as error:
        name = getattr(error.orig, "sqlite_errorname", None)
        state = getattr(error.orig, "sqlstate", None)
        if name == "SQLITE_INTERRUPT" or state in _TOO_LONG:
            raise DatabaseBusy from error
        raise
