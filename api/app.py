"""The app, put together: routes, access, errors, headers; and what surrounds every request."""

import importlib
import time
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from typing import Any, Final

import structlog
from litestar import Litestar, Response, Router
from litestar.datastructures import State
from litestar.handlers import HTTPRouteHandler
from litestar.types import Receive, Scope, Send

from api.answers import to_json
from api.body import CheckedRequest
from api.errors import ApiError, answer_problem, problem_response
from api.hygiene import check_request, check_rights_declared
from api.openapi import endpoints_of, openapi_document
from api.request_id import request_id_of
from api.routes.health import service_version
from api.settings import BODY_LIMIT, Settings
from db.engine import Sessions, make_engine

TOPICS: Final = (
    "assemblies",
    "interchange",
    "units",
    "sourcing_records",
    "jobs",
    "decision",
    "quantities",
    "condition",
    "life",
    "sourcing",
)
"""Modules of ``api/routes`` that stand under /v1, in the order of the API's document."""

UNVERSIONED: Final = ("health", "documents")

_log = structlog.get_logger("corewright.requests")


class Api(Litestar):
    """The app with what surrounds every request: its id, its headers, HEAD, the log line."""

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        """Answer one request; HEAD is answered as GET, the body kept back."""
        if scope["type"] != "http":
            await super().__call__(scope, receive, send)
            return
        answering = _Answering(scope, send, self)
        structlog.contextvars.bind_contextvars(request_id=answering.request_id)
        if scope["method"] == "HEAD":
            scope["method"] = "GET"
        path: str = scope["path"]
        if len(path) > 1 and (path.endswith("/") or "//" in path):
            error = ApiError("not-found", "There is nothing at this path.", "Take the last / away.")
            await _send_problem(self, error, scope, receive, answering.send)
        else:
            await super().__call__(scope, receive, answering.send)
        answering.log()


class _Answering:
    """One answer on its way out."""

    def __init__(self, scope: Scope, send: Send, app: Litestar) -> None:
        self._app = app
        self._scope = scope
        self._send = send
        self._is_head = scope["method"] == "HEAD"  # type: ignore[typeddict-item]
        self._method: str = scope["method"]  # type: ignore[typeddict-item]
        self._began = time.perf_counter()
        self._status = 0
        self.request_id = request_id_of(scope)

    async def send(self, message: Any) -> None:
        """Add the headers that every answer carries; keep the body of a HEAD back."""
        if message["type"] == "http.response.start":
            self._status = message["status"]
            message = {**message, "headers": self._headers(message["headers"])}
        elif self._is_head and message["type"] == "http.response.body":
            message = {**message, "body": b""}
        await self._send(message)

    def _headers(self, headers: Any) -> list[tuple[bytes, bytes]]:
        given = list(headers)
        if self._method == "OPTIONS" and self._status == 204:
            # The framework knows one handler's methods only; a path has several handlers.
            allowed = self._app.state.allowed[self._scope["path_template"]]
            given = [(b"allow", allowed)]
        names = {name.lower() for name, _ in given}
        given.append((b"x-request-id", self.request_id.encode()))
        given.append((b"x-content-type-options", b"nosniff"))
        if b"cache-control" not in names:
            given.append((b"cache-control", b"no-store"))
        return given

    def log(self) -> None:
        """Write the one line of this request."""
        _log.info(
            "request",
            method=self._method,
            path=self._scope["path"][:200],
            status=self._status,
            ms=round((time.perf_counter() - self._began) * 1000, 1),
        )


async def _send_problem(
    app: Litestar, error: ApiError, scope: Any, receive: Receive, send: Send
) -> None:
    response: Response[bytes] = problem_response(error, request_id_of(scope))
    request = CheckedRequest(scope, receive, send)
    await response.to_asgi_response(app=None, request=request)(scope, receive, send)


def routes_of(names: tuple[str, ...]) -> Iterator[HTTPRouteHandler]:
    """Yield the handlers of these modules of ``api/routes``."""
    for name in names:
        module = importlib.import_module(f"api.routes.{name}")
        yield from getattr(module, "ROUTES", ())
        yield from getattr(module, "CALCULATION_ROUTES", ())


def _allowed_methods(app: Litestar) -> dict[str, bytes]:
    """Return for each path what its Allow header says."""
    methods: dict[str, set[str]] = {}
    for path, method, _ in endpoints_of(app):
        also = ("HEAD",) if method == "get" else ()
        methods.setdefault(path, {"OPTIONS"}).update((method.upper(), *also))
    return {path: ", ".join(sorted(allowed)).encode() for path, allowed in methods.items()}


def create_app(settings: Settings) -> Api:
    """Put the app together for one database; raises RuntimeError for a handler without a right."""
    sessions = Sessions(make_engine(settings.database_url))

    @asynccontextmanager
    async def close_database(_: Litestar) -> AsyncIterator[None]:
        yield
        sessions.close()

    app = Api(
        route_handlers=[
            Router("/v1", route_handlers=list(routes_of(TOPICS))),
            *routes_of(UNVERSIONED),
        ],
        guards=[check_request],
        exception_handlers={Exception: answer_problem},
        request_class=CheckedRequest,
        request_max_body_size=BODY_LIMIT,
        openapi_config=None,
        lifespan=[close_database],
        logging_config=None,
        state=State({"sessions": sessions, "settings": settings}),
    )
    app.state.allowed = _allowed_methods(app)
    check_rights_declared([endpoint.handler for endpoint in endpoints_of(app)])
    app.state.openapi_json = to_json(openapi_document(app, service_version()))
    return app
