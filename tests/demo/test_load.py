"""Loading the scenario over HTTP: once, twice, into two shops, and when it is refused."""

import json
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from litestar.testing import TestClient

from api.app import create_app
from api.demo.load import LoadRefused, count_records, load_scenario
from api.demo.records import seed_folder
from api.settings import Settings
from db.migrate import upgrade
from db.queries.access import make_shop_and_key


@pytest.fixture(scope="module")
def app(new_url: Callable[[], str]) -> Any:
    url = new_url()
    upgrade(url)
    return create_app(Settings(url))


@pytest.fixture(scope="module")
def client(app: Any) -> Iterator[TestClient[Any]]:
    with TestClient(app) as client:
        yield client


def into_a_shop(app: Any, client: TestClient[Any], name: str) -> None:
    with app.state.sessions.writing() as session:
        _, token = make_shop_and_key(session, name, "admin")
    client.headers["Authorization"] = f"Bearer {token}"


def count(client: TestClient[Any], resource: str) -> int:
    return len(client.get(f"/v1/{resource}", params={"limit": "200"}).json()["items"])


def test_a_second_load_gives_the_same_ids_and_another_shop_gets_jobs_of_its_own(app, client):
    into_a_shop(app, client, "first")
    ids = load_scenario(client)
    before = {r: count(client, r) for r in ("units", "findings", "offers", "jobs")}
    assert len(ids) == count_records()
    assert load_scenario(client) == ids
    assert {r: count(client, r) for r in before} == before

    into_a_shop(app, client, "second")
    others = load_scenario(client)
    assert others["j-log-feed"] != ids["j-log-feed"]
    assert others["ml-6205"] == ids["ml-6205"], "parts are the catalogue's, not a shop's"
    assert client.get(f"/v1/jobs/{ids['j-log-feed']}").status_code == 404


def test_a_refused_record_is_named_with_the_servers_words(app, client, tmp_path: Path):
    into_a_shop(app, client, "fourth")
    folder = tmp_path / "seed_data"
    shutil.copytree(seed_folder(), folder)
    file = folder / "shop" / "suppliers.json"
    rows = json.loads(file.read_text(encoding="utf-8"))
    rows[0]["body"]["freight"]["amount"] = "-1.00"
    file.write_text(json.dumps(rows), encoding="utf-8")
    with pytest.raises(LoadRefused, match=r"suppliers 'round-and-true': 422"):
        load_scenario(client, folder)
