"""Run migrations on an engine of their own; alembic loads this file.

On SQLite with foreign keys off: a batch change drops and renames the table, and with them on the
rows that point at it would be deleted by cascade without an error. They are checked before COMMIT.
On PostgreSQL one at a time, so that several servers may be told to migrate at the same moment.
"""

from alembic import context
from sqlalchemy import Connection, pool

from db.engine import database_url, make_engine
from db.models import metadata

LOCK = 7_303_014  # any number, as long as it stays the same


def run() -> None:
    if context.is_offline_mode():
        raise SystemExit("Migrations run against a database, not into a script.")
    url = context.config.attributes.get("url") or database_url()
    engine = make_engine(url, foreign_keys=False, poolclass=pool.NullPool)
    with engine.connect() as connection:
        context.configure(
            connection=connection,
            target_metadata=metadata,
            render_as_batch=True,
            transactional_ddl=True,
        )
        with context.begin_transaction():
            wait_for_turn(connection)
            context.run_migrations()
            check_foreign_keys(connection)


def wait_for_turn(connection: Connection) -> None:
    if connection.dialect.name == "postgresql":
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({LOCK})")


def check_foreign_keys(connection: Connection) -> None:
    if connection.dialect.name != "sqlite":
        return
    broken = connection.exec_driver_sql("PRAGMA foreign_key_check").fetchall()
    if broken:
        raise RuntimeError(f"{len(broken)} rows point at nothing, the first: {broken[0]}")


run()
