"""Who points at a record: found from the tables' foreign keys, so that no kind is forgotten."""

from collections.abc import Iterator, Mapping
from typing import Any, Final, NamedTuple

from sqlalchemy import ForeignKeyConstraint, Table, select
from sqlalchemy.orm import Session

from db.models.base import metadata
from db.queries.access import Principal

MOST_NAMED: Final = 10


class Keeper(NamedTuple):
    """Whose rows a table holds: the word of the kind, and the column with the record's id."""

    word: str
    column: str
    table: Table
    """The kind's own table: it says which shop the record belongs to."""


class Users(NamedTuple):
    """The users of a record that this shop may know of, ten at most, and whether there are more."""

    named: list[dict[str, str]]
    are_more: bool


def used_by(
    session: Session,
    principal: Principal,
    row: Mapping[str, Any],
    table: Table,
    own: Mapping[Table, str],
    keepers: Mapping[Table, Keeper],
) -> Users:
    """Return which records point at a row of ``table``; ``own``: tables of its own parts, by whose.

    A part of another record of the same kind may point at it too. Another shop's records are not
    named, only counted in.
    """
    named: list[dict[str, str]] = []
    are_more = False
    for constraint in _pointing_at(table, own):
        keeper = keepers[constraint.table]
        owner = "shop_id" if "shop_id" in keeper.table.c else "author_shop_id"
        source = constraint.table
        user_id = source.c[keeper.column]
        shop_id = keeper.table.c[owner]
        is_others = (shop_id != principal.shop_id).label("is_others")
        statement = (
            select(user_id, is_others)
            .where(*(element.parent == row[element.column.name] for element in constraint.elements))
            .distinct()
            .order_by(is_others, user_id)
            .limit(MOST_NAMED + 1)
        )
        if source in own:
            statement = statement.where(source.c[own[source]] != row["id"])
        if source is not keeper.table:
            statement = statement.join_from(
                source, keeper.table, keeper.table.c.id == source.c[keeper.column]
            )
        for found_id, belongs_to_others in session.execute(statement):
            is_secret = owner == "shop_id" and belongs_to_others
            user = {"kind": keeper.word, "id": found_id}
            if is_secret or len(named) >= MOST_NAMED:
                are_more = True
            elif user not in named:
                named.append(user)
    return Users(named, are_more)


def _pointing_at(table: Table, own: Mapping[Table, str]) -> Iterator[ForeignKeyConstraint]:
    for source in metadata.sorted_tables:
        for constraint in source.constraints:
            if not isinstance(constraint, ForeignKeyConstraint):
                continue
            is_whose = own.get(source) in constraint.column_keys
            if constraint.referred_table is table and not is_whose:
                yield constraint
