"""Insert a row unless there is one already, whoever else inserts it at the same moment."""

from typing import Any

from sqlalchemy import Table
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session


def insert_new(session: Session, table: Table, **values: Any) -> bool:
    """Insert a row; return False, and insert nothing, where a unique key of it is taken.

    Another transaction that has inserted such a row and not ended yet is waited for.
    """
    is_sqlite = session.connection().dialect.name == "sqlite"
    statement = (sqlite.insert if is_sqlite else postgresql.insert)(table).values(values)
    result = session.execute(
        statement.on_conflict_do_nothing(), execution_options={"preserve_rowcount": True}
    )
    return bool(result.rowcount == 1)  # type: ignore[attr-defined]
