"""Changing only what the caller has seen: the If-Match header (RFC 9110 13.1.1)."""

import re
from typing import Any, Final

from litestar import Request

from api.errors import ApiError

_TAG: Final = re.compile(r'(W/)?"([\x21\x23-\x7e]*)"')
_VERSION: Final = re.compile(r"[1-9][0-9]{0,15}")
_MOST_TAGS: Final = 20


def versions_expected(request: Request[Any, Any, Any]) -> frozenset[int]:
    """Return the versions that If-Match names.

    Raises the problem precondition-required without one, bad-request for a broken one. A weak tag
    names no version, since only strong ones compare here; ``*`` names none either: it would change
    what the caller has not seen.
    """
    given = request.headers.getall("if-match", [])
    text = ", ".join(given).strip()
    if text in ("", "*"):
        seen = "If-Match: *, which names no version" if text else "no If-Match"
        raise ApiError("precondition-required", f"Got {seen}; wanted the ETag of the record.")
    tags = [_TAG.fullmatch(piece.strip()) for piece in text.split(",")]
    if len(tags) > _MOST_TAGS or None in tags:
        raise ApiError(
            "bad-request",
            f"Got If-Match: {text[:100]}; wanted an ETag with its quotes.",
            'Send the ETag as it was given, such as If-Match: "3".',
        )
    strong = (tag[2] for tag in tags if tag is not None and not tag[1])
    return frozenset(int(one) for one in strong if _VERSION.fullmatch(one))
