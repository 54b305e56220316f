"""Whether the service and its database are well; no key needed."""

import asyncio
from concurrent.futures import ThreadPoolExecutor
from importlib.metadata import PackageNotFoundError, version
from typing import Any, Final

from litestar import Request, Response, get
from pydantic import Field

from api.access import Right, needs
from api.answers import json_response
from api.errors import ApiError
from api.schemas.base import Answer
from db.engine import Sessions, has_wal_reset_fault
from db.queries.health import database_health

PATH: Final = "/health"
_WAIT_S: Final = 5
_MET: Final = (
    "One connection at a time writes and checkpoints, in all processes of this service on the"
    " machine. Migrate with the server stopped, and let no other program write to the file."
    " SQLite 3.51.3 and newer do not have the fault."
)


class DatabaseHealth(Answer):
    """Which database answers."""

    engine: str = Field(description="The engine.", examples=["sqlite"], max_length=40)
    version: str = Field(description="Its version.", examples=["3.45.1"], max_length=200)
    revision: str | None = Field(
        description="The newest migration applied; null before the first.",
        examples=["2031_01_07_first_tables"],
        max_length=200,
    )
    wal_reset_fault: bool | None = Field(
        description=(
            "Whether this SQLite (3.7.0 to 3.51.2) can, rarely, corrupt a file that two"
            " connections write or checkpoint at the same moment; null for other engines."
        ),
        examples=[True],
    )
    wal_reset_fault_met_by: str | None = Field(
        description="How the fault is met; null where there is none.",
        examples=[_MET],
        max_length=400,
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


class Probe:
    """Asks the database how it is, in a thread of its own: however many wait for the others.

    Who asks while it is being asked shares the answer, so that a flood costs one thread.
    """

    def __init__(self, sessions: Sessions) -> None:
        """Take what gives out the sessions."""
        self._sessions = sessions
        self._thread = ThreadPoolExecutor(1, "health")
        self._asking: asyncio.Future[dict[str, Any]] | None = None

    async def answer(self) -> dict[str, Any]:
        """Return what the database says; raises the problem database-away, or its own errors."""
        if self._asking is None or self._asking.done():
            loop = asyncio.get_running_loop()
            self._asking = loop.run_in_executor(self._thread, _database, self._sessions)
            self._asking.add_done_callback(_look_at)
        try:
            return await asyncio.wait_for(asyncio.shield(self._asking), _WAIT_S)
        except TimeoutError:
            raise ApiError("database-away", "The database does not answer.") from None

    def close(self) -> None:
        """End the thread."""
        self._thread.shutdown(cancel_futures=True)


def _look_at(asked: "asyncio.Future[Any]") -> None:
    """Take note of an error that nobody waited for, or it would be told as forgotten."""
    if not asked.cancelled():
        asked.exception()


def _database(sessions: Sessions) -> dict[str, Any]:
    with sessions.reading() as session:
        found = database_health(session)
    fault = None
    if found["engine"] == "sqlite":
        fault = has_wal_reset_fault(found["version"] or "")
    return {**found, "wal_reset_fault": fault, "wal_reset_fault_met_by": _MET if fault else None}


@get(
    PATH,
    operation_id="readHealth",
    summary="Whether the service and its database are well",
    tags=["service"],
    opt={**needs(Right.NOTHING), "answer": Health},
)
async def read_health(request: Request[Any, Any, Any]) -> Response[bytes]:
    """Answer ok, with versions; 503 when the database does not answer."""
    database = await request.app.state.probe.answer()
    return json_response({"status": "ok", "version": service_version(), "database": database})


ROUTES = (read_health,)
