"""How values of the domain leave: JSON with plain decimals, and the headers that go with them."""

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any, Final

import msgspec
from litestar import Response

from api.schemas.base import plain, to_members
from db.queries.mapping import Stored

JSON_TYPE: Final = "application/json"
RECORD_HEADERS: Final = {"Cache-Control": "private, no-cache", "Vary": "Authorization"}


def plain_members(value: object) -> Any:
    """Return a dataclass tree as dictionaries and lists, decimals as text without exponent."""
    return _plain(to_members(value))


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _plain(item) for name, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return plain(value) if isinstance(value, Decimal) else value


def record_members(stored: Stored[Any]) -> dict[str, Any]:
    """Return a stored record's members: its head, then the fields of its dataclass."""
    members = plain_members(stored.record)
    return {"id": members.pop("id"), **head_members(stored), **members}


def head_members(stored: Stored[Any]) -> dict[str, int | datetime]:
    """Return version and times of a stored record."""
    return {
        "version": stored.version,
        "created_at": stored.created_at,
        "updated_at": stored.updated_at,
    }


def to_json(value: object) -> bytes:
    """Return members as the bytes of a JSON document."""
    return msgspec.json.encode(value)


def etag_of(version: int) -> str:
    """Return the strong entity tag of a record's version."""
    return f'"{version}"'


def json_response(
    value: object, status: int = 200, headers: Mapping[str, str] | None = None
) -> Response[bytes]:
    """Return members as an answer."""
    return Response(
        to_json(value), status_code=status, media_type=JSON_TYPE, headers=dict(headers or {})
    )


def record_response(value: object, version: int, if_none_match: str | None) -> Response[Any]:
    """Return a record with its ETag, or 304 where the client has this version already."""
    headers = {**RECORD_HEADERS, "ETag": etag_of(version)}
    if if_none_match is not None and _names(if_none_match, etag_of(version)):
        return Response(None, status_code=304, headers=headers)
    return json_response(value, headers=headers)


def _names(if_none_match: str, etag: str) -> bool:
    """Whether the header names the tag; weak comparison, as RFC 9110 13.1.2 asks."""
    tags = (tag.strip().removeprefix("W/") for tag in if_none_match.split(","))
    return any(tag in ("*", etag) for tag in tags)
