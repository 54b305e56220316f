"""What the health answer tells of the database."""

import sqlite3
from pathlib import Path

from db.engine import Sessions, make_engine
from db.queries.health import database_health


def test_a_migrated_database_names_engine_version_and_revision(sessions: Sessions) -> None:
    with sessions.reading() as session:
        assert database_health(session) == {
            "engine": "sqlite",
            "version": sqlite3.sqlite_version,
            "revision": "2026_11_25_first_records",
        }


def test_an_empty_database_has_no_revision(tmp_path: Path) -> None:
    sessions = Sessions(make_engine(f"sqlite:///{tmp_path}/empty.db"))
    with sessions.reading() as session:
        assert database_health(session)["revision"] is None
    sessions.close()
