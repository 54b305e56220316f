"""From errors to answers: one table from class to problem, one way of answering.

Whatever is raised, the answer is application/problem+json. It never holds a stack, SQL, a path or
the name of a class; those go to the log under the same request id.
"""

import json
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cache
from typing import Any, Final

import structlog
from litestar import Request, Response
from litestar.exceptions import (
    ClientException,
    HTTPException,
    MethodNotAllowedException,
    NotFoundException,
    ValidationException,
)
from litestar.exceptions.http_exceptions import RequestEntityTooLarge
from pydantic import ValidationError
from pydantic_core import PydanticCustomError
from sqlalchemy.exc import DBAPIError, OperationalError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from api.problems import CATALOGUE, MEDIA_TYPE, RETRY_AFTER_S, problem_body
from api.request_id import request_id_of
from api.schemas.base import Answer, Body, shown
from db.engine import DatabaseBusy
from shared.errors import (
    Ambiguous,
    Conflict,
    Forbidden,
    InvalidInput,
    NotFound,
    NotTheAuthor,
    StaleVersion,
)

_log = structlog.get_logger("corewright.errors")
_MOST_ERRORS: Final = 100
_LONGEST: Final = 1000


class ApiError(Exception):
    """A problem of HTTP itself, by its type in the catalogue."""

    def __init__(
        self,
        type_: str,
        detail: str,
        fix: str | None = None,
        headers: Mapping[str, str] | None = None,
        **members: Any,
    ) -> None:
        super().__init__(detail)
        self.type = type_
        self.detail = detail
        self.fix = fix
        self.headers = dict(headers or {})
        self.members = members


def answer_problem(request: Request[Any, Any, Any], error: Exception) -> Response[bytes]:
    """Turn any error into its problem answer; what nobody foresaw is logged and is a 500."""
    found = as_api_error(error)
    if found.type == "body-too-large":
        found.members["limit_bytes"] = request.route_handler.resolve_request_max_body_size()
    if found.type == "method-not-allowed":
        found.headers["Allow"] = ", ".join(found.members["allowed"])
    return problem_response(found, request_id_of(request.scope))


def problem_response(error: ApiError, request_id: str) -> Response[bytes]:
    """Return the answer for an error of the catalogue."""
    problem = CATALOGUE[error.type]
    headers = dict(error.headers)
    if "retry_after_s" in problem.members:
        error.members.setdefault("retry_after_s", RETRY_AFTER_S)
        headers["Retry-After"] = str(error.members["retry_after_s"])
    body = problem_body(problem, error.detail, request_id, error.fix, **error.members)
    return Response(
        json.dumps(_printable(body), ensure_ascii=False).encode(),
        status_code=problem.status,
        media_type=MEDIA_TYPE,
        headers=headers,
    )


def as_api_error(error: Exception) -> ApiError:
    """Find the entry of the catalogue that an error belongs to."""
    if isinstance(error, ApiError):
        return error
    for kind, turn in _TURNS:
        if isinstance(error, kind):
            return turn(error)
    _log.error("unforeseen error", exc_info=error)
    return ApiError("internal", "The server failed on this request.")


# --- bodies and values ---------------------------------------------------------------------------


def invalid_values(errors: Iterable[Mapping[str, Any]], count: int | None = None) -> ApiError:
    """Return the validation problem for entries of pointer, code, detail and fix."""
    kept = list(errors)[:_MOST_ERRORS]
    number = len(kept) if count is None else count
    detail = "1 value is invalid." if number == 1 else f"{number} values are invalid."
    if number > len(kept):
        detail += f" The first {len(kept)} are listed."
    return ApiError("validation", detail, errors=kept)


def _from_pydantic(error: ValidationError) -> ApiError:
    if not _comes_in(error.title):
        _log.error("an answer does not have its own form", exc_info=error)
        return ApiError("internal", "The server failed on this request.")
    listed = _without_echoes(error.errors(include_url=False))
    return invalid_values((_entry(item) for item in listed[:_MOST_ERRORS]), len(listed))


def _without_echoes(listed: Sequence[Any]) -> list[Any]:
    """Leave out a list told as too short only because of entries that are told as wrong besides."""
    wrong = {item["loc"][:length] for item in listed for length in range(len(item["loc"]))}
    return [item for item in listed if item["type"] != "too_short" or item["loc"] not in wrong]


@cache
def _comes_in(title: str) -> bool:
    """Whether the form of this title is one that callers fill in; what we fill in is our fault."""
    forms = [form for form in _forms(Answer) if _title(form) == title]
    return bool(forms) and all(_is_filled_in_by_callers(form) for form in forms)


def _is_filled_in_by_callers(form: type[Answer]) -> bool:
    """Whether nothing but bodies is in its line: records that go out share fields with bodies."""
    line = [one for one in form.__mro__ if issubclass(one, Answer) and one is not Answer]
    return all(issubclass(one, Body) for one in line)


def _forms(base: type[Answer]) -> Iterator[type[Answer]]:
    for form in base.__subclasses__():
        yield form
        yield from _forms(form)


def _title(form: type[Answer]) -> str:
    return form.model_config.get("title") or form.__name__


def _entry(item: Mapping[str, Any]) -> dict[str, Any]:
    context = item.get("ctx") or {}
    pointer = "".join(f"/{_escaped(str(step))}" for step in item["loc"])
    if "fix" in context:
        return {
            "pointer": pointer + context.get("at", ""),
            "code": item["type"],
            "detail": context["detail"],
            "fix": context["fix"],
        }
    code, detail, fix = _plain_words(item, context)
    return {"pointer": pointer, "code": code, "detail": detail, "fix": fix}


def _plain_words(item: Mapping[str, Any], context: Mapping[str, Any]) -> tuple[str, str, str]:
    """Say in our words what pydantic's own checks found: code, detail, fix."""
    name = str(item["loc"][-1])[:80] if item["loc"] else "the body"
    kind, got = item["type"], shown(item.get("input"))
    wanted = str(context.get("expected", "a listed value")).replace("'", "")
    bound = context.get("max_length", context.get("min_length"))
    count = f"Got {context.get('actual_length')} entries; wanted at"
    words = {
        "missing": ("missing", f"{name} is missing.", f"Give {name}."),
        "extra_forbidden": (
            "unknown-member",
            f"There is no member {name} here.",
            "Remove it, or mend its name.",
        ),
        "enum": ("not-listed", f"Got {got}; wanted {wanted}.", f"Give one of: {wanted}."),
        "too_long": ("too-many", f"{count} most {bound}.", f"Send at most {bound}."),
        "too_short": ("too-few", f"{count} least {bound}.", f"Send {bound} or more."),
        "tuple_type": ("array-type", f"Got {got}; wanted an array.", "Put entries in brackets."),
        "model_type": ("object-type", f"Got {got}; wanted an object.", "Send members in braces."),
    }
    same = {"literal_error": "enum", "list_type": "tuple_type", "dict_type": "model_type"}
    return words.get(
        same.get(kind, kind),
        (kind.replace("_", "-"), f"{item['msg']}; got {got}.", "Mend the value."),
    )


def _escaped(step: str) -> str:
    return step[:200].replace("~", "~0").replace("/", "~1")


def _from_custom(error: PydanticCustomError) -> ApiError:
    context = error.context or {}
    entry = {
        "pointer": context.get("at", ""),
        "code": error.type,
        "detail": context.get("detail", str(error)),
        "fix": context.get("fix", "Mend the value."),
    }
    return invalid_values([entry])


def _from_invalid(error: InvalidInput) -> ApiError:
    entry = {
        "pointer": error.pointer,
        "code": error.code,
        "detail": error.detail,
        "fix": error.fix,
    }
    if isinstance(error, Ambiguous):
        entry["readings"] = list(error.readings)  # type: ignore[assignment]
    return invalid_values([entry])


def _from_litestar_validation(error: ValidationException) -> ApiError:
    """Query and header values that the framework itself refused."""
    extra = error.extra if isinstance(error.extra, list) else []
    entries = [
        {
            "pointer": "/" + _escaped(str(item.get("key", ""))),
            "code": "invalid",
            "detail": str(item.get("message", "The value is invalid.")),
            "fix": "Mend the value.",
        }
        for item in extra
    ]
    if not entries:
        name = _missing_name(error.detail)
        entries = [
            {
                "pointer": f"/{_escaped(name)}",
                "code": "missing",
                "detail": f"{name} is missing.",
                "fix": f"Give {name}.",
            }
        ]
    return invalid_values(entries)


def _missing_name(detail: str) -> str:
    """Name of the parameter in the framework's "Missing required query parameter 'text' ..."."""
    pieces = detail.split("'")
    return pieces[1] if len(pieces) > 2 else "a parameter"


# --- the rest -------------------------------------------------------------------------------------


def _from_conflict(error: Conflict) -> ApiError:
    members: dict[str, Any] = dict(error.facts)
    return ApiError(error.code, error.detail, error.fix, None, **members)


def _from_stale(error: StaleVersion) -> ApiError:
    return ApiError(
        "stale-version",
        f"The record has version {error.current_version}, which If-Match does not name.",
        current_version=error.current_version,
    )


def _from_method(error: MethodNotAllowedException) -> ApiError:
    listed = (error.headers or {}).get("allow", "")
    allowed = {name.strip() for name in listed.split(",") if name.strip()}
    if "GET" in allowed:
        allowed.add("HEAD")
    return ApiError(
        "method-not-allowed",
        "The path exists, but not for this method.",
        allowed=sorted(allowed),
    )


def _from_http(error: HTTPException) -> ApiError:
    if error.status_code >= 500:
        _log.error("the framework failed", exc_info=error)
        return ApiError("internal", "The server failed on this request.")
    return ApiError("bad-request", "The request cannot be read.")


def _tells_full(error: BaseException | None) -> bool:
    """Whether the error, or one that it followed, says that there is no room left.

    SQLite may end the transaction of its own accord when the disk is full; what then fails is the
    way back to a savepoint that is gone, and only the error before it tells why.
    """
    while error is not None:
        cause = getattr(error, "orig", None)
        name = getattr(cause, "sqlite_errorname", "") or ""
        if name.startswith("SQLITE_FULL") or getattr(cause, "sqlstate", "") == "53100":
            return True
        error = error.__context__
    return False


def _from_database(error: DBAPIError) -> ApiError:
    """Tell a lock, a full disk and a missing database apart, by what the driver says."""
    cause = error.orig
    name = getattr(cause, "sqlite_errorname", "") or ""
    state = getattr(cause, "sqlstate", "") or ""
    _log.error("database error", exc_info=error)
    if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")) or state in ("40001", "40P01", "55P03"):
        return ApiError("busy", "The database is held by others.")
    if _tells_full(error):
        return ApiError("storage-full", "The disk under the database is full.")
    is_away = isinstance(error, OperationalError) or state == "42P01"
    if is_away or isinstance(cause, sqlite3.OperationalError):
        return ApiError("database-away", "The database cannot be reached or is not migrated.")
    return ApiError("internal", "The server failed on this request.")


_Turn = Callable[[Any], ApiError]
_TURNS: Final[tuple[tuple[type[Exception], _Turn], ...]] = (
    (InvalidInput, _from_invalid),
    (NotFound, lambda _: ApiError("not-found", "There is no such record.")),
    (Conflict, _from_conflict),
    (StaleVersion, _from_stale),
    (
        NotTheAuthor,
        lambda _: ApiError("not-the-author", "Another shop recorded this, and alone changes it."),
    ),
    (
        Forbidden,
        lambda error: ApiError(
            "forbidden",
            f"The call needs the role {error.needed_role}.",
            needed_role=error.needed_role,
        ),
    ),
    (ValidationError, _from_pydantic),
    (PydanticCustomError, _from_custom),
    (RequestEntityTooLarge, lambda _: ApiError("body-too-large", "The body is too large.")),
    (ValidationException, _from_litestar_validation),
    (NotFoundException, lambda _: ApiError("not-found", "There is nothing at this path.")),
    (MethodNotAllowedException, _from_method),
    (ClientException, _from_http),
    (HTTPException, _from_http),
    (DatabaseBusy, lambda _: ApiError("busy", "The database is held by others.")),
    (PoolTimeout, lambda _: ApiError("busy", "Too many requests at once.")),
    (DBAPIError, _from_database),
)


def _printable(value: Any) -> Any:
    """Return the value with text that can be encoded and is not endless."""
    if isinstance(value, str):
        short = value if len(value) <= _LONGEST else value[: _LONGEST - 3] + "..."
        return short.encode(errors="backslashreplace").decode()
    if isinstance(value, dict):
        return {name: _printable(item) for name, item in value.items()}
    if isinstance(value, list | tuple):
        return [_printable(item) for item in value]
    return value
