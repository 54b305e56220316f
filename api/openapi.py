"""The OpenAPI 3.1 document, written from the handlers themselves.

The framework's own generator loses patterns, bounds inside optional members and examples, and
documents errors wrongly; so only its routes are used, and pydantic writes the schemas.
"""

import json
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any, Final, NamedTuple

from litestar import Litestar
from litestar.handlers import HTTPRouteHandler
from litestar.params import ParameterKwarg
from litestar.routes import HTTPRoute
from pydantic import BaseModel, TypeAdapter
from pydantic.json_schema import JsonSchemaMode

from api.access import Right
from api.answers import JSON_TYPE
from api.hygiene import query_names
from api.problems import CATALOGUE, MEDIA_TYPE, Problem

_REF: Final = "#/components/schemas/{model}"
_TAGS: Final = {
    "quantities": "Quantities in trade notation.",
    "assemblies": "Assemblies, positions, rulings, labour, what is inspected.",
    "interchange": "Parts, kits, interchange claims.",
    "condition": "Units, findings, conformity.",
    "life": "Life and risk of a comeback.",
    "sourcing": "Suppliers, offers, lead times.",
    "decision": "Settings, jobs, options, decisions.",
    "service": "The service itself.",
}
_EVERYWHERE: Final = ("bad-request", "method-not-allowed", "not-acceptable", "internal")
_DATABASE: Final = ("busy", "database-away")
_WITH_KEY: Final = ("unauthenticated", "forbidden", "not-found", "unknown-parameter", "validation")
_WITH_BODY: Final = ("malformed-body", "body-too-large", "media-type")
_STORING: Final = (
    "idempotency-key-missing",
    "idempotency-key-reused",
    "duplicate",
    "state-conflict",
    "storage-full",
)


class Endpoint(NamedTuple):
    """One handler at one path."""

    path: str
    method: str
    handler: HTTPRouteHandler


def endpoints_of(app: Litestar) -> list[Endpoint]:
    """Return every handler that we wrote, with its path and method; not the OPTIONS ones."""
    return [
        Endpoint(route.path_format, method.lower(), handler)
        for route in app.routes
        if isinstance(route, HTTPRoute)
        for handler in route.route_handlers
        for method in sorted(handler.http_methods)
        if method != "OPTIONS"
    ]


def openapi_document(app: Litestar, version: str) -> dict[str, Any]:
    """Return the document of an app."""
    endpoints = endpoints_of(app)
    schemas = _Schemas(endpoints)
    paths: dict[str, dict[str, Any]] = {}
    for endpoint in endpoints:
        paths.setdefault(endpoint.path, {})[endpoint.method] = _operation(endpoint, schemas)
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Corewright",
            "version": version,
            "summary": "Parts-interchange and salvage decisions for independent repair shops.",
            "description": (
                "Decimals are text, times are UTC, every error is application/problem+json. "
                "Wherever GET works, HEAD does."
            ),
            "license": {"name": "All rights reserved", "identifier": "LicenseRef-none"},
        },
        "servers": [{"url": "/"}],
        "tags": [{"name": name, "description": text} for name, text in _TAGS.items()],
        "security": [{"key": []}],
        "paths": dict(sorted(paths.items())),
        "components": {
            "securitySchemes": {"key": {"type": "http", "scheme": "bearer"}},
            "schemas": {**schemas.definitions, "Problem": _problem_schema()},
        },
    }


class _Schemas:
    """The schemas of bodies and answers, by model; one definition for each."""

    def __init__(self, endpoints: list[Endpoint]) -> None:
        asked: dict[tuple[Any, JsonSchemaMode], TypeAdapter[Any]] = {}
        for _, _, handler in endpoints:
            for model, mode in _models(handler):
                asked.setdefault((model, mode), TypeAdapter(model))
        self._found, definitions = TypeAdapter.json_schemas(
            [(model, mode, adapter) for (model, mode), adapter in asked.items()],
            ref_template=_REF,
        )
        self.definitions: dict[str, Any] = {}
        for name, schema in definitions.get("$defs", {}).items():
            self.definitions[_plain_name(name)] = _with_plain_names(schema)

    def of(self, model: Any, mode: JsonSchemaMode) -> dict[str, Any]:
        """Return the reference to a model's schema."""
        found: dict[str, Any] = _with_plain_names(self._found[(model, mode)])
        return found


def _plain_name(name: str) -> str:
    """Name what goes in as the model, what comes out as stored: names that clients can have."""
    return name.replace("-Input", "").replace("-Output", "Stored")


def _with_plain_names(schema: Any) -> Any:
    if isinstance(schema, dict):
        return {
            key: _plain_name(value) if key == "$ref" else _with_plain_names(value)
            for key, value in schema.items()
        }
    return [_with_plain_names(item) for item in schema] if isinstance(schema, list) else schema


def _models(handler: HTTPRouteHandler) -> Iterator[tuple[Any, JsonSchemaMode]]:
    body = body_model(handler)
    if body is not None:
        yield body, "validation"
    answer = answer_model(handler)
    if answer is not None:
        yield answer, "serialization"
    if "items" in handler.opt:
        yield handler.opt["items"], "serialization"


def body_model(handler: HTTPRouteHandler) -> Any:
    """Return the model of a handler's body, or None."""
    field = handler.parsed_data_field
    return None if field is None else field.annotation


def answer_model(handler: HTTPRouteHandler) -> Any:
    """Return the model of a handler's answer: as declared, or what it returns."""
    if "answer" in handler.opt:
        return handler.opt["answer"]
    returned = handler.parsed_fn_signature.return_type.annotation
    return returned if isinstance(returned, type) and issubclass(returned, BaseModel) else None


# --- one operation --------------------------------------------------------------------------------


def _operation(endpoint: Endpoint, schemas: _Schemas) -> dict[str, Any]:
    handler = endpoint.handler
    operation: dict[str, Any] = {
        "operationId": handler.operation_id,
        "summary": handler.summary,
        "description": _description(handler),
        "tags": list(handler.tags or ()),
        "parameters": list(_parameters(endpoint)),
        "responses": _responses(handler, schemas),
    }
    body = body_model(handler)
    if body is not None:
        content = {JSON_TYPE: {"schema": schemas.of(body, "validation")}}
        operation["requestBody"] = {"required": True, "content": content}
    if handler.opt["right"] is Right.NOTHING:
        operation["security"] = []
    example = examples().get(str(handler.operation_id))
    if example is not None:
        operation["requestBody"]["content"][JSON_TYPE]["example"] = example["request"]
        good = operation["responses"][str(handler.status_code)]
        good["content"][JSON_TYPE]["example"] = example["answer"]
    return operation


@cache
def examples() -> dict[str, dict[str, Any]]:
    """Return one complete request and answer by operation, as a real run gave them."""
    folder = Path(__file__).with_name("examples")
    return {
        path.stem: json.loads(path.read_text(encoding="utf-8"))
        for path in sorted(folder.glob("*.json"))
    }


def _description(handler: HTTPRouteHandler) -> str:
    """The docstring of the function itself, not of what runs it in a thread."""
    written = getattr(handler.fn, "func", handler.fn)
    return " ".join((written.__doc__ or "").split())


def _parameters(endpoint: Endpoint) -> Iterator[dict[str, Any]]:
    handler = endpoint.handler
    for piece in endpoint.path.split("/"):
        if piece.startswith("{"):
            name = piece.strip("{}")
            schema = {"type": "string", "minLength": 1, "maxLength": 64}
            yield {"name": name, "in": "path", "required": True, "schema": schema}
    yield from _query_parameters(handler)
    if handler.opt.get("stores"):
        yield {
            "name": "Idempotency-Key",
            "in": "header",
            "required": True,
            "description": "New for each new record; the same again repeats the first answer.",
            "schema": {"type": "string", "minLength": 1, "maxLength": 202},
            "example": '"8f0c2b7e-51a4-4f7e-9a55-0c1de1b7a001"',
        }
    if handler.opt.get("has_etag"):
        yield {
            "name": "If-None-Match",
            "in": "header",
            "description": "ETag of the version the client has; 304 if it is still the newest.",
            "schema": {"type": "string", "maxLength": 1000},
            "example": '"1"',
        }


def _query_parameters(handler: HTTPRouteHandler) -> Iterator[dict[str, Any]]:
    model = handler.opt.get("query")
    if model is not None:
        schema = model.model_json_schema(ref_template=_REF)
        for name, member in schema["properties"].items():
            yield _query_parameter(name, _inlined(member, schema), schema.get("required", ()))
    for name, field in handler.parsed_fn_signature.parameters.items():
        kwarg = field.kwarg_definition
        if isinstance(kwarg, ParameterKwarg) and (kwarg.query or name) in query_names(handler):
            member = TypeAdapter(field.raw).json_schema()
            member.setdefault("maxLength", 2000)
            if kwarg.description:
                member["description"] = kwarg.description
            needed = () if field.has_default else (kwarg.query or name,)
            yield _query_parameter(kwarg.query or name, member, needed)


def _query_parameter(name: str, member: dict[str, Any], needed: Any) -> dict[str, Any]:
    schema = {key: value for key, value in member.items() if key not in _MOVED}
    parameter = {"name": name, "in": "query", "required": name in needed, "schema": schema}
    if "description" in member:
        parameter["description"] = member["description"]
    if member.get("examples"):
        parameter["example"] = member["examples"][0]
    return parameter


_MOVED: Final = ("description", "examples", "title")


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


def _responses(handler: HTTPRouteHandler, schemas: _Schemas) -> dict[str, Any]:
    good: dict[str, Any] = {"description": "The answer."}
    if handler.opt.get("text"):
        good["content"] = {"text/plain": {"schema": {"type": "string", "maxLength": 4000}}}
    else:
        good["content"] = {JSON_TYPE: {"schema": _answer_schema(handler, schemas)}}
    if handler.opt.get("stores") or handler.opt.get("has_etag"):
        good["headers"] = {"ETag": _header("The record's version."), **_location(handler)}
    responses = {str(handler.status_code): good}
    if handler.opt.get("has_etag"):
        responses["304"] = {"description": "The client has the newest version already."}
    return responses | _error_responses(handler)


def _location(handler: HTTPRouteHandler) -> dict[str, Any]:
    if not handler.opt.get("stores"):
        return {}
    return {
        "Location": _header("Path of the new record."),
        "Answer-Repeated": _header('"true" where the first answer is given again.'),
    }


def _header(description: str) -> dict[str, Any]:
    return {"description": description, "schema": {"type": "string", "maxLength": 200}}


def _answer_schema(handler: HTTPRouteHandler, schemas: _Schemas) -> dict[str, Any]:
    if "items" in handler.opt:
        items = schemas.of(handler.opt["items"], "serialization")
        return {
            "type": "object",
            "required": ["items", "limit"],
            "properties": {
                "items": {"type": "array", "maxItems": 200, "items": items},
                "limit": {"type": "integer", "minimum": 1, "maximum": 200},
                "next": {
                    "type": "string",
                    "maxLength": 8192,
                    "description": "Path of the next page; absent on the last.",
                },
            },
        }
    answer = answer_model(handler)
    return {"type": "object"} if answer is None else schemas.of(answer, "serialization")


def _error_responses(handler: HTTPRouteHandler) -> dict[str, Any]:
    types = list(_EVERYWHERE + _DATABASE)
    if handler.opt["right"] is not Right.NOTHING:
        types += _WITH_KEY
    if body_model(handler) is not None:
        types += _WITH_BODY
    if "items" in handler.opt:
        types.append("cursor-invalid")
    if handler.opt.get("stores"):
        types += _STORING
    by_status: dict[int, list[Problem]] = {}
    for problem in (CATALOGUE[type_] for type_ in types):
        by_status.setdefault(problem.status, []).append(problem)
    content = {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}}
    return {
        str(status): {
            "description": " / ".join(f"{one.type}: {one.title}." for one in problems),
            "content": content,
        }
        for status, problems in sorted(by_status.items())
    }


def _problem_schema() -> dict[str, Any]:
    text = {"type": "string", "maxLength": 1000}
    return {
        "type": "object",
        "description": "Why a request was refused, and what to do (RFC 9457).",
        "required": ["type", "title", "status", "detail", "fix", "request_id"],
        "properties": {
            "type": {"type": "string", "enum": [problem.uri for problem in CATALOGUE.values()]},
            "title": text,
            "status": {"type": "integer", "minimum": 400, "maximum": 599},
            "detail": text,
            "fix": text,
            "request_id": {"type": "string", "maxLength": 64},
            "errors": {
                "type": "array",
                "maxItems": 100,
                "items": {
                    "type": "object",
                    "required": ["pointer", "code", "detail", "fix"],
                    "properties": {
                        "pointer": text,
                        "code": text,
                        "detail": text,
                        "fix": text,
                        "readings": {"type": "array", "maxItems": 20, "items": text},
                    },
                },
            },
        },
        "examples": [
            {
                "type": "/problems/validation",
                "title": CATALOGUE["validation"].title,
                "status": 422,
                "detail": "1 value is invalid.",
                "fix": CATALOGUE["validation"].mend,
                "request_id": "req_01k3",
                "errors": [
                    {
                        "pointer": "/price/amount",
                        "code": "decimal-format",
                        "detail": 'Got the number 184.5; send decimals as text, such as "184.50".',
                        "fix": "Put the number in quotes.",
                    }
                ],
            }
        ],
    }
