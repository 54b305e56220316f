"""The parameters of an operation in the API's document: in its path, its query, its headers."""

import json
from collections.abc import Iterator
from itertools import pairwise
from typing import Any, Final

from litestar.handlers import HTTPRouteHandler
from litestar.params import ParameterKwarg
from pydantic import TypeAdapter

from api.hygiene import query_names
from api.openapi_schemas import REF, BoundedJsonSchema

_LONGEST_VALUE: Final = 2000
_ID_PATTERN: Final = "^[A-Za-z0-9_.:#-]{1,64}$"
_MOVED: Final = ("description", "examples", "title")
_EXAMPLES: Final = {"cursor": "q8Zt1kP0vN4"}
"""For query parameters that have no example of their own."""

_IDEMPOTENCY_KEY: Final = {
    "name": "Idempotency-Key",
    "in": "header",
    "required": True,
    "description": "New for each new record; the same again repeats the first answer.",
    "schema": {"type": "string", "minLength": 1, "maxLength": 202},
    "example": '"8f0c2b7e-51a4-4f7e-9a55-0c1de1b7a001"',
}
_IF_NONE_MATCH: Final = {
    "name": "If-None-Match",
    "in": "header",
    "required": False,
    "description": "ETag of the version the client has; 304 if it is still the newest.",
    "schema": {"type": "string", "maxLength": 1000},
    "example": '"1"',
}
_IF_MATCH: Final = {
    "name": "If-Match",
    "in": "header",
    "required": True,
    "description": "ETag of the version that was read; refused if it is no longer the newest.",
    "schema": {"type": "string", "minLength": 3, "maxLength": 1000},
    "example": '"1"',
}


def parameters_of(
    path: str, handler: HTTPRouteHandler, example: dict[str, Any]
) -> list[dict[str, Any]]:
    """Return the parameters of a handler at a path, with the values of its example."""
    return [
        *_path_parameters(path, example.get("path", {})),
        *_query_parameters(handler, example.get("query", {})),
        *_header_parameters(handler),
    ]


def _path_parameters(path: str, values: dict[str, str]) -> Iterator[dict[str, Any]]:
    pieces = path.split("/")
    for before, piece in pairwise(pieces):
        if piece.startswith("{"):
            name = piece.strip("{}")
            yield {
                "name": name,
                "in": "path",
                "required": True,
                "description": f"Which of the {before.replace('-', ' ')}, by its {_told(name)}.",
                "schema": _path_schema(name),
                "example": values.get(name, "pos_4hd"),
            }


def _told(name: str) -> str:
    return "id" if name.endswith("id") else "name"


def _path_schema(name: str) -> dict[str, Any]:
    schema: dict[str, Any] = {"type": "string", "minLength": 1, "maxLength": 64}
    return {**schema, "pattern": _ID_PATTERN} if name.endswith("id") else schema


def _header_parameters(handler: HTTPRouteHandler) -> Iterator[dict[str, Any]]:
    if handler.opt.get("stores"):
        yield _IDEMPOTENCY_KEY
    if handler.opt.get("has_etag"):
        yield _IF_NONE_MATCH
    if handler.opt.get("changes") or handler.opt.get("retires"):
        yield _IF_MATCH


def _query_parameters(
    handler: HTTPRouteHandler, values: dict[str, str]
) -> Iterator[dict[str, Any]]:
    for name, member, is_required in _query_members(handler):
        schema = {key: value for key, value in member.items() if key not in _MOVED}
        parameter = {"name": name, "in": "query", "required": is_required, "schema": schema}
        if "description" in member:
            parameter["description"] = member["description"]
        example = (member.get("examples") or [_EXAMPLES.get(name)])[0]
        if name in values:
            is_text = member.get("type") not in ("integer", "boolean")
            example = values[name] if is_text else json.loads(values[name])
        if example is not None:
            parameter["example"] = example
        yield parameter


def _query_members(handler: HTTPRouteHandler) -> Iterator[tuple[str, dict[str, Any], bool]]:
    model = handler.opt.get("query")
    if model is not None:
        schema = model.model_json_schema(ref_template=REF, schema_generator=BoundedJsonSchema)
        for name, member in schema["properties"].items():
            yield name, _inlined(member, schema), name in schema.get("required", ())
    for name, field in handler.parsed_fn_signature.parameters.items():
        kwarg = field.kwarg_definition
        if isinstance(kwarg, ParameterKwarg) and (kwarg.query or name) in query_names(handler):
            member = _inlined(TypeAdapter(field.raw).json_schema(), {})
            member.setdefault("maxLength", _LONGEST_VALUE)
            if kwarg.description:
                member["description"] = kwarg.description
            yield kwarg.query or name, member, not field.has_default


def _inlined(member: dict[str, Any], schema: dict[str, Any]) -> dict[str, Any]:
    """Return a query member without its null and without references: a query has neither."""
    choices = [one for one in member.get("anyOf", ()) if one.get("type") != "null"]
    if choices:
        member = {**choices[0], **{k: v for k, v in member.items() if k != "anyOf"}}
    if member.get("default", 0) is None:
        member = {k: v for k, v in member.items() if k != "default"}
    if "$ref" in member:
        name = member["$ref"].rsplit("/", 1)[1]
        member = {**schema["$defs"][name], **{k: v for k, v in member.items() if k != "$ref"}}
    return member
