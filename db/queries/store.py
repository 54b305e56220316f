"""Create, read, page, change and retire records of one kind, given how the kind is kept."""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import fields, is_dataclass, replace
from typing import Any, Final, TypeVar, cast

from sqlalchemy import Select, Table, delete, insert, select, update
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from db.queries.access import Principal, note_change, note_creations, now
from db.queries.audit_detail import members_changed, record_as_text, row_as_text
from db.queries.broken import explained
from db.queries.listing import Place, placed
from db.queries.mapping import Mapped, Stored, Touched, child_rows, load, row_of
from db.queries.users import Keeper, used_by
from shared.errors import Conflict, InvalidInput, NotFound, NotTheAuthor, StaleVersion
from shared.quantities import Quantity

T = TypeVar("T")


# --- create ----------------------------------------------------------------------------------


def create(session: Session, principal: Principal, mapped: Mapped[T], record: T) -> Stored[T]:
    """Keep a new record and write its audit row.

    Raises InvalidInput for a reference that is unknown or does not fit and for a broken truth,
    Conflict ("duplicate", with existing_id) where there is such a record already.
    """
    stored, touched = _put(session, principal, mapped, record)
    note_change(session, principal, mapped.word, _id(stored), "create", touched=touched)
    return stored


def create_all(
    session: Session,
    principal: Principal,
    mapped: Mapped[T],
    records: Sequence[T],
    at: Callable[[int], str],
) -> None:
    """Keep new records in the order given; ``at`` is the pointer of each.

    Their audit rows are written when all are kept: whoever holds the next sequence asks for no
    other lock. Raises as ``create`` does; which record it was is told by pointer, of a Conflict in
    its detail.
    """
    made = []
    for place, record in enumerate(records):
        try:
            made.append(_put(session, principal, mapped, record))
        except InvalidInput as error:
            raise error.below(at(place)) from None
        except Conflict as error:
            told = f"{at(place)}: {error.detail}" if at(place) else error.detail
            raise Conflict(error.code, told, error.fix, **error.facts) from error
    if not any(touched for _, touched in made):
        note_creations(session, principal, mapped.word, [_id(stored) for stored, _ in made])
        return
    for stored, touched in made:
        note_change(session, principal, mapped.word, _id(stored), "create", touched=touched)


def _put(
    session: Session, principal: Principal, mapped: Mapped[T], record: T
) -> tuple[Stored[T], Iterable[Touched]]:
    """Keep a new record, and say what it touched."""
    if mapped.check is not None:
        mapped.check(session, principal, record)
    if mapped.check_new is not None:
        mapped.check_new(session, principal, record)
    row = row_of(mapped, record) | _head(session, principal, mapped, record)
    with _refusals_explained(session, mapped, row):
        session.execute(insert(mapped.table), row)
        _insert_children(session, mapped, record, row)
    touched: Iterable[Touched] = ()
    if mapped.after is not None:
        touched = mapped.after(session, principal, record)
    stored = Stored(record, row["version"], row["created_at"], row["updated_at"], principal.shop_id)
    return stored, touched


def _head(session: Session, principal: Principal, mapped: Mapped[T], record: T) -> dict[str, Any]:
    moment = now()
    return {
        mapped.owner: principal.shop_id,
        "version": 1 if mapped.version is None else mapped.version(session, principal, record),
        "created_at": moment,
        "updated_at": moment,
    }


def _insert_children(session: Session, mapped: Mapped[T], record: T, row: dict[str, Any]) -> None:
    for children in mapped.children:
        rows = child_rows(children, row["id"], record, row)
        if rows:
            session.execute(insert(children.table), rows)


@contextmanager
def _refusals_explained(
    session: Session, mapped: Mapped[T], row: Mapping[str, Any]
) -> Iterator[None]:
    """Write behind a savepoint, so that what the database refuses can be told in words."""
    try:
        with explained(), session.begin_nested():
            yield
    except IntegrityError as error:
        raise _duplicate(session, mapped, row) or error from error


def _duplicate(session: Session, mapped: Mapped[T], row: Mapping[str, Any]) -> Conflict | None:
    for columns in mapped.unique:
        if any(row[column] is None for column in columns):
            continue
        statement = select(mapped.table.c.id).where(
            mapped.table.c.id != row["id"],
            *(mapped.table.c[column] == row[column] for column in columns),
        )
        existing_id = session.execute(statement).scalar()
        if existing_id is not None:
            word, told = mapped.word.replace("-", " "), _told_by(mapped, columns)
            return Conflict(
                "duplicate",
                f"{_with_article(word)} with the same {told} is recorded already: {existing_id}.",
                "Use the one that exists, or give another " + told.replace(" and ", " or ") + ".",
                existing_id=existing_id,
            )
    return None


def _with_article(word: str) -> str:
    """Put a or an before a word that begins a sentence.

    >>> _with_article("exchange rate"), _with_article("supplier"), _with_article("unit")
    ('An exchange rate', 'A supplier', 'A unit')
    """
    return f"{'An' if word[0] in 'aeio' else 'A'} {word}"


_SAID: Final = {
    ("assembly", "identity_key"): "maker, model and range of serial numbers",
    ("part", "identity_key"): "maker and number",
    ("unit", "serial_key"): "serial number",
    ("finding", "supersedes_id"): "superseded finding",
    ("exchange-rate", "holds_from"): "first day",
}
"""How columns that make a record the same as another are said, where their names do not."""


def _told_by(mapped: Mapped[Any], columns: Iterable[str]) -> str:
    """Return the members that make a record equal to another, in words."""
    told = [
        _SAID.get((mapped.word, name), name.removesuffix("_key").removesuffix("_id"))
        for name in columns
        if name != mapped.owner
    ]
    return " and ".join(", ".join(told).rsplit(", ", 1)).replace("_", " ")


# --- read ------------------------------------------------------------------------------------


def read(session: Session, principal: Principal, mapped: Mapped[T], record_id: str) -> Stored[T]:
    """Return one record; raises NotFound where there is none or it is another shop's own."""
    found = find_all(session, principal, mapped, [record_id])
    if record_id not in found:
        raise NotFound(mapped.word, record_id)
    return found[record_id]


def find_all(
    session: Session, principal: Principal, mapped: Mapped[T], record_ids: Collection[str]
) -> dict[str, Stored[T]]:
    """Return by id those of the records that there are and that this shop may see."""
    statement = visible(mapped, principal).where(mapped.table.c.id.in_(record_ids))
    return {_id(stored): stored for stored in load(session, mapped, statement)}


def page(
    session: Session, principal: Principal, mapped: Mapped[T], place: Place
) -> list[Stored[T]]:
    """Return up to ``place.limit`` records, those that follow ``place.after``.

    Raises InvalidInput for a filter or an order that the kind does not have, and for a word that a
    field does not know.
    """
    statement, selections = visible(mapped, principal), mapped.selections or {}
    for name in selections.keys() & place.filters.keys():
        condition = selections[name](session, principal, place.filters[name])
        statement = statement.where(condition)
    filters = {name: text for name, text in place.filters.items() if name not in selections}
    return load(session, mapped, placed(statement, mapped, replace(place, filters=filters)))


def visible(mapped: Mapped[T], principal: Principal) -> Select[Any]:
    """Return the select of the kind's rows that this shop may see."""
    statement = cast("Select[Any]", select(mapped.table))
    if mapped.is_private:
        return statement.where(mapped.table.c.shop_id == principal.shop_id)
    return statement


def _id(stored: Stored[Any]) -> str:
    record_id: str = stored.record.id
    return record_id


# --- change ----------------------------------------------------------------------------------


def change(
    session: Session,
    principal: Principal,
    mapped: Mapped[T],
    record_id: str,
    expected: Collection[int],
    edit: Callable[[Stored[T]], T],
) -> Stored[T]:
    """Change a record whose version is one of those expected, and write the audit row.

    ``edit`` makes the new record from the one stored; where it is equal nothing is written and
    the version stays. Raises NotFound, NotTheAuthor for another shop's record of the catalogue,
    StaleVersion, InvalidInput and Conflict as ``create`` does.
    """
    stored = _own_locked(session, principal, mapped, record_id, expected)
    record = edit(stored)
    if record == stored.record and _as_entered(record) == _as_entered(stored.record):
        return stored
    _check_fixed(mapped, stored.record, record)
    if mapped.check_change is not None:
        mapped.check_change(session, principal, stored.record, record)
    if mapped.check is not None:
        mapped.check(session, principal, record)
    _write_again(session, mapped, record, stored, principal)
    touched: Iterable[Touched] = ()
    if mapped.after_change is not None:
        touched = mapped.after_change(session, principal, stored.record, record)
    detail = members_changed(stored.record, record)
    note_change(session, principal, mapped.word, record_id, "change", detail, touched)
    return read(session, principal, mapped, record_id)


def _as_entered(value: object) -> list[str]:
    """Return the quantities in a record as they were entered: 12 and 12.00 are read differently."""
    if isinstance(value, Quantity):
        return [str(value)]
    if is_dataclass(value) and not isinstance(value, type):
        return [text for one in fields(value) for text in _as_entered(getattr(value, one.name))]
    if isinstance(value, tuple):
        return [text for item in value for text in _as_entered(item)]
    return []


def _own_locked(
    session: Session,
    principal: Principal,
    mapped: Mapped[T],
    record_id: str,
    expected: Collection[int],
) -> Stored[T]:
    """Return a record that this shop may change, held until the end of the transaction."""
    statement = visible(mapped, principal).where(mapped.table.c.id == record_id)
    found = load(session, mapped, statement.with_for_update())
    if not found:
        raise NotFound(mapped.word, record_id)
    if found[0].author_shop_id != principal.shop_id:
        raise NotTheAuthor(mapped.word, record_id)
    if found[0].version not in expected:
        raise StaleVersion(mapped.word, record_id, found[0].version)
    return found[0]


def _check_fixed(mapped: Mapped[T], before: T, after: T) -> None:
    for name, mend in (mapped.fixed or {}).items():
        if getattr(before, name) != getattr(after, name):
            raise InvalidInput(
                f"/{name}", f"{name} stays as the record was made.", mend, "fixed-member"
            )


def _write_again(
    session: Session, mapped: Mapped[T], record: T, stored: Stored[T], principal: Principal
) -> None:
    row = row_of(mapped, record) | {
        mapped.owner: principal.shop_id,
        "version": stored.version + 1,
        "updated_at": now(),
    }
    with _refusals_explained(session, mapped, row):
        # Children first: some repeat columns of their record, and would keep it from changing.
        _delete_rows(session, ((one.table, one.owner) for one in mapped.children), row["id"])
        session.execute(update(mapped.table).where(mapped.table.c.id == row["id"]).values(row))
        _insert_children(session, mapped, record, row)


def _delete_rows(session: Session, tables: Iterable[tuple[Table, str]], record_id: str) -> None:
    for table, owner in tables:
        session.execute(delete(table).where(table.c[owner] == record_id))


# --- retire ----------------------------------------------------------------------------------


def retire(
    session: Session,
    principal: Principal,
    mapped: Mapped[T],
    record_id: str,
    expected: Collection[int],
    keepers: Mapping[Table, Keeper],
) -> None:
    """Take a record out that nothing uses; the audit row keeps what it said.

    Raises NotFound, NotTheAuthor, StaleVersion, Conflict ("in-use", with used_by).
    """
    stored = _own_locked(session, principal, mapped, record_id, expected)
    if mapped.check_retire is not None:
        mapped.check_retire(session, principal, stored.record)
    own = [(one.table, one.owner) for one in mapped.children] + list(mapped.owns)
    _check_unused(session, principal, mapped, record_id, dict(own), keepers)
    gone = [
        Touched(keepers[table].word, row["id"], row_as_text(row))
        for table, owner in mapped.owns
        for row in session.execute(select(table).where(table.c[owner] == record_id)).mappings()
    ]
    _delete_rows(session, own, record_id)
    session.execute(delete(mapped.table).where(mapped.table.c.id == record_id))
    touched: Iterable[Touched] = ()
    if mapped.after_retire is not None:
        touched = mapped.after_retire(session, principal, stored.record)
    detail = record_as_text(stored.record)
    note_change(session, principal, mapped.word, record_id, "retire", detail, touched, gone)


def _check_unused(
    session: Session,
    principal: Principal,
    mapped: Mapped[T],
    record_id: str,
    own: Mapping[Table, str],
    keepers: Mapping[Table, Keeper],
) -> None:
    statement = select(mapped.table).where(mapped.table.c.id == record_id)
    row: Mapping[str, Any] = dict(session.execute(statement).mappings().one())
    users = used_by(session, principal, row, mapped.table, own, keepers)
    if not users.named and not users.are_more:
        return
    named = ", ".join(user["id"] for user in users.named)
    others = "records that are not listed" if users.named else "records of other shops"
    word = mapped.word.replace("-", " ").capitalize()
    told = " and ".join(filter(None, (named, others if users.are_more else "")))
    raise Conflict(
        "in-use",
        f"{word} {record_id} is used by {told}.",
        "Retire or change first what uses it."
        if users.named
        else "Leave it: other shops rely on it.",
        used_by=users.named,
    )
