"""Query parameters: text from the address, read into checked values by the same rules as bodies."""

import re
from enum import StrEnum
from typing import Annotated, Any, get_args

from pydantic import BeforeValidator, Field, WithJsonSchema, create_model

from api.schemas.base import Answer, Body, ShortText, UtcDateTime, refuse, shown
from shared.decision.snapshot import Aim

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


class ListQuery(Body):
    """What every list takes."""

    limit: Limit | None = Field(
        default=None, description="How many at once; 50 if not given.", examples=[50]
    )
    cursor: Annotated[str, Field(max_length=_CURSOR_LENGTH)] | None = Field(
        default=None, description="The place to go on from; follow next as it is given."
    )


class OptionsQuery(Body):
    """What the options of a job take."""

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


def list_query(name: str, record: type[Answer], filters: tuple[str, ...]) -> type[ListQuery]:
    """Make the query of one kind of list: its filters are members of the record, by equality."""
    fields: dict[str, Any] = {
        field: (
            _filter_type(record, field) | None,
            Field(
                default=None,
                description=f"Only records whose {field} is this.",
                examples=record.model_fields[field].examples,
            ),
        )
        for field in filters
    }
    return create_model(name, __base__=ListQuery, __doc__=f"Filters of {name}.", **fields)


def _filter_type(record: type[Answer], field: str) -> Any:
    annotation = record.model_fields[field].annotation
    for choice in (annotation, *get_args(annotation)):
        if isinstance(choice, type) and issubclass(choice, StrEnum):
            return choice
    return ShortText
