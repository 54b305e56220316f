"""Cursors of lists: opaque, signed, bound to the shop, the path, the filter and the order.

A cursor holds the place, the filter, the order and the limit, so that ``next`` needs nothing else.
It grants nothing: whose records are listed comes from the key alone.
"""

import base64
import binascii
import hashlib
import hmac
import json
from dataclasses import dataclass
from typing import Any, Final

from api.errors import ApiError
from db.queries.listing import DEFAULT_LIMIT, Place

LONGEST: Final = 6000
_SIGNATURE_BYTES: Final = 16


@dataclass(frozen=True)
class Cursors:
    """Makes and reads the cursors of one list of one shop."""

    secret: bytes
    shop_id: str
    path: str

    def make(self, place: Place) -> str:
        """Return the cursor for a place."""
        members = [place.filters, place.sort, place.limit, place.after]
        payload = json.dumps(members, sort_keys=True, ensure_ascii=False).encode()
        return base64.urlsafe_b64encode(self._signature(payload) + payload).decode().rstrip("=")

    def read(self, cursor: str) -> Place:
        """Return the place of a cursor; raises the problem cursor-invalid."""
        if len(cursor) > LONGEST or not cursor.isascii():
            raise _invalid()
        try:
            raw = base64.b64decode(cursor + "=" * (-len(cursor) % 4), b"-_", validate=True)
        except (binascii.Error, ValueError):
            raise _invalid() from None
        signature, payload = raw[:_SIGNATURE_BYTES], raw[_SIGNATURE_BYTES:]
        if not hmac.compare_digest(signature, self._signature(payload)):
            raise _invalid()
        filters, sort, limit, after = json.loads(payload)
        return Place(filters, sort, limit, None if after is None else (after[0], after[1]))

    def _signature(self, payload: bytes) -> bytes:
        bound = json.dumps([self.shop_id, self.path]).encode() + b"\n" + payload
        return hmac.digest(self.secret, bound, hashlib.sha256)[:_SIGNATURE_BYTES]


def place_asked(cursors: Cursors, query: dict[str, Any]) -> Place:
    """Return the place that a query asks for; what stands beside a cursor must agree with it."""
    asked = dict(query)
    cursor, limit = asked.pop("cursor", None), asked.pop("limit", None)
    sort = asked.pop("sort", None)
    filters = {name: str(value) for name, value in asked.items()}
    if cursor is None:
        return Place(filters, sort or "", limit or DEFAULT_LIMIT)
    place = cursors.read(cursor)
    agrees = (
        (not filters or filters == place.filters)
        and sort in (None, place.sort)
        and limit in (None, place.limit)
    )
    if not agrees:
        raise _invalid()
    return place


def _invalid() -> ApiError:
    return ApiError("cursor-invalid", "The cursor does not fit this list, its filter or this key.")
