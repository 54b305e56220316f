"""Who may call what: every operation of the document, called with every sort of key.

The expected status follows from the right that the operation declares and from whose record it
concerns. An operation that the table cannot call is a failure.
"""

import os
import uuid
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import pytest
from litestar.testing import TestClient

from api.access import Right
from api.app import Api
from db.models.access import keys
from db.queries.access import make_shop_and_key, now
from tests.api.example_bodies import QUERIES as EXAMPLE_QUERIES
from tests.conftest import ENGINES
from tests.storm.document import Document, Operation
from tests.storm.yard import Retirement, Yard, is_catalogue

LARGE = int(os.environ.get("STORM_LARGE", "0"))
STRANGERS = ("no key", "broken key", "expired key", "revoked key")
CALLERS = (*STRANGERS, "reader", "other shop", "right key")
QUERIES = {**EXAMPLE_QUERIES, "readOptions": {"as_of": "2031-03-04T09:15:00Z"}}


@pytest.fixture(scope="module")
def headers(
    app: Api, client: TestClient[Any], owner: Yard, other: Yard
) -> dict[str, dict[str, str]]:
    """What each sort of caller sends for a key; all but the other shop's belong to the owner."""
    return {
        "no key": {},
        "broken key": bearer(owner.token[:-1] + ("a" if owner.token[-1] != "a" else "b")),
        "expired key": bearer(spoilt(app, owner, expires_at=now() - timedelta(seconds=1))),
        "revoked key": bearer(spoilt(app, owner, revoked_at=now())),
        "reader": bearer(own_key(app, owner, "reader")),
        "other shop": bearer(other.token),
        "right key": bearer(owner.token),
    }


def bearer(token: str) -> dict[str, str]:
    return {"Authorization": f"Bearer {token}"}


def own_key(app: Api, yard: Yard, role: str) -> str:
    with app.state.sessions.writing() as session:
        principal, token = make_shop_and_key(session, yard.name, role)
    assert principal.shop_id == yard.principal.shop_id
    return token


def spoilt(app: Api, yard: Yard, **values: Any) -> str:
    """A key of the shop that was good once."""
    with app.state.sessions.writing() as session:
        principal, token = make_shop_and_key(session, yard.name, "admin")
        session.execute(keys.update().where(keys.c.id == principal.key_id).values(**values))
    return token


@dataclass(frozen=True)
class Try:
    """One operation, ready to be sent with any key."""

    operation: Operation
    path: str
    more: dict[str, Any]

    def send(self, client: TestClient[Any], headers: dict[str, str]) -> Any:
        own = self.more.get("headers", {})
        more = {name: value for name, value in self.more.items() if name != "headers"}
        method = self.operation.method.upper()
        return client.request(method, self.path, headers={**own, **headers}, **more)


def prepared(app: Api, client: TestClient[Any], operation: Operation, yard: Yard) -> Try:
    """The request that succeeds with the owner's key."""
    if operation.method == "get":
        query = QUERIES.get(operation.name)
        is_text = "text/plain" in operation.told["responses"]["200"]["content"]
        accept = {"Accept": "text/plain" if is_text else "application/json"}
        return Try(operation, yard.filled(operation.path), {"params": query, "headers": accept})
    if operation.method == "post":
        key = {"Idempotency-Key": uuid.uuid4().hex}
        body = yard.bodies[operation.path]
        return Try(operation, yard.filled(operation.path), {"json": body, "headers": key})
    where = yard.filled(operation.path)
    before = yard.shop.get(where)
    match = {"If-Match": before.headers["etag"]}
    if operation.method == "delete":
        return Try(operation, where, {"headers": match})
    assert operation.method == "patch", f"nobody has said how to call {operation.method}"
    assert operation.body is not None
    patch = yard.change(operation.collection, before.json())
    return Try(
        operation, where, {"json": patch, "headers": {**match, "Content-Type": operation.body[0]}}
    )


def expected(operation: Operation, caller: str) -> int:
    if operation.right is Right.NOTHING:
        return operation.status
    if caller in STRANGERS:
        return 401
    if caller == "reader" and operation.right is Right.WRITE:
        return 403
    if caller == "other shop" and operation.has_id:
        if not is_catalogue(operation.collection):
            return 404
        if operation.method in ("patch", "delete"):
            return 403
    return operation.status


def test_every_operation_asks_for_the_right_that_it_declares(
    app: Api,
    client: TestClient[Any],
    document: Document,
    owner: Yard,
    other: Yard,
    headers: dict[str, dict[str, str]],
) -> None:
    wrong, calls = [], 0
    assert len(document.operations) > 80
    for operation in document.operations:
        for caller in CALLERS:
            calls += 1
            if caller == "right key" and operation.method in ("post", "delete", "patch"):
                continue  # below: they change what the others are tried on
            attempt = prepared(app, client, operation, owner)
            if caller == "other shop" and operation.method == "post" and not operation.has_id:
                continue  # the body names the owner's records: test_foreign_ids
            answer = attempt.send(client, headers[caller])
            if answer.status_code != expected(operation, caller):
                wrong.append((operation.name, caller, answer.status_code, answer.text[:200]))
            elif answer.status_code == 401:
                assert answer.headers["www-authenticate"] == 'Bearer realm="shop"'
    assert not wrong, wrong
    assert calls == len(document.operations) * len(CALLERS)
    print(f"{len(document.operations)} operations, {calls} calls")


@pytest.mark.engines(*(ENGINES if LARGE else ("sqlite",)))
def test_with_the_right_key_every_operation_that_changes_something_does(
    app: Api, client: TestClient[Any], document: Document, retirements: dict[str, Retirement]
) -> None:
    yard = Yard(app, client)
    yard.fill()
    wrong = []
    for operation in document.operations:
        if operation.method == "patch":
            answer = prepared(app, client, operation, yard).send(client, bearer(yard.token))
        elif operation.method == "delete":
            answer = retirements[operation.collection].answer
        elif operation.method == "post":
            answer = None  # fill() has stored one of each
            assert operation.path in yard.bodies, f"No example for {operation.name}."
        else:
            continue
        if answer is not None and answer.status_code != operation.status:
            wrong.append((operation.name, answer.status_code, answer.text[:300]))
    assert not wrong, wrong


def test_what_one_shop_stored_for_itself_is_in_no_list_of_another(
    document: Document, owner: Yard, other: Yard
) -> None:
    secret = [one for path, ids in owner.made.items() if not is_catalogue(path) for one in ids]
    assert len(secret) > 5
    lists = [
        one
        for one in document.operations
        if one.method == "get" and not one.has_id and one.path.startswith("/v1")
    ]
    for operation in lists:
        query = {**QUERIES.get(operation.name, {})}
        if {"limit", "cursor"} <= {one["name"] for one in operation.told["parameters"]}:
            query["limit"] = "200"
        answer = other.shop.get(operation.path, **query)
        assert answer.status_code == 200, (operation.name, answer.text)
        assert not [one for one in secret if one in answer.text], operation.name
        if any(one["name"] == "updated_since" for one in operation.told["parameters"]):
            changed = other.shop.get(operation.path, updated_since="0", limit="200")
            assert not [one for one in secret if one in changed.text], operation.name
