"""The server: one process, one event loop, handlers in threads; ends cleanly when told to."""

import asyncio
import logging
import signal
import sys
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import structlog
from granian.constants import Interfaces
from granian.http import HTTP1Settings
from granian.server.embed import Server
from litestar.concurrency import set_asyncio_executor

from api.app import create_app
from api.settings import THREADS, Settings

_HEADER_TIMEOUT_MS = 10_000


def set_up_log() -> None:
    """Write one line per event to standard error, with the request's id."""
    renderer: Any = (
        structlog.dev.ConsoleRenderer()
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


def run_server(host: str, port: int) -> None:
    """Serve until SIGTERM or SIGINT; running requests finish first."""
    set_up_log()
    # Handlers wait for the database in threads; the default would be six on two cores.
    set_asyncio_executor(ThreadPoolExecutor(THREADS, "handler"))
    asyncio.run(_serve(host, port))


async def _serve(host: str, port: int) -> None:
    server = Server(
        create_app(Settings.from_environment()),
        address=host,
        port=port,
        interface=Interfaces.ASGI,
        websockets=False,
        http1_settings=HTTP1Settings(header_read_timeout=_HEADER_TIMEOUT_MS),
        log_enabled=False,
    )
    loop = asyncio.get_running_loop()
    for number in (signal.SIGTERM, signal.SIGINT):
        loop.add_signal_handler(number, server.stop)
    await server.serve()
