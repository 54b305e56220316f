"""The API's document: whole, without loose ends, and true."""

import json
from typing import Any

import pytest

from api.app import create_app
from api.problems import CATALOGUE

pytestmark = pytest.mark.engines("sqlite")  # the document is the same on both


@pytest.fixture(scope="module")
def document(client: Any) -> dict[str, Any]:
    return dict(client.get("/openapi.json").json())


def operations(document: dict[str, Any]) -> list[tuple[str, str, dict[str, Any]]]:
    return [
        (path, method, operation)
        for path, methods in document["paths"].items()
        for method, operation in methods.items()
    ]


def walk(value: Any) -> Any:
    yield value
    for item in value.values() if isinstance(value, dict) else value:
        if isinstance(item, dict | list):
            yield from walk(item)


def test_every_operation_has_a_name_of_its_own_a_tag_and_a_summary(
    document: dict[str, Any],
) -> None:
    names = [operation["operationId"] for _, _, operation in operations(document)]
    assert len(names) == len(set(names)) > 40
    tags = {tag["name"] for tag in document["tags"]}
    for path, method, operation in operations(document):
        assert operation["summary"], (path, method)
        assert operation["description"], (path, method)
        assert len(operation["tags"]) == 1, (path, method)
        assert operation["tags"][0] in tags, (path, operation["tags"])


def test_every_reference_leads_somewhere(document: dict[str, Any]) -> None:
    for value in walk(document):
        if isinstance(value, dict) and "$ref" in value:
            name = value["$ref"].removeprefix("#/components/schemas/")
            assert name in document["components"]["schemas"], value["$ref"]


def test_every_path_parameter_is_declared(document: dict[str, Any]) -> None:
    for path, _, operation in operations(document):
        declared = {one["name"] for one in operation["parameters"] if one["in"] == "path"}
        assert declared == {part[1:-1] for part in path.split("/") if part.startswith("{")}


def test_every_operation_tells_its_errors(document: dict[str, Any]) -> None:
    for path, method, operation in operations(document):
        errors = {status for status in operation["responses"] if status >= "400"}
        assert {"405", "406", "500"} <= errors, (path, method)
        if path.startswith("/v1"):
            assert {"401", "403", "404", "422", "503"} <= errors, (path, method)
        if "requestBody" in operation:
            assert {"400", "413", "415"} <= errors, (path, method)


def test_bodies_and_answers_have_schemas(document: dict[str, Any]) -> None:
    for path, method, operation in operations(document):
        good = next(iter(operation["responses"].values()))
        schema = next(iter(good["content"].values()))["schema"]
        assert schema != {"type": "object"} or path == "/openapi.json", (path, method)


def test_decimals_are_text_with_a_pattern(document: dict[str, Any]) -> None:
    schemas = document["components"]["schemas"]
    value = schemas["QuantityIn"]["properties"]["value"]
    assert value["type"] == "string"
    assert value["pattern"].startswith("^-?")
    assert not [
        one for one in walk(document) if isinstance(one, dict) and one.get("type") == "number"
    ]


def test_bodies_refuse_unknown_members_in_the_document_too(document: dict[str, Any]) -> None:
    assert document["components"]["schemas"]["OfferCreate"]["additionalProperties"] is False


def test_all_problem_types_stand_in_the_document(document: dict[str, Any]) -> None:
    listed = document["components"]["schemas"]["Problem"]["properties"]["type"]["enum"]
    assert listed == [problem.uri for problem in CATALOGUE.values()]


def test_no_page_loads_anything_from_elsewhere(document: dict[str, Any]) -> None:
    assert "http://" not in json.dumps(document)
    assert "https://" not in json.dumps(document)


def test_the_document_is_the_same_each_time(app: Any, document: dict[str, Any]) -> None:
    again = create_app(app.state.settings)
    assert json.loads(again.state.openapi_json) == document
    again.state.sessions.close()
