"""Both databases for every test that touches tables.

A test that asks for a database runs twice, on SQLite and on PostgreSQL, unless it is marked
``@pytest.mark.engines("sqlite")`` for what only one of them has, or for what no database decides.
"""

import os
from collections.abc import Callable, Iterator

import pytest

from db.migrate import upgrade
from tests.postgres import Cluster, NoPostgres, running_cluster

ENGINES = ("sqlite", "postgresql")


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "engines(*names): the databases that the test runs on")


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    if "engine_name" in metafunc.fixturenames:
        marker = metafunc.definition.get_closest_marker("engines")
        names = marker.args if marker else ENGINES
        metafunc.parametrize("engine_name", names, scope="session")


@pytest.fixture(scope="session")
def cluster() -> Iterator[Cluster]:
    """The tests' own PostgreSQL; without its binaries a skip, on the build machine a failure."""
    try:
        with running_cluster() as cluster:
            yield cluster
    except NoPostgres as error:
        if os.environ.get("CI") == "true":
            pytest.fail(str(error))
        pytest.skip(str(error))


@pytest.fixture(scope="session")
def new_url(
    engine_name: str, request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Callable[[], str]:
    """Gives the address of an empty database, another one at each call."""
    if engine_name == "postgresql":
        cluster: Cluster = request.getfixturevalue("cluster")
        return cluster.new_database
    return lambda: f"sqlite:///{tmp_path_factory.mktemp('database') / 'corewright.db'}"


@pytest.fixture(scope="session")
def migrated_url(new_url: Callable[[], str]) -> str:
    """The address of a migrated database that nothing was stored in."""
    url = new_url()
    upgrade(url)
    return url
