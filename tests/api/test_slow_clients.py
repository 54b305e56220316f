"""A real server, spoken to by hand: broken, slow, stalled and vanished clients."""

import json
import socket
import sqlite3
import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from contextlib import closing, contextmanager
from pathlib import Path
from threading import Barrier
from typing import NamedTuple

import httpx
import pytest

from api.demo.records import seed_folder
from api.demo.server import running_server
from api.settings import BODY_LIMIT
from db.engine import Sessions, make_engine
from db.migrate import upgrade
from db.queries.access import make_shop_and_key
from tests.api import bodies
from tests.api.bodies import fresh

pytestmark = pytest.mark.engines("sqlite")

LIMITS = {
    "HEADERS_S": "1",
    "BODY_GAP_S": "0.4",
    "BODY_S": "1",
    "ANSWER_GAP_S": "1",
    "THREADS": "2",
    "WAITING": "20",
    "CALCULATIONS": "1",
    "CALCULATIONS_WAITING": "1",
    "REQUESTS_PER_PEER": "1000000",
}
HOST = b"Host: x\r\n"


class Running(NamedTuple):
    """The server: its address, the key of a shop, the file of its database, its log."""

    url: str
    key: str
    file: str
    log: Path

    @property
    def port(self) -> int:
        return int(self.url.rsplit(":", 1)[1])

    def connect(self) -> socket.socket:
        """A connection whose own buffers are small; no wait on it is longer than ten seconds."""
        connection = socket.socket()
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        connection.settimeout(10)
        connection.connect(("127.0.0.1", self.port))
        return connection

    def head(self, method: str, path: str, *more: str) -> bytes:
        lines = [f"{method} {path} HTTP/1.1", "Host: x", f"Authorization: Bearer {self.key}", *more]
        return "\r\n".join([*lines, "", ""]).encode()

    def post_head(self, *more: str) -> bytes:
        kind = "Content-Type: application/json"
        key = f"Idempotency-Key: {fresh('key').replace(' ', '-')}"
        return self.head("POST", "/v1/suppliers", kind, key, *more)

    def client(self) -> httpx.Client:
        headers = {"Authorization": f"Bearer {self.key}"}
        return httpx.Client(base_url=self.url, headers=headers, timeout=30)


@pytest.fixture(scope="module")
def server(
    new_url: Callable[[], str], tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Running]:
    url = new_url()
    upgrade(url)
    with closing(Sessions(make_engine(url))) as sessions, sessions.writing() as session:
        _, key = make_shop_and_key(session, "Workshop with a slow line")
    log = tmp_path_factory.mktemp("server") / "log"
    with pytest.MonkeyPatch.context() as patch:
        for name, value in LIMITS.items():
            patch.setenv(f"COREWRIGHT_LIMIT_{name}", value)
        with running_server(url, key, log) as base_url:
            yield Running(base_url, key, url.removeprefix("sqlite:///"), log)
    told = log.read_text(encoding="utf-8")
    assert "Traceback" not in told and "unforeseen" not in told


@pytest.fixture(autouse=True)
def well(server: Running) -> Iterator[None]:
    """Whatever a test does to the server, it is well afterwards."""
    yield
    assert httpx.get(f"{server.url}/health", timeout=5).status_code == 200


class Answer(NamedTuple):
    """What came back until the server closed the connection."""

    status: int
    headers: dict[str, str]
    body: bytes

    @property
    def problem(self) -> str:
        return str(json.loads(self.body)["type"])


def speak(server: Running, *pieces: bytes, finish: bool = False) -> Answer:
    """Send the pieces; what comes back until the connection is closed, within ten seconds."""
    with server.connect() as connection:
        for piece in pieces:
            connection.sendall(piece)
        if finish:
            connection.shutdown(socket.SHUT_WR)
        return read_answer(connection)


def read_answer(connection: socket.socket) -> Answer:
    received = b""
    while piece := connection.recv(65536):
        received += piece
    head, _, body = received.partition(b"\r\n\r\n")
    first, *lines = head.decode("latin-1").split("\r\n")
    headers = dict(line.lower().split(": ", 1) for line in lines)
    return Answer(int(first.split(" ")[1]) if first else 0, headers, body)


# --- slow and cut requests ------------------------------------------------------------------------


@pytest.mark.parametrize("begun", [b"", b"GET /hea", b"GET /health HTTP/1.1\r\nHost: x\r\nX-Slow:"])
def test_a_head_that_does_not_end_is_cut_off(server: Running, begun: bytes) -> None:
    assert speak(server, begun).status == 0


def test_an_idle_connection_is_closed(server: Running) -> None:
    answer = speak(server, server.head("GET", "/health"))
    assert answer.status == 200


def test_less_body_than_promised_is_a_timeout_and_the_end_of_the_connection(
    server: Running,
) -> None:
    answer = speak(server, server.post_head("Content-Length: 100"), b'{"name":')
    assert (answer.status, answer.problem) == (408, "/problems/request-timeout")
    assert answer.headers["connection"] == "close"
    assert "ratelimit" in answer.headers and "x-request-id" in answer.headers


def test_a_body_byte_by_byte_is_a_timeout(server: Running) -> None:
    with server.connect() as connection:
        connection.sendall(server.post_head("Content-Length: 1000"))
        connection.settimeout(0.1)
        ends_at = time.monotonic() + 10
        while time.monotonic() < ends_at:
            connection.sendall(b" ")
            try:
                begun = connection.recv(12)
            except TimeoutError:
                continue
            assert begun == b"HTTP/1.1 408"
            return
    raise AssertionError("never told")


@pytest.mark.parametrize(
    ("header", "sent"),
    [
        ("Content-Length: 100", b"{"),
        ("Transfer-Encoding: chunked", b"5\r\n{}"),
        ("Transfer-Encoding: chunked", b"2\r\n{}\r\n"),
        ("Transfer-Encoding: chunked", b"zz\r\n{}\r\n"),
        ("Transfer-Encoding: chunked", b"fffffffffffffffff\r\n{}\r\n"),
    ],
)
def test_a_body_cut_short_is_malformed_and_nothing_is_stored(
    server: Running, header: str, sent: bytes
) -> None:
    answer = speak(server, server.post_head(header), sent, finish=True)
    assert (answer.status, answer.problem) == (400, "/problems/malformed-body")


def test_more_body_than_promised_is_another_request_and_a_broken_one(server: Running) -> None:
    body = json.dumps(bodies.supplier()).encode()
    answer = speak(server, server.post_head(f"Content-Length: {len(body)}"), body + b"{}\r\n\r\n")
    assert answer.status == 201
    assert b"HTTP/1.1 400 Bad Request" in answer.body


def test_a_body_too_large_is_refused_by_its_length_and_by_what_comes(server: Running) -> None:
    told = speak(server, server.post_head(f"Content-Length: {BODY_LIMIT + 1}"))
    assert (told.status, told.problem) == (413, "/problems/body-too-large")
    with server.connect() as connection:
        connection.sendall(server.post_head("Transfer-Encoding: chunked"))
        chunk = b"10000\r\n" + b" " * 65536 + b"\r\n"
        try:
            for _ in range(BODY_LIMIT // 65536 + 8):
                connection.sendall(chunk)
        except ConnectionError:
            pass  # it was told, and hung up on
        assert connection.recv(12) == b"HTTP/1.1 413"


def test_a_chunked_body_is_taken(server: Running) -> None:
    body = json.dumps(bodies.supplier()).encode()
    chunks = b"".join(b"1\r\n" + body[at : at + 1] + b"\r\n" for at in range(len(body)))
    head = server.post_head("Transfer-Encoding: chunked", "Connection: close")
    answer = speak(server, head, chunks + b"0\r\n\r\n")
    assert answer.status == 201


# --- broken requests ------------------------------------------------------------------------------

GET = b"GET /health HTTP/1.1\r\n" + HOST
POST = b"POST /v1/suppliers HTTP/1.1\r\n" + HOST
OURS = [
    ("TRACE", b"TRACE /health HTTP/1.1\r\n" + HOST, 405),
    ("an unknown method", b"FLY-AWAY /health HTTP/1.1\r\n" + HOST, 405),
    ("a method in small letters", b"get /health HTTP/1.1\r\n" + HOST, 405),
    ("CONNECT to a path", b"CONNECT /health HTTP/1.1\r\n" + HOST, 400),
    ("CONNECT to an address", b"CONNECT elsewhere:80 HTTP/1.1\r\n" + HOST, 400),
    ("OPTIONS of the whole server", b"OPTIONS * HTTP/1.1\r\n" + HOST, 400),
    ("two hosts", GET + b"Host: y\r\n", 400),
    ("a raw path in UTF-8", "GET /ä HTTP/1.1\r\n".encode() + HOST, 404),
    ("a path that is not UTF-8", b"GET /%ff%fe HTTP/1.1\r\n" + HOST, 404),
    ("a path of 60 KB", b"GET /" + b"a" * 60_000 + b" HTTP/1.1\r\n" + HOST, 404),
    ("an address of elsewhere", b"GET http://elsewhere.invalid/x HTTP/1.1\r\n" + HOST, 404),
]
BY_THE_SERVER = [
    ("a path in Latin-1", b"GET /\xe4 HTTP/1.1\r\n" + HOST, 400),
    ("a path of 100 KB", b"GET /" + b"a" * 100_000 + b" HTTP/1.1\r\n" + HOST, 414),
    ("200 headers", GET + b"".join(b"X-%d: 1\r\n" % n for n in range(200)), 431),
    ("NUL in a header", GET + b"X: a\x00b\r\n", 400),
    ("a negative length", POST + b"Content-Length: -3\r\n", 400),
    ("two lengths", POST + b"Content-Length: 3\r\nContent-Length: 4\r\n", 400),
    ("a length of letters", POST + b"Content-Length: many\r\n", 400),
    ("an endless length", POST + b"Content-Length: 99999999999999999999999\r\n", 400),
    ("a method of brackets", b"G(T /health HTTP/1.1\r\n" + HOST, 400),
    ("an unknown version", b"GET /health HTTP/9.9\r\n" + HOST, 400),
    ("a header without a name", GET + b": 1\r\n", 400),
    ("words that are no request", b"\x16\x03\x01\x02\x00\x01\x00\r\n", 400),
]


@pytest.mark.parametrize(
    ("request_", "status"), [row[1:] for row in OURS], ids=[r[0] for r in OURS]
)
def test_a_broken_request_that_reaches_us_is_answered_as_a_problem(
    server: Running, request_: bytes, status: int
) -> None:
    answer = speak(server, request_ + b"Connection: close\r\n\r\n")
    assert answer.status == status
    assert answer.headers["content-type"] == "application/problem+json"
    assert "ratelimit" in answer.headers and "x-request-id" in answer.headers


@pytest.mark.parametrize(
    ("request_", "status"), [row[1:] for row in BY_THE_SERVER], ids=[r[0] for r in BY_THE_SERVER]
)
def test_a_request_too_broken_to_reach_us_is_answered_and_hung_up_on(
    server: Running, request_: bytes, status: int
) -> None:
    answer = speak(server, request_ + b"\r\n")
    assert answer.status == status
    assert answer.headers["connection"] == "close"
    assert answer.body == b""


def test_the_newer_protocol_is_not_spoken(server: Running) -> None:
    assert speak(server, b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n").status in (0, 400)


# --- readers that do not read, clients that are gone ----------------------------------------------


@pytest.mark.skipif(sys.platform != "linux", reason="the system's limit is set on Linux alone")
@pytest.mark.parametrize("path", ["/openapi.json", "/problems/none"])
def test_a_reader_that_stops_reading_is_cut_off(server: Running, path: str) -> None:
    """Large answers by us, small ones, which the system has taken already, by the system."""
    asked = f"GET {path} HTTP/1.1\r\nHost: x\r\n\r\n".encode() * 100
    with server.connect() as connection:
        ours = connection.getsockname()[1]
        connection.setblocking(False)
        stuck_since = time.monotonic()
        while is_open(server.port, ours):
            assert time.monotonic() - stuck_since < 10, "still open"
            try:
                connection.send(asked)
                stuck_since = time.monotonic()
            except BlockingIOError:
                time.sleep(0.02)
            except ConnectionError:
                break


def is_open(port: int, peer_port: int) -> bool:
    """Whether the server's end of a connection is there, as the system tells."""
    for line in Path("/proc/net/tcp").read_text(encoding="ascii").splitlines()[1:]:
        local, remote, state = line.split()[1:4]
        if local.endswith(f":{port:04X}") and remote.endswith(f":{peer_port:04X}"):
            return state in ("01", "08")  # established, or closed by the peer alone
    return False


def test_what_a_client_sent_whole_is_stored_though_it_is_gone(server: Running) -> None:
    name = fresh("Gone before the answer")
    body = json.dumps({**bodies.supplier(), "name": name}).encode()
    with server.connect() as connection:
        connection.sendall(server.post_head(f"Content-Length: {len(body)}") + body)
    with server.client() as client:
        ends_at = time.monotonic() + 10
        while name not in client.get("/v1/suppliers?limit=200").text:
            assert time.monotonic() < ends_at, "never stored"


def test_clients_that_ask_and_go_do_no_harm(server: Running) -> None:
    for _ in range(50):
        with server.connect() as connection:
            connection.sendall(server.head("GET", "/v1/suppliers"))


# --- too many at once -----------------------------------------------------------------------------


@contextmanager
def writers(server: Running, count: int) -> Iterator[set["Future[httpx.Response]"]]:
    """So many requests that store something, while somebody else holds the database."""

    def post() -> httpx.Response:
        with server.client() as client:
            headers = {"Idempotency-Key": fresh("key").replace(" ", "-")}
            return client.post("/v1/suppliers", json=bodies.supplier(), headers=headers)

    with ThreadPoolExecutor(count) as threads, closing(sqlite3.connect(server.file)) as holder:
        holder.isolation_level = None
        holder.execute("BEGIN IMMEDIATE")
        try:
            yield {threads.submit(post) for _ in range(count)}
        finally:
            holder.execute("ROLLBACK")


def test_more_requests_than_can_wait_are_told_to_come_again_and_health_answers(
    server: Running,
) -> None:
    """Of thirty, two have the threads, twenty wait, eight are told."""
    with writers(server, 30) as calls:
        done, _ = wait(calls, 10, FIRST_COMPLETED)
        assert done, "somebody was told at once"
        assert httpx.get(f"{server.url}/health", timeout=5).status_code == 200
    answers = [call.result(30) for call in calls]
    stored = [answer for answer in answers if answer.status_code == 201]
    told = [answer for answer in answers if answer.status_code == 503]
    assert len(stored) + len(told) == 30
    assert len(stored) >= 2
    assert told
    for answer in told:
        assert answer.json()["type"] == "/problems/busy"
        assert int(answer.headers["retry-after"]) > 0


def test_a_reader_that_waits_and_goes_gives_up_its_place(server: Running) -> None:
    """It leaves the queue as soon as it is gone."""
    with writers(server, 2) as calls, server.client() as client:
        gone = 0
        ends_at = time.monotonic() + 8
        while gone < 5 and time.monotonic() < ends_at:
            try:
                client.get("/v1/suppliers", timeout=0.2)  # answered until both threads are taken
            except httpx.TimeoutException:
                gone += 1
                while server.log.read_text(encoding="utf-8").count('"status": 499') < gone:
                    assert time.monotonic() < ends_at, "it still waits"
        assert gone == 5
    assert [call.result(30).status_code for call in calls] == [201, 201]


def test_calculations_do_not_starve_records(server: Running) -> None:
    """Twelve decisions at once, where one may be computed and one may wait."""
    snapshot = (seed_folder() / "whole-snapshot.json").read_bytes()
    kind = {"Content-Type": "application/json"}
    together = Barrier(12, timeout=10)

    def calculate() -> httpx.Response:
        with server.client() as client:
            together.wait()
            return client.post("/v1/calculations/decision", content=snapshot, headers=kind)

    with ThreadPoolExecutor(12) as threads, server.client() as client:
        calls = [threads.submit(calculate) for _ in range(12)]
        while not all(call.done() for call in calls):
            assert client.get("/v1/suppliers").status_code == 200
    statuses = {call.result().status_code for call in calls}
    assert statuses == {200, 503}
