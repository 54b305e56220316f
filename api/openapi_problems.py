"""The errors of an operation in the API's document, all from the catalogue of problems."""

from typing import Any, Final

from litestar.handlers import HTTPRouteHandler

from api.access import Right
from api.openapi_answers import headers_of
from api.openapi_schemas import body_model
from api.problems import CATALOGUE, MEDIA_TYPE, Problem, problem_body

_EVERYWHERE: Final = (
    "bad-request",
    "method-not-allowed",
    "not-acceptable",
    "media-type",
    "unknown-parameter",
    "validation",
    "rate-limited",
    "request-timeout",
    "internal",
    "busy",
    "database-away",
)
_WITH_KEY: Final = ("unauthenticated", "forbidden", "not-found")
_WITH_BODY: Final = ("malformed-body", "body-too-large", "media-type")
_WITH_PATH: Final = ("not-found",)
_WITH_CURSOR: Final = ("cursor-invalid",)
_STORING: Final = (
    "idempotency-key-missing",
    "idempotency-key-reused",
    "idempotency-in-progress",
    "duplicate",
    "state-conflict",
    "storage-full",
)
_OF_A_VERSION: Final = ("precondition-required", "stale-version", "state-conflict", "storage-full")
_CHANGING: Final = (*_OF_A_VERSION, "duplicate", "in-use")
_RETIRING: Final = (*_OF_A_VERSION, "in-use")

_TEXT: Final = {"type": "string", "maxLength": 1000}
_COUNT: Final = {"type": "integer", "minimum": 0, "maximum": 2**53 - 1}
_ENTRY: Final = {
    "type": "object",
    "description": "One value that is wrong.",
    "required": ["pointer", "code", "detail", "fix"],
    "properties": {
        "pointer": {**_TEXT, "description": "Where it stands, a JSON pointer (RFC 6901)."},
        "code": {**_TEXT, "description": "What is wrong, as a word for programs."},
        "detail": {**_TEXT, "description": "The value seen and the value wanted."},
        "fix": {**_TEXT, "description": "What to do."},
        "readings": {
            "type": "array",
            "maxItems": 20,
            "items": _TEXT,
            "description": "What the value might mean, where it has several meanings.",
        },
    },
}


def _texts(description: str, most: int = 100) -> dict[str, Any]:
    return {"type": "array", "maxItems": most, "items": _TEXT, "description": description}


MEMBERS: Final[dict[str, tuple[dict[str, Any], Any]]] = {
    "position": ({**_COUNT, "description": "Where the body breaks, in characters."}, 118),
    "needed_role": ({**_TEXT, "description": "The role that the call needs."}, "admin"),
    "allowed": (_texts("The methods that the path takes."), ["GET", "HEAD", "OPTIONS"]),
    "offered": (_texts("The forms that are offered."), ["application/json", MEDIA_TYPE]),
    "retry_after_s": ({**_COUNT, "description": "Seconds to wait before the next try."}, 2),
    "allowed_states": (
        _texts("The states that the record can go to from the present one."),
        ["opened", "closed"],
    ),
    "used_by": (
        {
            "type": "array",
            "maxItems": 10,
            "items": {
                "type": "object",
                "required": ["kind", "id"],
                "properties": {
                    "kind": {**_TEXT, "description": "What kind of record it is."},
                    "id": {**_TEXT, "description": "Its id."},
                },
            },
            "description": "Records that use it, ten at most.",
        },
        [{"kind": "position", "id": "pos_4hd"}],
    ),
    "existing_id": ({**_TEXT, "description": "The record that exists already."}, "prt_7kq"),
    "differs_at": (
        _texts("Pointers to the members that say something else than what is stored."),
        ["/measured"],
    ),
    "offer_id": ({**_TEXT, "description": "The offer that holds no more."}, "ofr_7kq"),
    "current_version": ({**_COUNT, "description": "The newest version."}, 3),
    "limit_bytes": ({**_COUNT, "description": "How many bytes the call takes."}, 2_097_152),
    "accepted": (_texts("The media types that the call takes."), ["application/json"]),
    "errors": (
        {
            "type": "array",
            "maxItems": 100,
            "items": _ENTRY,
            "description": "Every value that is wrong; at most the first hundred.",
        },
        [
            {
                "pointer": "/price/amount",
                "code": "decimal-format",
                "detail": 'Got the number 184.5; send decimals as text, such as "184.50".',
                "fix": "Put the number in quotes.",
            }
        ],
    ),
    "parameter": ({**_TEXT, "description": "The parameter that is unknown or repeated."}, "sorted"),
    "nearest": (
        {
            "anyOf": [_TEXT, {"type": "null"}],
            "description": "The parameter that may have been meant; null if none is near.",
        },
        "sort",
    ),
}
"""The members that a problem may have besides the common ones: schema and example."""
_DETAILS: Final = {"validation": "1 value is invalid."}


def problem_types(path: str, handler: HTTPRouteHandler) -> list[Problem]:
    """Return the entries of the catalogue that a handler at a path can answer with."""
    opt = handler.opt
    groups = (
        (True, _EVERYWHERE),
        (opt["right"] is not Right.NOTHING, _WITH_KEY),
        ("{" in path, _WITH_PATH),
        (body_model(handler) is not None, _WITH_BODY),
        ("items" in opt, _WITH_CURSOR),
        (opt.get("stores"), _STORING),
        (opt.get("changes"), _CHANGING),
        (opt.get("retires"), _RETIRING),
        (True, opt.get("problems", ())),
    )
    asked = {type_ for applies, types in groups if applies for type_ in types}
    return [problem for type_, problem in CATALOGUE.items() if type_ in asked]


class ErrorAnswers:
    """The error answers; those of the same status and types are written once, under one name."""

    def __init__(self) -> None:
        self.named: dict[str, Any] = {}

    def of(self, path: str, handler: HTTPRouteHandler) -> dict[str, Any]:
        """Return the error answers of a handler by status, as references."""
        by_status: dict[int, list[Problem]] = {}
        for problem in problem_types(path, handler):
            by_status.setdefault(problem.status, []).append(problem)
        return {str(status): self._named(by_status[status]) for status in sorted(by_status)}

    def _named(self, problems: list[Problem]) -> dict[str, str]:
        name = "-or-".join(problem.type for problem in problems)
        self.named.setdefault(name, _answer(problems))
        return {"$ref": f"#/components/responses/{name}"}


def _answer(problems: list[Problem]) -> dict[str, Any]:
    content = {
        "schema": {"$ref": "#/components/schemas/Problem"},
        "examples": {one.type: {"$ref": f"#/components/examples/{one.type}"} for one in problems},
    }
    return {
        "description": " / ".join(f"{one.type}: {one.title}." for one in problems),
        "headers": headers_of(*_headers(problems)),
        "content": {MEDIA_TYPE: content},
    }


def _headers(problems: list[Problem]) -> list[str]:
    names = []
    if any(one.type == "unauthenticated" for one in problems):
        names.append("WWW-Authenticate")
    if any(one.type == "method-not-allowed" for one in problems):
        names.append("Allow")
    if any("retry_after_s" in one.members for one in problems):
        names.append("Retry-After")
    return names


def _example(problem: Problem) -> dict[str, Any]:
    members = {name: MEMBERS[name][1] for name in problem.members if name in MEMBERS}
    detail = _DETAILS.get(problem.type, problem.meaning)
    value = problem_body(problem, detail, "req_7kq2", **members)
    return {"summary": problem.title, "value": value}


PROBLEM_EXAMPLES: Final = {type_: _example(problem) for type_, problem in CATALOGUE.items()}
PROBLEM_SCHEMA: Final[dict[str, Any]] = {
    "type": "object",
    "description": "Why a request was refused, and what to do (RFC 9457).",
    "required": ["type", "title", "status", "detail", "fix", "request_id"],
    "properties": {
        "type": {
            "type": "string",
            "enum": [problem.uri for problem in CATALOGUE.values()],
            "description": "Path of the page that explains this type of problem.",
        },
        "title": {**_TEXT, "description": "What the type means; the same each time."},
        "status": {
            "type": "integer",
            "minimum": 400,
            "maximum": 599,
            "description": "The status of the answer.",
        },
        "detail": {**_TEXT, "description": "What is wrong with this request."},
        "fix": {**_TEXT, "description": "What to do."},
        "request_id": {
            "type": "string",
            "maxLength": 64,
            "description": "The request's id, as it stands in the log.",
        },
        **{name: schema for name, (schema, _) in MEMBERS.items()},
    },
}
