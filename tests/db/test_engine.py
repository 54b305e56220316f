"""One request, one transaction: what SQLite would get wrong by itself, and PostgreSQL ends."""

import threading
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from sqlalchemy import insert, select, text, update
from sqlalchemy.exc import DBAPIError, IntegrityError, OperationalError
from sqlalchemy.orm import Session

from db import engine as engine_module
from db.engine import DEFAULT_URL, DatabaseBusy, Sessions, database_url, make_engine
from db.models.access import shops
from db.queries.access import now

SHOP = {"id": "shp_1", "name": "Mill", "name_key": "mill"}


def names(sessions: Sessions) -> list[str]:
    with sessions.reading() as session:
        return list(session.execute(select(shops.c.name)).scalars())


def test_the_address_comes_from_the_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("DATABASE_URL", raising=False)
    assert database_url() == DEFAULT_URL
    monkeypatch.setenv("DATABASE_URL", "sqlite:///elsewhere.db")
    assert database_url() == "sqlite:///elsewhere.db"


@pytest.mark.parametrize("scheme", ["postgresql://", "postgres://", "postgresql+psycopg://"])
def test_postgresql_is_reached_by_one_driver(scheme: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DATABASE_URL", f"{scheme}shop@localhost/corewright")
    assert database_url() == "postgresql+psycopg://shop@localhost/corewright"


def test_the_folder_of_the_file_is_made(tmp_path: Path) -> None:
    make_engine(f"sqlite:///{tmp_path}/var/deep/corewright.db").dispose()
    assert (tmp_path / "var" / "deep").is_dir()


@pytest.mark.parametrize("address", ["sqlite://", "sqlite:///:memory:"])
def test_a_database_in_memory_is_refused(address: str) -> None:
    with pytest.raises(ValueError, match="file"):
        make_engine(address)


@pytest.mark.engines("sqlite")
def test_every_connection_to_sqlite_keeps_the_rules(sessions: Sessions) -> None:
    wanted = {"foreign_keys": 1, "journal_mode": "wal", "synchronous": 2, "busy_timeout": 10_000}
    for opened in (sessions.reading, sessions.writing):
        with opened() as session:
            for pragma, value in wanted.items():
                assert session.execute(text(f"PRAGMA {pragma}")).scalar() == value


def test_a_block_that_ends_well_is_committed(sessions: Sessions) -> None:
    with sessions.writing() as session:
        session.execute(insert(shops).values(**SHOP, created_at=now()))
    assert names(sessions) == ["Mill"]


@pytest.mark.parametrize("error", [ValueError, KeyboardInterrupt])
def test_any_error_leaves_nothing_behind(sessions: Sessions, error: type[BaseException]) -> None:
    with pytest.raises(error), sessions.writing() as session:
        session.execute(insert(shops).values(**SHOP, created_at=now()))
        raise error
    assert names(sessions) == []
    with sessions.writing() as session:  # and the lock is free again
        session.execute(insert(shops).values(**SHOP, created_at=now()))


def test_a_reading_session_cannot_write(sessions: Sessions) -> None:
    with pytest.raises(DBAPIError, match=r"read-?only"), sessions.reading() as session:
        session.execute(insert(shops).values(**SHOP, created_at=now()))
    assert names(sessions) == []


def test_a_reader_sees_one_state_while_another_writes(sessions: Sessions) -> None:
    with sessions.reading() as reader:
        before = reader.execute(select(shops.c.name)).scalars().all()
        with sessions.writing() as session:
            session.execute(insert(shops).values(**SHOP, created_at=now()))
        assert reader.execute(select(shops.c.name)).scalars().all() == before == []
    assert names(sessions) == ["Mill"]


def test_foreign_keys_hold(sessions: Sessions) -> None:
    with pytest.raises(IntegrityError), sessions.writing() as session:
        session.execute(
            text(
                "INSERT INTO keys (id, shop_id, role, token_hash, created_at)"
                " VALUES ('key_1', 'shp_none', 'admin', 'x', '2031-03-04 09:15:00')"
            )
        )


def test_no_update_is_lost_among_concurrent_writers(sessions: Sessions) -> None:
    """Eight threads add one, forty times each.

    On SQLite a plain BEGIN loses most of them or fails; on PostgreSQL the reader says FOR UPDATE.
    """
    with sessions.writing() as session:
        session.execute(insert(shops).values(**(SHOP | {"name": "0"}), created_at=now()))

    def add_forty(_: int) -> None:
        for _ in range(40):
            with sessions.writing() as session:
                statement = select(shops.c.name).with_for_update()
                count = int(session.execute(statement).scalar_one())
                session.execute(update(shops).values(name=str(count + 1)))

    with ThreadPoolExecutor(8) as threads:
        list(threads.map(add_forty, range(8)))
    assert names(sessions) == ["320"]


@pytest.mark.engines("sqlite")
def test_a_writer_that_waits_too_long_is_told_to_come_again(
    sessions: Sessions, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(engine_module, "_WAIT_S", 0.05)
    told: list[bool] = []

    def try_to_write() -> None:
        try:
            with sessions.writing():
                pass
        except DatabaseBusy:
            told.append(True)

    with sessions.writing():
        thread = threading.Thread(target=try_to_write)
        thread.start()
        thread.join()
    assert told == [True]


# --- PostgreSQL: several writers at once ----------------------------------------------------------

TWO_SHOPS = [SHOP, {"id": "shp_2", "name": "Yard", "name_key": "yard"}]


def rename(session: Session, shop_id: str, name: str) -> None:
    session.execute(update(shops).where(shops.c.id == shop_id).values(name=name))


@pytest.mark.engines("postgresql")
def test_a_writer_waits_ten_seconds_for_a_lock_and_no_longer(sessions: Sessions) -> None:
    for opened in (sessions.reading, sessions.writing):
        with opened() as session:
            assert session.execute(text("SHOW lock_timeout")).scalar() == "10s"
    with sessions.writing() as session:
        session.execute(insert(shops).values(**SHOP, created_at=now()))
    with sessions.writing() as holder:
        rename(holder, "shp_1", "held")
        with pytest.raises(OperationalError) as caught, sessions.writing() as session:
            session.execute(text("SET LOCAL lock_timeout = 50"))
            rename(session, "shp_1", "late")
    assert caught.value.orig.sqlstate == "55P03"


@pytest.mark.engines("postgresql")
def test_of_two_writers_that_wait_for_each_other_both_get_through(sessions: Sessions) -> None:
    """A deadlock by design: each takes one row, then wants the other's."""
    with sessions.writing() as session:
        session.execute(insert(shops), [shop | {"created_at": now()} for shop in TWO_SHOPS])
    both_hold_one = threading.Barrier(2, timeout=10)
    attempts: list[str] = []

    def take_both(first: str, second: str) -> None:
        def work(session: Session) -> None:
            attempts.append(first)
            rename(session, first, f"{first} by {first}")
            if attempts.count(first) == 1:
                both_hold_one.wait()
            rename(session, second, f"{second} by {first}")

        sessions.write(work)

    with ThreadPoolExecutor(2) as threads:
        done = [threads.submit(take_both, *ids) for ids in (("shp_1", "shp_2"), ("shp_2", "shp_1"))]
        for one in done:
            one.result()
    assert len(attempts) == 3, "one of the two began again, once"
    found = names(sessions)
    assert len({name.split(" by ")[1] for name in found}) == 1, "the later one wrote both"


@pytest.mark.engines("postgresql")
def test_other_errors_are_not_tried_again(sessions: Sessions) -> None:
    attempts = []

    def work(session: Session) -> None:
        attempts.append(1)
        session.execute(text("SELECT 1 / 0"))

    with pytest.raises(DBAPIError, match="division by zero"):
        sessions.write(work)
    assert len(attempts) == 1


@pytest.mark.engines("postgresql")
def test_a_race_that_is_lost_every_time_ends_with_its_error(sessions: Sessions) -> None:
    attempts = []

    def work(session: Session) -> None:
        attempts.append(1)
        session.execute(text("DO $$ BEGIN RAISE SQLSTATE '40001'; END $$"))

    with pytest.raises(DBAPIError):
        sessions.write(work)
    assert len(attempts) == 5
