"""A whole database copied into an empty one, from either engine to the other."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import insert, select, update
from sqlalchemy.exc import IntegrityError

from db.engine import Sessions, make_engine
from db.migrate import upgrade
from db.models import metadata
from db.models.access import audit_entries, shops
from db.queries.access import find_answer, note_change, now
from db.transfer import Content, CopyRefused, content_of, copy_database
from shared.interchange.model import Part
from tests.db.generated import fill, one_of_each
from tests.db.workshop import Workshop
from tests.postgres import Cluster


@pytest.fixture
def other_url(engine_name: str, request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """A migrated, empty database of the other engine."""
    url = f"sqlite:///{tmp_path}/other.db"
    if engine_name == "sqlite":
        cluster: Cluster = request.getfixturevalue("cluster")
        url = cluster.new_database()
    upgrade(url)
    return url


@pytest.fixture
def other(other_url: str) -> Iterator[Sessions]:
    sessions = Sessions(make_engine(other_url))
    yield sessions
    sessions.close()


def contents(sessions: Sessions) -> dict[str, Content]:
    with sessions.reading() as session:
        return {table.name: content_of(session, table) for table in metadata.sorted_tables}


def test_all_rows_arrive_equal_on_the_other_engine(
    workshop: Workshop, url: str, other: Sessions, other_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("db.transfer._AT_ONCE", 70)
    generated = fill(workshop, per_table=200)
    counts = copy_database(url, other_url)
    assert sum(counts.values()) > generated >= 3_000
    assert counts.keys() == metadata.tables.keys()
    assert contents(other) == contents(workshop.sessions)


def test_a_copied_database_is_worked_on_as_before(
    workshop: Workshop, url: str, other: Sessions, other_url: str
) -> None:
    """Keys open it, repeated requests are known, the audit goes on counting."""
    ids = one_of_each(workshop)
    copy_database(url, other_url)
    moved = Workshop(other, workshop.principal)
    assert moved.read(Part, ids["parts"]) == workshop.read(Part, ids["parts"])
    with other.reading() as session:
        assert find_answer(session, workshop.principal, "POST /v1/parts", "k1") is not None
        last = max(session.execute(select(audit_entries.c.sequence)).scalars())
    moved.part()
    with other.writing() as session:
        note_change(session, workshop.principal, "part", "prt_x", "create")
        assert max(session.execute(select(audit_entries.c.sequence)).scalars()) == last + 2


def test_a_target_that_holds_anything_is_refused(
    workshop: Workshop, url: str, other: Sessions, other_url: str
) -> None:
    with other.writing() as session:
        session.execute(
            insert(shops).values(id="shp_1", name="Mill", name_key="mill", created_at=now())
        )
    before = contents(other)
    with pytest.raises(CopyRefused, match="not empty: there are rows in shops"):
        copy_database(url, other_url)
    assert contents(other) == before


def test_a_target_without_tables_is_refused(url: str, new_url: Callable[[], str]) -> None:
    target = new_url()
    if target.startswith("sqlite"):
        Path(target.removeprefix("sqlite:///")).touch()
    with pytest.raises(CopyRefused, match=r"The target has no tables.*corewright migrate"):
        copy_database(url, target)


def test_a_mistyped_file_is_refused_and_not_made(other_url: str, tmp_path: Path) -> None:
    mistyped = tmp_path / "corewrite.db"
    with pytest.raises(CopyRefused, match="The source is no file"):
        copy_database(f"sqlite:///{mistyped}", other_url)
    assert not mistyped.exists()


def test_a_database_is_not_copied_onto_itself(url: str) -> None:
    with pytest.raises(CopyRefused, match="the same"):
        copy_database(url, url)


def test_an_error_half_way_leaves_the_target_empty(
    workshop: Workshop, url: str, other: Sessions, other_url: str
) -> None:
    """A job whose unit is missing: the last tables fail when the first are written already."""
    one_of_each(workshop)
    loose = make_engine(url, foreign_keys=False)
    with loose.begin() as connection:
        if loose.dialect.name == "postgresql":
            connection.exec_driver_sql("SET session_replication_role = replica")
        connection.execute(update(metadata.tables["jobs"]).values(unit_id="unt_none"))
    loose.dispose()
    with pytest.raises(IntegrityError):
        copy_database(url, other_url)
    assert all(content.rows == 0 for content in contents(other).values())


def test_what_does_not_read_back_equal_is_not_kept(
    workshop: Workshop, url: str, other: Sessions, other_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    part = workshop.part()
    told = {"count": 0}

    def once_wrong(session, table):
        found = content_of(session, table)
        told["count"] += table.name == "parts"
        return Content(found.rows, "other") if told["count"] == 2 else found

    monkeypatch.setattr("db.transfer.content_of", once_wrong)
    with pytest.raises(CopyRefused, match="parts did not read back"):
        copy_database(url, other_url)
    monkeypatch.undo()
    assert all(content.rows == 0 for content in contents(other).values()), part
