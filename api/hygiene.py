"""What is checked of every request before its handler runs: the key, its right, the names asked.

One guard for the whole app; what it needs to know of a handler is read once, at start-up.
"""

import re
from difflib import get_close_matches
from functools import cache
from typing import Any, Final
from urllib.parse import parse_qsl, unquote_to_bytes

from litestar.concurrency import sync_to_thread
from litestar.connection import ASGIConnection
from litestar.enums import ParamType
from litestar.exceptions import NotFoundException
from litestar.handlers import BaseRouteHandler
from litestar.params import ParameterKwarg

from api.access import Right, principal_of
from api.errors import ApiError, invalid_values
from api.problems import MEDIA_TYPE
from api.schemas.base import clean_text

_LONGEST_QUERY: Final = 8192
_LONGEST_VALUE: Final = 6000
_ID = re.compile(r"[A-Za-z0-9_.:#-]{1,64}")
_OFFERED: Final = ("application/json", MEDIA_TYPE)


async def check_request(
    connection: ASGIConnection[Any, Any, Any, Any], handler: BaseRouteHandler
) -> None:
    """Let a request through to its handler, or raise the problem that stops it."""
    if connection.scope.get("method") == "OPTIONS":
        return
    right = handler.opt["right"]
    if right is not Right.NOTHING:
        connection.scope["auth"] = await sync_to_thread(principal_of, connection, right)
    _check_accept(connection, handler)
    _check_no_body(connection)
    for name, value in connection.path_params.items():
        if name.endswith("id") and not _ID.fullmatch(str(value)):
            raise NotFoundException
    _check_query(connection, query_names(handler), handler.opt.get("pasted", frozenset()))


def _check_accept(
    connection: ASGIConnection[Any, Any, Any, Any], handler: BaseRouteHandler
) -> None:
    accept = connection.headers.get("accept")
    offered = handler.opt.get("offered", _OFFERED)
    if accept and not any(_matches(piece, offered) for piece in accept.split(",")):
        raise ApiError(
            "not-acceptable",
            f"Got Accept: {accept[:100]}; offered are {', '.join(offered)}.",
            offered=list(offered),
        )


def _check_no_body(connection: ASGIConnection[Any, Any, Any, Any]) -> None:
    """Refuse a body where none is read: whoever sends one means something by it."""
    if connection.scope.get("method") not in ("GET", "HEAD", "DELETE"):
        return
    length = connection.headers.get("content-length", "0").strip()
    if length != "0" or "transfer-encoding" in connection.headers:
        raise ApiError("media-type", "The request has a body; none is taken here.", accepted=[])


def _matches(piece: str, offered: tuple[str, ...]) -> bool:
    kind, *parameters = (part.strip().lower() for part in piece.split(";"))
    if any(re.fullmatch(r"q=0(\.0*)?", parameter) for parameter in parameters):
        return False
    return kind in ("*/*", *offered) or any(kind == f"{one.split('/')[0]}/*" for one in offered)


@cache
def query_names(handler: BaseRouteHandler) -> frozenset[str]:
    """Return the query parameters that a handler takes."""
    model = handler.opt.get("query")
    fields = model.model_fields.items() if model is not None else ()
    declared = {field.alias or name for name, field in fields}
    for name, field in handler.parsed_fn_signature.parameters.items():
        kwarg = field.kwarg_definition
        if isinstance(kwarg, ParameterKwarg) and kwarg.param_type is ParamType.QUERY:
            declared.add(kwarg.query or name)
    return frozenset(declared)


def _check_query(
    connection: ASGIConnection[Any, Any, Any, Any], known: frozenset[str], pasted: frozenset[str]
) -> None:
    raw: bytes = connection.scope.get("query_string", b"")
    if not raw:
        return
    if len(raw) > _LONGEST_QUERY:
        raise _bad_query("", "text-length", f"The query has {len(raw)} bytes.")
    try:
        pairs = parse_qsl(raw.decode("ascii"), keep_blank_values=True, errors="strict")
        unquote_to_bytes(raw).decode()
    except UnicodeDecodeError:
        raise _bad_query("", "text-character", "The query is not UTF-8.") from None
    except ValueError:
        raise _bad_query("", "too-many", "The query has too many parameters.") from None
    seen: set[str] = set()
    for name, value in pairs:
        if name in seen or name not in known:
            raise _unknown(name, known, repeated=name in seen)
        seen.add(name)
        if name in pasted:
            continue
        try:
            clean_text(value, _LONGEST_VALUE)
        except ValueError as error:
            raise _bad_query(f"/{name}", error.type, str(error)) from None  # type: ignore[attr-defined]


def _unknown(name: str, known: frozenset[str], *, repeated: bool) -> ApiError:
    near = get_close_matches(name[:64], sorted(known), n=1, cutoff=0.5)
    shown = name[:64]
    listed = ", ".join(sorted(known)) or "none"
    return ApiError(
        "unknown-parameter",
        f"The parameter {shown} stands twice."
        if repeated
        else f"There is no parameter {shown} here; known are: {listed}.",
        parameter=shown,
        nearest=shown if repeated else (near[0] if near else None),
    )


def _bad_query(pointer: str, code: str, detail: str) -> ApiError:
    fix = "Mend the value of the parameter, or leave the parameter out."
    return invalid_values([{"pointer": pointer, "code": code, "detail": detail, "fix": fix}])


def check_rights_declared(handlers: list[BaseRouteHandler]) -> None:
    """Stop the start-up for a handler that does not say what its key must be allowed."""
    for handler in handlers:
        if not isinstance(handler.opt.get("right"), Right):
            raise RuntimeError(f"The handler {handler.handler_name} declares no right.")
