"""Whether the service and its database are well; no key needed."""

from importlib.metadata import PackageNotFoundError, version
from typing import Any

from litestar import Request, Response, get
from pydantic import Field

from api.access import Right, needs, sessions_of
from api.answers import json_response
from api.schemas.base import Answer
from db.queries.health import database_health


class DatabaseHealth(Answer):
    """Which database answers."""

    engine: str = Field(description="The engine.", examples=["sqlite"], max_length=40)
    version: str = Field(description="Its version.", examples=["3.45.1"], max_length=200)
    revision: str | None = Field(
        description="The newest migration applied; null before the first.",
        examples=["2031_01_07_first_tables"],
        max_length=200,
    )


class Health(Answer):
    """How the service is."""

    status: str = Field(description='"ok" when it can work.', examples=["ok"], max_length=20)
    version: str = Field(description="Version of the service.", examples=["0.1.0"], max_length=40)
    database: DatabaseHealth = Field(description="Its database.")


def service_version() -> str:
    """Return the version of the installed service."""
    try:
        return version("corewright")
    except PackageNotFoundError:
        return "unknown"


@get(
    "/health",
    operation_id="readHealth",
    summary="Whether the service and its database are well",
    tags=["service"],
    sync_to_thread=True,
    opt={**needs(Right.NOTHING), "answer": Health},
)
def read_health(request: Request[Any, Any, Any]) -> Response[bytes]:
    """Answer ok, with versions; 503 when the database does not answer."""
    with sessions_of(request).reading() as session:
        database = database_health(session)
    return json_response({"status": "ok", "version": service_version(), "database": database})


ROUTES = (read_health,)
