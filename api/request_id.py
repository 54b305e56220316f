"""The id of a request: made once, in the answer's X-Request-Id, in problems and in the log."""

from typing import Any, cast

from db.ids import new_id

_KEY = "corewright.request_id"


def request_id_of(scope: Any) -> str:
    """Return the id of the request that an ASGI scope belongs to, making it the first time."""
    if _KEY not in scope:
        scope[_KEY] = new_id("req")
    return cast(str, scope[_KEY])
