"""A migrated, empty database for each test: a copy of the file, or a database swept clean."""

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import make_url

from db.engine import Sessions, make_engine
from db.models import metadata
from db.queries.access import Principal, make_shop_and_key
from tests.db.workshop import Workshop
from tests.db.yard import Yard, set_out

SWEEP = "; ".join(f"DELETE FROM {table.name}" for table in reversed(metadata.sorted_tables))


@pytest.fixture(scope="session")
def empty(migrated_url: str) -> Iterator[Callable[[], str]]:
    """Gives the address of the one PostgreSQL database of these tests, swept clean."""
    engine = make_engine(migrated_url, pool_size=1)

    def sweep() -> str:
        with engine.begin() as connection:
            connection.exec_driver_sql(SWEEP)
        return migrated_url

    yield sweep
    engine.dispose()


@pytest.fixture
def url(migrated_url: str, engine_name: str, tmp_path: Path, request: pytest.FixtureRequest) -> str:
    if engine_name == "postgresql":
        sweep: Callable[[], str] = request.getfixturevalue("empty")
        return sweep()
    shutil.copy(str(make_url(migrated_url).database), tmp_path / "corewright.db")
    return f"sqlite:///{tmp_path / 'corewright.db'}"


@pytest.fixture
def sessions(url: str) -> Iterator[Sessions]:
    sessions = Sessions(make_engine(url))
    yield sessions
    sessions.close()


def _principal(sessions: Sessions, name: str) -> Principal:
    with sessions.writing() as session:
        return make_shop_and_key(session, name)[0]


@pytest.fixture
def shop(sessions: Sessions) -> Principal:
    return _principal(sessions, "Workshop beside the timber yard")


@pytest.fixture
def other_shop(sessions: Sessions) -> Principal:
    return _principal(sessions, "Workshop across the river")


@pytest.fixture
def workshop(sessions: Sessions, shop: Principal) -> Workshop:
    return Workshop(sessions, shop)


@pytest.fixture
def neighbour(sessions: Sessions, other_shop: Principal) -> Workshop:
    return Workshop(sessions, other_shop)


@pytest.fixture
def yard(workshop: Workshop) -> Yard:
    return set_out(workshop)
