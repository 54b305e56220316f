"""A real server, and clients that drop their connection while a decision is being computed."""

import asyncio
import json
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from typing import Any

import httpx
import litestar.concurrency
import pytest
from granian.constants import HTTPModes, Interfaces
from granian.server.embed import Server
from litestar.concurrency import set_asyncio_executor

import api.routes.decision
from api.app import create_app
from api.demo.server import free_port
from api.errors import ApiError
from api.lanes import Lanes, given_up
from api.settings import Limits, Settings
from db.engine import Sessions, make_engine
from db.migrate import upgrade
from db.queries.access import make_shop_and_key
from shared.decision.decide import decide
from shared.decision.planning.budget import Cancelled
from tests.bench.typical_job import typical_job
from tests.snapshots import Members, snapshot

pytestmark = pytest.mark.engines("sqlite")

LIMITS = Limits(calculations=1, calculations_waiting=1)
PATIENCE_S = 20.0


class Endless:
    """Stands for a decision that takes for ever: told only by the lane when to stop."""

    def __init__(self) -> None:
        self.begun = threading.Semaphore(0)
        self.stopped = threading.Semaphore(0)
        self.may_end = threading.Event()
        self.count = 0

    def decide(self, *_: Any, is_cancelled: Callable[[], bool] | None = None) -> Any:
        is_given_up = is_cancelled or given_up()
        self.count += 1
        self.begun.release()
        while not is_given_up():
            if self.may_end.wait(0.005):
                raise ApiError("not-found", "computed to the end")
        self.stopped.release()
        raise Cancelled


class Shop:
    """A server in this process, the key of a shop, what it computes with."""

    def __init__(self, port: int, key: str, lanes: Lanes, endless: Endless) -> None:
        self.port, self.key, self.lanes, self.endless = port, key, lanes, endless

    def ask(self, question: Members | None = None) -> socket.socket:
        """Send a whole question and read nothing of the answer."""
        body = json.dumps(question or snapshot()).encode()
        head = (
            "POST /v1/calculations/decision HTTP/1.1\r\nHost: x\r\n"
            f"Authorization: Bearer {self.key}\r\nContent-Type: application/json\r\n"
            f"Content-Length: {len(body)}\r\n\r\n"
        )
        connection = socket.create_connection(("127.0.0.1", self.port), PATIENCE_S)
        connection.sendall(head.encode() + body)
        return connection

    def get(self, path: str) -> httpx.Response:
        headers = {"Authorization": f"Bearer {self.key}"}
        return httpx.get(f"http://127.0.0.1:{self.port}{path}", headers=headers, timeout=PATIENCE_S)

    def wait_until(self, is_so: Callable[[], bool]) -> None:
        pause, tries = threading.Event(), int(PATIENCE_S / 0.01)
        assert any(is_so() or pause.wait(0.01) for _ in range(tries)), "it did not come about"

    def working(self) -> int:
        return self.lanes._calculations.count


@pytest.fixture
def shop(new_url: Callable[[], str], monkeypatch: pytest.MonkeyPatch) -> Iterator[Shop]:
    url, endless = new_url(), Endless()
    upgrade(url)
    with closing(Sessions(make_engine(url))) as sessions, sessions.writing() as session:
        _, key = make_shop_and_key(session, "Workshop of impatient customers")
    monkeypatch.setattr(api.routes.decision, "decide", endless.decide)
    before = litestar.concurrency.get_asyncio_executor()
    with Lanes(LIMITS) as lanes:
        set_asyncio_executor(lanes)
        try:
            with served(Settings(url, limits=LIMITS)) as port:
                yield Shop(port, key, lanes, endless)
        finally:
            endless.may_end.set()
            set_asyncio_executor(before)  # type: ignore[arg-type]


@contextmanager
def served(settings: Settings) -> Iterator[int]:
    port = free_port()
    server = Server(
        create_app(settings),
        address="127.0.0.1",
        port=port,
        interface=Interfaces.ASGI,
        http=HTTPModes.http1,
        websockets=False,
        log_enabled=False,
    )
    loop = asyncio.new_event_loop()
    thread = threading.Thread(target=lambda: loop.run_until_complete(server.serve()))
    thread.start()
    try:
        pause = threading.Event()
        for _ in range(int(PATIENCE_S / 0.02)):
            with socket.socket() as probe:
                if probe.connect_ex(("127.0.0.1", port)) == 0:
                    break
            pause.wait(0.02)
        yield port
    finally:
        loop.call_soon_threadsafe(server.stop)
        thread.join(PATIENCE_S)
        loop.close()


def test_a_dropped_connection_ends_the_computation_and_frees_its_thread(shop: Shop) -> None:
    with shop.ask():
        assert shop.endless.begun.acquire(timeout=PATIENCE_S)
        assert shop.working() == 1
    assert shop.endless.stopped.acquire(timeout=PATIENCE_S)
    shop.wait_until(lambda: shop.working() == 0)
    assert shop.get("/v1/suppliers").status_code == 200
    with shop.ask() as again:
        assert shop.endless.begun.acquire(timeout=PATIENCE_S), "the thread is free"
        shop.endless.may_end.set()
        assert again.recv(12) == b"HTTP/1.1 404", "who stays is answered"


def test_who_goes_while_queued_is_never_computed_for_and_the_first_is_not_disturbed(
    shop: Shop,
) -> None:
    with shop.ask() as first:
        assert shop.endless.begun.acquire(timeout=PATIENCE_S)
        with shop.ask():
            shop.wait_until(lambda: shop.working() == 2)
        shop.wait_until(lambda: shop.working() == 1)
        assert shop.endless.count == 1
        assert not shop.endless.stopped.acquire(blocking=False)
        shop.endless.may_end.set()
        assert first.recv(12) == b"HTTP/1.1 404"
    assert shop.endless.count == 1


def test_a_server_that_is_stopped_gives_its_calculations_up_and_says_so(shop: Shop) -> None:
    with shop.ask() as first, shop.ask() as second:
        shop.wait_until(lambda: shop.working() == 2)
        shop.lanes.end_calculations()
        answers = [connection.recv(12) for connection in (first, second)]
    assert answers == [b"HTTP/1.1 503"] * 2
    assert shop.endless.count == 1


def test_a_long_search_stops_in_the_middle(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """Forty positions, ten alternatives, everything asked for: minutes of searching."""
    begun, ended = threading.Event(), threading.Event()

    def search(asked: Any, **_: Any) -> Any:
        begun.set()
        try:
            return decide(asked, is_cancelled=given_up())
        except Cancelled:
            ended.set()
            raise

    monkeypatch.setattr(api.routes.decision, "decide", search)
    question = typical_job(40, alternatives=10, break_evens=50, effort="100")
    with shop.ask(question):
        assert begun.wait(PATIENCE_S)
    assert ended.wait(PATIENCE_S)
    shop.wait_until(lambda: shop.working() == 0)
