"""A wanted part against an offered one, both by designation."""

from typing import Self

from pydantic import Field

from api.schemas.base import Answer
from shared.designations.comparing_texts import Compared
from shared.designations.model import Designated, PartKind, StandIn


class ComparedPartOut(Answer):
    """One of the two parts, as it was read."""

    canonical: str = Field(
        description="Its one name in this service.", examples=["6203 N1"], max_length=200
    )
    kind: PartKind = Field(description="What kind of part it names.", examples=["bearing"])
    notes: tuple[str, ...] = Field(
        description="What is to be known of the designation itself.", examples=[[]], max_length=20
    )

    @classmethod
    def of(cls, part: Designated) -> Self:
        """Carry a part over the border."""
        return cls(canonical=part.canonical, kind=part.kind, notes=part.notes)


class ComparisonAnswer(Answer):
    """Whether the offered part may stand in for the wanted one: this way only."""

    wanted: ComparedPartOut = Field(description="What is wanted.")
    offered: ComparedPartOut = Field(description="What is offered in its place.")
    outcome: StandIn = Field(
        description="same: one name, which leaves nothing open that it could tell; serves: at least"
        " as good in all that the designation tells; on condition: fits by size, the conditions"
        " have to be looked at (what is written on neither too); no; cannot be told. By"
        " designation alone: no load, fit, fluid or speed is known here.",
        examples=["on condition"],
    )
    gained: tuple[str, ...] = Field(
        description="What the offered part has and the wanted one has not.",
        examples=[["two contact seals"]],
        max_length=20,
    )
    lost: tuple[str, ...] = Field(
        description="What the wanted part has and the offered one has not.",
        examples=[["outer-ring feature: one locating slot in a side face of the outer ring"]],
        max_length=20,
    )
    conditions: tuple[str, ...] = Field(
        description="What has to be looked at before the part is fitted.",
        examples=[["Equal sizes are necessary, not sufficient."]],
        max_length=30,
    )
    conflicts: tuple[str, ...] = Field(
        description="Where the description given contradicts the wanted designation: stop, and"
        " find out which is right. The outcome is then at best cannot be told.",
        examples=[[]],
        max_length=5,
    )

    @classmethod
    def of(cls, compared: Compared) -> Self:
        """Carry a comparison over the border."""
        found = compared.comparison
        return cls(
            wanted=ComparedPartOut.of(compared.wanted),
            offered=ComparedPartOut.of(compared.offered),
            outcome=found.outcome,
            gained=found.gained,
            lost=found.lost,
            conditions=found.conditions,
            conflicts=compared.conflicts,
        )
