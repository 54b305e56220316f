"""Create, read and page records of one kind, given how the kind is kept."""

from typing import Any, TypeVar, cast

from sqlalchemy import Select, insert, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from db.queries.access import Principal, note_change, now
from db.queries.broken import explained
from db.queries.mapping import Mapped, Stored, child_rows, load, row_of, words_of
from shared.errors import Conflict, InvalidInput, NotFound

T = TypeVar("T")


def create(session: Session, principal: Principal, mapped: Mapped[T], record: T) -> Stored[T]:
    """Keep a new record and write its audit row.

    Raises InvalidInput for a reference that is unknown or does not fit and for a broken truth,
    Conflict ("duplicate", with existing_id) where there is such a record already.
    """
    if mapped.check is not None:
        mapped.check(session, principal, record)
    row = row_of(mapped, record) | _head(session, principal, mapped, record)
    _insert(session, principal, mapped, record, row)
    if mapped.after is not None:
        mapped.after(session, principal, record)
    note_change(session, principal, mapped.word, row["id"], "create")
    return Stored(record, row["version"], row["created_at"], row["updated_at"], principal.shop_id)


def _head(session: Session, principal: Principal, mapped: Mapped[T], record: T) -> dict[str, Any]:
    moment = now()
    return {
        mapped.owner: principal.shop_id,
        "version": 1 if mapped.version is None else mapped.version(session, principal, record),
        "created_at": moment,
        "updated_at": moment,
    }


def _insert(
    session: Session, principal: Principal, mapped: Mapped[T], record: T, row: dict[str, Any]
) -> None:
    """Insert a record with its children behind a savepoint, so that a refusal can be explained."""
    try:
        with explained(), session.begin_nested():
            session.execute(insert(mapped.table).values(row))
            for children in mapped.children:
                rows = child_rows(children, row["id"], record, row)
                if rows:
                    session.execute(insert(children.table), rows)
    except IntegrityError as error:
        raise _duplicate(session, mapped, row) or error from error


def _duplicate(session: Session, mapped: Mapped[T], row: dict[str, Any]) -> Conflict | None:
    for columns in mapped.unique:
        if any(row[column] is None for column in columns):
            continue
        statement = select(mapped.table.c.id).where(
            *(mapped.table.c[column] == row[column] for column in columns)
        )
        existing_id = session.execute(statement).scalar()
        if existing_id is not None:
            return Conflict(
                "duplicate",
                f"An equal {mapped.word.replace('-', ' ')} is recorded already: {existing_id}.",
                "Use the one that exists.",
                existing_id=existing_id,
            )
    return None


def read(session: Session, principal: Principal, mapped: Mapped[T], record_id: str) -> Stored[T]:
    """Return one record; raises NotFound where there is none or it is another shop's own."""
    found = load(session, mapped, visible(mapped, principal).where(mapped.table.c.id == record_id))
    if not found:
        raise NotFound(mapped.word, record_id)
    return found[0]


def page(
    session: Session,
    principal: Principal,
    mapped: Mapped[T],
    filters: dict[str, str],
    limit: int,
    after_id: str | None = None,
) -> list[Stored[T]]:
    """Return up to ``limit`` records by rising id, those after ``after_id``.

    ``filters`` are equalities on the fields of ``mapped.filters``; raises InvalidInput for another
    field and for a word that the field does not know.
    """
    table = mapped.table
    statement = visible(mapped, principal).order_by(table.c.id).limit(limit)
    for name, value in filters.items():
        _check_filter(mapped, name, value)
        statement = statement.where(table.c[name] == value)
    if after_id is not None:
        statement = statement.where(table.c.id > after_id)
    return load(session, mapped, statement)


def visible(mapped: Mapped[T], principal: Principal) -> Select[Any]:
    """Return the select of the kind's rows that this shop may see."""
    statement = cast("Select[Any]", select(mapped.table))
    if mapped.is_private:
        return statement.where(mapped.table.c.shop_id == principal.shop_id)
    return statement


def _check_filter(mapped: Mapped[T], name: str, value: str) -> None:
    if name not in mapped.filters:
        listed = ", ".join(mapped.filters) or "nothing"
        raise InvalidInput(
            f"/{name}",
            f"A list of this kind cannot be narrowed by {name}.",
            f"Narrow it by {listed}.",
            "filter-unknown",
        )
    words = words_of(mapped.kind, name)
    if words is not None and value not in words:
        raise InvalidInput(
            f"/{name}",
            f"{name} is none of {', '.join(words)}.",
            f"Give one of {', '.join(words)}.",
            "word-unknown",
        )
