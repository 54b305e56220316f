"""The complete requests and answers that the API document shows are real runs.

``WRITE_EXAMPLES=1`` writes the answers anew (``make document`` does).
"""

import json
import os
from pathlib import Path

import pytest

import api.openapi
from api.app import Api
from api.openapi import endpoints_of
from tests.api.bodies import Shop

FOLDER = Path(api.openapi.__file__).with_name("examples")
NAMES = sorted(path.stem for path in FOLDER.glob("*.json"))

pytestmark = pytest.mark.engines("sqlite")


@pytest.mark.parametrize("name", NAMES)
def test_an_example_is_answered_as_the_document_says(name: str, app: Api, shop: Shop) -> None:
    path = FOLDER / f"{name}.json"
    example = json.loads(path.read_text("utf-8"))
    endpoint = next(e for e in endpoints_of(app) if e.handler.operation_id == name)
    answer = shop.post(endpoint.path.removeprefix("/v1"), example["request"])
    assert answer.status_code == 200, answer.text
    if os.environ.get("WRITE_EXAMPLES"):
        example["answer"] = answer.json()
        path.write_text(json.dumps(example, indent=1, ensure_ascii=False) + "\n", "utf-8")
    assert example["answer"] == answer.json()


def test_every_calculation_has_its_example(app: Api) -> None:
    names = {
        str(e.handler.operation_id)
        for e in endpoints_of(app)
        if e.path.startswith("/v1/calculations/")
    }
    assert names == set(NAMES)


def test_the_decision_example_is_the_small_snapshot_of_the_seed_data() -> None:
    seed = FOLDER.parent.parent / "seed_data" / "whole-snapshot.json"
    example = json.loads((FOLDER / "calculateDecision.json").read_text("utf-8"))
    assert json.loads(seed.read_text("utf-8")) == example["request"]
