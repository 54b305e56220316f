"""Servers that start in a fraction of a second, to be killed in numbers: ``warm.py`` forks them."""

import contextlib
import json
import os
import random
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx

START_SECONDS = 30.0


class Nursery:
    """Asks the child process for servers."""

    def __init__(self, child: "subprocess.Popen[str]") -> None:
        self._child = child
        self._turn = threading.Lock()

    def start(self, url: str, port: int, log: Path, breakage: str | None = None) -> int:
        """Fork a server; its process id. ``breakage`` names a function of ``broken.py``."""
        return int(
            self._ask(do="start", url=url, port=port, log=str(log), breakage=breakage)["pid"]
        )

    def kill(self, pid: int) -> None:
        """End a server by SIGKILL; it is gone when this returns."""
        self._ask(do="end", pid=pid, signal=signal.SIGKILL.value)

    def stop(self, pid: int) -> int:
        """Ask a server to end; its exit status."""
        return int(self._ask(do="end", pid=pid, signal=signal.SIGTERM.value)["status"])

    def _ask(self, **words: Any) -> dict[str, Any]:
        with self._turn:
            assert self._child.stdin and self._child.stdout
            self._child.stdin.write(json.dumps(words) + "\n")
            self._child.stdin.flush()
            answer: dict[str, Any] = json.loads(self._child.stdout.readline())
        return answer


@contextlib.contextmanager
def running_nursery() -> Iterator[Nursery]:
    """Start the child process and end it, with every server that it started."""
    threads = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    with subprocess.Popen(
        [sys.executable, "-m", "tests.fire.warm"],
        cwd=Path(__file__).parents[2],
        env={**os.environ, **threads},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        start_new_session=True,
    ) as child:
        yield Nursery(child)
        assert child.stdin
        child.stdin.close()


class Slot:
    """A place where one server stands at a time: killed and started again, each at a new port."""

    def __init__(
        self, nursery: Nursery, url: str, key: str, log: Path, breakage: str | None = None
    ) -> None:
        self._nursery = nursery
        self._about = (url, log, breakage)
        self._key = key
        self._pid: int | None = None
        self.is_up = threading.Event()
        self.base_url = ""
        self.requests = 0
        """Sent to the server that stands here now."""

    def start(self) -> None:
        """Start a server and wait until it lets in the key of its own database."""
        url, log, breakage = self._about
        port = quiet_port()
        self._pid = self._nursery.start(url, port, log, breakage)
        base_url = f"http://127.0.0.1:{port}/v1"
        wait_until_ours(base_url, self._key, log)
        self.base_url, self.requests = base_url, 0
        self.is_up.set()

    def kill(self) -> None:
        """SIGKILL: no handler runs, no buffer is written out, connections are reset."""
        self.is_up.clear()
        assert self._pid is not None
        self._nursery.kill(self._pid)
        self._pid = None

    def stop(self) -> None:
        """End the server as an operator does."""
        self.is_up.clear()
        if self._pid is not None:
            pid, self._pid = self._pid, None
            status = self._nursery.stop(pid)
            assert status == 0, f"the server ended with {status}"


def quiet_port() -> int:
    """A free port outside the range from which the system gives ports to callers.

    A caller that knocks at a dead server's port inside that range can be connected to itself.
    """
    while True:
        port = random.randint(20_000, 32_000)
        with socket.socket() as probe, contextlib.suppress(OSError):
            probe.bind(("127.0.0.1", port))
            return port


def wait_until_ours(base_url: str, key: str, log: Path) -> None:
    """Wait until the server answers and knows the key, which is in its own database alone."""
    deadline = time.monotonic() + START_SECONDS
    headers = {"Authorization": f"Bearer {key}"}
    with httpx.Client(headers=headers, timeout=5, verify=False) as client:
        while time.monotonic() < deadline:
            with contextlib.suppress(httpx.TransportError):
                status = client.get(f"{base_url}/suppliers", params={"limit": "1"}).status_code
                assert status == 200, f"{base_url} answers {status}\n{tail(log)}"
                return
            time.sleep(0.01)
    raise AssertionError(f"no server after {START_SECONDS:.0f} s\n{tail(log)}")


def tail(log: Path) -> str:
    return log.read_text(encoding="utf-8", errors="replace")[-3000:]
