"""What an operation answers when all goes well, in the API's document."""

from typing import Any, Final

from litestar.handlers import HTTPRouteHandler

from api.answers import JSON_TYPE
from api.openapi_schemas import Schemas, answer_model
from api.problems import CATALOGUE

_LONGEST_PATH: Final = 8192


def _header(description: str, example: str, longest: int = 200) -> dict[str, Any]:
    schema = {"type": "string", "maxLength": longest}
    return {"description": description, "schema": schema, "example": example}


def _counted(description: str, most: int, example: int) -> dict[str, Any]:
    schema = {"type": "integer", "minimum": 0, "maximum": most}
    return {"description": description, "schema": schema, "example": example}


_ALWAYS: Final = {
    "X-Request-Id": _header("The request's id, as it stands in the log.", "req_7kq2"),
    "X-Content-Type-Options": _header("The answer is of the type it says.", "nosniff"),
    "Cache-Control": _header("Who may keep the answer: nobody, or the caller alone.", "no-store"),
}
_LIMITED: Final = {
    "RateLimit": _header("What is left in the window.", '"shop";r=11999;t=42'),
    "RateLimit-Policy": _header("How many calls in which window.", '"shop";q=12000;w=60'),
}
_OTHERS: Final = {
    "ETag": _header("The record's version.", '"1"'),
    "Vary": _header("The answer depends on the key.", "Authorization"),
    "Location": _header("Path of the new record.", "/v1/positions/pos_4hd"),
    "Answer-Repeated": _header('"true" where the first answer is given again.', "true"),
    "Link": _header(
        'The next page, as next says: <path>; rel="next". Absent on the last.',
        '</v1/positions?cursor=q8Zt1kP0vN4>; rel="next"',
        _LONGEST_PATH + 20,
    ),
    "Allow": _header("The methods that the path takes.", "GET, HEAD, OPTIONS"),
    "WWW-Authenticate": _header("How to send the key (RFC 6750).", 'Bearer realm="shop"'),
    "Retry-After": _counted("Seconds to wait before the next try.", 86_400, 2),
}
_COMMON: Final = {**_ALWAYS, **(_LIMITED if "rate-limited" in CATALOGUE else {})}
HEADERS: Final[dict[str, Any]] = {**_COMMON, **_OTHERS}
"""Every header of every answer, by name."""


def headers_of(*names: str) -> dict[str, Any]:
    """Return the headers of an answer: those that every answer has, and the named ones."""
    return {name: {"$ref": f"#/components/headers/{name}"} for name in (*_COMMON, *names)}


def answers_of(
    handler: HTTPRouteHandler, schemas: Schemas, example: dict[str, Any]
) -> dict[str, Any]:
    """Return the good answers of a handler by status."""
    opt = handler.opt
    good: dict[str, Any] = {"description": _told(opt), "headers": headers_of(*_names(opt))}
    if not opt.get("retires"):
        kind, schema = _content(handler, schemas)
        good["content"] = {kind: {"schema": schema}}
        if "answer" in example:
            good["content"][kind]["example"] = example["answer"]
    found = {str(handler.status_code): good}
    if opt.get("may_exist"):
        found["200"] = {
            **good,
            "description": "What is stored already under the caller's own word; nothing is new.",
        }
    if opt.get("has_etag"):
        found["304"] = {
            "description": "The client has the newest version already.",
            "headers": headers_of("ETag", "Vary"),
        }
    return found


def _told(opt: dict[str, Any]) -> str:
    told = {
        "makes_many": "The new records, and those that were stored already.",
        "stores": "The new record.",
        "changes": "The record as changed.",
        "retires": "The record is retired; reading it is 404 from now on.",
        "items": "One page of the list.",
        "has_etag": "The record.",
    }
    return next((text for name, text in told.items() if opt.get(name)), "The answer.")


def _names(opt: dict[str, Any]) -> list[str]:
    names = []
    if opt.get("makes_many"):
        return ["Answer-Repeated", "Vary"]
    if opt.get("stores"):
        names += ["Location", "Answer-Repeated"]
    if opt.get("stores") or opt.get("has_etag") or opt.get("changes"):
        names += ["ETag", "Vary"]
    if "items" in opt:
        names.append("Link")
    return names


def _content(handler: HTTPRouteHandler, schemas: Schemas) -> tuple[str, dict[str, Any]]:
    if handler.opt.get("text"):
        return "text/plain", {"type": "string", "maxLength": 4000}
    if "items" in handler.opt:
        return JSON_TYPE, _list_schema(handler, schemas.of(handler.opt["items"], "serialization"))
    answer = answer_model(handler)
    schema = {"type": "object"} if answer is None else schemas.of(answer, "serialization")
    return JSON_TYPE, schema


def _list_schema(handler: HTTPRouteHandler, items: dict[str, Any]) -> dict[str, Any]:
    return {
        "type": "object",
        "required": ["items", "limit"],
        "properties": {
            "items": {
                "type": "array",
                "maxItems": 200,
                "items": items,
                "description": "The records of this page.",
            },
            "limit": {
                "type": "integer",
                "minimum": 1,
                "maximum": 200,
                "description": "How many records a page holds at most.",
            },
            "next": {
                "type": "string",
                "maxLength": _LONGEST_PATH,
                "description": "Path of the next page; absent on the last.",
            },
            **(_CHANGES if handler.opt.get("has_changes") else {}),
        },
    }


_CHANGES: Final = {
    "retired_ids": {
        "type": "array",
        "maxItems": 200,
        "items": {"type": "string", "maxLength": 64},
        "description": "With updated_since: the ids of what was retired.",
    },
    "sequence": {
        "type": "string",
        "pattern": "^(0|[1-9][0-9]*)$",
        "maxLength": 16,
        "description": "With updated_since: up to where the changes are told; ask from here next.",
    },
}
