"""Pages of a list: by a key that rises strictly, never by counting rows; narrowed, ordered.

Every order ends in the id, so that no two records share a place. What a list can be narrowed and
ordered by is said per kind (``Mapped``) and served by an index; the times of a record are there for
all.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from decimal import Decimal, InvalidOperation
from typing import Any, Final, TypeVar

from sqlalchemy import BigInteger, Column, ColumnElement, Date, Integer, Select, literal, tuple_

from db.queries.mapping import Mapped, Stored, words_of
from db.types import ScaledDecimal, UtcDateTime, fits
from shared.errors import InvalidInput

T = TypeVar("T")

TIMES: Final = ("created_at", "updated_at")
DEFAULT_LIMIT: Final = 50
MOST_VALUES: Final = 50
"""How many values ``field.in`` takes."""
_LEAST, _MOST, _ONE_OF = ".gte", ".lte", ".in"


@dataclass(frozen=True, slots=True)
class Place:
    """Where in which list: how it is narrowed and ordered, how many at once, after which record.

    ``after`` is the ordering value, as text, and the id of the last record seen; ``sort`` names a
    column, with a minus before it for falling order. Without it a list narrowed from or up to a
    value comes in the order of that value, as its index gives it, any other by id.
    """

    filters: Mapping[str, str] = field(default_factory=dict)
    sort: str = ""
    limit: int = DEFAULT_LIMIT
    after: tuple[str, str] | None = None

    @property
    def column(self) -> str:
        """The column of the order."""
        if self.sort:
            return self.sort.removeprefix("-")
        ranges = (name[: -len(_LEAST)] for name in self.filters if name.endswith((_LEAST, _MOST)))
        return next(ranges, "id")

    def beyond(self, stored: Stored[Any]) -> "Place":
        """Return the place that follows a record."""
        record: Any = stored.record
        value = getattr(stored if self.column in TIMES else record, self.column)
        text = value.isoformat() if isinstance(value, date) else str(value)
        return replace(self, after=(text, record.id))


def sorts_of(mapped: Mapped[Any]) -> tuple[str, ...]:
    """Return by what a list of the kind can be ordered, besides its id."""
    return (*TIMES, *mapped.sorts)


def ranges_of(mapped: Mapped[Any]) -> tuple[str, ...]:
    """Return by what a list of the kind can be narrowed from and up to a value."""
    return (*TIMES, *mapped.ranges)


def placed(statement: Select[Any], mapped: Mapped[T], place: Place) -> Select[Any]:
    """Narrow, order and limit a select over the kind's table; raises InvalidInput."""
    table = mapped.table
    for name, text in place.filters.items():
        statement = statement.where(_condition(mapped, name, text))
    if place.sort and place.column not in ("id", *sorts_of(mapped)):
        raise _unknown("/sort", f"ordered by {place.column}", ("id", *sorts_of(mapped)))
    keys: list[Column[Any]] = [table.c.id]
    if place.column != "id":
        keys.insert(0, table.c[place.column])
    falls = place.sort.startswith("-")
    if place.after is not None:
        values = [_value(keys[0], place.after[0], "/cursor"), place.after[1]][-len(keys) :]
        seen = [literal(value, key.type) for key, value in zip(keys, values, strict=True)]
        reached = tuple_(*keys) < tuple_(*seen) if falls else tuple_(*keys) > tuple_(*seen)
        statement = statement.where(reached)
    ordered = [key.desc() if falls else key.asc() for key in keys]
    return statement.order_by(*ordered).limit(place.limit)


def _condition(mapped: Mapped[T], name: str, text: str) -> ColumnElement[bool]:
    pointer = f"/{name}"
    for ending in (_LEAST, _MOST):
        if name.endswith(ending) and name.removesuffix(ending) in ranges_of(mapped):
            column = mapped.table.c[name.removesuffix(ending)]
            value = _value(column, text, pointer)
            reached: ColumnElement[bool] = column >= value if ending == _LEAST else column <= value
            return reached
    if name.endswith(_ONE_OF) and name.removesuffix(_ONE_OF) in mapped.filters:
        return _one_of(mapped, name.removesuffix(_ONE_OF), text, pointer)
    if name not in mapped.filters:
        raise _unknown(pointer, f"narrowed by {name}", mapped.filters)
    _check_word(mapped, name, text, pointer)
    return mapped.table.c[name] == text


def _one_of(mapped: Mapped[T], name: str, text: str, pointer: str) -> ColumnElement[bool]:
    values = text.split(",")
    if len(values) > MOST_VALUES or "" in values:
        raise InvalidInput(
            pointer,
            f"Got {len(values)} values; wanted 1 to {MOST_VALUES}, none of them empty.",
            "Separate the values by commas, without blanks.",
            "too-many" if len(values) > MOST_VALUES else "text-empty",
        )
    for value in values:
        _check_word(mapped, name, value, pointer)
    return mapped.table.c[name].in_(values)


def _check_word(mapped: Mapped[T], name: str, value: str, pointer: str) -> None:
    words = words_of(mapped.kind, name)
    if words is not None and value not in words:
        raise InvalidInput(
            pointer,
            f"{name} is none of {', '.join(words)}.",
            f"Give one of {', '.join(words)}.",
            "word-unknown",
        )


def _value(column: Column[Any], text: str, pointer: str) -> Any:
    """Read a value of a column from its text; raises InvalidInput."""
    try:
        if isinstance(column.type, UtcDateTime):
            moment = datetime.fromisoformat(text)
            return moment.astimezone(UTC) if moment.tzinfo else moment.replace(tzinfo=UTC)
        if isinstance(column.type, Date):
            return date.fromisoformat(text)
        if isinstance(column.type, ScaledDecimal):
            number = Decimal(text)
            if not fits(number):
                raise ValueError
            return number
        if isinstance(column.type, Integer | BigInteger):
            return int(text)
    except (ValueError, InvalidOperation):
        raise InvalidInput(
            pointer, "The value is none that the field can have.", "Mend the value.", "value-form"
        ) from None
    return text


def _unknown(pointer: str, asked: str, offered: tuple[str, ...]) -> InvalidInput:
    listed = ", ".join(offered) or "nothing"
    return InvalidInput(
        pointer,
        f"A list of this kind cannot be {asked}.",
        f"Use {listed}.",
        "filter-unknown",
    )
