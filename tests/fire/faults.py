"""A driver that fails at the call that it is told to, in the way that it is told to."""

import sqlite3
from collections.abc import Callable
from contextlib import contextmanager
from typing import Any

import psycopg
from psycopg import errors

from db.engine import Sessions

CALLS = (
    "do_execute",
    "do_executemany",
    "do_execute_no_params",
    "do_commit",
    "do_rollback",
)
"""All ways in which a statement, a commit or a rollback reaches the driver."""

Spoil = Callable[[Any, Callable[[], Any]], Any]
"""What befalls a call, given its DBAPI connection and the call itself."""


class FailingDriver:
    """Counts what an app asks of its driver, and lets one call fail.

    The dialects of the app's engines are the last place before the driver, so what is raised here
    goes the way that the driver's own errors go.
    """

    def __init__(self, sessions: Sessions) -> None:
        self._armed = False
        self._spoil: tuple[int, Spoil] | None = None
        self.calls: list[str] = []
        """The names of the calls since the last ``watching``, or their first words."""
        dialects = {id(one.dialect): one.dialect for one in (sessions.engine, sessions._writer)}
        for dialect in dialects.values():
            for name in CALLS:
                setattr(dialect, name, self._wrapped(name, getattr(dialect, name)))

    def _wrapped(self, name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def call(subject: Any, *about: Any, **more: Any) -> Any:
            if not self._armed:
                return real(subject, *about, **more)
            number = len(self.calls)
            told = name if name in ("do_commit", "do_rollback") else " ".join(about[0].split()[:3])
            self.calls.append(told)
            if self._spoil is None or self._spoil[0] != number:
                return real(subject, *about, **more)
            spoil = self._spoil[1]
            self._spoil = None  # once
            return spoil(_dbapi(subject), lambda: real(subject, *about, **more))

        return call

    @contextmanager
    def watching(self, at: int | None = None, spoil: Spoil | None = None) -> Any:
        """Count calls; let the one of the number ``at`` (the first is 0) fail."""
        self.calls = []
        self._spoil = None if at is None or spoil is None else (at, spoil)
        self._armed = True
        try:
            yield
        finally:
            self._armed = False


def _dbapi(subject: Any) -> Any:
    """The driver's connection, of a cursor or of a connection of the pool."""
    if hasattr(subject, "driver_connection"):
        return subject.driver_connection
    return subject.connection if hasattr(subject, "fetchone") else subject


# --- what can befall a call ------------------------------------------------------------------


def _sqlite(name: str, told: str) -> sqlite3.OperationalError:
    error = sqlite3.OperationalError(told)
    error.sqlite_errorname = name
    error.sqlite_errorcode = getattr(sqlite3, name)
    return error


def _raising(make: Callable[[], Exception]) -> Spoil:
    def spoil(connection: Any, call: Callable[[], Any]) -> Any:
        raise make()

    return spoil


def full_and_rolled_back(connection: sqlite3.Connection, call: Callable[[], Any]) -> Any:
    """The disk is full, and SQLite has ended the whole transaction of its own accord, as it may."""
    if connection.in_transaction:
        connection.execute("ROLLBACK")
    raise _sqlite("SQLITE_FULL", "database or disk is full")


def cut(connection: "psycopg.Connection[Any]", call: Callable[[], Any]) -> Any:
    """The connection's backend is ended before the call, by an administrator or a restart."""
    pid = connection.info.backend_pid
    with psycopg.connect(connection.info.dsn, autocommit=True) as other:
        other.execute("SELECT pg_terminate_backend(%s)", (pid,))
        while other.execute("SELECT 1 FROM pg_stat_activity WHERE pid = %s", (pid,)).fetchone():
            pass
    return call()


def cut_after(connection: "psycopg.Connection[Any]", call: Callable[[], Any]) -> Any:
    """The server has done it, and the connection goes before it can say so."""
    call()
    connection.close()
    raise psycopg.OperationalError("server closed the connection unexpectedly")


def lost_after(connection: sqlite3.Connection, call: Callable[[], Any]) -> Any:
    """It is done, and the driver reports a failure all the same."""
    call()
    raise _sqlite("SQLITE_IOERR", "disk I/O error")


FAULTS: dict[str, dict[str, tuple[Spoil, frozenset[str]]]] = {
    "sqlite": {
        "disk full": (
            _raising(lambda: _sqlite("SQLITE_FULL", "database or disk is full")),
            frozenset(("503 storage-full",)),
        ),
        "disk full, rolled back": (full_and_rolled_back, frozenset(("503 storage-full",))),
        "disk error": (
            _raising(lambda: _sqlite("SQLITE_IOERR", "disk I/O error")),
            frozenset(("503 database-away",)),
        ),
        "locked": (
            _raising(lambda: _sqlite("SQLITE_BUSY", "database is locked")),
            frozenset(("503 busy",)),
        ),
    },
    "postgresql": {
        "cut": (cut, frozenset(("503 database-away",))),
        "disk full": (
            _raising(lambda: errors.DiskFull("could not extend file")),
            frozenset(("503 storage-full",)),
        ),
        "deadlock": (
            _raising(lambda: errors.DeadlockDetected("deadlock detected")),
            frozenset(("503 busy",)),
        ),
        "not serializable": (
            _raising(lambda: errors.SerializationFailure("could not serialize access")),
            frozenset(("503 busy",)),
        ),
        "lock timeout": (
            _raising(lambda: errors.LockNotAvailable("canceling statement due to lock timeout")),
            # The latter where the key itself was waited for: an equal request still runs.
            frozenset(("503 busy", "409 idempotency-in-progress")),
        ),
    },
}
"""By engine and name: what befalls the call, and with what it may be answered if not done."""

LOST_ANSWER: dict[str, Spoil] = {"sqlite": lost_after, "postgresql": cut_after}
"""The commit was done, and the server of the API does not learn of it."""

RETRIED = ("deadlock", "not serializable")
