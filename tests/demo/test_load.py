"""Loading the scenario over HTTP: once, twice, into two shops, and when it is refused."""

import json
import shutil
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from litestar.testing import TestClient

from api.app import create_app
from api.demo import load
from api.demo.load import LoadRefused, count_records, load_scenario
from api.demo.records import RESOURCES, seed_folder
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


def versions(client: TestClient[Any], resource: str) -> dict[str, int]:
    """The version of every record of a kind that the shop sees, by id."""
    items = client.get(f"/v1/{resource}", params={"limit": "200"}).json()["items"]
    return {item["id"]: item["version"] for item in items}


def read(client: TestClient[Any], path: str, **query: str) -> Any:
    answer = client.get(f"/v1/{path}", params=query)
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_a_second_load_gives_the_same_ids_and_another_shop_gets_jobs_of_its_own(app, client):
    into_a_shop(app, client, "first")
    ids = load_scenario(client)
    before = {resource: versions(client, resource) for resource in RESOURCES}
    assert len(ids) == count_records()
    assert load_scenario(client) == ids
    assert {resource: versions(client, resource) for resource in RESOURCES} == before

    into_a_shop(app, client, "second")
    others = load_scenario(client)
    assert others["j-log-feed"] != ids["j-log-feed"]
    assert others["ml-6205"] == ids["ml-6205"], "parts are the catalogue's, not a shop's"
    assert client.get(f"/v1/jobs/{ids['j-log-feed']}").status_code == 404


def test_the_parts_from_donors_stand_where_the_story_leaves_them(app, client):
    into_a_shop(app, client, "third")
    ids = load_scenario(client)
    assert read(client, f"jobs/{ids['j-feeder-motor']}")["state"] == "closed"
    assert read(client, f"salvaged-parts/{ids['sp-press-rotor']}")["state"] == "fitted"
    assert read(client, f"reservations/{ids['rs-feeder-rotor']}")["state"] == "taken"
    assert read(client, f"reservations/{ids['rs-greenhouse-head']}")["state"] == "held"
    gone = read(client, f"units/{ids['hm-donor-press']}")["taken_position_ids"]
    assert set(gone) == {ids["hm-p-rotor"], ids["hm-p-ring"]}
    assert client.get(f"/v1/stock-items/{ids['st-m8x40-again']}").status_code == 404
    entries = read(client, "audit-entries", record_id=ids["j-feeder-motor"])["items"]
    assert [entry["action"] for entry in entries] == ["create", *["change"] * 4]


def test_a_load_after_the_kept_answers_were_forgotten_doubles_nothing(
    app, client, monkeypatch: pytest.MonkeyPatch
):
    into_a_shop(app, client, "fifth")
    ids = load_scenario(client)
    before = {resource: versions(client, resource) for resource in RESOURCES}
    monkeypatch.setattr(load, "_NAMESPACE", uuid.uuid4())
    again = load_scenario(client)
    assert {resource: versions(client, resource) for resource in RESOURCES} == before
    other = {key for key, record_id in ids.items() if again[key] != record_id}
    other -= {"st-m8x40-again", "ch-counted-twice"}  # retired, and recorded anew
    assert other <= {"ca-old-gasket"}, "said by another shop before of a part of the catalogue"


def test_a_load_that_was_cut_off_half_way_through_a_change_is_taken_up_there(
    app, client, tmp_path: Path
):
    into_a_shop(app, client, "sixth")
    folder = tmp_path / "seed_data"
    shutil.copytree(seed_folder(), folder)
    file = folder / "hydraulic-motor" / "changes.json"
    rows = json.loads(file.read_text(encoding="utf-8"))
    rows[0]["body"]["steps"] = rows[0]["body"]["steps"][:2]
    file.write_text(json.dumps(rows), encoding="utf-8")
    job_id = load_scenario(client, folder)["j-feeder-motor"]
    assert read(client, f"jobs/{job_id}")["state"] == "proved"
    load_scenario(client)
    assert read(client, f"jobs/{job_id}")["state"] == "closed"


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
