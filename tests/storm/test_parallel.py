"""The same request ten times at once: one record, one winner, whatever the kind of record."""

import uuid
from typing import Any

import pytest
from litestar.testing import TestClient

from api.app import Api
from tests.api.bodies import Shop
from tests.api.example_bodies import BODIES
from tests.fire.race import race, tally
from tests.storm.document import Document
from tests.storm.yard import Yard, is_catalogue, told_apart

CALLERS = 10


@pytest.fixture(scope="module")
def yard(app: Api, client: TestClient[Any]) -> Yard:
    yard = Yard(app, client)
    yard.fill()
    return yard


def test_ten_equal_requests_with_one_key_store_one_record_of_every_kind(
    app: Api, client: TestClient[Any]
) -> None:
    """Each kind in its turn, as the examples build on one another."""
    yard = Yard(app, client)

    def store_at_once(path: str, body: Any) -> Any:
        where, key = yard.filled(path), uuid.uuid4().hex
        answers = race(CALLERS, lambda _: yard.shop.post(where, body, key=key))
        if tally(answers) == {"409 duplicate": CALLERS}:  # another shop has that part
            where, key, body = yard.filled(path), uuid.uuid4().hex, told_apart(body)
            answers = race(CALLERS, lambda _: yard.shop.post(where, body, key=key))
        if answers[0].status_code == 201:
            assert tally(answers) == {"201": 1, "201 repeated": CALLERS - 1}, path
            assert len({answer.content for answer in answers}) == 1
            # Several records made at once have no one version.
            assert len({answer.headers.get("etag") for answer in answers}) == 1
        else:
            assert {answer.status_code for answer in answers} == {200}, path
        yard.bodies.setdefault("/v1" + path, body)
        return answers[0]

    yard.send = lambda method, path, body: store_at_once(path, body)  # type: ignore[method-assign]
    yard.fill()
    listed = {path for path in yard.made if not is_catalogue(path)}
    for path in listed:
        found = yard.shop.get(path, limit="200").json()["items"]
        assert sorted(one["id"] for one in found) == sorted(yard.made[path]), path
    assert len(yard.made) >= len({path for path, _ in BODIES if "calculations" not in path}) - 3


def at_once(shop: Shop, method: str, where: str, **more: Any) -> list[Any]:
    return race(CALLERS, lambda _: shop.call(method, where, **more))


def test_of_ten_changes_made_for_one_version_one_wins(document: Document, yard: Yard) -> None:
    for operation in document.operations:
        if operation.method != "patch":
            continue
        where = yard.filled(operation.path)
        before = yard.shop.get(where)
        patch = yard.change(operation.collection, before.json())
        assert operation.body is not None
        headers = {"If-Match": before.headers["etag"], "Content-Type": operation.body[0]}
        answers = at_once(yard.shop, "PATCH", where, json=patch, headers=headers)
        assert tally(answers) == {"200": 1, "412 stale-version": CALLERS - 1}, operation.name
        assert yard.shop.get(where).json()["version"] == before.json()["version"] + 1


def test_of_ten_retirements_made_for_one_version_one_wins(
    document: Document, app: Api, client: TestClient[Any]
) -> None:
    yard = Yard(app, client)
    yard.fill()
    retired = 0
    for path, _ in reversed(BODIES):
        if not any(
            one.method == "delete" and one.collection == path for one in document.operations
        ):
            continue
        where = f"{path}/{yard.made[path].pop()}"
        headers = {"If-Match": yard.shop.get(where).headers["etag"]}
        answers = at_once(yard.shop, "DELETE", where, headers=headers)
        counts = tally(answers)
        if "409 in-use" in counts or "409 state-conflict" in counts:
            assert len(counts) == 1, (path, counts)
            continue
        assert counts == {"204": 1, "404 not-found": CALLERS - 1}, path
        retired += 1
    assert retired > 5
