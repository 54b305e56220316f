"""One run of the whole API over the scenario of ``example_bodies``, the same each time.

Ids and the clock are replaced for the run, so that hashes, order and cursors come out the same too.
"""

import sys
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from typing import Any
from zlib import crc32

from litestar.testing import TestClient

import db.ids
import db.queries.access
from api.app import Api, create_app
from api.merge_patch import MERGE_PATCH_TYPE
from api.openapi import Endpoint, endpoints_of
from api.settings import Settings
from db.migrate import upgrade
from tests.api.bodies import Shop
from tests.api.conftest import make_shop
from tests.api.example_bodies import BODIES, CHANGES, PATHS, QUERIES, SHOWN

BEGAN = datetime(2031, 3, 4, 9, 15, tzinfo=UTC)
_DIGITS = "0123456789abcdefghjkmnpqrstvwxyz"
_NOTES = ("notes", "note", "name", "reason", "description")


class Ids:
    """Short rising ids: "pos_4t7c", the next one of the same prefix "pos_4zqk"."""

    def __init__(self) -> None:
        self._given: Counter[str] = Counter()

    def new_id(self, prefix: str) -> str:
        self._given[prefix] += 1
        # Four digits for the first seventy, each prefix from a place of its own.
        number = 40_000 + crc32(prefix.encode()) % 400_000 + 7919 * self._given[prefix]
        return f"{prefix}_" + "".join(_DIGITS[(number >> place) & 31] for place in (15, 10, 5, 0))


class Clock:
    """A clock that is moved by hand."""

    def __init__(self) -> None:
        self.moment = BEGAN

    def now(self) -> datetime:
        return self.moment


@contextmanager
def replaced(originals: dict[Any, Any]) -> Iterator[None]:
    """Replace functions in every module of the service that has taken them in."""
    found = [
        (module, name, value)
        for path, module in list(sys.modules.items())
        if path.startswith(("api.", "db."))
        for name, value in list(vars(module).items())
        if any(value is original for original in originals)
    ]
    for module, name, value in found:
        setattr(module, name, originals[value])
    try:
        yield
    finally:
        for module, name, value in found:
            setattr(module, name, value)


class Run:
    """The calls of the scenario and what they gave, by operation id."""

    def __init__(self, app: Api, client: TestClient[Any], shop: Shop, clock: Clock) -> None:
        self._client = client
        self._shop = shop
        self._clock = clock
        self._endpoints = endpoints_of(app)
        self._made: dict[str, list[str]] = {}
        self.examples: dict[str, dict[str, Any]] = {}
        self.answers: dict[str, Any] = {}
        """The answers as they came, by operation id; None for what is shown without a call."""

    def __getitem__(self, path: str | tuple[str, int]) -> str:
        name, index = path if isinstance(path, tuple) else (path, 0)
        return self._made[name][index]

    def get(self, path: str, **query: str) -> Any:
        answer = self._shop.get(path, **query)
        assert answer.status_code == 200, answer.text
        return answer.json()

    def go(self) -> None:
        """Store everything, then read and list it, then change it."""
        for path, body in BODIES:
            self._store("/v1" + path, body(self))
        for endpoint in self._endpoints:
            if endpoint.method == "get":
                self._read(endpoint)
        for endpoint in self._endpoints:
            if endpoint.method == "patch":
                self._change(endpoint)
        for endpoint in self._endpoints:
            if endpoint.method == "delete" and self._filled(endpoint.path) is not None:
                self._keep(endpoint, None, {})

    def _store(self, path: str, body: Any) -> None:
        endpoint = self._endpoint("post", path)
        where = self._filled(path)
        assert where is not None, f"Nothing is stored yet for {path}."
        self._clock.moment += timedelta(minutes=1)
        answer = self._shop.post(where, body)
        assert answer.is_success, (path, answer.text)
        stored = answer.json()
        if "location" in answer.headers:
            collection = _collection(answer.headers["location"])
            self._made.setdefault(collection, []).append(stored["id"])
        self._keep(endpoint, answer, {"request": body, "answer": stored})

    def _read(self, endpoint: Endpoint) -> None:
        where = self._filled(endpoint.path)
        if where is None:
            return
        name = str(endpoint.handler.operation_id)
        query = QUERIES.get(name, {})
        is_text = endpoint.handler.opt.get("text")
        accept = {"Accept": "text/plain" if is_text else "application/json"}
        answer = self._client.get(where, params=query, headers=self._shop.headers | accept)
        assert answer.status_code == 200, (name, answer.text)
        shown = answer.text if is_text else answer.json()
        shown = SHOWN[name](shown) if name in SHOWN else shown
        self._keep(endpoint, answer, {"query": query, "answer": shown})

    def _change(self, endpoint: Endpoint) -> None:
        where = self._filled(endpoint.path)
        if where is None:
            return
        self._clock.moment += timedelta(minutes=1)
        before = self._shop.get(where)
        patch = CHANGES.get(_collection(endpoint.path)) or _small_change(before.json())
        headers = {"If-Match": before.headers["etag"], "Content-Type": MERGE_PATCH_TYPE}
        answer = self._shop.call("PATCH", where, json=patch, headers=headers)
        assert answer.status_code == 200, (endpoint.path, answer.text)
        self._keep(endpoint, answer, {"request": patch, "answer": answer.json()})

    def _keep(self, endpoint: Endpoint, answer: Any, shown: dict[str, Any]) -> None:
        """Keep the first call of an operation."""
        name = str(endpoint.handler.operation_id)
        example = {"path": self._values(endpoint.path), **shown}
        kept = {name: value for name, value in example.items() if value or name == "request"}
        self.examples.setdefault(name, kept)
        self.answers.setdefault(name, answer)

    def _endpoint(self, method: str, path: str) -> Endpoint:
        return next(one for one in self._endpoints if (one.method, one.path) == (method, path))

    def _filled(self, path: str) -> str | None:
        """The path with the ids of stored records in it; None where there is none yet."""
        values = self._values(path)
        return path.format(**values) if len(values) == path.count("{") else None

    def _values(self, path: str) -> dict[str, str]:
        pieces = path.split("/")
        found: dict[str, str] = {}
        for place, piece in enumerate(pieces):
            name = piece.strip("{}")
            stored = self._made.get(_collection("/".join(pieces[: place + 1])))
            if piece.startswith("{") and (name in PATHS or stored):
                found[name] = PATHS[name] if name in PATHS else stored[0]  # type: ignore[index]
        return found


def _collection(path: str) -> str:
    """The path below /v1 of the collection that a record's path stands in."""
    return path.removeprefix("/v1").rsplit("/", 1)[0]


def _small_change(record: dict[str, Any]) -> dict[str, Any]:
    """A patch for a record that ``CHANGES`` says nothing of: its note, or its name."""
    name = next(name for name in _NOTES if name in record)
    return {name: "Seen again at the bench."}


def run_examples(url: str) -> Run:
    """Run the scenario over a new database."""
    upgrade(url)
    ids, clock = Ids(), Clock()
    with replaced({db.ids.new_id: ids.new_id, db.queries.access.now: clock.now}):
        app = create_app(Settings(url, secret=b"the same in every run of the examples"))
        with TestClient(app, raise_server_exceptions=False) as client:
            run = Run(app, client, make_shop(app, client, "Invented workshop"), clock)
            run.go()
    return run
