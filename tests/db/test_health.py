"""What the health answer tells of the database."""

from collections.abc import Callable

from db.engine import Sessions, make_engine
from db.migrate import newest
from db.queries.health import database_health


def test_a_migrated_database_names_engine_version_and_revision(
    sessions: Sessions, engine_name: str
) -> None:
    with sessions.reading() as session:
        health = database_health(session)
    assert (health["engine"], health["revision"]) == (engine_name, newest())
    assert health["version"] and health["version"][0].isdigit()


def test_an_empty_database_has_no_revision(new_url: Callable[[], str]) -> None:
    sessions = Sessions(make_engine(new_url()))
    with sessions.reading() as session:
        assert database_health(session)["revision"] is None
    sessions.close()
