"""Copy a whole database into an empty one: from SQLite to PostgreSQL, or back.

One transaction on either side: what is read is one state of the source, and the target has all of
it or nothing. Before the commit the target is read again and compared, row by row, with what was
read from the source.
"""

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from sqlalchemy import ForeignKeyConstraint, Table, func, insert, make_url, select, text
from sqlalchemy.orm import Session

from db.engine import Sessions, make_engine
from db.migrate import current, newest
from db.models import metadata

_AT_ONCE: Final = 1_000
_COUNTED: Final = "audit_entries", "sequence"
"""The one column whose numbers PostgreSQL deals out itself."""

Row = Mapping[str, Any]


class CopyRefused(Exception):
    """The databases are not as a copy needs them; the message says what to do."""


@dataclass(frozen=True, slots=True)
class Content:
    """What a table holds: its number of rows and a sum over them, whatever their order."""

    rows: int
    digest: str


def copy_database(source_url: str, target_url: str) -> dict[str, int]:
    """Copy every row of every table; return the number of rows by table.

    Raises CopyRefused when either is not at the newest schema, the target holds rows, or what was
    written does not read back equal.
    """
    if source_url == target_url:
        raise CopyRefused("Source and target are the same database.")
    for word, url in (("source", source_url), ("target", target_url)):
        _check_file(word, url)
        found = current(url)
        if found != newest():
            has = f"the schema {found}" if found else "no tables"
            raise CopyRefused(
                f"The {word} has {has}; needed is the schema {newest()}."
                f" Run corewright migrate with the {word} as DATABASE_URL."
            )
    source, target = Sessions(make_engine(source_url)), Sessions(make_engine(target_url))
    try:
        with source.reading() as old, target.writing() as new:
            return _copy(old, new)
    finally:
        source.close()
        target.close()


def _check_file(word: str, url: str) -> None:
    """Refuse a SQLite file that is not there: opening it would make an empty one."""
    address = make_url(url)
    if address.get_backend_name() == "sqlite" and not Path(address.database or "").is_file():
        raise CopyRefused(f"The {word} is no file: {address.database}. Mend its address.")


def _copy(old: Session, new: Session) -> dict[str, int]:
    for table in metadata.sorted_tables:
        if new.execute(select(table).limit(1)).first() is not None:
            raise CopyRefused(f"The target is not empty: there are rows in {table.name}.")
    counts = {}
    for table in metadata.sorted_tables:
        for rows in _in_order(old, table):
            new.execute(insert(table), rows)
        counts[table.name] = _check_equal(old, new, table)
    _count_on(new)
    return counts


def _check_equal(old: Session, new: Session, table: Table) -> int:
    read, written = content_of(old, table), content_of(new, table)
    if read != written:
        raise CopyRefused(
            f"Nothing was copied: {table.name} did not read back as it was"
            f" ({read.rows} rows, then {written.rows})."
        )
    return read.rows


def content_of(session: Session, table: Table) -> Content:
    """Return what a table holds, in a form that is equal on both databases for equal rows."""
    count, total = 0, 0
    for rows in _batches(session, table):
        for row in rows:
            count += 1
            total += int.from_bytes(hashlib.sha256(_canonical(row)).digest(), "big")
    return Content(count, f"{total % 2**256:064x}")


def _canonical(row: Row) -> bytes:
    return json.dumps(dict(row), sort_keys=True, default=_as_text).encode()


def _as_text(value: Any) -> str:
    return value.hex() if isinstance(value, bytes) else f"{type(value).__name__} {value}"


def _batches(session: Session, table: Table) -> Iterator[list[dict[str, Any]]]:
    result = session.execute(select(table), execution_options={"yield_per": _AT_ONCE})
    for rows in result.mappings().partitions():
        yield [dict(row) for row in rows]


# --- order: a row that names another of its own table comes after it -----------------------------


def _in_order(session: Session, table: Table) -> Iterator[list[dict[str, Any]]]:
    """Yield all rows in batches, each after those of the same table that it points at."""
    links = _own_links(table)
    if not links:
        yield from _batches(session, table)
        return
    for ids in _generations(session, table, links):
        for start in range(0, len(ids), _AT_ONCE):
            some = ids[start : start + _AT_ONCE]
            rows = session.execute(select(table).where(table.c.id.in_(some))).mappings()
            yield [dict(row) for row in rows]


def _own_links(table: Table) -> list[str]:
    """Return the columns by which a row names another row of its own table."""
    return sorted(
        {
            element.parent.name
            for constraint in table.constraints
            if isinstance(constraint, ForeignKeyConstraint) and constraint.referred_table is table
            for element in constraint.elements
            if element.column is table.c.id
        }
    )


def _generations(session: Session, table: Table, links: list[str]) -> Iterator[list[str]]:
    """Yield ids: those that point at none, then those that point at the ones given before."""
    columns = [table.c.id, *(table.c[name] for name in links)]
    waiting = {row[0]: {*row[1:]} - {None} for row in session.execute(select(*columns))}
    given: set[str] = set()
    while waiting:
        ready = [row_id for row_id, wanted in waiting.items() if wanted <= given]
        if not ready:
            raise CopyRefused(f"Rows of {table.name} point at each other in a circle.")
        yield ready
        given.update(ready)
        for row_id in ready:
            del waiting[row_id]


def _count_on(session: Session) -> None:
    """Let PostgreSQL go on counting where the copied numbers end; SQLite does so by itself."""
    if session.connection().dialect.name != "postgresql":
        return
    name, column = _COUNTED
    last = session.execute(select(func.max(metadata.tables[name].c[column]))).scalar()
    if last is not None:
        statement = text("SELECT setval(pg_get_serial_sequence(:name, :column), :last)")
        session.execute(statement, {"name": name, "column": column, "last": last})
