"""A migration cut short at any statement has changed nothing; the next one finishes the work."""

import os
import signal
import subprocess
import sys
from collections.abc import Callable

import pytest
from sqlalchemy import inspect

from db.engine import make_engine
from db.migrate import current, upgrade
from db.models import metadata
from tests.db.test_migrations import FIRST, HEAD, described

CUT = """
import os, signal, sys
from sqlalchemy import event
from sqlalchemy.engine import Engine
from db.migrate import upgrade

left = int(sys.argv[2])

@event.listens_for(Engine, "before_cursor_execute")
def count(connection, cursor, statement, *rest):
    global left
    left -= 1
    if left == 0:
        os.kill(os.getpid(), signal.SIGKILL)

upgrade(sys.argv[1])
print("statements left:", left)
"""


def upgrade_killed_at(url: str, statement: int) -> int:
    """Migrate in a process of its own that is killed before its n-th statement; its exit code."""
    return subprocess.run(
        [sys.executable, "-c", CUT, url, str(statement)],
        env={**os.environ, "PYTHONPATH": "."},
        timeout=120,
        check=False,
        capture_output=True,
    ).returncode


@pytest.mark.parametrize("statement", [40, 215])
def test_a_first_migration_killed_half_way_begins_again(
    new_url: Callable[[], str], statement: int
) -> None:
    url = new_url()
    assert upgrade_killed_at(url, statement) == -signal.SIGKILL
    assert current(url) is None, "a part of it was kept"
    engine = make_engine(url)
    left = set(inspect(engine).get_table_names()) - {"alembic_version"}
    assert not left, f"a part of it was kept: {left}"
    upgrade(url)
    assert current(url) == HEAD
    assert described(engine).keys() == set(metadata.tables)
    engine.dispose()


@pytest.mark.parametrize("statement", [30])
def test_a_later_migration_killed_half_way_leaves_the_earlier_schema(
    new_url: Callable[[], str], statement: int
) -> None:
    url = new_url()
    upgrade(url, FIRST)
    engine = make_engine(url)
    before = described(engine)
    assert upgrade_killed_at(url, statement) == -signal.SIGKILL
    assert current(url) == FIRST
    assert described(engine) == before
    upgrade(url)
    assert current(url) == HEAD
    engine.dispose()
