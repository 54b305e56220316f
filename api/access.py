"""Who may call what: every handler declares its right, every key has a role.

A handler without a declared right stops the start-up.
"""

from enum import StrEnum
from typing import Any, Final, cast

from litestar.connection import ASGIConnection

from api.errors import ApiError
from db.engine import Sessions
from db.queries.access import Principal, find_principal
from shared.errors import Forbidden

_LONGEST_TOKEN: Final = 200


class Right(StrEnum):
    """What a handler asks of the key that calls it."""

    NOTHING = "nothing"
    """No key at all: health, the API's document, the pages of problems."""
    READ = "read"
    CALCULATE = "calculate"
    """Look-ups and calculations: they store nothing."""
    WRITE = "write"


_RIGHTS: Final = {
    "admin": frozenset(Right),
    "reader": frozenset((Right.NOTHING, Right.READ, Right.CALCULATE)),
}


def needs(right: Right) -> dict[str, Any]:
    """Options of a handler that say what its key must be allowed: ``opt=needs(Right.READ)``."""
    return {"right": right}


def sessions_of(connection: ASGIConnection[Any, Any, Any, Any]) -> Sessions:
    """Return what gives out the app's database sessions."""
    return cast(Sessions, connection.app.state.sessions)


def caller_of(connection: ASGIConnection[Any, Any, Any, Any]) -> Principal:
    """Return the shop and key that the request was let in with."""
    return cast(Principal, connection.scope["auth"])


def principal_of(connection: ASGIConnection[Any, Any, Any, Any], right: Right) -> Principal:
    """Return whose key the request carries; raises the problem unauthenticated, or Forbidden."""
    token = _token(connection.headers.getall("authorization", []))
    with sessions_of(connection).reading() as session:
        principal = find_principal(session, token)
    if principal is None:
        raise _unauthenticated("The key is unknown, expired or revoked.")
    if right not in _RIGHTS.get(principal.role, frozenset()):
        raise Forbidden("admin")
    return principal


def _token(headers: list[str]) -> str:
    if not headers:
        raise _unauthenticated("The request carries no key.")
    if len(headers) > 1:
        raise _unauthenticated("The request carries more than one Authorization header.")
    scheme, _, token = headers[0].partition(" ")
    token = token.strip()
    if scheme.lower() != "bearer" or not token or len(token) > _LONGEST_TOKEN:
        raise _unauthenticated("The Authorization header is not of the form Bearer KEY.")
    return token


def _unauthenticated(detail: str) -> ApiError:
    return ApiError("unauthenticated", detail, headers={"WWW-Authenticate": 'Bearer realm="shop"'})
