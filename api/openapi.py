"""The OpenAPI 3.1 document, written from the handlers themselves.

The framework's own generator loses patterns, bounds inside optional members and examples, and
documents errors wrongly; so only its routes are used, and pydantic writes the schemas
(``openapi_schemas``). What an operation takes is told by ``openapi_parameters``, what it answers by
``openapi_answers``, which errors it can give by ``openapi_problems``; whole requests and answers
are real runs, kept in ``api/examples`` (``openapi_examples``).

A handler's ``opt`` tells what its signature cannot:

===========  =======================================================================================
right        what the key must be allowed; ``Right.NOTHING`` needs no key
query        model of the query parameters
pasted       query parameters that may hold what nobody sees: their own model tells what it takes
body         model of the body, where the handler reads the body itself
accepts      media type of the body, where it is not JSON
answer       model of the answer, where the handler returns bytes
items        model of the items of a list
has_changes  a list that also tells what changed: updated_since
stores       a new record: Idempotency-Key, Location, ETag
makes_many   with it: several records at once, so no Location and no ETag
may_exist    with it: what is stored already under the caller's own word, 200
has_etag     a record that is read: ETag, If-None-Match, 304
changes      a record that is changed: merge patch, If-Match, ETag
retires      a record that is retired: If-Match, no body
text         the answer is plain text
page         for people to look at: not in the document
problems     types of problem that the operation can give besides those that follow from the above
===========  =======================================================================================
"""

from typing import Any, Final, NamedTuple

from litestar import Litestar
from litestar.handlers import HTTPRouteHandler
from litestar.routes import HTTPRoute

from api.access import Right
from api.answers import JSON_TYPE
from api.openapi_answers import HEADERS, answers_of
from api.openapi_examples import example_of
from api.openapi_parameters import parameters_of
from api.openapi_problems import PROBLEM_EXAMPLES, PROBLEM_SCHEMA, ErrorAnswers
from api.openapi_schemas import Schemas, body_model

_TAGS: Final = {
    "quantities": "Quantities in trade notation.",
    "assemblies": "Assemblies, positions, rulings, labour, what is inspected.",
    "interchange": "Parts, kits, interchange claims.",
    "fasteners": "Special tools, what stands in for them, what is in stock.",
    "designations": "Names that standards give to parts, read and compared.",
    "identification": "Which standard size a measured part may be.",
    "standards": "Limits and fits, and the tables that answers rest on.",
    "condition": "Units, findings, conformity.",
    "life": "Life and risk of a comeback.",
    "salvage": "Parts taken from donors, and for whom they are held.",
    "sourcing": "Suppliers, offers, lead times.",
    "decision": "Settings, jobs, options, decisions.",
    "access": "Who changed what.",
    "service": "The service itself.",
}


class Endpoint(NamedTuple):
    """One handler at one path."""

    path: str
    method: str
    handler: HTTPRouteHandler


def endpoints_of(app: Litestar) -> list[Endpoint]:
    """Return every handler of the API, with its path and method; no pages, not the OPTIONS ones."""
    return [one for one in every_endpoint_of(app) if not one.handler.opt.get("page")]


def every_endpoint_of(app: Litestar) -> list[Endpoint]:
    """Return every handler that we wrote, the pages for people among them."""
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
    schemas = Schemas([endpoint.handler for endpoint in endpoints])
    errors = ErrorAnswers()
    paths: dict[str, dict[str, Any]] = {}
    for endpoint in endpoints:
        operation = _operation(endpoint, schemas, errors)
        paths.setdefault(endpoint.path, {})[endpoint.method] = operation
    used = {tag for endpoint in endpoints for tag in endpoint.handler.tags or ()}
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
        "servers": [{"url": "/", "description": "The server that gave this document."}],
        "tags": [
            {"name": name, "description": text} for name, text in _TAGS.items() if name in used
        ],
        "security": [{"key": []}],
        "paths": dict(sorted(paths.items())),
        "components": {
            "securitySchemes": {
                "key": {
                    "type": "http",
                    "scheme": "bearer",
                    "description": "The shop's key: Authorization: Bearer KEY.",
                }
            },
            "schemas": {**schemas.definitions, "Problem": PROBLEM_SCHEMA},
            "responses": errors.named,
            "headers": HEADERS,
            "examples": PROBLEM_EXAMPLES,
        },
    }


def _operation(endpoint: Endpoint, schemas: Schemas, errors: ErrorAnswers) -> dict[str, Any]:
    handler = endpoint.handler
    example = example_of(handler)
    operation: dict[str, Any] = {
        "operationId": handler.operation_id,
        "summary": handler.summary,
        "description": _description(handler),
        "tags": list(handler.tags or ()),
        "parameters": parameters_of(endpoint.path, handler, example),
        "responses": answers_of(handler, schemas, example) | errors.of(endpoint.path, handler),
    }
    body = body_model(handler)
    if body is not None:
        content: dict[str, Any] = {"schema": schemas.of(body, "validation")}
        if "request" in example:
            content["example"] = example["request"]
        kind = handler.opt.get("accepts", JSON_TYPE)
        operation["requestBody"] = {"required": True, "content": {kind: content}}
    if handler.opt["right"] is Right.NOTHING:
        operation["security"] = []
    return operation


def _description(handler: HTTPRouteHandler) -> str:
    """The docstring of the function itself, not of what runs it in a thread."""
    written = getattr(handler.fn, "func", handler.fn)
    return " ".join((written.__doc__ or "").split())
