"""For which unit a look-up is asked: as it stands in the address, and as it was understood."""

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Self

from pydantic import Field, model_validator

from api.schemas.base import (
    LARGEST_INTEGER,
    Answer,
    Body,
    CalendarDate,
    DecimalOut,
    IdText,
    PositiveDecimalText,
    ShortText,
    UtcDateTime,
    refuse,
)
from shared.assemblies.traits import Hand, Traits
from shared.interchange.found import Place
from shared.interchange.model import Part, PartLine

Parts = Mapping[str, Part]
_AS_OF = "2031-03-04T09:15:00Z"


class MomentQuery(Body):
    """The moment at which a look-up is asked."""

    as_of: UtcDateTime | None = Field(
        default=None,
        description="The moment at which records and offers have to hold; left out: now. The"
        " answer repeats its day.",
        examples=[_AS_OF],
    )

    @property
    def moment(self) -> datetime:
        """The moment asked for, or now."""
        return self.as_of or datetime.now(UTC).replace(microsecond=0)


class SerialQuery(MomentQuery):
    """A unit by its number and its day, as far as they are known."""

    serial: ShortText | None = Field(
        default=None,
        description="Serial number of the unit. Left out: what holds for some numbers only cannot"
        " be told.",
        examples=["12873"],
    )
    built_on: CalendarDate | None = Field(
        default=None, description="The day on which the unit was built.", examples=["2028-06-14"]
    )

    def traits(self) -> Traits:
        """Return what is said of the unit."""
        return Traits(serial_number=self.serial, built_on=self.built_on)


class UnitQuery(SerialQuery):
    """A unit on record, or one described."""

    unit_id: IdText | None = Field(
        default=None,
        description="A unit on record, in place of its description here.",
        examples=["unt_2f8"],
    )
    hand: Hand | None = Field(default=None, description="Its hand.", examples=["left"])
    ratio: PositiveDecimalText | None = Field(
        default=None, description="Its ratio: input turns to one output turn.", examples=["3.73"]
    )
    generation: ShortText | None = Field(
        default=None, description="Its generation, in the maker's words.", examples=["second"]
    )

    @model_validator(mode="after")
    def _described_once(self) -> Self:
        if self.unit_id is not None and self.traits() != Traits():
            refuse(
                "not-together",
                "Got unit_id together with a description of the unit.",
                "Give unit_id alone: what is on record of the unit counts.",
                "/unit_id",
            )
        return self

    def traits(self) -> Traits:
        """Return what is said of the unit."""
        return Traits(
            serial_number=self.serial,
            built_on=self.built_on,
            hand=self.hand,
            ratio=self.ratio,
            generation=self.generation,
        )


class TraitsOut(Answer):
    """What tells a unit apart from others of its design; null: not given, or not on record."""

    serial_number: str | None = Field(
        description="Its serial number.", examples=["12873"], max_length=200
    )
    built_on: CalendarDate | None = Field(
        description="The day on which it was built.", examples=["2028-06-14"]
    )
    hand: Hand | None = Field(description="Its hand.", examples=["left"])
    ratio: DecimalOut | None = Field(
        description="Input turns to one output turn.", examples=["3.73"]
    )
    generation: str | None = Field(
        description="Its generation.", examples=["second"], max_length=200
    )
    variant: str | None = Field(
        description="What else tells it apart.", examples=["with brake"], max_length=200
    )

    @classmethod
    def of(cls, traits: Traits) -> Self:
        """Carry traits over the border."""
        return cls(
            serial_number=traits.serial_number,
            built_on=traits.built_on,
            hand=traits.hand,
            ratio=traits.ratio,
            generation=traits.generation,
            variant=traits.variant,
        )


class PlaceOut(Answer):
    """Where a part is called for, as the question was understood; null: not given."""

    part_id: IdText = Field(description="The part called for.", examples=["prt_7kq"])
    as_of_on: CalendarDate = Field(
        description="The day, by the shop's calendar, on which records have to hold.",
        examples=["2031-03-04"],
    )
    assembly_id: IdText | None = Field(description="In which assembly.", examples=["asm_7kq"])
    position_id: IdText | None = Field(description="At which position.", examples=["pos_4hd"])
    traits: TraitsOut = Field(description="What is known of the unit.")

    @classmethod
    def of(cls, place: Place) -> Self:
        """Carry a place over the border."""
        return cls(
            part_id=place.part_id,
            as_of_on=place.as_of,
            assembly_id=place.assembly_id,
            position_id=place.position_id,
            traits=TraitsOut.of(place.traits),
        )


class PartNamed(Answer):
    """A part by its id, maker and number; null where it was not read, for the number of them."""

    id: IdText = Field(description="The part.", examples=["prt_1c3"])
    maker: str | None = Field(
        description="Who makes it.", examples=["Oakhollow Drives"], max_length=200
    )
    number: str | None = Field(
        description="The maker's number, as it is written.", examples=["OH-9021"], max_length=200
    )
    name: str | None = Field(description="What it is.", examples=["Input bearing"], max_length=200)

    @classmethod
    def of(cls, part_id: str, part: Part | None) -> Self:
        """Carry a part over the border."""
        if part is None:
            return cls(id=part_id, maker=None, number=None, name=None)
        return cls(id=part_id, maker=part.maker, number=part.number, name=part.name)


class PartCount(Answer):
    """How many of a part."""

    part: PartNamed = Field(description="The part.")
    quantity: int = Field(description="How many of it.", examples=[2], ge=1, le=LARGEST_INTEGER)

    @classmethod
    def of(cls, line: PartLine, parts: Parts) -> Self:
        """Carry a line over the border."""
        part = PartNamed.of(line.part_id, parts.get(line.part_id))
        return cls(part=part, quantity=line.quantity)
