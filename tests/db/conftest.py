"""A migrated database for each test: migrated once, then the file is copied."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from db.engine import Sessions, make_engine
from db.migrate import upgrade
from db.queries.access import Principal, make_shop_and_key
from tests.db.workshop import Workshop


@pytest.fixture(scope="session")
def migrated_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("migrated") / "corewright.db"
    upgrade(f"sqlite:///{file}")
    return file


@pytest.fixture
def url(migrated_file: Path, tmp_path: Path) -> str:
    shutil.copy(migrated_file, tmp_path / "corewright.db")
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
