"""The reference: one handler of the framework that does nothing, served as the service is."""

import sys
from concurrent.futures import ThreadPoolExecutor

from litestar import Litestar, get
from litestar.concurrency import set_asyncio_executor

THREADS = 12


@get("/", sync_to_thread=True)
def echo() -> dict[str, str]:
    """Answer at once, from a thread as the service's handlers do."""
    return {"id": "one", "name": "bare"}


def serve(port: int) -> None:
    import asyncio  # noqa: PLC0415 - only in the process that serves

    from granian.constants import Interfaces  # noqa: PLC0415
    from granian.server.embed import Server  # noqa: PLC0415

    async def run() -> None:
        app = Litestar([echo], openapi_config=None, logging_config=None)
        server = Server(
            app,
            address="127.0.0.1",
            port=port,
            interface=Interfaces.ASGI,
            websockets=False,
            log_enabled=False,
        )
        await server.serve()

    set_asyncio_executor(ThreadPoolExecutor(THREADS, "handler"))
    asyncio.run(run())


if __name__ == "__main__":
    serve(int(sys.argv[1]))
