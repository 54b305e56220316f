"""Which numbers on record a text names: the question in the address, and the answer."""

from typing import Annotated, Self

from pydantic import BeforeValidator, Field

from api.schemas.base import (
    Answer,
    Body,
    IdText,
    ShortText,
    WholeNumber,
    refuse,
    shown,
    text_schema,
)
from api.schemas.queries import FlagInAddress, Limit
from shared.interchange.model import NumberKind
from shared.interchange.part_numbers.normal import MOST_CHARACTERS
from shared.interchange.part_numbers.search import HowMatched, NumberMatch
from shared.interchange.part_numbers.settling import NumbersFound

LISTED = 20


def _any_text(value: object) -> str:
    if not isinstance(value, str):
        refuse("text-type", f"Got {shown(value)}; wanted text.", "Put the value in quotes.")
    return value


NumberAsked = Annotated[str, BeforeValidator(_any_text), text_schema(MOST_CHARACTERS)]
"""A number as somebody typed or pasted it: what is hidden in it is left out, and told."""


class PartNumbersQuery(Body):
    """The number looked for, and among which."""

    text: NumberAsked = Field(
        description="The number as it is read: a maker's, one of the trade, one cast in, a line of"
        " a parts book, a designation. Its beginning will do, from three characters on.",
        examples=["oh 4417"],
    )
    maker: ShortText | None = Field(
        default=None, description="Only this maker's numbers.", examples=["Oakhollow Drives"]
    )
    kind: NumberKind | None = Field(
        default=None,
        description="Only numbers of this kind: maker, trade, casting, book-position.",
        examples=["maker"],
    )
    has_near: FlagInAddress = Field(
        default=True,
        description="Whether numbers one typing error away are looked for where nothing better is"
        " found.",
        examples=[True],
    )
    limit: Limit = Field(
        default=LISTED, description="How many numbers are told at most.", examples=[20]
    )

    @property
    def kinds(self) -> tuple[NumberKind, ...] | None:
        """The kinds looked among; None: all."""
        return None if self.kind is None else (self.kind,)


class NumberMatchOut(Answer):
    """A number on record that agrees with the text, and how."""

    match: HowMatched = Field(
        description="exact: as written, capitals or not; normal-form: but for separators;"
        " maker-rule: by the maker's way of writing; standard: a designation that its standard"
        " reads as the same. All others are near misses, offered and not taken: look-alike,"
        " typing-error, prefix (the number begins with the text).",
        examples=["normal-form"],
    )
    kind: NumberKind = Field(description="What the number names.", examples=["maker"])
    written: str = Field(
        description="The number on record, as it is written.",
        examples=["OH-4417"],
        max_length=MOST_CHARACTERS,
    )
    maker: str = Field(
        description="Maker of the part, or of the assembly of a position.",
        examples=["Oakhollow Drives"],
        max_length=200,
    )
    name: str = Field(
        description="What the part or position is.",
        examples=["Input bearing, cone"],
        max_length=200,
    )
    part_id: IdText | None = Field(
        description="The part; of a position, the one called for there.", examples=["prt_7kq"]
    )
    position_id: IdText | None = Field(
        description="The position, where a line of a parts book was found.", examples=[None]
    )
    assembly_id: IdText | None = Field(description="The position's assembly.", examples=[None])
    source: str | None = Field(
        description="Of another number of a part: whose it is, or which book.",
        examples=[None],
        max_length=200,
    )
    note: str | None = Field(
        description="In what it differs from the text.",
        examples=["written otherwise, the same characters"],
        max_length=4_000,
    )
    does_name: bool = Field(
        description="Whether the text names it, as far as this number alone tells.",
        examples=[True],
    )

    @classmethod
    def of(cls, one: NumberMatch) -> Self:
        """Carry a number over the border."""
        return cls(
            match=one.match,
            kind=one.kind,
            written=one.written,
            maker=one.maker,
            name=one.name,
            part_id=one.part_id,
            position_id=one.position_id,
            assembly_id=one.assembly_id,
            source=one.source,
            note=one.note,
            does_name=one.does_name,
        )


class PartNumbersOut(Answer):
    """Numbers that agree with the text, the surest first; one part only where it is settled."""

    items: tuple[NumberMatchOut, ...] = Field(description="The numbers.", max_length=200)
    settled_part_id: IdText | None = Field(
        description="The one part that the text names; null where that is not settled.",
        examples=["prt_7kq"],
    )
    why_not_settled: str | None = Field(
        description="Why not, and what to ask; null where it is settled.",
        examples=["Nothing but near misses: they are offered, not taken."],
        max_length=4_000,
    )
    has_hidden_characters: bool = Field(
        description="Whether the text held characters that nobody sees; they were left out.",
        examples=[False],
    )
    left_out: WholeNumber = Field(
        description="How many numbers that were found are not told, for limit.", examples=[0]
    )

    @classmethod
    def of(cls, found: NumbersFound) -> Self:
        """Carry what was found over the border."""
        return cls(
            items=tuple(NumberMatchOut.of(one) for one in found.matches),
            settled_part_id=found.settled_part_id,
            why_not_settled=found.why_not_settled,
            has_hidden_characters=found.has_hidden_characters,
            left_out=found.left_out,
        )
