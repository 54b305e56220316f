"""Audit entries: one for each write."""

import json
from enum import StrEnum
from typing import Annotated, Any

from pydantic import Field, WithJsonSchema

from api.schemas.base import Answer, IdText, ShortText, UtcDateTime
from api.schemas.queries import ListQuery


class AuditAction(StrEnum):
    """What a write did to its record."""

    CREATE = "create"
    CHANGE = "change"
    RETIRE = "retire"


Detail = Annotated[dict[str, Any], WithJsonSchema({"type": "object", "maxProperties": 200})]


class TouchedRecord(Answer):
    """Another record that a write changed too."""

    kind: ShortText = Field(description="The kind of record.", examples=["position"])
    record_id: IdText = Field(description="The record.", examples=["pos_4hd"])
    detail: Detail | None = Field(
        description="What changed of it; of one that went with the record, its members.",
        examples=[{"state": {"before": "shelved", "after": "fitted"}}],
    )


class AuditEntryRead(Answer):
    """One write: when, to which record, what it did, whose it was."""

    sequence: Annotated[str, Field(pattern="^[1-9][0-9]*$", max_length=19)] = Field(
        description="Rises with every write of any shop.", examples=["5512"]
    )
    noted_at: UtcDateTime = Field(
        description="When it was written.", examples=["2031-03-04T09:15:00Z"]
    )
    kind: ShortText = Field(description="The kind of record.", examples=["supplier"])
    record_id: IdText = Field(description="The record.", examples=["sup_7kq"])
    action: AuditAction = Field(description="What was done to it.", examples=["change"])
    by_own_shop: bool = Field(
        description="Whether a key of the asking shop did it.", examples=[True]
    )
    key_id: IdText | None = Field(
        description="The key that did it; null where it was another shop's.", examples=["key_2f8"]
    )
    detail: Detail | None = Field(
        description="What changed, each member before and after; of a retired record, its members.",
        examples=[{"notes": {"before": None, "after": "Ring first."}}],
    )
    touched: tuple[TouchedRecord, ...] = Field(
        max_length=2000,
        description="Other records that the write changed too: a ruling its position, a fitment"
        " the part it took from the shelf.",
    )


class AuditQuery(ListQuery):
    """What the list of audit entries takes."""

    record_id: IdText | None = Field(
        default=None,
        description="Only writes to this record: the shop's own, or one of the catalogue.",
        examples=["sup_7kq"],
    )


def detail_members(detail: str | None) -> dict[str, Any] | None:
    """Return what an entry says of its write; words that are no members stand under "note".

    >>> detail_members('{"name": {"before": "A", "after": "B"}}'), detail_members("role admin")
    ({'name': {'before': 'A', 'after': 'B'}}, {'note': 'role admin'})
    """
    if detail is None:
        return None
    try:
        members = json.loads(detail)
    except ValueError:
        members = detail
    return members if isinstance(members, dict) else {"note": detail}
