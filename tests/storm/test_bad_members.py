"""A bad value in any member of any body is refused by that member's name, and nothing is stored.

Every member of every body in the document is tried; each kind of member meets every bad value for
it among creations, among changes, among calculations. ``python -m tests.storm --large`` tries every
value in every member.
"""

import json
import os
import unicodedata
import uuid
from collections import defaultdict
from collections.abc import Iterator
from typing import Any, NamedTuple

import pytest
from sqlalchemy import func, select

from api.app import Api
from db.models.access import audit_entries, kept_answers
from tests.api.test_bad_bodies import BROKEN
from tests.conftest import ENGINES
from tests.storm.bad_values import BY_KIND, HONEST_TEXT, Raw, bad_values, encoded
from tests.storm.document import Document, Operation, Steps, at, kind_of, planted, pointer
from tests.storm.yard import Yard

LARGE = int(os.environ.get("STORM_LARGE", "0"))
# Refused before any table is touched: in the small run one database is enough.
either = pytest.mark.engines(*(ENGINES if LARGE else ("sqlite",)))
MEMBERS_AS_TEXT = {"unit": "unit"}


class Trial(NamedTuple):
    operation: Operation
    steps: Steps
    kind: str
    value: Any


def with_bodies(document: Document) -> list[Operation]:
    return [one for one in document.operations if one.body is not None]


def members(document: Document, operation: Operation) -> Iterator[tuple[Steps, str, Any]]:
    assert operation.body is not None
    for steps, schema in document.members(operation.body[1]):
        kind = "unit" if steps[-1] in MEMBERS_AS_TEXT else kind_of(schema)
        assert kind in BY_KIND, f"{operation.name} {pointer(steps)}: no bad values for {kind}."
        yield steps, kind, schema


def every_trial(document: Document) -> Iterator[Trial]:
    for operation in with_bodies(document):
        for steps, kind, schema in members(document, operation):
            for value in bad_values(kind, schema):
                if operation.method == "patch" and is_part_of(value, schema):
                    continue  # laid upon what is stored, it is whole
                yield Trial(operation, steps, kind, value)


def is_part_of(value: Any, schema: Any) -> bool:
    members = schema.get("properties", {}).keys()
    return isinstance(value, dict) and len(value) == 1 and value.keys() <= members


def chosen_trials(document: Document) -> list[Trial]:
    """Each kind and value once among creations, changes, calculations; each member once or more"""
    by_need: dict[Any, list[Trial]] = defaultdict(list)
    for trial in every_trial(document):
        family = "calculation" if trial.operation.status == 200 else trial.operation.method
        family = trial.operation.method if trial.operation.method == "patch" else family
        by_need[family, trial.kind, repr(trial.value)[:80]].append(trial)
    chosen = [trials[index % len(trials)] for index, trials in enumerate(by_need.values())]
    met = {(trial.operation.name, trial.steps) for trial in chosen}
    for index, trial in enumerate(every_trial(document)):
        if (trial.operation.name, trial.steps) not in met and index % 3 == 0:
            met.add((trial.operation.name, trial.steps))
            chosen.append(trial)
    return chosen


class Caller:
    """Sends bodies to operations on behalf of one shop; counts what was written."""

    def __init__(self, app: Api, yard: Yard) -> None:
        self._app = app
        self._yard = yard
        self.etags: dict[str, str] = {}

    def base(self, operation: Operation) -> Any:
        return self._yard.bodies[operation.path] if operation.method == "post" else {}

    def send(self, operation: Operation, content: bytes, **headers: str) -> Any:
        assert operation.body is not None
        where = self._yard.filled(operation.path)
        more = {"Content-Type": operation.body[0], "Idempotency-Key": uuid.uuid4().hex}
        if operation.method == "patch":
            if where not in self.etags:
                self.etags[where] = self._yard.shop.get(where).headers["etag"]
            more["If-Match"] = self.etags[where]
        return self._yard.shop.call(
            operation.method.upper(), where, content=content, headers={**more, **headers}
        )

    def written(self) -> tuple[int, int]:
        """How many writes there were, and how many answers are kept."""
        with self._app.state.sessions.reading() as session:
            counts = [
                session.execute(select(func.count()).select_from(table)).scalar_one()
                for table in (audit_entries, kept_answers)
            ]
        return counts[0], counts[1]


@pytest.fixture
def caller(app: Api, owner: Yard) -> Caller:
    return Caller(app, owner)


def verdict(trial: Trial, answer: Any) -> str | None:
    """What is wrong with an answer to a bad value; None if nothing is."""
    if not 400 <= answer.status_code < 500:
        return f"answered {answer.status_code}"
    if answer.status_code == 400 and answer.json()["type"] == "/problems/malformed-body":
        is_raw = isinstance(trial.value, Raw) or "raw" in repr(trial.value)
        return None if is_raw else "malformed"
    if answer.status_code != 422:
        return f"answered {answer.status_code}"
    pointers = [error["pointer"] for error in answer.json()["errors"]]
    at_or_below = pointer(trial.steps)
    if any(one == at_or_below or one.startswith(at_or_below + "/") for one in pointers):
        return None
    return f"points at {pointers}"


@either
def test_a_bad_value_is_refused_by_the_name_of_its_member_and_nothing_is_stored(
    document: Document, caller: Caller
) -> None:
    before = caller.written()
    trials = list(every_trial(document)) if LARGE else chosen_trials(document)
    assert {(trial.operation.name, trial.steps) for trial in trials} == {
        (one.name, steps) for one in with_bodies(document) for steps, _, _ in members(document, one)
    }
    wrong = []
    for trial in trials:
        body = planted(caller.base(trial.operation), trial.steps, trial.value)
        answer = caller.send(trial.operation, encoded(body))
        found = verdict(trial, answer)
        if found is not None:
            where = f"{trial.operation.name} {pointer(trial.steps)} ({trial.kind})"
            wrong.append((where, repr(trial.value)[:60], found, answer.text[:300]))
    print(f"{len(trials)} bad values, {len(wrong)} wrong")
    assert not wrong, "\n".join(map(str, wrong[:60]))
    assert caller.written() == before


@either
def test_a_body_that_is_no_document_is_malformed_everywhere(
    document: Document, caller: Caller
) -> None:
    before = caller.written()
    operations = with_bodies(document)
    for index, (what, content) in enumerate(BROKEN.items()):
        tried = operations if LARGE else operations[index % 3 :: 3]
        for operation in tried:
            if len(content) > 1_000_000 and operation is not tried[0]:
                continue
            answer = caller.send(operation, content)
            assert answer.status_code == 400, (operation.name, what, answer.text[:300])
            assert answer.json()["type"] == "/problems/malformed-body"
    assert caller.written() == before


@either
@pytest.mark.parametrize("content", [b"null", b"[]", b"7", b'"text"', b"true", b"1e400", b"[{}]"])
def test_a_document_that_is_no_object_is_invalid_everywhere(
    document: Document, caller: Caller, content: bytes
) -> None:
    before = caller.written()
    for operation in with_bodies(document):
        answer = caller.send(operation, content)
        assert answer.status_code == 422, (operation.name, answer.text[:300])
        assert answer.json()["errors"][0]["code"] == "object-type", operation.name
    assert caller.written() == before


@either
def test_an_unknown_member_is_refused_in_every_object(document: Document, caller: Caller) -> None:
    before = caller.written()
    for operation in with_bodies(document):
        objects: list[Steps] = [()]
        base = caller.base(operation)
        objects += [
            steps
            for steps, _, _ in members(document, operation)
            if isinstance(at(base, steps), dict)
        ]
        for steps in objects:
            body = planted(base, (*steps, "colour"), "red")
            answer = caller.send(operation, encoded(body))
            assert answer.status_code == 422, (operation.name, steps, answer.text[:300])
            found = {error["pointer"]: error["code"] for error in answer.json()["errors"]}
            assert found.get(pointer((*steps, "colour"))) == "unknown-member", (
                operation.name,
                steps,
                found,
            )
    assert caller.written() == before


@either
@pytest.mark.parametrize(
    "kind",
    ["", "text/plain", "application/xml", "application/x-ndjson", "json", "multipart/form-data"],
)
def test_another_kind_of_body_is_taken_nowhere(
    document: Document, caller: Caller, kind: str
) -> None:
    for operation in with_bodies(document):
        content = json.dumps(caller.base(operation)).encode()
        answer = caller.send(operation, content, **{"Content-Type": kind})
        assert answer.status_code == 415, (operation.name, kind, answer.text[:300])
        assert operation.body is not None
        assert answer.json()["accepted"] == [operation.body[0]]
        packed = caller.send(operation, content, **{"Content-Encoding": "gzip"})
        assert packed.status_code == 415


def test_strange_but_honest_text_is_kept_as_it_is_or_refused(
    document: Document, caller: Caller, owner: Yard
) -> None:
    kept = 0
    for number, operation in enumerate(with_bodies(document)):
        if operation.method != "patch":
            continue
        where = owner.filled(operation.path)
        texts = [steps for steps, kind, _ in members(document, operation) if kind == "text"]
        for index, text in enumerate(HONEST_TEXT):
            if not LARGE and (number + index) % 6:
                continue
            for steps in texts if LARGE else texts[(number + index) % max(len(texts), 1) :][:1]:
                if len(steps) > 1:
                    continue
                before = owner.shop.get(where)
                patch = planted({}, steps, text)
                answer = caller.send(
                    operation, encoded(patch), **{"If-Match": before.headers["etag"]}
                )
                assert answer.status_code in (200, 409, 422), (operation.name, steps, answer.text)
                after = owner.shop.get(where).json()
                if answer.status_code == 200:
                    assert after[steps[0]] == unicodedata.normalize("NFC", text)
                    kept += 1
                    put_back(owner, where, operation, {steps[0]: before.json()[steps[0]]})
                else:
                    assert after == before.json()
    assert kept > 15


def put_back(owner: Yard, where: str, operation: Operation, patch: Any) -> None:
    assert operation.body is not None
    headers = {
        "If-Match": owner.shop.get(where).headers["etag"],
        "Content-Type": operation.body[0],
    }
    answer = owner.shop.call("PATCH", where, json=patch, headers=headers)
    assert answer.status_code == 200, answer.text
