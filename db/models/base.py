"""What every table is made of: names by one convention, and columns that say what they hold.

Tables are plain; rows become the frozen dataclasses of ``shared`` by the names of their fields
(``db/queries/mapping.py``). Money is two columns (minor units and currency), a quantity seven (as
entered, and its value in the canonical unit), a nested value has its field's name as prefix.
A truth of the shop is a named CHECK, kept here with the words that explain it when it is broken.
"""

from enum import StrEnum
from typing import Any, Final

from sqlalchemy import (
    BigInteger,
    CheckConstraint,
    Column,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    MetaData,
    String,
    Table,
)
from sqlalchemy.schema import SchemaItem

from db.types import SCALE, EnteredDecimal, ScaledDecimal, UtcDateTime, ident

SHORT: Final = 200
LONG: Final = 2000

metadata = MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
    }
)

Items = list[SchemaItem]


def catalogue(name: str, *items: SchemaItem | Items) -> Table:
    """Make a table of records that all shops read and the author's shop changes."""
    return _record_table(name, "author_shop_id", items)


def private(name: str, *items: SchemaItem | Items) -> Table:
    """Make a table of records of one shop alone; other tables point to (shop_id, id)."""
    return _record_table(name, "shop_id", items)


def _record_table(name: str, owner: str, items: tuple[SchemaItem | Items, ...]) -> Table:
    return Table(
        name,
        metadata,
        Column("id", ident(), primary_key=True),
        Column(owner, ident(), ForeignKey("shops.id"), nullable=False),
        Column("version", Integer, nullable=False),
        Column("created_at", UtcDateTime, nullable=False),
        Column("updated_at", UtcDateTime, nullable=False),
        Index(None, owner, "id", unique=True),
        *_indexes_of_times(owner),
        *flat(items),
    )


def _indexes_of_times(owner: str) -> Items:
    """Make the indexes of lists by time: of one shop's records, or of all shops'."""
    before = ["shop_id"] if owner == "shop_id" else []
    return [Index(None, *before, time, "id") for time in ("created_at", "updated_at")]


def flat(items: tuple[SchemaItem | Items, ...]) -> Items:
    """Lay columns and groups of columns in one row."""
    return [part for item in items for part in (item if isinstance(item, list) else [item])]


def text(name: str, longest: int = SHORT, *, optional: bool = False) -> Column[str]:
    """Make a column of text, at most ``longest`` characters."""
    return Column(name, String(longest), nullable=optional)


def reference(name: str, target: str, *, optional: bool = False) -> Column[str]:
    """Make a column that names a record of another table."""
    return Column(name, ident(), ForeignKey(f"{target}.id"), nullable=optional)


def ident_column(name: str, *, optional: bool = False) -> Column[str]:
    """Make a column for an id whose foreign key is stated by ``together``."""
    return Column(name, ident(), nullable=optional)


def together(table: str, **columns: str) -> ForeignKeyConstraint:
    """Make a foreign key over several columns: own column = column of the other table.

    With it the database itself knows that a parent lies in the same assembly, an offer's supplier
    in the same shop.
    """
    return ForeignKeyConstraint(list(columns), [f"{table}.{other}" for other in columns.values()])


def truth(name: str, sql: str, pointer: str, detail: str, fix: str) -> CheckConstraint:
    """Make a named CHECK with what to tell whoever breaks it."""
    return CheckConstraint(sql, name=name, info={"pointer": pointer, "detail": detail, "fix": fix})


def word(
    name: str, kind: type[StrEnum], *, optional: bool = False, pointer: str | None = None
) -> Items:
    """Make a column of one of a set of words."""
    words = [member.value for member in kind]
    listed = ", ".join(f"'{one}'" for one in words)
    return [
        Column(name, String(40), nullable=optional),
        truth(
            name,
            f"{name} IN ({listed})",
            pointer or f"/{name}",
            f"{name} is none of {', '.join(words)}.",
            f"Give one of {', '.join(words)}.",
        ),
    ]


def money(name: str, *, optional: bool = False, pointer: str | None = None) -> Items:
    """Make the two columns of an amount; below zero it is no price."""
    minor, currency = f"{name}_minor", f"{name}_currency"
    return [
        Column(minor, BigInteger, nullable=optional),
        Column(currency, String(3), nullable=optional),
        truth(
            name,
            f"({minor} IS NULL) = ({currency} IS NULL) AND ({minor} IS NULL OR {minor} >= 0)",
            pointer or f"/{name}",
            f"{name} is below zero.",
            "Give an amount of zero or more.",
        ),
    ]


def decimal(name: str, *, optional: bool = False, pointer: str | None = None) -> Items:
    """Make a column of an exact decimal of six places that is never below zero."""
    return [
        Column(name, ScaledDecimal, nullable=optional),
        truth(
            f"{name}_not_negative",
            f"{name} >= 0",
            pointer or f"/{name}",
            f"{name} is below zero.",
            f"Give {name} of zero or more.",
        ),
    ]


def probability(name: str, *, optional: bool = False, pointer: str | None = None) -> Items:
    """Make a column of a probability, 0 to 1."""
    return [
        Column(name, ScaledDecimal, nullable=optional),
        truth(
            f"{name}_is_probability",
            f"{name} BETWEEN 0 AND {SCALE}",
            pointer or f"/{name}",
            f"{name} lies outside 0 to 1.",
            'Give a probability from "0" to "1".',
        ),
    ]


def spread(p50: str, p90: str, *, pointer: str = "", prefix: str = "") -> Items:
    """Make the columns of a median and a 90 % value, which never lies below it."""
    low, high = prefix + p50, prefix + p90
    return [
        *decimal(low, optional=bool(prefix), pointer=f"{pointer}/{p50}"),
        *decimal(high, optional=bool(prefix), pointer=f"{pointer}/{p90}"),
        truth(
            f"{high}_not_below_p50",
            f"{high} >= {low}",
            f"{pointer}/{p90}",
            f"{p90} is less than {p50}.",
            f"Give {p90} of {p50} or more: nine times in ten it takes no longer.",
        ),
    ]


def quantity(name: str, *, optional: bool = True, pointer: str | None = None) -> Items:
    """Make the columns of a quantity: as entered, one statement of doubt, the canonical value."""
    doubts = [f"{name}_{way}" for way in ("standard_uncertainty", "expanded_uncertainty")]
    half_width, factor = f"{name}_plus_minus", f"{name}_coverage_factor"
    at_most_one = " AND ".join(
        f"({one} IS NULL OR {other} IS NULL)"
        for one, other in (doubts, (doubts[0], half_width), (doubts[1], half_width))
    )
    columns: list[Column[Any]] = [
        Column(f"{name}_value", EnteredDecimal, nullable=optional),
        Column(f"{name}_unit", String(16), nullable=optional),
        *(Column(column, EnteredDecimal) for column in (*doubts, factor, half_width)),
        Column(f"{name}_canonical", ScaledDecimal, nullable=optional),
    ]
    return [
        *columns,
        truth(
            f"{name}_states_doubt_once",
            f"{at_most_one} AND ({factor} IS NULL OR {doubts[1]} IS NOT NULL)",
            pointer or f"/{name}",
            f"{name} states its uncertainty in more than one way.",
            "Keep one of standard_uncertainty, expanded_uncertainty and plus_minus.",
        ),
    ]


def ratio(name: str) -> Items:
    """Make the column of a gear's ratio: input turns to one output turn, more than zero.

    As it was entered: 3.700 says more than 3.7.
    """
    return [
        Column(name, EnteredDecimal),
        truth(
            f"{name}_above_zero",
            f"CAST({name} AS NUMERIC) > 0",
            f"/{name}",
            f"{name} is not more than zero.",
            "Give input turns to one output turn, such as 3.73.",
        ),
    ]


def not_above(low: str, high: str, pointer: str) -> CheckConstraint:
    """Make the truth that a lower bound does not lie above its upper bound."""
    name = pointer.removeprefix("/")
    return truth(
        f"{name}_not_below_lower",
        f"{low} <= {high}",
        pointer,
        f"{name} is less than the lower bound.",
        "Exchange the two bounds, or mend the wrong one.",
    )
