"""Who changed what: the audit, read only."""

from dataclasses import dataclass
from typing import Any

from litestar import Request, Response, get

from api.access import Right, caller_of, needs, sessions_of
from api.lists import list_response
from api.schemas.audit import AuditEntryRead, AuditQuery, detail_members
from db.queries.access import AuditEntry, page_audit
from db.queries.listing import Place
from db.queries.mapping import Stored
from db.queries.records import CATALOGUE_WORDS

TAG = "access"


@dataclass(frozen=True, slots=True)
class _Numbered:
    """An entry as a list takes its place from it: by its number."""

    id: str
    entry: AuditEntry


@get(
    "/audit-entries",
    operation_id="listAuditEntries",
    summary="List audit entries",
    tags=[TAG],
    sync_to_thread=True,
    opt={**needs(Right.READ), "query": AuditQuery, "items": AuditEntryRead},
)
def list_audit_entries(request: Request[Any, Any, Any]) -> Response[bytes]:
    """List what the shop wrote, or all writes to one record that it may read, oldest first."""
    caller = caller_of(request)

    def load(place: Place) -> list[Stored[Any]]:
        after = 0 if place.after is None else int(place.after[1])
        with sessions_of(request).reading() as session:
            found = page_audit(
                session,
                caller,
                place.filters.get("record_id"),
                CATALOGUE_WORDS,
                after,
                place.limit,
            )
        return [
            Stored(_Numbered(str(one.sequence), one), 1, one.noted_at, one.noted_at, one.shop_id)
            for one in found
        ]

    def members(stored: Stored[Any]) -> dict[str, Any]:
        return _members(stored.record.entry, caller.shop_id)

    return list_response(request, AuditQuery, load, members)


def _members(entry: AuditEntry, shop_id: str) -> dict[str, Any]:
    return {
        "sequence": str(entry.sequence),
        "noted_at": entry.noted_at,
        "kind": entry.kind,
        "record_id": entry.record_id,
        "action": entry.action,
        "by_own_shop": entry.shop_id == shop_id,
        "key_id": entry.key_id,
        "detail": detail_members(entry.detail),
        "touched": [
            {"kind": kind, "record_id": record_id, "detail": detail_members(detail)}
            for kind, record_id, detail in entry.touched
        ],
    }


ROUTES = (list_audit_entries,)
