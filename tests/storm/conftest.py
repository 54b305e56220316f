"""One app over one migrated database for all storms, without a limit on how often one may ask."""

import time
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from typing import Any

import pytest
import structlog
from litestar.testing import TestClient

from api.app import Api, create_app
from api.settings import Limits, Settings
from db.migrate import upgrade
from db.queries import access
from tests.api.example_run import BEGAN, replaced
from tests.storm.document import Document
from tests.storm.yard import Retirement, Yard

UNLIMITED = Limits(requests_per_key=900_000_000, requests_per_peer=900_000_000)


def storm_app(url: str) -> Api:
    structlog.configure(logger_factory=structlog.ReturnLoggerFactory())
    upgrade(url)
    return create_app(Settings(url, limits=UNLIMITED))


class Ticking:
    """The moment of now, moved to the days in which the examples are set."""

    def __init__(self) -> None:
        self._began = time.monotonic()
        self.ahead = timedelta()
        """Moved on by hand."""

    def now(self) -> datetime:
        return BEGAN + timedelta(days=1, seconds=time.monotonic() - self._began) + self.ahead


@pytest.fixture(scope="session")
def ticking() -> Ticking:
    return Ticking()


@pytest.fixture(autouse=True)
def in_those_days(ticking: Ticking) -> Iterator[None]:
    """What an example reserves until next week would lie years ahead of the clock on the wall."""
    with replaced({access.now: ticking.now}):
        yield


@pytest.fixture(scope="session")
def app(new_url: Callable[[], str]) -> Api:
    return storm_app(new_url())


@pytest.fixture(scope="session")
def client(app: Api) -> Iterator[TestClient[Any]]:
    with TestClient(app, raise_server_exceptions=False) as client:
        yield client


@pytest.fixture(scope="session")
def document(app: Api, client: TestClient[Any]) -> Document:
    return Document(app, client.get("/openapi.json").json())


@pytest.fixture(scope="session")
def owner(app: Api, client: TestClient[Any]) -> Yard:
    yard = Yard(app, client)
    yard.fill()
    return yard


@pytest.fixture(scope="session")
def other(app: Api, client: TestClient[Any], owner: Yard) -> Yard:
    yard = Yard(app, client)
    yard.fill()
    return yard


@pytest.fixture(scope="session")
def retirements(
    app: Api, client: TestClient[Any], document: Document, other: Yard
) -> dict[str, Retirement]:
    """A record of each kind that can be retired, retired, by its collection."""
    return {
        one.collection: Retirement.of(app, client, one.collection)
        for one in document.operations
        if one.method == "delete"
    }
