"""Records put into a migrated database past the service, in the rows that the service makes.

A million records one by one take hours; in bulk, indexes kept, minutes. What is left out is told:
no audit rows, no checks of references (the generator's are right).
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any, Final

from sqlalchemy import Engine, Table, text
from sqlalchemy.engine import Dialect

from db.engine import make_engine
from db.queries.mapping import Mapped, child_rows, row_of

AT_ONCE: Final = 20_000
FIRST_MOMENT: Final = datetime(2026, 1, 1, tzinfo=UTC)

Row = dict[str, Any]
Process = Callable[[Any], Any] | None


@dataclass(frozen=True)
class _Form:
    """The columns of a table in the order in which they are written, and how each is."""

    place: dict[str, int]
    process: tuple[Process, ...]

    def written(self, row: Row) -> list[Any]:
        return [
            row[name] if process is None else process(row[name])
            for name, process in zip(self.place, self.process, strict=True)
        ]


@dataclass(frozen=True)
class _Shape:
    """A record that others are like: its own values, and the rows of its children."""

    record: object
    values: list[Any]
    children: list[tuple[Table, str, Row]]


class Loader:
    """Takes records, gives their rows to the database in large batches."""

    def __init__(self, engine: Engine, connection: Any) -> None:
        self._dialect: Dialect = engine.dialect
        self._connection = connection
        self._waiting: dict[Table, list[list[Any]]] = {}
        self._forms: dict[Table, _Form] = {}
        self._shapes: dict[int, _Shape] = {}
        self.records = 0

    def add(self, mapped: Mapped[Any], record: Any, shop_id: str) -> None:
        """Take one record, children and all."""
        row = row_of(mapped, record)
        self._put(mapped.table, row | self._head(mapped, shop_id))
        for children in mapped.children:
            for child in child_rows(children, record.id, record, row):
                self._put(children.table, child)

    def add_like(self, mapped: Mapped[Any], shape: Any, shop_id: str, **columns: str) -> None:
        """Take a record that is ``shape`` but for some columns, its id among them: much faster.

        ``shape`` has to stay the same object; its children are repeated as they are.
        """
        kept = self._shapes.get(id(shape)) or self._shape(mapped, shape, shop_id)
        form, values = self._forms[mapped.table], kept.values.copy()
        self.records += 1
        columns[mapped.owner] = shop_id
        for name, value in columns.items():
            values[form.place[name]] = value
        self._wait(mapped.table, values)
        for table, owner, child in kept.children:
            self._put(table, child | {owner: columns["id"]})

    def _shape(self, mapped: Mapped[Any], shape: Any, shop_id: str) -> _Shape:
        row = row_of(mapped, shape)
        form = self._form(mapped.table, whole := row | self._head(mapped, shop_id))
        children = [
            (one.table, one.owner, child)
            for one in mapped.children
            for child in child_rows(one, shape.id, shape, row)
        ]
        kept = self._shapes[id(shape)] = _Shape(shape, form.written(whole), children)
        self.records -= 1  # the shape itself is no record
        return kept

    def _head(self, mapped: Mapped[Any], shop_id: str) -> Row:
        self.records += 1
        moment = FIRST_MOMENT + timedelta(seconds=self.records)
        return {mapped.owner: shop_id, "version": 1, "created_at": moment, "updated_at": moment}

    def _put(self, table: Table, row: Row) -> None:
        self._wait(table, self._form(table, row).written(row))

    def _form(self, table: Table, row: Row) -> _Form:
        found = self._forms.get(table)
        if found is None:
            process = tuple(self._process(table, name) for name in row)
            found = self._forms[table] = _Form({name: n for n, name in enumerate(row)}, process)
        return found

    def _process(self, table: Table, name: str) -> Process:
        return table.c[name].type.dialect_impl(self._dialect).bind_processor(self._dialect)

    def _wait(self, table: Table, values: list[Any]) -> None:
        waiting = self._waiting.setdefault(table, [])
        waiting.append(values)
        if len(waiting) >= AT_ONCE:
            self._flush(table)

    def flush(self) -> None:
        """Write what is still waiting."""
        for table in list(self._waiting):
            self._flush(table)

    def _flush(self, table: Table) -> None:
        rows = self._waiting.pop(table, [])
        if not rows:
            return
        names = list(self._forms[table].place)
        listed = ", ".join(f'"{name}"' for name in names)
        if self._dialect.name == "sqlite":
            marks = ", ".join("?" for _ in names)
            self._connection.executemany(
                f'INSERT INTO "{table.name}" ({listed}) VALUES ({marks})', rows
            )
        else:
            self._copy(f'COPY "{table.name}" ({listed}) FROM STDIN', rows)

    def _copy(self, statement: str, rows: Sequence[Sequence[Any]]) -> None:
        with self._connection.cursor() as cursor, cursor.copy(statement) as copy:
            for row in rows:
                copy.write_row(row)


@contextmanager
def loading(url: str) -> Iterator[Loader]:
    """Give a loader on a migrated database; what it took is committed at the end of the block."""
    engine = make_engine(url, foreign_keys=False)
    held = engine.raw_connection()
    connection = held.driver_connection
    assert connection is not None
    try:
        for statement in _before(engine.dialect.name):
            connection.execute(statement)
        loader = Loader(engine, connection)
        yield loader
        loader.flush()
        connection.commit()
    finally:
        held.close()
        engine.dispose()
    _look_after(url)


def _before(dialect: str) -> Iterable[str]:
    """What a load may do and a service may not: nothing here has to survive a power loss."""
    if dialect == "sqlite":
        return ("PRAGMA journal_mode = OFF", "PRAGMA cache_size = -500000", "BEGIN")
    return ("SET session_replication_role = replica",)


def _look_after(url: str) -> None:
    """Let PostgreSQL count what is in its tables, as its own service does within minutes.

    SQLite has no such service, and the product does not ask it to count either.
    """
    engine = make_engine(url)
    if engine.dialect.name == "postgresql":
        with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.execute(text("VACUUM ANALYZE"))
    engine.dispose()
