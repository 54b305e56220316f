"""No statement runs for ever, and on SQLite nobody but the writer writes or checkpoints."""

import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import event, insert, text
from sqlalchemy.exc import DBAPIError

from db import engine as engine_module
from db.engine import DatabaseBusy, Sessions, WorkTime, has_wal_reset_fault, make_engine
from db.migrate import upgrade
from db.models.access import shops
from db.queries.access import now

LONG = text(
    "WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 1000000000)"
    " SELECT count(*) FROM n"
)
SHOP = {"id": "shp_1", "name": "Mill", "name_key": "mill"}


@pytest.fixture
def url(new_url: Callable[[], str]) -> str:
    url = new_url()
    upgrade(url)
    return url


@pytest.fixture
def impatient(url: str) -> Iterator[Sessions]:
    with closing(Sessions(make_engine(url, statement_s=0.05))) as sessions:
        yield sessions


def store(sessions: Sessions) -> None:
    with sessions.writing() as session:
        session.execute(insert(shops).values(**SHOP, created_at=now()))


def test_a_read_that_takes_too_long_is_stopped_and_the_next_one_is_not(
    impatient: Sessions,
) -> None:
    for _ in range(2):
        with pytest.raises(DatabaseBusy), impatient.reading() as session:
            session.execute(LONG).scalar()
        with impatient.reading() as session:
            assert session.execute(text("SELECT 1")).scalar() == 1


def test_other_errors_of_a_read_stay_what_they_are(impatient: Sessions) -> None:
    with pytest.raises(DBAPIError), impatient.reading() as session:
        session.execute(text("SELECT nothing FROM nowhere"))


def test_without_a_limit_a_statement_may_take_its_time(url: str) -> None:
    short = text(str(LONG).replace("1000000000", "300000"))
    with closing(Sessions(make_engine(url))) as sessions, sessions.reading() as session:
        assert session.execute(short).scalar() == 300_000


def test_a_slow_reader_of_rows_does_not_use_up_the_time_of_its_statement() -> None:
    seconds = [0.0]
    spent = WorkTime(1.0, lambda: seconds[0])
    for _ in range(9):
        seconds[0] += 50  # the client was busy with what it had
        assert not spent.is_over()
    for _ in range(200):
        seconds[0] += 0.001
    assert not spent.is_over()
    seconds[0] += 0.1
    assert spent.is_over()


@pytest.mark.engines("postgresql")
def test_a_write_and_a_forgotten_transaction_are_bounded_on_postgresql(
    impatient: Sessions,
) -> None:
    with pytest.raises(DatabaseBusy), impatient.writing() as session:
        session.execute(text("SELECT pg_sleep(5)"))
    with impatient.writing() as session:
        idle = session.execute(text("SHOW idle_in_transaction_session_timeout")).scalar()
        assert idle == "1min"


# --- SQLite: one connection writes and checkpoints ------------------------------------------------


@pytest.mark.parametrize("version", ["3.7.0", "3.40.1", "3.50.7", "3.51.2", "unknown", ""])
def test_a_version_with_the_fault_or_that_cannot_be_read_has_it(version: str) -> None:
    assert has_wal_reset_fault(version)


@pytest.mark.parametrize("version", ["3.6.23", "3.51.3", "3.52.0", "3.53.4", "4.0.0"])
def test_a_version_without_the_fault_does_not_have_it(version: str) -> None:
    assert not has_wal_reset_fault(version)


@pytest.mark.engines("sqlite")
def test_the_writer_is_opened_before_the_first_reader_and_closed_after_the_last(url: str) -> None:
    told: list[str] = []
    sessions = Sessions(make_engine(url))
    for name, engine in (("writer", sessions._writer), ("reader", sessions.engine)):
        for happening in ("connect", "close"):
            event.listen(engine, happening, lambda *_, n=name, h=happening: told.append(f"{n} {h}"))
    with sessions.reading() as session:
        session.execute(text("SELECT 1"))
    sessions.close()
    assert told == ["writer connect", "reader connect", "reader close", "writer close"]


@pytest.mark.engines("sqlite")
def test_a_reader_that_closes_leaves_the_log_to_the_writer(url: str) -> None:
    sessions = Sessions(make_engine(url))
    log = Path(f"{sessions.engine.url.database}-wal")
    store(sessions)
    with sessions.reading() as session:
        assert session.execute(text("PRAGMA wal_autocheckpoint")).scalar() == 0
    with sessions.writing() as session:
        assert session.execute(text("PRAGMA wal_autocheckpoint")).scalar() > 0
    size = log.stat().st_size
    assert size > 0
    sessions.engine.dispose()
    assert log.stat().st_size == size, "no reader checkpointed"
    sessions.close()
    assert not log.exists(), "the writer, closing last, did"


HOLDER = """
import sys
from db.engine import Sessions, make_engine
with Sessions(make_engine(sys.argv[1])).writing():
    print("has it", flush=True)
    sys.stdin.read()
"""


@pytest.mark.engines("sqlite")
def test_writers_of_several_processes_take_turns(url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """By our own lock, and before SQLite's: the second never touches the file."""
    with (
        closing(Sessions(make_engine(url))) as sessions,
        subprocess.Popen(
            [sys.executable, "-c", HOLDER, url],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        ) as other,
    ):
        assert other.stdin is not None and other.stdout is not None
        assert other.stdout.readline() == "has it\n"
        monkeypatch.setattr(engine_module, "_WAIT_S", 0.05)
        with pytest.raises(DatabaseBusy):
            store(sessions)
        monkeypatch.undo()
        other.stdin.close()  # it ends, and the lock with it
        store(sessions)
    with closing(sqlite3.connect(sessions.engine.url.database)) as connection:
        assert connection.execute("SELECT name FROM shops").fetchall() == [("Mill",)]
