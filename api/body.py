"""Reading a body: one JSON document, UTF-8, no deeper than 32, no member twice.

What the framework would let pass or fall over (see the checks) is refused here, before anything
looks at the values.
"""

import json
import re
from typing import Any, Final, cast

from litestar import Request
from litestar.concurrency import sync_to_thread
from litestar.exceptions import InternalServerException
from pydantic import BaseModel

from api.errors import ApiError

JSON_TYPE: Final = "application/json"
DEEPEST: Final = 32
_READ: Final = "corewright.body"
_MOST_MEMBERS: Final = 2000
_LONGEST_INTEGER: Final = 40
_LARGE_BODY: Final = 64 * 1024
# A string left open runs to the end: so one pass is enough, whatever stands in the text.
_STRINGS_AND_BRACKETS = re.compile(r'"[^"\\]*+(?:\\.[^"\\]*+)*+(?:"|\Z)|[\[\]{}]', re.DOTALL)


class CheckedRequest(Request[Any, Any, Any]):
    """A request whose JSON body is read by our own rules."""

    async def body(self) -> bytes:
        """Return the body's bytes; refuses a wrong or missing type, and an empty body."""
        if self.route_handler.parsed_data_field is None:
            return await super().body()
        self._check_type(self.route_handler.opt.get("accepts", JSON_TYPE))
        try:
            raw = await super().body()
        except InternalServerException:
            raise malformed("The connection ended before the body did.", None) from None
        if not raw:
            raise malformed("The body is empty.", 0)
        return raw

    async def json(self) -> Any:
        """Return the body as the handler's model, checked; large ones are read in a thread."""
        raw = await self.body()
        if len(raw) > _LARGE_BODY:
            return await sync_to_thread(self._read, raw)
        return self._read(raw)

    def _read(self, raw: bytes) -> Any:
        value = read_json(raw)
        cast(Any, self.scope)[_READ] = value
        field = self.route_handler.parsed_data_field
        model = field.annotation if field is not None else None
        if isinstance(model, type) and issubclass(model, BaseModel):
            return model.model_validate(value)
        return value

    def _check_type(self, accepted: str) -> None:
        kind, options = self.content_type
        encoding = self.headers.get("content-encoding", "identity").strip().lower()
        charset = options.get("charset", "utf-8").lower()
        if kind != accepted or encoding != "identity" or charset not in ("utf-8", "utf8"):
            seen = kind or "no Content-Type"
            if encoding != "identity":
                seen += f" compressed by {encoding}"
            if charset not in ("utf-8", "utf8"):
                seen += f" in {charset}"
            raise ApiError(
                "media-type",
                f"Got {seen}; wanted {accepted}, not compressed.",
                accepted=[accepted],
            )


def body_read(request: Request[Any, Any, Any]) -> Any:
    """Return the JSON document that a request brought, as it was sent; None if it brought none."""
    return cast(Any, request.scope).get(_READ)


def malformed(detail: str, position: int | None) -> ApiError:
    """Return the problem of a body that is not one JSON document."""
    return ApiError("malformed-body", detail, position=position)


def read_json(raw: bytes) -> Any:
    """Return the one JSON document in ``raw``; raises the problem malformed-body.

    ``position`` counts bytes for broken UTF-8 and characters for broken JSON, from 0.
    """
    if raw.startswith((b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff")):
        raise malformed("The body begins with a byte-order mark; wanted plain UTF-8.", 0)
    try:
        text = raw.decode()
    except UnicodeDecodeError as error:
        raise malformed("The body is not UTF-8.", error.start) from None
    _check_depth(text)
    try:
        return json.loads(
            text,
            object_pairs_hook=_members,
            parse_constant=_no_constant,
            parse_int=_bounded_integer,
        )
    except json.JSONDecodeError as error:
        raise malformed(f"The body is not JSON: {error.msg}.", error.pos) from None


def _check_depth(text: str) -> None:
    """Refuse deep nesting before a recursive reader meets it."""
    if text.count("[") + text.count("{") <= DEEPEST:
        return
    depth = 0
    for found in _STRINGS_AND_BRACKETS.finditer(text):
        if text[found.start()] == '"':
            continue
        depth += 1 if found.group() in "[{" else -1
        if depth > DEEPEST:
            raise malformed(f"The body is nested deeper than {DEEPEST}.", found.start())


def _members(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    members = dict(pairs)
    if len(members) != len(pairs):
        seen: set[str] = set()
        for name, _ in pairs:
            if name in seen:
                raise malformed(f"The member {name[:80]!r} stands twice in one object.", None)
            seen.add(name)
    if len(pairs) > _MOST_MEMBERS:
        raise malformed(f"An object has more than {_MOST_MEMBERS} members.", None)
    return members


def _no_constant(name: str) -> Any:
    raise malformed(f"{name} is not JSON.", None)


def _bounded_integer(digits: str) -> int:
    """Read an integer; an absurdly long one is cut: any bound refuses what is left of it."""
    return int(digits[:_LONGEST_INTEGER])
