"""A shop with a record of every kind in it, stored over HTTP from ``tests/api/example_bodies.py``.

A kind of record that gets its example there has joined the tests here with it.
"""

import uuid
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from litestar.testing import TestClient

from api.app import Api
from db.queries import access
from db.queries.access import make_shop_and_key
from db.queries.records import CATALOGUE_WORDS, word_of
from tests.api.bodies import Shop, fresh
from tests.api.example_bodies import BODIES, CHANGES
from tests.api.example_run import Clock, replaced
from tests.storm.document import kinds

Members = dict[str, Any]
_TOLD_APART_BY = ("number", "model", "name", "designation", "serial_number", "label")
_NOTES = ("notes", "note", "name", "reason", "description")


def collection_of(path: str) -> str:
    return path.removeprefix("/v1").rsplit("/", 1)[0]


def is_catalogue(collection: str) -> bool:
    """Whether all shops read the records of a collection; decisions have no kind of their own."""
    found = [kind for kind in kinds() if kind.path == collection]
    return bool(found) and word_of(found[0].kind) in CATALOGUE_WORDS


class Yard:
    """A shop and what it stored: ``yard[path]`` is the id of the first record of a path."""

    def __init__(self, app: Api, client: TestClient[Any], role: str = "admin") -> None:
        self.name = fresh("Invented workshop") + " " + uuid.uuid4().hex[:8]
        with app.state.sessions.writing() as session:
            self.principal, self.token = make_shop_and_key(session, self.name, role)
        self.shop = Shop(client, self.token)
        self.made: dict[str, list[str]] = {}
        self.bodies: dict[str, Members] = {}
        """The first body that was stored at each path of the document."""

    def __getitem__(self, path: str | tuple[str, int]) -> str:
        name, index = path if isinstance(path, tuple) else (path, 0)
        return self.made[name][index]

    def get(self, path: str, **query: str) -> Any:
        answer = self.shop.get(path, **query)
        assert answer.status_code == 200, answer.text
        return answer.json()

    def fill(self, until: Callable[[str], bool] = lambda _: False) -> str | None:
        """Store record by record, until one of the path asked for is stored; its address then.

        The clock stands where the examples were written: some of them name a day to come.
        """
        clock = Clock()
        with replaced({access.now: clock.now}):
            return self._fill(until, clock)

    def _fill(self, until: Callable[[str], bool], clock: Clock) -> str | None:
        for path, body in BODIES:
            clock.moment += timedelta(minutes=1)
            answer = self.send("post", path, body(self))
            assert answer.is_success, (path, answer.text)
            if path.endswith("/findings") and path != "/findings":  # several at once
                ids = [item["id"] for item in answer.json()["items"]]
                self.made.setdefault("/findings", []).extend(ids)
            if "location" not in answer.headers:
                continue
            where: str = answer.headers["location"]
            self.made.setdefault(collection_of(where), []).append(answer.json()["id"])
            if until(path):
                return where
        return None

    def send(self, method: str, path: str, body: Members) -> Any:
        """Send what stores something; a record that another shop has is told apart from it."""
        where = self.filled(path)
        answer = self.shop.post(where, body, key=uuid.uuid4().hex)
        if answer.status_code == 409 and answer.json()["type"] == "/problems/duplicate":
            body = told_apart(body)
            answer = self.shop.post(where, body, key=uuid.uuid4().hex)
        if answer.is_success:
            self.bodies.setdefault("/v1" + path, body)
        return answer

    def filled(self, path: str) -> str:
        """A path with ids of this shop's records in it."""
        pieces = path.split("/")
        for place, piece in enumerate(pieces):
            if piece.startswith("{"):
                collection = "/".join(pieces[:place]).removeprefix("/v1")
                known = piece == "{problem_type}"
                pieces[place] = "validation" if known else self[collection]
        return "/".join(pieces)

    def change(self, collection: str, record: Members) -> Members:
        """A patch that changes a record a little."""
        change = CHANGES.get(collection)
        if change is not None and any(record.get(name) != value for name, value in change.items()):
            return change
        name = next(name for name in _NOTES if name in record)
        return {name: fresh("Seen again at the bench")}


def told_apart(body: Members) -> Members:
    """A body that differs from any other in what makes its record itself."""
    mark = uuid.uuid4().hex[:10]
    # A rule of part numbers is its maker's and has no name of its own.
    own = [name for name in _TOLD_APART_BY if name in body] or ["maker"]
    return {
        name: f"{value} {mark}" if name in own and isinstance(value, str) else value
        for name, value in body.items()
    }


def free_record(app: Api, client: TestClient[Any], collection: str) -> tuple[Yard, str]:
    """A record that nothing uses, in a shop of its own: the last that was stored there."""
    yard = Yard(app, client)
    where = yard.fill(lambda path: path == collection)
    assert where is not None, f"No example stores a record in {collection}."
    return yard, where


@dataclass(frozen=True)
class Retirement:
    """A record that nothing used, and what came of retiring it."""

    yard: Yard
    path: str
    etag: str
    answer: Any

    @classmethod
    def of(cls, app: Api, client: TestClient[Any], collection: str) -> "Retirement":
        yard, where = free_record(app, client, collection)
        etag = yard.shop.get(where).headers["etag"]
        answer = yard.shop.call("DELETE", where, headers={"If-Match": etag})
        return cls(yard, where, etag, answer)
