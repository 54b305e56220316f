"""The app, put together: routes, access, errors, headers; and what surrounds every request."""

import importlib
import time
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from functools import partial
from typing import Any, Final

import structlog
from litestar import Litestar, Response, Router
from litestar.datastructures import State
from litestar.handlers import HTTPRouteHandler
from litestar.types import Scope, Send

from api.answers import to_json
from api.body import CheckedRequest
from api.errors import ApiError, answer_problem, problem_response
from api.hygiene import check_request, check_rights_declared
from api.lanes import request_scope
from api.openapi import every_endpoint_of, openapi_document
from api.rate import Clock, RateLimiter, Standing, Visit
from api.request_id import request_id_of
from api.routes.health import PATH as HEALTH
from api.routes.health import Probe, service_version
from api.settings import BODY_LIMIT, Settings
from api.slow import (
    Answer,
    Body,
    Memory,
    ReaderTooSlow,
    Receive,
    answer_to_who_waits,
    answer_while_there,
)
from db.engine import Sessions, make_engine
from shared.standards.catalogue import load_all

TOPICS: Final = (
    "assemblies",
    "interchange",
    "part_numbers",
    "candidates",
    "donor_aids",
    "designations",
    "fasteners",
    "torque",
    "substitutes",
    "equivalents",
    "hardness",
    "hexagon_heads",
    "look_alikes",
    "comparisons",
    "identifications",
    "seals",
    "standards",
    "units",
    "recording",
    "shim_places",
    "sourcing_records",
    "jobs",
    "salvage",
    "donors",
    "decision",
    "economics",
    "audit",
    "quantities",
    "condition",
    "inspection_sheet",
    "wear",
    "shims",
    "fit_condition",
    "life",
    "sourcing",
)
"""Modules of ``api/routes`` that stand under /v1, in the order of the API's document."""

UNVERSIONED: Final = ("health", "documents")

_FOR_PAGES: Final = (
    (
        b"content-security-policy",
        b"default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:;"
        b" font-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none';"
        b" frame-ancestors 'none'",
    ),
    (b"referrer-policy", b"no-referrer"),
    (b"x-frame-options", b"DENY"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"permissions-policy", b"camera=(), geolocation=(), microphone=()"),
)
"""What every page of HTML carries: nothing from elsewhere, no script within it, in no frame."""

_log = structlog.get_logger("corewright.requests")


class Api(Litestar):
    """The app with what surrounds every request: its id, limits, headers, HEAD, the log line."""

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        """Answer one request; HEAD is answered as GET, the body kept back."""
        if scope["type"] != "http":
            await super().__call__(scope, receive, send)
            return
        limits = self.state.settings.limits
        answer = Answer(send, limits)
        answering = _Answering(scope, answer.send, self)
        structlog.contextvars.bind_contextvars(request_id=answering.request_id)
        request_scope.set(scope)
        body = Body(receive, limits, self.state.memory)
        try:
            await self._answer(scope, body.receive, answering)
        except ReaderTooSlow:
            _log.info("cut off: the answer was not taken in time", status=answering.status)
            raise
        finally:
            body.let_go()
            answer.let_go()
            answering.log()

    async def _answer(self, scope: Any, receive: Receive, answering: "_Answering") -> None:
        error = answering.refusal() or _broken(scope)
        if error is not None:
            await _send_problem(self, error, scope, receive, answering.send)
            return
        if scope["method"] == "HEAD":
            scope["method"] = "GET"
        answer_it = answer_while_there if scope["method"] == "GET" else answer_to_who_waits
        if not await answer_it(partial(self._hand_on, scope, answering.send), receive):
            answering.status = _CLIENT_GONE

    async def _hand_on(self, scope: Any, send: Any, receive: Any) -> None:
        await super().__call__(scope, receive, send)


_CLIENT_GONE: Final = 499
"""For the log alone: nobody was there to be answered."""


def _broken(scope: Any) -> ApiError | None:
    """Find what makes a request unanswerable before any handler is looked for."""
    path: str = scope["path"]
    hosts = [name for name, _ in scope["headers"]].count(b"host")
    if hosts > 1:
        return ApiError("bad-request", f"Wanted one Host header; got {hosts}.")
    if scope["method"] == "CONNECT" or not path.startswith("/"):
        return ApiError("bad-request", "The target of the request is no path of this server.")
    if len(path) > 1 and (path.endswith("/") or "//" in path):
        return ApiError("not-found", "There is nothing at this path.", "Take the last / away.")
    return None


class _Answering:
    """One answer on its way out."""

    def __init__(self, scope: Scope, send: Send, app: Litestar) -> None:
        self._app = app
        self._scope = scope
        self._send = send
        self._is_head = scope["method"] == "HEAD"  # type: ignore[typeddict-item]
        self._method: str = scope["method"]  # type: ignore[typeddict-item]
        self._began = time.perf_counter()
        self._limiter: RateLimiter = app.state.limiter
        self._visit: Visit = self._limiter.arrive(scope)
        self.status = 0
        self.request_id = request_id_of(scope)

    def refusal(self) -> ApiError | None:
        """Return the problem of a caller over its limit; whether all is well, anybody may ask."""
        standing = self._visit.standing
        if not standing.is_over or self._scope["path"] == HEALTH:
            return None
        return standing.problem()

    async def send(self, message: Any) -> None:
        """Add the headers that every answer carries; keep the body of a HEAD back."""
        if message["type"] == "http.response.start":
            self.status = message["status"]
            message = {**message, "headers": self._headers(message["headers"])}
        elif self._is_head and message["type"] == "http.response.body":
            message = {**message, "body": b""}
        await self._send(message)

    def _headers(self, headers: Any) -> list[tuple[bytes, bytes]]:
        given = list(headers)
        if self._method == "OPTIONS" and self.status == 204:
            # The framework knows one handler's methods only; a path has several handlers.
            allowed = self._app.state.allowed[self._scope["path_template"]]
            given = [(b"allow", allowed)]
        own = {name.lower(): value for name, value in given}
        given.append((b"x-request-id", self.request_id.encode()))
        given.append((b"x-content-type-options", b"nosniff"))
        if b"cache-control" not in own:
            given.append((b"cache-control", b"no-store"))
        if own.get(b"content-type", b"").startswith(b"text/html"):
            given += [header for header in _FOR_PAGES if header[0] not in own]
        return given + self._standing().headers()

    def _standing(self) -> Standing:
        let_in = self._scope.get("auth") is not None
        return self._limiter.settle(self._visit, let_in=let_in, status=self.status)

    def log(self) -> None:
        """Write the one line of this request."""
        _log.info(
            "request",
            method=self._method[:40],
            path=self._scope["path"][:200],
            status=self.status,
            ms=round((time.perf_counter() - self._began) * 1000, 1),
        )


async def _send_problem(
    app: Litestar, error: ApiError, scope: Any, receive: Any, send: Send
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
    for path, method, _ in every_endpoint_of(app):
        also = ("HEAD",) if method == "get" else ()
        methods.setdefault(path, {"OPTIONS"}).update((method.upper(), *also))
    return {path: ", ".join(sorted(allowed)).encode() for path, allowed in methods.items()}


def create_app(settings: Settings, clock: Clock = time.monotonic) -> Api:
    """Put the app together for one database; raises RuntimeError for a handler without a right.

    Raises BrokenTable too: better no service than one that answers from a broken table.
    ``clock`` gives the seconds in which the windows of the rate limit are counted.
    """
    load_all()
    limits = settings.limits
    sessions = Sessions(make_engine(settings.database_url, statement_s=limits.statement_s))
    probe = Probe(sessions)

    @asynccontextmanager
    async def close_all(_: Litestar) -> AsyncIterator[None]:
        yield
        probe.close()
        sessions.close()

    state = {
        "sessions": sessions,
        "settings": settings,
        "limiter": RateLimiter(limits, clock),
        "memory": Memory(limits),
        "probe": probe,
    }
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
        lifespan=[close_all],
        logging_config=None,
        state=State(state),
    )
    app.state.allowed = _allowed_methods(app)
    check_rights_declared([endpoint.handler for endpoint in every_endpoint_of(app)])
    app.state.openapi_json = to_json(openapi_document(app, service_version()))
    return app
