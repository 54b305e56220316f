"""What was found on a unit, recorded in one call."""

import re
from typing import Any

from litestar import Request, Response, post
from litestar.params import FromPath, JSONBody
from sqlalchemy.orm import Session

from api.access import Right, caller_of, needs
from api.answers import to_json
from api.idempotency import Made, Once
from api.schemas.recording import FindingsCreate, RecordedFinding, RecordedFindings
from db.ids import new_id
from db.queries.recording import Recorded, Sent, record_findings
from db.queries.records import read
from shared import typed
from shared.condition.model import Finding, Unit
from shared.errors import InvalidInput

AnyRequest = Request[Any, Any, Any]
_HEAD = re.compile(r"/items/([0-9]+)/(found_by|found_at|unit_hours)")


@post(
    "/units/{record_id:str}/findings",
    operation_id="recordFindings",
    summary="Store what was found on a unit, all of it or nothing",
    tags=["condition"],
    sync_to_thread=True,
    opt={
        **needs(Right.WRITE),
        "answer": RecordedFindings,
        "stores": True,
        "may_exist": True,
        "makes_many": True,
        "problems": ("duplicate-client-id",),
    },
)
def record_findings_of_unit(
    record_id: FromPath[str], data: JSONBody[FindingsCreate], request: AnyRequest
) -> Response[bytes]:
    """Store findings made with one look at a unit; safe to send twice, by key and by client_id."""
    once = Once.of(request)
    sent = [
        Sent(_finding(data.members_of(item), record_id), item.supersedes_client_id)
        for item in data.items
    ]

    def work(session: Session) -> Made:
        read(session, caller_of(request), Unit, record_id)
        try:
            found = record_findings(session, caller_of(request), sent, lambda n: f"/items/{n}")
        except InvalidInput as error:
            raise _at_its_place(error, data) from None
        body = to_json(_answer(record_id, found).model_dump())
        is_new = any(one.is_new for one in found)
        return Made(None, None, body, is_new)

    return once.store(work)


def _finding(members: dict[str, Any], unit_id: str) -> Finding:
    return typed.convert({**members, "unit_id": unit_id, "id": new_id("fnd")}, Finding)


def _at_its_place(error: InvalidInput, data: FindingsCreate) -> InvalidInput:
    """Point at the head, where the item has left the member to it."""
    found = _HEAD.fullmatch(error.pointer)
    if found is not None and getattr(data.items[int(found[1])], found[2]) is None:
        error.pointer = f"/{found[2]}"
    return error


def _answer(unit_id: str, found: list[Recorded]) -> RecordedFindings:
    return RecordedFindings(
        unit_id=unit_id,
        items=tuple(
            RecordedFinding(
                id=one.stored.record.id,
                client_id=one.stored.record.client_id or "",
                is_new=one.is_new,
            )
            for one in found
        ),
    )


ROUTES = (record_findings_of_unit,)
