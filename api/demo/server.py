"""The real server as a child process: on a free loopback port, known to be ours, always stopped."""

import contextlib
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import httpx

_CORE = (sys.executable, "-c", "from api.cli import app; app()")
START_SECONDS = 30.0
STOP_SECONDS = 8.0


class ServerFailed(Exception):
    """The server did not start, or another one answers on its port."""


def command_line(arguments: list[str], database_url: str) -> str:
    """Run ``corewright`` with these arguments on a database; return what it printed."""
    done = subprocess.run(
        [*_CORE, *arguments],
        env={**os.environ, "DATABASE_URL": database_url},
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode != 0:
        raise ServerFailed(f"corewright {arguments[0]} failed:\n{done.stderr.strip()[-2000:]}")
    return done.stdout.strip()


def free_port() -> int:
    """A loopback port that nobody listens on at this moment."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


@contextlib.contextmanager
def running_server(database_url: str, key: str, log_path: Path) -> Iterator[str]:
    """Start the server on a database, yield its base URL, stop it whatever happens.

    ``key`` was made a moment ago in that very database: a server that lets it in is our own child,
    and no stranger that took the port in between. Raises ServerFailed.
    """
    port = free_port()
    base_url = f"http://127.0.0.1:{port}"
    with log_path.open("w", encoding="utf-8") as log:
        child = subprocess.Popen(
            [*_CORE, "serve", "--port", str(port)],
            env={**os.environ, "DATABASE_URL": database_url},
            stdout=log,
            stderr=subprocess.STDOUT,
            stdin=subprocess.DEVNULL,
            start_new_session=True,
        )
    try:
        _wait_until_ours(child, base_url, key, log_path)
        yield base_url
    finally:
        stop(child)


def _wait_until_ours(
    child: "subprocess.Popen[bytes]", base_url: str, key: str, log_path: Path
) -> None:
    deadline = time.monotonic() + START_SECONDS
    while time.monotonic() < deadline:
        if child.poll() is not None:
            raise ServerFailed(f"The server ended at once; its log:\n{_tail(log_path)}")
        with contextlib.suppress(httpx.TransportError):
            if httpx.get(f"{base_url}/health", timeout=2).status_code == httpx.codes.OK:
                _check_ours(base_url, key)
                return
        time.sleep(0.1)
    raise ServerFailed(
        f"The server did not answer within {START_SECONDS:.0f} s; its log:\n{_tail(log_path)}"
    )


def _check_ours(base_url: str, key: str) -> None:
    answer = httpx.get(f"{base_url}/v1/jobs", headers={"Authorization": f"Bearer {key}"}, timeout=5)
    if answer.status_code != httpx.codes.OK:
        raise ServerFailed(f"Another server answers on {base_url}; run the demo again.")


def stop(child: "subprocess.Popen[bytes]") -> None:
    """Ask the server to end; end its own process group when it does not."""
    if child.poll() is not None:
        return
    child.terminate()
    try:
        child.wait(STOP_SECONDS)
    except subprocess.TimeoutExpired:
        # The child leads its own session: this reaches it and its workers, nobody else.
        os.killpg(child.pid, signal.SIGKILL)
        child.wait()


def _tail(path: Path) -> str:
    return path.read_text(encoding="utf-8", errors="replace")[-2000:]
