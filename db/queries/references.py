"""Checks of what a record points at. What is another shop's is told as unknown."""

from collections.abc import Iterable, Mapping
from typing import Any, Final

from sqlalchemy import Table, select
from sqlalchemy.orm import Session

from db.models.assemblies import access_groups, assemblies, positions
from db.queries.access import Principal
from shared.errors import InvalidInput

Row = Mapping[Any, Any]

DEEPEST: Final = 20
"""Levels that a tree of positions or of access groups may have."""


def known(
    session: Session,
    principal: Principal,
    table: Table,
    record_id: str,
    pointer: str,
    word: str,
    *,
    lock: bool = False,
    steady: bool = False,
) -> Row:
    """Return the row pointed at; raises InvalidInput ("reference-unknown") when there is none.

    ``lock`` makes others who would add to the same record wait for this transaction, so that what
    is counted stays true; ``steady`` only those who would change it, so that what was read of it
    holds until the commit while others read the same. On SQLite every writer waits anyway.
    """
    statement = select(table).where(table.c.id == record_id)
    if lock:
        statement = statement.with_for_update(key_share=True)
    elif steady:
        statement = statement.with_for_update(read=True)
    if "shop_id" in table.c:
        statement = statement.where(table.c.shop_id == principal.shop_id)
    row = session.execute(statement).mappings().first()
    if row is None:
        raise InvalidInput(
            pointer,
            f"No {word} has the id '{record_id}'.",
            f"Give the id of an existing {word}.",
            "reference-unknown",
        )
    return row


def own_assembly(session: Session, principal: Principal, assembly_id: str, pointer: str) -> None:
    """Check that an assembly is known and this shop's to change.

    All shops read the catalogue; only the author's shop adds to a record of it, so that no shop
    changes another's decisions. Raises InvalidInput.
    """
    row = known(session, principal, assemblies, assembly_id, pointer, "assembly", lock=True)
    if row["author_shop_id"] != principal.shop_id:
        raise _not_the_author(pointer, f"The assembly '{assembly_id}'")


def own_position(session: Session, principal: Principal, position_id: str, pointer: str) -> Row:
    """Return a position that is this shop's to change; raises InvalidInput."""
    row = known(session, principal, positions, position_id, pointer, "position", lock=True)
    if row["author_shop_id"] != principal.shop_id:
        raise _not_the_author(pointer, f"The position '{position_id}'")
    return row


def _not_the_author(pointer: str, what: str) -> InvalidInput:
    return InvalidInput(
        pointer,
        f"{what} was recorded by another shop, which alone changes it.",
        "Record the assembly as your own shop knows it, and use that.",
        "not-the-author",
    )


def position_of(
    session: Session,
    principal: Principal,
    position_id: str,
    assembly_id: str,
    pointer: str,
    *,
    steady: bool = False,
) -> Row:
    """Return a position that must lie in this assembly, ``steady`` as in ``known``.

    Raises InvalidInput.
    """
    row = known(session, principal, positions, position_id, pointer, "position", steady=steady)
    return _in_assembly(row, "position", position_id, assembly_id, pointer)


def group_of(
    session: Session, principal: Principal, group_id: str, assembly_id: str, pointer: str
) -> Row:
    """Return an access group that must lie in this assembly; raises InvalidInput."""
    row = known(session, principal, access_groups, group_id, pointer, "access group")
    return _in_assembly(row, "access group", group_id, assembly_id, pointer)


def _in_assembly(row: Row, word: str, record_id: str, assembly_id: str, pointer: str) -> Row:
    if row["assembly_id"] != assembly_id:
        raise InvalidInput(
            pointer,
            f"The {word} '{record_id}' belongs to another assembly.",
            f"Give a {word} of the assembly '{assembly_id}'.".replace("a access", "an access"),
            "other-assembly",
        )
    return row


def check_branch(
    outer_of: Mapping[str, str | None], record_id: str, outer_id: str | None, pointer: str
) -> None:
    """Check the way from a record outwards: no circle, at most ``DEEPEST`` levels.

    What the record holds itself, if it is not new, counts in. ``outer_of`` gives for
    each known record the one that holds it. Raises InvalidInput.
    """
    passed = [record_id]
    levels = _levels_below(outer_of, record_id)
    while outer_id is not None:
        if outer_id in passed:
            raise InvalidInput(
                pointer,
                f"'{record_id}' would lie inside itself.",
                "Name a record further out, or none.",
                "cycle",
            )
        passed.append(outer_id)
        if len(passed) + levels > DEEPEST:
            raise InvalidInput(
                pointer,
                f"It would lie more than {DEEPEST} levels deep.",
                f"Nest at most {DEEPEST} levels; record the inner part as an assembly.",
                "too-deep",
            )
        outer_id = outer_of.get(outer_id)


def _levels_below(outer_of: Mapping[str, str | None], record_id: str) -> int:
    """Return how many levels of records lie inside one."""
    levels, outer = 0, {record_id}
    while levels <= DEEPEST:
        outer = {inner for inner, holder in outer_of.items() if holder in outer}
        if not outer:
            return levels
        levels += 1
    return levels


def check_distinct(ids: Iterable[str], pointer: str, word: str) -> None:
    """Check that a list names nothing twice; raises InvalidInput at the second."""
    seen: set[str] = set()
    for place, record_id in enumerate(ids):
        if record_id in seen:
            raise InvalidInput(
                f"{pointer}/{place}",
                f"The {word} '{record_id}' is named twice.",
                "Name it once.",
                "duplicate-item",
            )
        seen.add(record_id)
