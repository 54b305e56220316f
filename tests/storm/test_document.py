"""The service does what its document says, for whatever the document allows and forbids.

A generator makes requests from the document, good ones and bad ones, and follows what one answer
offers to the next; each answer is held against the document. How much is set in
``schemathesis.toml``; the large run adds every boundary of every member.
"""

import os
import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from jsonschema import Draft202012Validator
from litestar.testing import TestClient
from schemathesis.engine import from_schema
from schemathesis.engine.events import FatalError, NonFatalError, ScenarioFinished
from schemathesis.python import asgi

from api.app import Api, create_app
from tests.storm.document import Document
from tests.storm.yard import Yard

LARGE = int(os.environ.get("STORM_LARGE", "0"))
SETTINGS = Path(__file__).with_name("schemathesis.toml")
LONG_ENOUGH = ("If-None-Match", "string larger than maxLength")
"""Tags that are too long to be ours match nothing; RFC 9110 does not let them be an error."""


@pytest.fixture(scope="module")
def tried(app: Api) -> Iterator[Api]:
    """The app once more over the same database: the generator starts and ends it by itself."""
    yield create_app(app.state.settings)
    asgi.shutdown_lifespans()


@pytest.fixture
def yard(app: Api, client: TestClient[Any]) -> Yard:
    yard = Yard(app, client)
    yard.fill()
    return yard


def config() -> schemathesis.Config:
    given = tomllib.loads(
        SETTINGS.read_text("utf-8").replace("${STORM_KEY}", os.environ["STORM_KEY"])
    )
    if LARGE:
        given["generation"] |= {"max-examples": LARGE, "deterministic": False}
        given["phases"]["examples"]["enabled"] = True
        given["phases"]["coverage"]["enabled"] = True
        given["phases"]["stateful"]["generation"]["max-examples"] = 10 * LARGE
    return schemathesis.Config.from_dict(given)


def test_the_service_does_what_its_document_says(
    tried: Api, document: Document, yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("STORM_KEY", yard.token)
    schema = schemathesis.openapi.from_asgi("/openapi.json", tried, config=config())
    cases: Counter[str] = Counter()
    operations: set[str] = set()
    faults: list[str] = []
    for event in from_schema(schema).execute():
        if isinstance(event, FatalError | NonFatalError):
            faults.append(repr(getattr(event, "value", None) or getattr(event, "exception", event)))
        if isinstance(event, ScenarioFinished):
            recorder = event.recorder
            cases[event.phase.name] += len(recorder.cases)
            operations |= {node.value.operation.label for node in recorder.cases.values()}
            faults += found(document, recorder)
    print(f"{len(operations)} operations, {dict(cases)}, {len(faults)} faults")
    assert not faults, "\n".join(faults[:40])
    told = {f"{one.method.upper()} {one.path}" for one in document.operations}
    assert told - operations <= {"GET /openapi.json"}  # the generator reads it to begin with


def found(document: Document, recorder: Any) -> Iterator[str]:
    """What went against the document in one scenario."""
    for case_id, checks in recorder.checks.items():
        for check in checks:
            if check.failure_info is None:
                continue
            case, failure = recorder.cases[case_id].value, check.failure_info.failure
            if check.name == "negative_data_rejection" and is_excused(document, case, failure):
                continue
            sample = check.failure_info.code_sample[:600]
            yield f"{check.name}: {case.operation.label}: {failure.message}\n  {sample}"


def is_excused(document: Document, case: Any, failure: Any) -> bool:
    """Whether a request is good by a rule that its schema does not tell."""
    if all(word in failure.message for word in LONG_ENOUGH):
        return True
    if "in body" not in failure.message:
        return False
    content = case.operation.definition.raw["requestBody"]["content"]
    schema = next(iter(content.values()))["schema"]
    whole = {**schema, "components": document.served["components"]}
    errors = list(Draft202012Validator(whole).iter_errors(case.body))
    return bool(errors) and all(is_told_elsewhere(error, case.method) for error in errors)


def is_told_elsewhere(error: Any, method: str) -> bool:
    """A member that is null counts as missing; a patch need not name what it leaves as it is."""
    if error.context:
        branches = {one.schema_path[0] for one in error.context}
        return any(
            all(is_told_elsewhere(one, method) for one in error.context if one.schema_path[0] == n)
            for n in branches
        )
    if error.instance is None and len(error.absolute_path) > 0:
        return True
    return method.upper() == "PATCH" and error.validator == "required"
