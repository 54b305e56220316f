"""One app over one migrated database for all tests here; each test has shops of its own."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
import structlog
from litestar.testing import TestClient

from api.app import Api, create_app
from api.settings import Settings
from db.migrate import upgrade
from db.queries.access import make_shop_and_key
from tests.api.bodies import Shop, fresh


@pytest.fixture(scope="session")
def app(new_url: Callable[[], str]) -> Api:
    structlog.configure(logger_factory=structlog.ReturnLoggerFactory())
    url = new_url()
    upgrade(url)
    return create_app(Settings(url))


@pytest.fixture(scope="session")
def client(app: Api) -> Iterator[TestClient[Any]]:
    with TestClient(app, raise_server_exceptions=False) as client:
        yield client


def make_shop(app: Api, client: TestClient[Any], name: str, role: str = "admin") -> Shop:
    with app.state.sessions.writing() as session:
        _, token = make_shop_and_key(session, name, role)
    return Shop(client, token)


@pytest.fixture
def shop(app: Api, client: TestClient[Any]) -> Shop:
    return make_shop(app, client, fresh("Invented workshop"))


@pytest.fixture
def other_shop(app: Api, client: TestClient[Any]) -> Shop:
    return make_shop(app, client, fresh("Invented workshop"))


@pytest.fixture
def reader(app: Api, client: TestClient[Any]) -> Shop:
    return make_shop(app, client, fresh("Invented workshop"), "reader")
