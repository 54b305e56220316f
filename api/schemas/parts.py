"""Parts, kits and how makers write numbers; members as in ``shared/interchange/model.py``."""

import re
import unicodedata
from typing import Annotated, Any, Self

from pydantic import AfterValidator, Field, model_validator

from api.schemas.base import (
    Body,
    Count,
    Flag,
    IdText,
    LongText,
    ShortText,
    checked,
    matching,
    refuse,
    text_schema,
    to_domain_with_id,
    whole_between,
)
from api.schemas.records import RecordHead, SnapshotId, check_distinct
from shared.interchange.model import NumberKind, NumberRule
from shared.interchange.part_numbers.normal import hidden_characters
from shared.interchange.part_numbers.rules import check_rule

_SEPARATORS = re.compile(r"[ ._-]{1,4}")
_LONGEST_SUFFIX = 20


def _without_hidden_characters(text: str) -> str:
    for character in text:
        if hidden_characters(character) or unicodedata.category(character) == "Cc":
            refuse(
                "text-character",
                f"The number holds the invisible character U+{ord(character):04X}.",
                "Remove it: two numbers would look alike and not be the same.",
            )
    return text


NumberText = Annotated[ShortText, AfterValidator(_without_hidden_characters)]
"""A number as it is written; nothing in it that cannot be seen."""
KeptSeparators = Annotated[
    str,
    matching(_SEPARATORS, "separators-format", "one to four of blank, dash, dot, underscore"),
    text_schema(4, pattern=f"^{_SEPARATORS.pattern}$"),
]
BaseLength = Annotated[int, whole_between(1, 200), Field(ge=1, le=200)]


class KitLineFields(Body):
    """One line of what a kit holds."""

    part_id: IdText = Field(description="The part in the kit.", examples=["prt_2f8"])
    quantity: Count = Field(default=1, description="How many of it.", examples=[2])


class OtherNumberFields(Body):
    """A number by which a part is known besides its maker's: of another kind than that."""

    kind: NumberKind = Field(
        description="trade: used across makers, or a designation by a standard; casting: cast or"
        " forged in, of the rough piece; book-position: a line of a parts book. A maker's number"
        " stands in number.",
        examples=["casting"],
    )
    text: NumberText = Field(description="The number as it is written.", examples=["C-3381"])
    source: ShortText | None = Field(
        default=None, description="Whose it is, or which book.", examples=["Parts book of 2029"]
    )

    @model_validator(mode="after")
    def _not_the_makers(self) -> Self:
        if self.kind is NumberKind.MAKER:
            refuse(
                "number-kind",
                f"'{self.text}' is called another number of the kind maker.",
                "The maker's number stands in number; one that took its place is a part of its own"
                " and a supersession.",
                "/kind",
            )
        return self


_NUMBER: Any = Field(description="The maker's number, as it is written.", examples=["OH-4417"])


class PartCreate(Body):
    """An item with its maker's number; a kit is a part that holds others."""

    maker: ShortText = Field(description="Who makes it.", examples=["Oakhollow Drives"])
    number: NumberText = _NUMBER
    name: ShortText = Field(description="What it is.", examples=["Input bearing"])
    kind: ShortText = Field(
        description="The shop's word for pricing and experience.", examples=["ball-bearing"]
    )
    generic_designation: ShortText | None = Field(
        default=None,
        description="Its name by a standard, as full as it can be: a part of equal designation may"
        " be planned in its place only where the name tells what matters (a screw's head, length"
        " and class, a seal's material).",
        examples=["6204-2RS"],
    )
    kit_lines: tuple[KitLineFields, ...] = Field(
        default=(), max_length=200, description="What the kit holds; empty for a single part."
    )
    other_numbers: tuple[OtherNumberFields, ...] = Field(
        default=(),
        max_length=200,
        description="Further numbers by which it is found: of the trade, cast in, in a parts book.",
        examples=[[{"kind": "casting", "text": "C-3381"}]],
    )

    @model_validator(mode="after")
    def _each_part_once(self) -> Self:
        check_distinct(tuple(line.part_id for line in self.kit_lines), "/kit_lines", "part")
        return self

    @model_validator(mode="after")
    def _each_number_once(self) -> Self:
        told = tuple(f"{one.kind} '{one.text}'" for one in self.other_numbers)
        check_distinct(told, "/other_numbers", "number")
        return self

    @model_validator(mode="after")
    def _kit_holds_something(self) -> Self:
        if self.is_kit_of_nothing:
            refuse_kit_of_nothing("/kit_lines")
        return self

    @property
    def is_kit_of_nothing(self) -> bool:
        """Whether it is called a kit and holds nothing."""
        return self.kind.strip().casefold() == "kit" and not self.kit_lines


def refuse_kit_of_nothing(at: str) -> None:
    """Refuse a part that is called a kit and would fill no position."""
    refuse(
        "kit-empty",
        "The part is a kit, and holds nothing.",
        "Give kit_lines: what it holds; or another kind, if it is a single part.",
        at,
    )


class PartRead(RecordHead, PartCreate):
    """A part as stored; numbers that were stored before hidden characters were refused are read."""

    number: ShortText = _NUMBER


class PartInSnapshot(SnapshotId, PartCreate):
    """A part inside a snapshot; what a kit inside a kit holds is not told in one."""

    number: ShortText = _NUMBER

    @model_validator(mode="after")
    def _kit_holds_something(self) -> Self:
        return self

    @model_validator(mode="after")
    def _not_in_itself(self) -> Self:
        for index, line in enumerate(self.kit_lines):
            if line.part_id == self.id:
                refuse(
                    "cycle",
                    f"The kit {self.id} holds itself.",
                    "Take this line out of the kit.",
                    f"/kit_lines/{index}/part_id",
                )
        return self


class NumberRuleCreate(Body):
    """How one maker writes part numbers: what may be left off, what carries meaning."""

    maker: ShortText = Field(
        description="Whose numbers they are, as in the maker of parts.",
        examples=["Oakhollow Drives"],
    )
    source: ShortText = Field(
        description="Where the rule is known from.", examples=["Maker's parts book, page 2"]
    )
    base_length: BaseLength | None = Field(
        default=None,
        description="A number of exactly so many letters and figures, separators not counted, means"
        " the same with default_suffix behind it; both or neither.",
        examples=[6],
    )
    default_suffix: Annotated[NumberText, Field(max_length=_LONGEST_SUFFIX)] | None = Field(
        default=None, description="What may be left off such a number.", examples=["00"]
    )
    last_letter_is_optional: Flag = Field(
        default=False,
        description="Whether one letter at the very end names the same part as none.",
        examples=[False],
    )
    kept_separators: KeptSeparators | None = Field(
        default=None,
        description="Separators that tell two of this maker's numbers apart.",
        examples=["-"],
    )
    note: LongText | None = Field(
        default=None,
        description="Anything worth knowing.",
        examples=["The last two figures are the colour."],
    )

    @model_validator(mode="after")
    def _says_one_thing(self) -> Self:
        checked(lambda: check_rule(to_domain_with_id(self, NumberRule, "rule")))
        return self


class NumberRuleRead(RecordHead, NumberRuleCreate):
    """A rule of part numbers as stored."""
