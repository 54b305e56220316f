"""The migrated schema and the models say the same, both ways."""

import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.util import CommandError
from sqlalchemy import Column, Engine, MetaData, Table, inspect

from db.engine import Sessions, make_engine
from db.migrate import current, downgrade, migration_config, script_folder, upgrade
from db.models import metadata
from db.queries.access import make_shop_and_key
from db.transfer import Content, content_of
from tests.db.generated import fill
from tests.db.workshop import Workshop

FIRST = "2026_11_25_first_records"
HEAD = "2026_11_29_shims"


def described(engine: Engine) -> dict[str, object]:
    """Everything that the database knows of its tables, in comparable form."""
    inspector = inspect(engine)
    return {
        name: {
            "columns": [
                (c["name"], str(c["type"]), c["nullable"], c["default"])
                for c in inspector.get_columns(name)
            ],
            "primary key": inspector.get_pk_constraint(name),
            "foreign keys": sorted(inspector.get_foreign_keys(name), key=lambda k: k["name"]),
            "unique": sorted(inspector.get_unique_constraints(name), key=lambda k: k["name"]),
            "checks": sorted(
                (c["name"], c["sqltext"]) for c in inspector.get_check_constraints(name)
            ),
            "indexes": [
                (
                    i["name"],
                    i["column_names"],
                    i["unique"],
                    {k: str(v) for k, v in i.get("dialect_options", {}).items()},
                )
                for i in sorted(inspector.get_indexes(name), key=lambda i: i["name"])
            ],
        }
        for name in inspector.get_table_names()
        if name != "alembic_version"
    }


def test_up_down_and_up_again_leaves_the_newest_schema(new_url: Callable[[], str]) -> None:
    url = new_url()
    assert current(url) is None
    upgrade(url)
    assert current(url) == HEAD
    downgrade(url, "base")
    assert current(url) is None
    engine = make_engine(url)
    assert inspect(engine).get_table_names() == ["alembic_version"]
    upgrade(url)
    assert current(url) == HEAD
    engine.dispose()


def as_there(engine: Engine, without: frozenset[str] = frozenset()) -> MetaData:
    """The tables and columns of the models that the database has at this moment."""
    inspector, there = inspect(engine), MetaData()
    for table in metadata.sorted_tables:
        if inspector.has_table(table.name) and table.name != "server_secrets":
            found = {column["name"] for column in inspector.get_columns(table.name)}
            columns = [Column(c.name, c.type) for c in table.c if c.name in found - without]
            Table(table.name, there, *columns)
    return there


def test_down_to_the_first_revision_and_up_again_keeps_ten_thousand_rows(
    new_url: Callable[[], str],
) -> None:
    url = new_url()
    upgrade(url)
    with closing(Sessions(make_engine(url))) as sessions:

        def contents(there: MetaData) -> dict[str, Content]:
            with sessions.reading() as session:
                return {table.name: content_of(session, table) for table in there.sorted_tables}

        with sessions.writing() as session:
            principal, _ = make_shop_and_key(session, "Mill")
        assert fill(Workshop(sessions, principal), is_first=True) > 9_000
        newest = as_there(sessions.engine)
        before = contents(newest)
        downgrade(url, FIRST)
        # The key is worked out from the designation, by the rule of each revision.
        first = as_there(sessions.engine, without=frozenset({"designation_key"}))
        left = contents(first)
        upgrade(url)
        assert contents(newest) == before
        assert contents(first) == left


def test_two_may_migrate_at_the_same_moment(new_url: Callable[[], str]) -> None:
    url = new_url()
    commands = [
        subprocess.Popen(
            [sys.executable, "-c", f"from db.migrate import upgrade; upgrade({url!r})"],
            stderr=subprocess.PIPE,
            text=True,
        )
        for _ in range(2)
    ]
    told = [command.communicate(timeout=60)[1] for command in commands]
    assert [command.returncode for command in commands] == [0, 0], told
    assert current(url) == HEAD


def test_the_migrated_schema_is_the_schema_of_the_models(
    url: str, new_url: Callable[[], str]
) -> None:
    migrated, created = make_engine(url), make_engine(new_url())
    metadata.create_all(created)
    expected, found = described(created), described(migrated)
    migrated.dispose()
    created.dispose()
    assert found.keys() == expected.keys()
    for name in expected:
        assert found[name] == expected[name], name


def test_autogenerate_finds_nothing_to_add(url: str) -> None:
    engine = make_engine(url)
    with engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []
    engine.dispose()
    command.check(migration_config(url))


def test_every_constraint_has_a_name_that_postgresql_keeps_whole() -> None:
    for table in metadata.tables.values():
        for named in [*table.constraints, *table.indexes]:
            assert named.name and len(str(named.name)) <= 63, (table.name, named)


def test_every_check_of_a_record_explains_itself() -> None:
    checks = [
        constraint
        for table in metadata.tables.values()
        for constraint in table.constraints
        if str(constraint.name).startswith("ck_")
    ]
    assert len(checks) > 80
    assert all({"pointer", "detail", "fix"} <= constraint.info.keys() for constraint in checks)


def test_the_folder_of_migrations_does_not_hide_the_library() -> None:
    assert (script_folder() / "env.py").exists()
    assert not list(script_folder().rglob("__init__.py"))


def test_a_percent_sign_in_the_path_is_only_a_character(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path}/100%25/corewright.db"
    upgrade(url)
    assert current(url) == HEAD


def test_an_unknown_revision_is_refused(url: str) -> None:
    with pytest.raises(CommandError):
        upgrade(url, "no_such_revision")


@pytest.mark.engines("sqlite")
def test_rows_that_point_at_nothing_stop_a_migration(url: str) -> None:
    engine = make_engine(url, foreign_keys=False)
    with engine.begin() as connection:
        connection.exec_driver_sql(
            "INSERT INTO keys (id, shop_id, role, token_hash, created_at)"
            " VALUES ('key_1', 'shp_none', 'admin', 'x', '2031-03-04 09:15:00')"
        )
    with pytest.raises(RuntimeError, match="point at nothing"):
        upgrade(url)
    engine.dispose()
