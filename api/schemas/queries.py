"""Query parameters: text from the address, read into checked values by the same rules as bodies."""

import re
from dataclasses import fields
from enum import StrEnum
from typing import Annotated, Any, Final, Literal, Self, get_args, get_type_hints

from pydantic import BeforeValidator, Field, WithJsonSchema, create_model, model_validator

from api.schemas.base import (
    LARGEST_INTEGER,
    Answer,
    Body,
    EffortText,
    IdText,
    LongText,
    ShortText,
    UtcDateTime,
    refuse,
    shown,
)
from db.queries.listing import MOST_VALUES
from db.queries.records import Lists
from shared.decision.snapshot import Aim, Asked

_LIMIT = re.compile(r"[0-9]{1,4}")
_MOST = 200
_CURSOR_LENGTH = 6000


def _limit(value: object) -> int:
    is_number = isinstance(value, str) and _LIMIT.fullmatch(value)
    if not is_number or not 1 <= int(str(value)) <= _MOST:
        wanted = f"a whole number from 1 to {_MOST}"
        refuse("out-of-range", f"Got {shown(value)}; wanted {wanted}.", f"Give {wanted}.")
    return int(str(value))


Limit = Annotated[
    int,
    BeforeValidator(_limit),
    WithJsonSchema({"type": "integer", "minimum": 1, "maximum": _MOST, "default": 50}),
]


_SELECTIONS: Final = {
    "gives_position_id": (
        "Only donors whose design has a part that may take this position: the same design, or one"
        " with a part that the catalogue leads to. Whether it does for one unit,"
        " /v1/positions/{id}/donors tells.",
        "pos_4hd",
    ),
}
"""Ways to narrow a list by another record: what it says, and an example."""


class ListQuery(Body):
    """What every list takes."""

    limit: Limit | None = Field(
        default=None, description="How many at once; 50 if not given.", examples=[50]
    )
    cursor: Annotated[str, Field(max_length=_CURSOR_LENGTH)] | None = Field(
        default=None, description="The place to go on from; follow next as it is given."
    )


class _ChangesQuery(ListQuery):
    """A list that also tells what changed."""

    @model_validator(mode="after")
    def _changes_stand_alone(self) -> Self:
        asked = self.model_dump(exclude_none=True, by_alias=True)
        others = sorted(asked.keys() - {"updated_since", "limit", "cursor"})
        if "updated_since" in asked and others:
            refuse(
                "not-together",
                f"Got updated_since with {', '.join(others)}.",
                "Ask for the changes alone, and narrow or order what comes.",
                "/updated_since",
            )
        return self


class CustomerOptionsQuery(Body):
    """What the options for a customer take: the moment, and the aim."""

    as_of: UtcDateTime | None = Field(
        default=None,
        description="The moment the decision is taken at; left out: now. The answer repeats it.",
        examples=["2031-03-04T09:15:00Z"],
    )
    aim: Aim = Field(
        default=Aim.PRICE,
        description="What is made least: the customer's expected price, or the shop's cost.",
        examples=["price"],
    )


def _flag(value: object) -> bool:
    if value not in ("true", "false"):
        refuse("boolean-type", f"Got {shown(value)}; wanted true or false.", "Write true or false.")
    return value == "true"


FlagInAddress = Annotated[bool, BeforeValidator(_flag), WithJsonSchema({"type": "boolean"})]
"""true or false as text of the address gives it."""


def _whole_between(least: int, most: int) -> BeforeValidator:
    """Make the validator for a whole number within bounds, as text of the address gives it."""

    def read(value: object) -> int:
        is_number = isinstance(value, str) and re.fullmatch(r"0|[1-9][0-9]{0,3}", value)
        if not is_number or not least <= int(str(value)) <= most:
            wanted = f"a whole number from {least} to {most}"
            refuse("out-of-range", f"Got {shown(value)}; wanted {wanted}.", f"Give {wanted}.")
        return int(str(value))

    return BeforeValidator(read)


UpToTenInAddress = Annotated[
    int,
    _whole_between(1, 10),
    WithJsonSchema({"type": "integer", "minimum": 1, "maximum": 10}),
]
UpToTwentyInAddress = Annotated[
    int,
    _whole_between(1, 20),
    WithJsonSchema({"type": "integer", "minimum": 1, "maximum": 20}),
]
UpToThousandInAddress = Annotated[
    int,
    _whole_between(1, 1000),
    WithJsonSchema({"type": "integer", "minimum": 1, "maximum": 1000}),
]
UpToFiftyInAddress = Annotated[
    int,
    _whole_between(0, 50),
    WithJsonSchema({"type": "integer", "minimum": 0, "maximum": 50}),
]


class OptionsQuery(CustomerOptionsQuery):
    """What the options of a job take: the moment, the aim, and how much of an answer is wanted."""

    alternatives: UpToTenInAddress = Field(
        default=Asked().alternatives,
        description="How many plans that a person would call different.",
        examples=[3],
    )
    differ_in: UpToTenInAddress = Field(
        default=Asked().differ_in,
        description="At how many positions any two of them differ in what a person would call"
        " another way.",
        examples=[1],
    )
    has_risk_axis: FlagInAddress = Field(
        default=Asked().has_risk_axis,
        description="Whether the trade-off is also told with the chance of a comeback as its third"
        " side, besides price and date (risk_frontier).",
        examples=[False],
    )
    break_evens: UpToFiftyInAddress = Field(
        default=Asked().break_evens,
        description="How many inputs are looked at: how far each may move before the plan changes.",
        examples=[6],
    )
    settlings: UpToFiftyInAddress = Field(
        default=Asked().settlings,
        description="How many open verdicts are looked at: what settling each is worth.",
        examples=[4],
    )
    has_extras: FlagInAddress = Field(
        default=Asked().has_extras,
        description="Whether it is worked out what each unchosen source would cost more.",
        examples=[True],
    )
    effort: EffortText = Field(
        default=Asked().effort,
        description="How long may be searched, all searches together: about so many seconds,"
        " counted in steps of the search, so that the same question has the same answer on every"
        " machine. What was left out for want of it is told.",
        examples=["20"],
    )

    def asked(self) -> Asked:
        """Return how much of an answer is wanted."""
        return Asked(**{one.name: getattr(self, one.name) for one in fields(Asked)})


def _sequence(value: object) -> int:
    is_number = isinstance(value, str) and re.fullmatch(r"0|[1-9][0-9]{0,15}", value)
    if not is_number or int(str(value)) > LARGEST_INTEGER:
        wanted = "the sequence of an earlier answer, or 0"
        refuse("out-of-range", f"Got {shown(value)}; wanted {wanted}.", f"Give {wanted}.")
    return int(str(value))


Sequence = Annotated[
    int,
    BeforeValidator(_sequence),
    WithJsonSchema({"type": "integer", "minimum": 0, "maximum": LARGEST_INTEGER}),
]


def _whole(value: object) -> int:
    if not isinstance(value, str) or not re.fullmatch(r"-?(0|[1-9][0-9]{0,14})", value):
        wanted = "a whole number"
        refuse("integer-type", f"Got {shown(value)}; wanted {wanted}.", f"Give {wanted}.")
    return int(value)


Whole = Annotated[
    int,
    BeforeValidator(_whole),
    WithJsonSchema({"type": "integer", "minimum": -LARGEST_INTEGER, "maximum": LARGEST_INTEGER}),
]
"""A whole number as text of the address gives it."""


def list_query(
    name: str, record: type[Answer], lists: Lists, *, has_changes: bool = False
) -> type[ListQuery]:
    """Make the query of one kind of list: how it is narrowed and ordered.

    Filters are members of the record, equal to a value (``kind``), to one of several (``kind.in``),
    or from and up to a value (``created_at.gte``, ``created_at.lte``).
    """
    fields: dict[str, Any] = {}
    for field in lists.filters:
        example = record.model_fields[field].examples
        about = f"Only records whose {field} is this."
        fields[field] = _optional(_filter_type(record, field), about, example)
        about = f"Only records whose {field} is one of these, at most {MOST_VALUES}, by commas."
        fields[f"{field}__in"] = _optional(LongText, about, example, f"{field}.in")
    for field in lists.selections:
        about, of_that = _SELECTIONS[field]
        fields[field] = _optional(IdText, about, [of_that])
    hints = get_type_hints(record, include_extras=True)
    for field in lists.ranges:
        example = record.model_fields[field].examples
        for ending, word in (("gte", "not below"), ("lte", "not above")):
            about = f"Only records whose {field} is {word} this."
            alias = f"{field}.{ending}"
            kind = Whole if record.model_fields[field].annotation is int else hints[field]
            fields[f"{field}__{ending}"] = _optional(kind, about, example, alias)
    orders = tuple(f"{sign}{one}" for one in ("id", *lists.sorts) for sign in ("", "-"))
    about = "Order of the list; a minus before the name: falling."
    fields["sort"] = _optional(Literal[orders], about, ["-created_at"])
    if has_changes:
        about = (
            "Only what changed after this sequence, in the order of the changes, with the ids of"
            " what was retired; alone with limit and cursor."
        )
        fields["updated_since"] = _optional(Sequence, about, [5512])
    made: type[ListQuery] = create_model(
        name,
        __base__=_ChangesQuery if has_changes else ListQuery,
        __doc__=f"Filters of {name}.",
        **fields,
    )
    return made


def _optional(
    kind: Any, description: str, examples: list[Any] | None, alias: str | None = None
) -> tuple[Any, Any]:
    return kind | None, Field(default=None, description=description, examples=examples, alias=alias)


def _filter_type(record: type[Answer], field: str) -> Any:
    annotation = record.model_fields[field].annotation
    for choice in (annotation, *get_args(annotation)):
        if isinstance(choice, type) and issubclass(choice, StrEnum):
            return choice
    return ShortText
