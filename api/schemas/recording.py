"""What was found on one unit, recorded in one call."""

from typing import Any, Self

from pydantic import Field, model_validator

from api.schemas.base import (
    Answer,
    Body,
    Flag,
    HoursText,
    IdText,
    ShortText,
    UtcDateTime,
    refuse,
)
from api.schemas.findings import FindingFields, check_calibrated

MOST_AT_ONCE = 500


class FindingItem(FindingFields):
    """One finding of several; who, when and at which hours, where they differ from the rest."""

    client_id: ShortText = Field(
        description="The caller's own word for the finding, once in a shop: what is sent again"
        " under it is not stored again.",
        examples=["tablet-3/118"],
    )
    found_by: ShortText | None = Field(
        default=None, description="Who measured or looked, if another.", examples=["bench two"]
    )
    found_at: UtcDateTime | None = Field(
        default=None, description="When, if at another time.", examples=["2026-03-04T09:15:00Z"]
    )
    unit_hours: HoursText | None = Field(
        default=None, description="Hours that the unit had run, if others.", examples=["1480"]
    )
    supersedes_client_id: ShortText | None = Field(
        default=None,
        description="The client_id of the finding that this one replaces: stored, or earlier here.",
        examples=["tablet-3/117"],
    )

    @model_validator(mode="after")
    def _replaces_one(self) -> Self:
        if self.supersedes_id is not None and self.supersedes_client_id is not None:
            refuse(
                "supersedes-twice",
                "Got supersedes_id and supersedes_client_id; wanted at most one of them.",
                "Keep one of the two.",
                "/supersedes_client_id",
            )
        return self


class FindingsCreate(Body):
    """Findings on one unit, stored all together or not at all."""

    found_by: ShortText = Field(description="Who measured or looked.", examples=["bench two"])
    found_at: UtcDateTime = Field(
        description="When, with its offset; not in the future.", examples=["2026-03-04T09:15:00Z"]
    )
    unit_hours: HoursText | None = Field(
        default=None, description="Hours that the unit had run.", examples=["1480"]
    )
    items: tuple[FindingItem, ...] = Field(
        min_length=1,
        max_length=MOST_AT_ONCE,
        description="The findings, in the order in which they are stored.",
    )

    @model_validator(mode="after")
    def _each_once(self) -> Self:
        seen = set()
        for place, item in enumerate(self.items):
            if item.client_id in seen:
                refuse(
                    "repeated",
                    f"The client_id '{item.client_id}' stands in the list twice.",
                    "Give each finding a client_id of its own.",
                    f"/items/{place}/client_id",
                )
            seen.add(item.client_id)
            check_calibrated(
                item.gauge_calibrated_on, item.found_at or self.found_at, f"/items/{place}"
            )
        return self

    def members_of(self, item: FindingItem) -> dict[str, Any]:
        """Return the members of one finding, those that it leaves to the head filled in."""
        members = item.model_dump(exclude={"supersedes_client_id"})
        for name in ("found_by", "found_at", "unit_hours"):
            if members[name] is None:
                members[name] = getattr(self, name)
        return members


class RecordedFinding(Answer):
    """One finding of those sent, as it is stored."""

    id: IdText = Field(description="Identity of the finding.", examples=["fnd_2f8"])
    client_id: ShortText = Field(description="As it was sent.", examples=["tablet-3/118"])
    is_new: Flag = Field(
        description="Whether this call stored it; false: it was stored before.", examples=[True]
    )


class RecordedFindings(Answer):
    """The findings sent, in their order."""

    unit_id: IdText = Field(description="The unit inspected.", examples=["unt_2f8"])
    items: tuple[RecordedFinding, ...] = Field(
        max_length=MOST_AT_ONCE, description="One for each finding sent."
    )
