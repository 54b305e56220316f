"""How the database is: which engine, which version, which migration."""

from sqlalchemy import inspect, text
from sqlalchemy.orm import Session

_VERSION = {"sqlite": "SELECT sqlite_version()", "postgresql": "SHOW server_version"}


def database_health(session: Session) -> dict[str, str | None]:
    """Return ``engine``, ``version`` and ``revision`` (None before the first migration)."""
    connection = session.connection()
    name = connection.dialect.name
    revision = None
    if inspect(connection).has_table("alembic_version"):
        revision = session.execute(text("SELECT version_num FROM alembic_version")).scalar()
    version = session.execute(text(_VERSION[name])).scalar_one()
    return {"engine": name, "version": str(version), "revision": revision}
