"""The whole requests and answers that the API document shows are those of a real run.

``WRITE_EXAMPLES=1`` writes them anew (``make document`` does). A new kind of record gets its
examples by one entry in ``example_bodies.BODIES``.
"""

import json
import os
from collections.abc import Callable
from typing import Any, cast

import pytest

from api.app import Api
from api.demo.records import seed_folder
from api.openapi import endpoints_of
from api.openapi_examples import FOLDER, examples
from api.openapi_schemas import body_model
from tests.api.example_run import Run, run_examples

pytestmark = pytest.mark.engines("sqlite")  # what is shown is the same on both

Examples = dict[str, dict[str, Any]]


def write(found: Examples, tags: dict[str, str]) -> None:
    """One file a tag, operations in the order of their names."""
    for path in FOLDER.glob("*.json"):
        path.unlink()
    for tag in sorted(set(tags.values())):
        kept = {name: found[name] for name in sorted(found) if tags[name] == tag}
        text = json.dumps(kept, indent=1, ensure_ascii=False)
        (FOLDER / f"{tag}.json").write_text(text + "\n", "utf-8")
    examples.cache_clear()


@pytest.fixture(scope="module")
def run(app: Api, new_url: Callable[[], str]) -> Run:
    run = run_examples(new_url())
    if os.environ.get("WRITE_EXAMPLES"):
        tags = {
            str(e.handler.operation_id): cast(Any, e.handler.tags)[0] for e in endpoints_of(app)
        }
        write(run.examples, tags)
    return run


@pytest.fixture(scope="module")
def found(run: Run) -> Examples:
    return run.examples


def test_every_example_is_what_a_run_gives(found: Examples) -> None:
    kept = examples()
    assert sorted(kept) == sorted(found)
    for name, example in found.items():
        assert kept[name] == example, f"{name}: make document writes it anew"


def test_a_second_run_gives_the_same(found: Examples, new_url: Callable[[], str]) -> None:
    assert run_examples(new_url()).examples == found


def test_every_operation_has_its_examples(app: Api, found: Examples) -> None:
    missing = []
    for endpoint in endpoints_of(app):
        example = found.get(str(endpoint.handler.operation_id), {})
        if body_model(endpoint.handler) is not None and "request" not in example:
            missing.append(f"{endpoint.method} {endpoint.path}: request")
        if not endpoint.handler.opt.get("retires") and "answer" not in example:
            missing.append(f"{endpoint.method} {endpoint.path}: answer")
    assert not missing, f"add them to tests/api/example_bodies.py: {missing}"


SOMETIMES = {"link", "answer-repeated"}
OF_HTTP = {"content-type", "content-length"}


def test_answers_are_of_the_status_the_type_and_the_headers_that_are_told(
    app: Api, run: Run
) -> None:
    document = json.loads(app.state.openapi_json)
    checked = 0
    for path, operations in document["paths"].items():
        for method, operation in operations.items():
            answer = run.answers[operation["operationId"]]
            if answer is None:
                continue
            told = operation["responses"][str(answer.status_code)]
            assert answer.headers["content-type"].split(";")[0] in told["content"], (method, path)
            named = {name.lower() for name in told["headers"]}
            given = set(answer.headers) - OF_HTTP
            assert named - SOMETIMES <= given <= named, (method, path, named, given)
            checked += 1
    assert checked > 90


def test_the_decision_example_is_the_small_snapshot_of_the_seed_data(found: Examples) -> None:
    seed = seed_folder() / "whole-snapshot.json"
    assert json.loads(seed.read_text("utf-8")) == found["calculateDecision"]["request"]
