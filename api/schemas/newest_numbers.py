"""Where a part number leads by its maker's supersessions: the question and the answer."""

from typing import Self

from pydantic import Field

from api.schemas.base import LARGEST_INTEGER, Answer, IdText
from api.schemas.candidates import LoopOut, RefusedOut
from api.schemas.places import PartCount, PartNamed, Parts, PlaceOut, SerialQuery
from shared.interchange.found import Place
from shared.interchange.supersession import (
    MOST_ANSWERS,
    MOST_RECORDS,
    EarlierNumber,
    NewestNumber,
    Resolution,
)

_LONG = 4_000
_MOST_LINES = 10_000


class NewestNumbersQuery(SerialQuery):
    """For which unit the newest numbers are asked."""

    assembly_id: IdText | None = Field(
        default=None,
        description="In which assembly. Left out: what holds in some only cannot be told.",
        examples=["asm_7kq"],
    )


class NewestNumberOut(Answer):
    """What takes the place of one piece of the part asked for; a whole answer by itself."""

    lines: tuple[PartCount, ...] = Field(
        description="The numbers, all of them together.", max_length=_MOST_LINES
    )
    companions: tuple[PartCount, ...] = Field(
        description="What must be changed along with them.", max_length=_MOST_LINES
    )
    supersession_ids: tuple[IdText, ...] = Field(
        description="The records followed, in order; none: it is its own newest number.",
        examples=[["sps_7kq"]],
        max_length=MOST_RECORDS,
    )
    is_orderable: bool | None = Field(
        description="Whether the shop has an offer, or a part on the shelf, for every line and"
        " companion; null: not known.",
        examples=[True],
    )
    not_orderable: tuple[PartNamed, ...] = Field(
        description="Those for which it has none.", max_length=_MOST_LINES
    )
    last_orderable: PartNamed | None = Field(
        description="Where a line cannot be ordered: the last number along the chain that can."
    )
    dead_ends: tuple[PartNamed, ...] = Field(
        description="Lines that their maker ended without a successor.", max_length=_MOST_LINES
    )
    questions: tuple[str, ...] = Field(
        description="What would have to be known for this to be sure; none: it is.",
        examples=[["serial number not given: it is stated for 100 to 200"]],
        max_length=_MOST_LINES,
    )

    @classmethod
    def of(cls, one: NewestNumber, parts: Parts) -> Self:
        """Carry a newest number over the border."""

        def named(part_ids: tuple[str, ...]) -> tuple[PartNamed, ...]:
            return tuple(PartNamed.of(part_id, parts.get(part_id)) for part_id in part_ids)

        last = one.last_orderable
        return cls(
            lines=tuple(PartCount.of(line, parts) for line in one.lines),
            companions=tuple(PartCount.of(line, parts) for line in one.companions),
            supersession_ids=one.supersession_ids,
            is_orderable=one.is_orderable,
            not_orderable=named(one.not_orderable),
            last_orderable=None if last is None else PartNamed.of(last, parts.get(last)),
            dead_ends=named(one.dead_ends),
            questions=one.questions,
        )


class EarlierNumberOut(Answer):
    """A number that the part asked for superseded, and that may still serve in its place."""

    part: PartNamed = Field(description="The earlier number.")
    supersession_id: IdText = Field(description="The record that allows it.", examples=["sps_7kq"])
    pieces: int = Field(
        description="So many of it take the place of for_pieces.",
        examples=[1],
        ge=1,
        le=LARGEST_INTEGER,
    )
    for_pieces: int = Field(
        description="How many of the part asked for that is.",
        examples=[1],
        ge=1,
        le=LARGEST_INTEGER,
    )
    question: str | None = Field(
        description="What would have to be known; null: it may for sure.",
        examples=[None],
        max_length=_LONG,
    )

    @classmethod
    def of(cls, one: EarlierNumber, parts: Parts) -> Self:
        """Carry an earlier number over the border."""
        return cls(
            part=PartNamed.of(one.part_id, parts.get(one.part_id)),
            supersession_id=one.supersession_id,
            pieces=one.ratio.numerator,
            for_pieces=one.ratio.denominator,
            question=one.question,
        )


class NewestNumbersOut(Answer):
    """Where a part number leads; those without questions first."""

    place: PlaceOut = Field(description="The question as it was understood.")
    part: PartNamed = Field(description="The part asked for.")
    newest: tuple[NewestNumberOut, ...] = Field(
        description="Each a whole answer; several where it cannot be told which holds.",
        max_length=MOST_ANSWERS,
    )
    may_go_back_to: tuple[EarlierNumberOut, ...] = Field(
        description="Earlier numbers that may serve, one step back.", max_length=MOST_RECORDS
    )
    loops: tuple[LoopOut, ...] = Field(
        description="Circles among supersessions, each told once.", max_length=MOST_RECORDS
    )
    refused: tuple[RefusedOut, ...] = Field(
        description="Records that do not hold here, or whose evidence the shop does not take.",
        max_length=MOST_RECORDS,
    )
    stopped: str | None = Field(
        description="What was not looked at; null if all was.",
        examples=[None],
        max_length=_LONG,
    )

    @classmethod
    def of(cls, place: Place, found: Resolution, parts: Parts) -> Self:
        """Carry a resolution over the border."""
        return cls(
            place=PlaceOut.of(place),
            part=PartNamed.of(found.part_id, parts.get(found.part_id)),
            newest=tuple(NewestNumberOut.of(one, parts) for one in found.newest),
            may_go_back_to=tuple(EarlierNumberOut.of(one, parts) for one in found.may_go_back_to),
            loops=tuple(LoopOut.of(loop) for loop in found.loops),
            refused=tuple(RefusedOut.of(one, parts) for one in found.refused),
            stopped=found.stopped,
        )
