"""The server: one process, one event loop, handlers in threads; ends cleanly when told to."""

import asyncio
import logging
import os
import signal
import socket
import sys
from typing import Any, Final

import structlog
from granian.constants import HTTPModes, Interfaces
from granian.http import HTTP1Settings
from granian.server.embed import Server
from litestar.concurrency import set_asyncio_executor

from api.app import create_app
from api.lanes import Lanes
from api.settings import Settings

_BUFFER_BYTES: Final = 128 * 1024
"""Of a connection, each way; also the longest head of a request."""
_BACKLOG: Final = 1024
_GRACE_S: Final = 3.0
"""After the word to stop: for this long calculations may still come to their end."""


def set_up_log() -> None:
    """Write one line per event to standard error, with the request's id."""
    renderer: Any = (
        structlog.dev.ConsoleRenderer(exception_formatter=structlog.dev.plain_traceback)
        if sys.stderr.isatty()
        else structlog.processors.JSONRenderer()
    )
    structlog.configure(
        processors=[
            structlog.contextvars.merge_contextvars,
            structlog.processors.add_log_level,
            structlog.processors.TimeStamper(fmt="iso", utc=True),
            structlog.processors.format_exc_info,
            renderer,
        ],
        wrapper_class=structlog.make_filtering_bound_logger(logging.INFO),
        logger_factory=structlog.PrintLoggerFactory(sys.stderr),
        cache_logger_on_first_use=True,
    )


class CuttingServer(Server):
    """The server, its connections cut by the system when the other end takes nothing more."""

    def __init__(self, *arguments: Any, stalled_s: float, **more: Any) -> None:
        """Take what the server takes, and how long a client may leave what was sent to it."""
        super().__init__(*arguments, **more)
        self._stalled_s = stalled_s

    def _init_shared_socket(self) -> None:
        """Open the listening socket; what is set on it holds for each connection it accepts."""
        super()._init_shared_socket()  # type: ignore[no-untyped-call]
        opened: Any = self._ssp
        if opened is None or sys.platform != "linux":
            return
        # Kept open from here on and handed over, instead of being opened anew.
        holder = opened.build()
        self._shd, self._ssp = holder, None
        with socket.socket(fileno=os.dup(holder.get_fd())) as listening:
            listening.setsockopt(
                socket.IPPROTO_TCP, socket.TCP_USER_TIMEOUT, round(self._stalled_s * 1000)
            )


def run_server(host: str, port: int) -> None:
    """Serve until SIGTERM or SIGINT; running requests finish first, long calculations give up.

    Ends the process with one plain line for a limit that is none.
    """
    try:
        settings = Settings.from_environment()
    except ValueError as error:
        raise SystemExit(str(error)) from None
    set_up_log()
    # Handlers wait for the database in threads; the default would be six on two cores.
    lanes = Lanes(settings.limits)
    set_asyncio_executor(lanes)
    asyncio.run(_serve(settings, lanes, host, port))


async def _serve(settings: Settings, lanes: Lanes, host: str, port: int) -> None:
    limits = settings.limits
    server = CuttingServer(
        create_app(settings),
        address=host,
        port=port,
        interface=Interfaces.ASGI,
        http=HTTPModes.http1,
        websockets=False,
        backlog=_BACKLOG,
        backpressure=limits.connections,
        http1_settings=HTTP1Settings(
            header_read_timeout=round(limits.headers_s * 1000), max_buffer_size=_BUFFER_BYTES
        ),
        log_enabled=False,
        stalled_s=limits.answer_gap_s,
    )
    loop = asyncio.get_running_loop()

    def stop() -> None:
        loop.call_later(_GRACE_S, lanes.end_calculations)
        server.stop()  # type: ignore[no-untyped-call]

    for number in (signal.SIGTERM, signal.SIGINT):
        loop.add_signal_handler(number, stop)
    await server.serve()
