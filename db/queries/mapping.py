"""Rows from frozen dataclasses and back, by name: written once for every kind of record.

A field is the column of its name. Money becomes ``<name>_minor`` and ``<name>_currency``; a nested
dataclass its fields with ``<name>_`` before them, absent when its first required field is (its
first one where none is required); a quantity also ``<name>_canonical``. Tuples lie in child tables,
in the order given.
"""

import types
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import MISSING, dataclass, fields, is_dataclass, replace
from datetime import datetime
from decimal import Decimal
from enum import StrEnum
from typing import Any, Final, Generic, NamedTuple, TypeVar, Union, get_args, get_origin
from typing import get_type_hints as type_hints

from sqlalchemy import BigInteger, ColumnElement, Select, String, Table, select
from sqlalchemy.orm import Session

from db.queries.access import Principal
from db.types import DIGITS, PLACES, EnteredDecimal, ScaledDecimal, fits, plain
from shared.errors import InvalidInput
from shared.money import Money
from shared.quantities import Quantity, canonical_unit, check_quantity, convert, kind_of

T = TypeVar("T")

_MOST_MINOR: Final = 10**15
_MOST_CHILDREN_IN_ONE_LOOK_UP: Final = 5_000


@dataclass(frozen=True, slots=True)
class Children:
    """A child table that keeps a tuple field: dataclasses by name, or bare ids in ``column``.

    A field of a nested dataclass is told by its way there ("core.refused_when"); words stand in
    ``column`` as bare ids do.
    """

    field: str
    table: Table
    owner: str
    column: str | None = None
    shared: tuple[str, ...] = ()
    """Columns that repeat the parent row's, for the foreign keys that hold a truth."""
    keys: Callable[[Any, Mapping[str, Any]], dict[str, Any]] | None = None
    """Columns of a child row computed from its item and the parent's row."""


class Touched(NamedTuple):
    """Another record that a write changed too: its kind's word, its id."""

    word: str
    record_id: str
    detail: str | None = None
    """What changed of it, as ``audit_detail.members_changed`` tells; of one gone, what it said."""


Selection = Callable[[Session, Principal, str], ColumnElement[bool]]
"""The condition that a value sets; raises InvalidInput (pointer: its name) for an unknown one."""
Completion = Callable[[Session, Sequence[str]], dict[str, dict[str, Any]]]


@dataclass(frozen=True, slots=True)
class Mapped(Generic[T]):
    """How one kind of record is kept."""

    kind: type[T]
    word: str
    table: Table
    filters: tuple[str, ...] = ()
    """Fields by which a list is narrowed: equal to one value, or to one of several."""
    selections: Mapping[str, "Selection"] | None = None
    """Names by which a list is narrowed to what other records make of a value."""
    ranges: tuple[str, ...] = ()
    """Columns by which a list is narrowed from and up to a value, besides the times of all."""
    sorts: tuple[str, ...] = ()
    """Columns by which a list is ordered, besides the times of all; none of them is nullable."""
    children: tuple[Children, ...] = ()
    elsewhere: frozenset[str] = frozenset()
    """Fields that other tables keep; ``complete`` brings them when rows are read."""
    complete: Completion | None = None
    keys: Callable[[T], dict[str, Any]] | None = None
    """Columns computed from the record: what makes it the same as another, whatever the case."""
    unique: tuple[tuple[str, ...], ...] = ()
    """Groups of columns that no two records share."""
    check: Callable[[Session, Principal, T], None] | None = None
    """References and rules that span records; raises InvalidInput, Conflict."""
    check_new: Callable[[Session, Principal, T], None] | None = None
    """What a new record must keep to besides ``check``, and a later change need not."""
    check_change: Callable[[Session, Principal, T, T], None] | None = None
    """What a change must keep to besides ``check``: record before, record after."""
    check_retire: Callable[[Session, Principal, T], None] | None = None
    """What forbids to retire a record besides its users; raises Conflict."""
    fixed: Mapping[str, str] | None = None
    """Fields that stay as created, each with the mend: what to do instead of changing it."""
    is_kept: bool = False
    """Only ever added: never changed, never retired."""
    version: Callable[[Session, Principal, T], int] | None = None
    """For records that are only ever added: the number of this one among its kin."""
    after: Callable[[Session, Principal, T], Iterable[Touched]] | None = None
    """What else the creation brings with it, in the same transaction; the records it touched."""
    after_change: Callable[[Session, Principal, T, T], Iterable[Touched]] | None = None
    """What else a change brings with it: record before, record after."""
    after_retire: Callable[[Session, Principal, T], Iterable[Touched]] | None = None
    """What else it brings with it that a record is retired; the records it touched."""
    owns: tuple[tuple[Table, str], ...] = ()
    """Tables, besides children, whose rows are part of the record: they go when it is retired."""
    as_read: Callable[[Mapping[Any, Any]], Mapping[Any, Any]] | None = None
    """What the clock has made of a row since it was written, its version counted up with it."""
    lapsed: Callable[[Session, Principal], list[str]] | None = None
    """The records of the shop that the clock has changed and nobody has written down yet."""
    settle: Callable[[Session, Principal], None] | None = None
    """Write down what the clock has made of the shop's records, so that changes can be told."""
    write: Callable[[T], dict[str, Any]] | None = None
    build: Callable[[Mapping[str, Any]], T] | None = None

    @property
    def is_private(self) -> bool:
        """Whether the record is one shop's alone."""
        return "shop_id" in self.table.c

    @property
    def owner(self) -> str:
        """The column that names the shop that owns the record."""
        return "shop_id" if self.is_private else "author_shop_id"


@dataclass(frozen=True, slots=True)
class Stored(Generic[T]):
    """A record as it is kept: with its version, its times (UTC) and the shop that made it."""

    record: T
    version: int
    created_at: datetime
    updated_at: datetime
    author_shop_id: str


class _Field(NamedTuple):
    name: str
    base: type[Any]
    is_tuple: bool
    is_required: bool


class _Cell(NamedTuple):
    column: str
    value: Any
    pointer: str


_FIELDS: Final[dict[type[Any], tuple[_Field, ...]]] = {}


def _fields(kind: type[Any]) -> tuple[_Field, ...]:
    if kind not in _FIELDS:
        _FIELDS[kind] = _look_at(kind)
    return _FIELDS[kind]


def _look_at(kind: type[Any]) -> tuple[_Field, ...]:
    hints = type_hints(kind)
    return tuple(
        _Field(
            field.name,
            _base(hints[field.name]),
            get_origin(hints[field.name]) is tuple,
            field.default is MISSING and field.default_factory is MISSING,
        )
        for field in fields(kind)
    )


def _field(kind: type[Any], name: str) -> _Field:
    return next(field for field in _fields(kind) if field.name == name)


def _base(hint: Any) -> type[Any]:
    """Return the type of a field without its "or None", of a tuple the type of its items."""
    if get_origin(hint) in (Union, types.UnionType):
        return _base(next(one for one in get_args(hint) if one is not type(None)))
    if get_origin(hint) is tuple:
        return _base(get_args(hint)[0])
    base: type[Any] = hint
    return base


# --- dataclass to row ------------------------------------------------------------------------


def row_of(mapped: Mapped[T], record: T) -> dict[str, Any]:
    """Return the columns of a record; raises InvalidInput for a value that no column holds."""
    if mapped.write is not None:
        return mapped.write(record)
    row: dict[str, Any] = {}
    for cell in _cells(mapped.kind, record, "", "", mapped.elsewhere):
        _check_room(mapped.table, cell)
        row[cell.column] = cell.value
    if mapped.keys is not None:
        row |= mapped.keys(record)
    return row


def child_rows(
    children: Children, owner_id: str, record: object, row: Mapping[str, Any]
) -> list[dict[str, Any]]:
    """Return the rows of a child table that keep one tuple field, in the order given."""
    rows: list[dict[str, Any]] = []
    above = children.field.replace(".", "/")
    for place, item in enumerate(_items_of(record, children.field)):
        child = {children.owner: owner_id, "place": place}
        child |= {name: row[name] for name in children.shared}
        pointer = f"/{above}/{place}"
        if children.column is not None:
            value = item.value if isinstance(item, StrEnum) else item
            _check_room(children.table, _Cell(children.column, value, pointer))
            child[children.column] = value
        else:
            for cell in _cells(type(item), item, "", pointer, frozenset()):
                _check_room(children.table, cell)
                child[cell.column] = cell.value
        if children.keys is not None:
            child |= children.keys(item, row)
        rows.append(child)
    return rows


def _items_of(record: Any, way: str) -> tuple[Any, ...]:
    """Return what a tuple field holds; nothing where it, or what it lies in, is not there."""
    outer, _, inner = way.rpartition(".")
    holder = getattr(record, outer) if outer else record
    return () if holder is None else getattr(holder, inner) or ()


def _kind_of_items(kind: type[Any], way: str) -> type[Any]:
    outer, _, inner = way.rpartition(".")
    return _field(_field(kind, outer).base if outer else kind, inner).base


def _cells(
    kind: type[Any], value: object, prefix: str, pointer: str, skip: frozenset[str]
) -> list[_Cell]:
    cells: list[_Cell] = []
    for field in _fields(kind):
        if field.is_tuple or field.name in skip:
            continue
        item = None if value is None else getattr(value, field.name)
        cells += _cells_of_field(field, item, prefix + field.name, f"{pointer}/{field.name}")
    if kind is Quantity:
        stated = value if isinstance(value, Quantity) else None
        cells.append(_Cell(prefix + "canonical", _canonical(stated, pointer), f"{pointer}/value"))
    return cells


def _cells_of_field(field: _Field, item: Any, name: str, pointer: str) -> list[_Cell]:
    if field.base is Money:
        return [
            _Cell(f"{name}_minor", None if item is None else _minor(item, pointer), pointer),
            _Cell(f"{name}_currency", None if item is None else item.currency, pointer),
        ]
    if is_dataclass(field.base):
        return _cells(field.base, item, f"{name}_", pointer, frozenset())
    if item is not None and issubclass(field.base, StrEnum):
        item = field.base(item).value
    return [_Cell(name, item, pointer)]


def _minor(amount: Money, pointer: str) -> int:
    if not amount.amount.is_finite() or amount.amount.adjusted() >= 12:
        raise InvalidInput(
            f"{pointer}/amount",
            "The amount is too large.",
            "Give an amount below 10^12.",
            "number-size",
        )
    try:
        return amount.minor
    except InvalidInput as error:
        raise error.below(pointer) from None


def _canonical(quantity: Quantity | None, pointer: str) -> Decimal | None:
    if quantity is None:
        return None
    try:
        kind = kind_of(quantity.unit)
        check_quantity(quantity, kind, "")
        value = convert(quantity.value, quantity.unit, canonical_unit(kind))
    except InvalidInput as error:
        raise error.below(pointer) from None
    if value.adjusted() >= 12:
        return value
    return plain(round(value, PLACES))


def _check_room(table: Table, cell: _Cell) -> None:
    """Check what SQLite would not: length of text, digits of decimals, size of whole numbers."""
    value, kind = cell.value, table.c[cell.column].type
    if isinstance(value, Decimal) and isinstance(kind, EnteredDecimal):
        value, kind = format(value, "f"), kind.impl
    if isinstance(value, str):
        _check_text(value, kind.length if isinstance(kind, String) else None, cell.pointer)
    elif isinstance(value, Decimal) and isinstance(kind, ScaledDecimal):
        _check_digits(value, kind.places, cell.pointer)
    elif isinstance(value, int) and abs(value) > _most(kind):
        raise InvalidInput(
            cell.pointer,
            f"The number is larger than {_most(kind)}.",
            "Give a smaller one.",
            "number-size",
        )


def _check_digits(value: Decimal, places: int, pointer: str) -> None:
    if not fits(value, places):
        raise InvalidInput(
            pointer,
            "The number is too large, or has too many digits after the point.",
            f"Give at most {DIGITS - places} digits before the point and {places} after it.",
            "number-size",
        )


def _most(kind: object) -> int:
    """Return the largest whole number that a column takes, PostgreSQL's four bytes included."""
    return _MOST_MINOR if isinstance(kind, BigInteger) else 2**31 - 1


def _check_text(value: str, longest: int | None, pointer: str) -> None:
    if longest is not None and len(value) > longest:
        raise InvalidInput(
            pointer,
            f"The text has {len(value)} characters; wanted at most {longest}.",
            f"Shorten it to {longest} characters.",
            "text-length",
        )
    if "\x00" in value or (not value.isascii() and _is_broken(value)):
        raise InvalidInput(
            pointer,
            "The text holds NUL or half a character.",
            "Remove what is not text.",
            "text-character",
        )


def _is_broken(value: str) -> bool:
    return any("\ud800" <= character <= "\udfff" for character in value)


# --- row to dataclass ------------------------------------------------------------------------


def load(session: Session, mapped: Mapped[T], statement: Select[Any]) -> list[Stored[T]]:
    """Run a select over the kind's table and return its records, children and all."""
    rows: Sequence[Mapping[Any, Any]] = session.execute(statement).mappings().all()
    if mapped.as_read is not None:
        rows = [mapped.as_read(row) for row in rows]
    extras = _extras(session, mapped, [row["id"] for row in rows])
    return [_stored(mapped, row, extras) for row in rows]


def _stored(
    mapped: Mapped[T], row: Mapping[Any, Any], extras: dict[str, dict[str, Any]]
) -> Stored[T]:
    record = mapped.build(row) if mapped.build is not None else _built(mapped, row, extras)
    return Stored(record, row["version"], row["created_at"], row["updated_at"], row[mapped.owner])


def _built(mapped: Mapped[T], row: Mapping[Any, Any], extras: dict[str, dict[str, Any]]) -> T:
    values = _values(mapped.kind, row, "", mapped.elsewhere)
    for way, items in extras[row["id"]].items():
        outer, _, inner = way.rpartition(".")
        if not outer:
            values[inner] = items
        elif items:
            values[outer] = replace(values[outer], **{inner: items})
    return mapped.kind(**values)


def _extras(session: Session, mapped: Mapped[T], ids: Sequence[str]) -> dict[str, dict[str, Any]]:
    """Return per id the fields that other tables keep."""
    extras: dict[str, dict[str, Any]] = {record_id: {} for record_id in ids}
    for children in mapped.children:
        kind = _kind_of_items(mapped.kind, children.field)
        for record_id, items in _items(session, children, kind, ids).items():
            extras[record_id][children.field] = tuple(items)
    if mapped.complete is not None:
        for record_id, values in mapped.complete(session, ids).items():
            extras[record_id] |= values
    return extras


def _items(
    session: Session, children: Children, kind: type[Any], ids: Sequence[str]
) -> dict[str, list[Any]]:
    table = children.table
    found: dict[str, list[Any]] = {record_id: [] for record_id in ids}
    for some in in_steps(ids):
        statement = (
            select(table)
            .where(table.c[children.owner].in_(some))
            .order_by(table.c[children.owner], table.c.place)
        )
        for row in session.execute(statement).mappings():
            if children.column is None:
                item = kind(**_values(kind, row, "", frozenset()))
            else:
                item = row[children.column]
                item = kind(item) if issubclass(kind, StrEnum) else item
            found[row[children.owner]].append(item)
    return found


def _values(
    kind: type[Any], row: Mapping[Any, Any], prefix: str, skip: frozenset[str]
) -> dict[str, Any]:
    return {
        field.name: _value(field.base, row, prefix + field.name)
        for field in _fields(kind)
        if not field.is_tuple and field.name not in skip
    }


def _value(base: type[Any], row: Mapping[Any, Any], name: str) -> Any:
    if base is Money:
        minor = row[f"{name}_minor"]
        return None if minor is None else Money.of_minor(minor, row[f"{name}_currency"])
    if is_dataclass(base):
        values = _values(base, row, f"{name}_", frozenset())
        first = _telling(base)
        return None if values[first] is None else base(**values)
    value = row[name]
    return base(value) if value is not None and issubclass(base, StrEnum) else value


def _telling(kind: type[Any]) -> str:
    """Return the field by which a nested value is there: its first required one, or its first."""
    required = (field.name for field in _fields(kind) if field.is_required)
    return next(required, _fields(kind)[0].name)


def words_of(kind: type[Any], name: str) -> tuple[str, ...] | None:
    """Return the words that a field takes; None where it is not one of a set of words."""
    base = _field(kind, name).base
    return tuple(member.value for member in base) if issubclass(base, StrEnum) else None


def in_steps(ids: Sequence[str], step: int = _MOST_CHILDREN_IN_ONE_LOOK_UP) -> list[Sequence[str]]:
    """Cut a long list of ids into lists that every database takes in one statement."""
    return [ids[start : start + step] for start in range(0, len(ids), step)]
