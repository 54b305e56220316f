"""The same app as the API's own tests use, and a key for it."""

from typing import Any

import pytest
from litestar.testing import TestClient

from api.app import Api
from tests.api.bodies import fresh
from tests.api.conftest import app, client, make_shop

__all__ = ["app", "client", "headers"]


@pytest.fixture
def headers(app: Api, client: TestClient[Any]) -> dict[str, str]:
    return dict(make_shop(app, client, fresh("Invented workshop")).headers)
