"""The command line: plain lines, exit codes, and a server that starts and ends cleanly."""

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import httpx
import pytest

from db.migrate import upgrade
from tests.postgres import Cluster

COMMAND = (sys.executable, "-c", "from api.cli import app; app()")


@pytest.fixture
def url(tmp_path: Path) -> str:
    return f"sqlite:///{tmp_path}/cli.db"


def run(url: str, *arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*COMMAND, *arguments],
        env={**os.environ, "DATABASE_URL": url},
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )


@contextmanager
def serving(url: str, port: int) -> Iterator[subprocess.Popen[str]]:
    with subprocess.Popen(
        [*COMMAND, "serve", "--port", str(port)],
        env={**os.environ, "DATABASE_URL": url},
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    ) as child:
        try:
            for _ in range(200):
                try:
                    httpx.get(f"http://127.0.0.1:{port}/health", timeout=2)
                    break
                except httpx.TransportError:
                    time.sleep(0.05)
            yield child
        finally:
            child.kill()


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def test_a_key_is_printed_alone_and_lets_in(url: str) -> None:
    assert run(url, "migrate").returncode == 0
    made = run(url, "make-key", "--shop", "Invented workshop")
    assert made.returncode == 0, made.stderr
    key = made.stdout.removesuffix("\n")
    assert key.startswith("cw_")
    assert len(key.split()) == 1
    port = free_port()
    with serving(url, port) as child:
        answer = httpx.get(
            f"http://127.0.0.1:{port}/v1/jobs", headers={"Authorization": f"Bearer {key}"}
        )
        assert answer.status_code == 200
        taken = run(url, "serve", "--port", str(port))
        assert taken.returncode == 1
        assert taken.stderr.count("\n") == 1
        assert f"127.0.0.1:{port}" in taken.stderr
        child.send_signal(signal.SIGTERM)
        assert child.wait(10) == 0
        assert child.stdout is not None
        assert f"http://127.0.0.1:{port}" in child.stdout.read()


def answer_to(port: int, request: bytes) -> bytes:
    """Send bytes, then nothing more; what comes back."""
    with socket.create_connection(("127.0.0.1", port), timeout=5) as connection:
        connection.sendall(request)
        connection.shutdown(socket.SHUT_WR)
        answer = b""
        while received := connection.recv(65536):
            answer += received
        return answer


def test_a_body_shorter_than_it_says_is_the_callers_fault(url: str) -> None:
    run(url, "migrate")
    key = run(url, "make-key", "--shop", "Invented workshop").stdout.strip()
    port = free_port()
    head = (
        "POST /v1/suppliers HTTP/1.1\r\nHost: x\r\nConnection: close\r\nIdempotency-Key: k\r\n"
        f"Content-Type: application/json\r\nAuthorization: Bearer {key}\r\n"
    ).encode()
    with serving(url, port):
        cut = answer_to(port, head + b"Content-Length: 500\r\n\r\n{}")
        assert cut.startswith(b"HTTP/1.1 400")
        assert b"/problems/malformed-body" in cut
        too_much = answer_to(port, head + b"Content-Length: 3000000\r\n\r\n{}")
        assert too_much.startswith(b"HTTP/1.1 413")


@pytest.mark.parametrize(
    "arguments", [("serve", "--port", "0"), ("make-key", "--shop", "x")], ids=lambda a: a[0]
)
def test_without_tables_the_way_to_make_them_is_told(url: str, arguments: Any) -> None:
    done = run(url, *arguments)
    assert done.returncode == 1
    assert done.stdout == ""
    assert done.stderr.strip() == "The database has no tables yet. Run: corewright migrate"


def test_a_database_of_an_older_version_is_told_with_the_way_out(url: str) -> None:
    upgrade(url, "2026_11_25_first_records")
    done = run(url, "serve", "--port", "0")
    assert done.returncode == 1
    assert done.stderr.count("\n") == 1
    assert "2026_11_25_first_records" in done.stderr
    assert done.stderr.strip().endswith("Run: corewright migrate")


@pytest.mark.parametrize("command", ["migrate", "serve"])
def test_a_database_that_is_away_is_told_in_one_line(command: str, tmp_path: Path) -> None:
    done = run(f"postgresql://shop:hidden@/corewright?host={tmp_path}", command)
    assert done.returncode == 1
    assert done.stdout == ""
    assert done.stderr.startswith("The database cannot be used: ")
    assert done.stderr.count("\n") == 1
    assert "hidden" not in done.stderr


def test_the_records_of_sqlite_move_to_postgresql(url: str, cluster: Cluster) -> None:
    """As the README tells it: migrate, copy, serve with the same key."""
    target = cluster.new_database().replace("postgresql+psycopg://", "postgresql://")
    run(url, "migrate")
    key = run(url, "make-key", "--shop", "Invented workshop").stdout.strip()
    assert run(target, "migrate").returncode == 0
    done = run("", "copy", "--from", url, "--to", target)
    assert done.returncode == 0, done.stderr
    assert "        1  shops" in done.stdout.splitlines()
    port = free_port()
    with serving(target, port):
        answer = httpx.get(
            f"http://127.0.0.1:{port}/v1/jobs", headers={"Authorization": f"Bearer {key}"}
        )
        assert answer.status_code == 200
    again = run("", "copy", "--from", url, "--to", target)
    assert again.returncode == 1
    assert "The target is not empty" in again.stderr


def test_a_role_that_is_none_is_told_in_one_line(url: str) -> None:
    run(url, "migrate")
    done = run(url, "make-key", "--shop", "x", "--role", "king")
    assert done.returncode == 1
    assert done.stderr.strip() == "There is no role king; give one of: admin, reader."


@pytest.mark.parametrize("address", ["garbage", "nonesuch://secret@host/x"])
@pytest.mark.parametrize("command", ["migrate", "serve"])
def test_an_address_that_is_none_is_told_in_one_line(command: str, address: str) -> None:
    ended = run(address, command)
    assert ended.returncode == 1
    assert ended.stderr.startswith("DATABASE_URL is not an address")
    assert "secret" not in ended.stderr
    assert len(ended.stderr.splitlines()) == 1


def test_a_server_that_does_not_answer_is_told_in_one_line(url: str) -> None:
    ended = run(url, "load-demo", "--url", "http://127.0.0.1:1", "--key", "cw_none")
    assert ended.returncode == 1
    assert ended.stderr.startswith("The server at http://127.0.0.1:1 does not answer")
    assert len(ended.stderr.splitlines()) == 1
