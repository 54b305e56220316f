"""The API's document: whole, without loose ends, and true."""

import json
import re
from collections.abc import Iterator
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from referencing import Registry, Resource
from referencing.jsonschema import DRAFT202012

from api.app import create_app
from api.openapi_problems import MEMBERS
from api.problems import CATALOGUE, MEDIA_TYPE

pytestmark = pytest.mark.engines("sqlite")  # the document is the same on both

Node = dict[str, Any]


@pytest.fixture(scope="module")
def document(client: Any) -> Node:
    return dict(client.get("/openapi.json").json())


def operations(document: Node) -> list[tuple[str, str, Node]]:
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


def found(document: Node, pointer: str) -> Any:
    """What a reference leads to."""
    value: Any = document
    for step in pointer.removeprefix("#/").split("/"):
        value = value[step.replace("~1", "/").replace("~0", "~")]
    return value


def resolved(document: Node, value: Node) -> Node:
    return dict(found(document, value["$ref"])) if "$ref" in value else value


def responses(document: Node, operation: Node) -> dict[str, Node]:
    return {s: resolved(document, one) for s, one in operation["responses"].items()}


def contents(document: Node) -> Iterator[tuple[str, str, Node]]:
    """Every body and every answer: whose, its media type, its schema and examples."""
    for path, method, operation in operations(document):
        for kind, media in operation.get("requestBody", {"content": {}})["content"].items():
            yield f"{method} {path}: body", kind, media
        for status, answer in responses(document, operation).items():
            for kind, media in answer.get("content", {}).items():
                yield f"{method} {path}: {status}", kind, media


def examples_of(document: Node, media: Node) -> list[Any]:
    named = [resolved(document, one)["value"] for one in media.get("examples", {}).values()]
    return [media["example"], *named] if "example" in media else named


def validator(document: Node, schema: Node) -> Draft202012Validator:
    """A validator whose references lead into the document."""
    whole = Resource(contents=document, specification=DRAFT202012)
    pointed = json.loads(json.dumps(schema).replace('"#/components', '"document:#/components'))
    return Draft202012Validator(
        pointed,
        registry=Registry().with_resource("document:", whole),
        format_checker=Draft202012Validator.FORMAT_CHECKER,
    )


def test_every_operation_has_a_name_of_its_own_a_tag_and_a_summary(document: Node) -> None:
    names = [operation["operationId"] for _, _, operation in operations(document)]
    assert len(names) == len(set(names)) > 40
    tags = {tag["name"] for tag in document["tags"]}
    for path, method, operation in operations(document):
        assert operation["summary"], (path, method)
        assert operation["description"], (path, method)
        assert len(operation["tags"]) == 1, (path, method)
        assert operation["tags"][0] in tags, (path, operation["tags"])


def test_every_reference_leads_somewhere(document: Node) -> None:
    for value in walk(document):
        if isinstance(value, dict) and isinstance(value.get("$ref"), str):
            assert found(document, value["$ref"]), value["$ref"]


def test_every_path_parameter_is_declared(document: Node) -> None:
    for path, _, operation in operations(document):
        declared = {one["name"] for one in operation["parameters"] if one["in"] == "path"}
        assert declared == {part[1:-1] for part in path.split("/") if part.startswith("{")}


def test_every_parameter_and_header_is_told_and_shown(document: Node) -> None:
    for path, method, operation in operations(document):
        for one in operation["parameters"]:
            assert one["description"], (path, method, one["name"])
            errors = list(validator(document, one["schema"]).iter_errors(one["example"]))
            assert not errors, (path, method, one["name"], errors)
        for status, answer in responses(document, operation).items():
            headers = {n: resolved(document, h) for n, h in answer["headers"].items()}
            assert "X-Request-Id" in headers, (path, method, status)
            for name, header in headers.items():
                assert header["description"], name
                assert validator(document, header["schema"]).is_valid(header["example"]), name


def test_every_operation_tells_its_errors(document: Node) -> None:
    for path, method, operation in operations(document):
        errors = {status for status in operation["responses"] if status >= "400"}
        assert {"405", "406", "422", "500"} <= errors, (path, method)
        if path.startswith("/v1"):
            assert {"401", "403", "404", "503"} <= errors, (path, method)
        if "requestBody" in operation:
            assert {"400", "413", "415"} <= errors, (path, method)
        if method in ("patch", "delete"):
            assert {"409", "412", "428"} <= errors, (path, method)


def test_errors_are_problems_shown_by_type(document: Node) -> None:
    for path, method, operation in operations(document):
        for status, answer in responses(document, operation).items():
            if status < "400":
                continue
            assert set(answer["content"]) == {MEDIA_TYPE}, (path, method, status)
            shown = examples_of(document, answer["content"][MEDIA_TYPE])
            assert shown, (path, method, status)
            assert {one["status"] for one in shown} == {int(status)}, (path, method, status)


def test_every_example_keeps_its_schema(document: Node) -> None:
    counted = 0
    for where, kind, media in contents(document):
        for example in examples_of(document, media):
            counted += 1
            errors = [
                f"{'/'.join(map(str, error.absolute_path))}: {error.message[:200]}"
                for error in validator(document, media["schema"]).iter_errors(example)
            ]
            assert not errors, (where, kind, errors)
    assert counted > 500


def test_examples_inside_schemas_keep_them(document: Node) -> None:
    for value in walk(document["components"]["schemas"]):
        if isinstance(value, dict) and isinstance(value.get("examples"), list):
            for example in value["examples"]:
                errors = list(validator(document, value).iter_errors(example))
                assert not errors, (value, errors[0].message)


def test_every_body_and_good_answer_is_shown_whole(document: Node) -> None:
    for where, kind, media in contents(document):
        if kind != MEDIA_TYPE:
            assert "example" in media, where


def test_bodies_and_answers_have_schemas(document: Node) -> None:
    for where, _, media in contents(document):
        assert media["schema"] != {"type": "object"} or "/openapi.json" in where, where


def test_texts_numbers_and_arrays_have_bounds(document: Node) -> None:
    wanted = {
        "string": {"maxLength"},
        "array": {"maxItems"},
        "integer": {"minimum", "maximum"},
        "number": {"minimum", "maximum"},
    }
    for name, schema in document["components"]["schemas"].items():
        for one in walk(schema):
            kind = one.get("type") if isinstance(one, dict) else None
            if isinstance(kind, str) and not {"enum", "const"} & set(one):
                assert wanted.get(kind, set()) <= set(one), (name, one)


def test_decimals_are_text_with_a_pattern(document: Node) -> None:
    schemas = document["components"]["schemas"]
    value = schemas["QuantityIn"]["properties"]["value"]
    assert value["type"] == "string"
    assert value["pattern"].startswith("^-?")
    assert schemas["Money"]["properties"]["amount"]["pattern"].startswith("^-?")
    assert not [
        one for one in walk(document) if isinstance(one, dict) and one.get("type") == "number"
    ]


def test_bodies_refuse_unknown_members_in_the_document_too(document: Node) -> None:
    assert document["components"]["schemas"]["OfferCreate"]["additionalProperties"] is False


def test_changes_are_merge_patches_of_a_version(document: Node) -> None:
    for path, method, operation in operations(document):
        headers = {one["name"] for one in operation["parameters"] if one["in"] == "header"}
        assert ("If-Match" in headers) == (method in ("patch", "delete")), (path, method)
        if method == "patch":
            assert list(operation["requestBody"]["content"]) == ["application/merge-patch+json"]
            assert "ETag" in operation["responses"]["200"]["headers"]
        if method == "delete":
            assert "content" not in operation["responses"]["204"]


def test_all_problem_types_stand_in_the_document(document: Node) -> None:
    listed = document["components"]["schemas"]["Problem"]["properties"]["type"]["enum"]
    assert listed == [problem.uri for problem in CATALOGUE.values()]
    assert set(document["components"]["examples"]) == set(CATALOGUE)


def test_all_members_of_problems_are_told_and_shown() -> None:
    for problem in CATALOGUE.values():
        assert set(problem.members) <= set(MEMBERS), problem.type


def test_no_page_loads_anything_from_elsewhere(document: Node) -> None:
    assert "http://" not in json.dumps(document)
    assert "https://" not in json.dumps(document)


def test_the_document_is_the_same_each_time(app: Any, document: Node) -> None:
    again = create_app(app.state.settings)
    assert json.loads(again.state.openapi_json) == document
    again.state.sessions.close()


def test_the_document_speaks_of_json(document: Node) -> None:
    told = [
        one["description"]
        for one in walk(document)
        if isinstance(one, dict) and "description" in one
    ]
    words = [text for text in told if isinstance(text, str)]
    assert words
    assert not [
        text for text in words if re.search(r"(?<!-)\bNone\b(?!-)|\bTrue\b|\bFalse\b", text)
    ]
