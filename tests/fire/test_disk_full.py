"""A full disk: writes are refused and say why, reads go on, and with room again writes succeed."""

import os
import subprocess
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import httpx
import pytest
from litestar.testing import TestClient

from api.app import Api, create_app
from api.settings import Settings
from db.engine import make_engine
from db.migrate import upgrade
from tests.api import bodies
from tests.api.bodies import Shop, fresh
from tests.api.conftest import make_shop
from tests.fire.checker import check_file, places_without_gap
from tests.fire.kills import caller_client, new_key
from tests.fire.nursery import Nursery, Slot
from tests.fire.race import outcome
from tests.fire.writes import CREATIONS, Call, Ground, post

pytestmark = pytest.mark.engines("sqlite")

MIB = 1024 * 1024
MOST_WRITES = 3000


def large(ground: Ground, number: int) -> Call:
    """A write of one kind after the other, the assemblies of them large."""
    names = list(CREATIONS)
    if number % 2:
        cautions = [{"kind": "hazard", "text": fresh("Mind ") + "x" * 900} for _ in range(8)]
        return post("/assemblies", bodies.assembly(cautions=cautions))
    return post(*CREATIONS[names[number // 2 % len(names)]](ground))


def fill(shop: Shop, ground: Ground) -> tuple[list[Any], list[Call]]:
    """Write until the disk has been full for as many writes as there are kinds."""
    done: list[Any] = []
    refused: list[Call] = []
    for number in range(MOST_WRITES):
        try:
            call = large(ground, number)
        except AssertionError as error:  # what the call points at found no room itself
            assert "storage-full" in str(error)
            continue
        answer = call.send(shop)
        if answer.status_code == 201:
            done.append((call, answer))
            continue
        assert outcome(answer) == "503 storage-full", answer.text
        assert answer.headers["retry-after"]
        refused.append(call)
        if len(refused) >= len(CREATIONS):
            return done, refused
    raise AssertionError(f"{len(done)} writes, and the disk is not full")


def check_reads(shop: Shop, done: list[Any]) -> None:
    """Everything acknowledged is read as it was acknowledged."""
    for call, answer in done:
        if call.path.startswith("/units/"):  # several findings made at once
            for item in answer.json()["items"]:
                assert shop.get(f"/findings/{item['id']}").status_code == 200, call
            continue
        read = shop.get(f"{call.path}/{answer.json()['id']}")
        assert read.status_code == 200, (call, read.text)
        if call.path not in ("/positions",):  # a ruling counts its position's version up
            assert read.json() == answer.json()


def check_full_disk(shop: Shop, ground: Ground, make_room: Callable[[], object]) -> None:
    done, refused = fill(shop, ground)
    assert refused
    check_reads(shop, done)
    assert shop.get("/assemblies", limit="200").status_code == 200
    make_room()
    check_reads(shop, done)
    for call in refused:
        assert outcome(call.send(shop)) == "201"
    for call, answer in done[:200]:
        again = call.send(shop)
        assert (outcome(again), again.content) == ("201 repeated", answer.content)


def check_whole(url: str) -> None:
    engine = make_engine(url)
    with engine.connect() as connection:
        assert [*check_file(connection), *places_without_gap(connection)] == []
    engine.dispose()


# --- a file that may not grow ----------------------------------------------------------------


def set_most_pages(app: Api, more: int | None) -> None:
    """Let the one writing connection add so many pages to the file, or as many as it likes."""
    with app.state.sessions.writing() as session:
        connection = session.connection()
        now = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
        most = 2**30 if more is None else now + more
        connection.exec_driver_sql(f"PRAGMA max_page_count = {most}")


def test_a_file_that_may_not_grow_refuses_writes_and_is_read(
    quiet_log: None, new_url: Callable[[], str]
) -> None:
    url = new_url()
    upgrade(url)
    app = create_app(Settings(url))
    with TestClient(app, raise_server_exceptions=False) as client:
        shop = make_shop(app, client, fresh("Workshop with a small disk"))
        ground = Ground(shop)
        set_most_pages(app, 60)
        check_full_disk(shop, ground, lambda: set_most_pages(app, None))
    check_whole(url)


# --- a disk that is full ---------------------------------------------------------------------


class SlotShop(Shop):
    """A shop that calls whichever server stands in a slot."""

    def __init__(self, client: httpx.Client, key: str, slot: Slot) -> None:
        super().__init__(client, key)  # type: ignore[arg-type]
        self._slot = slot

    def call(self, method: str, path: str, **more: Any) -> Any:
        headers = {**self.headers, **more.pop("headers", {})}
        return self._client.request(method, self._slot.base_url + path, headers=headers, **more)


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 16 MiB in memory: the log of writes alone may take four."""
    folder = tmp_path / "disk"
    folder.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", "size=16m", "tmpfs", str(folder)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        must = os.environ.get("CI") == "true" and os.geteuid() == 0
        (pytest.fail if must else pytest.skip)(f"cannot mount a small disk: {done.stderr}")
    yield folder
    subprocess.run(["umount", str(folder)], check=True)


def fill_up(folder: Path, but_bytes: int) -> Path:
    """Take all the room that is left, but for so many bytes; the file that takes it."""
    free = os.statvfs(folder)
    ballast = folder / "ballast"
    taken_bytes = free.f_bavail * free.f_frsize - but_bytes
    assert taken_bytes > 6 * MIB, "so much must be free again when the ballast is gone"
    ballast.write_bytes(b"\0" * taken_bytes)
    return ballast


@pytest.mark.parametrize("is_killed", [False, True])
def test_a_full_disk_refuses_writes_and_is_read(
    nursery: Nursery, small_disk: Path, tmp_path: Path, is_killed: bool
) -> None:
    """Also when the server was killed, and starts with a log to take over and no room at all."""
    url = f"sqlite:///{small_disk / 'corewright.db'}"
    upgrade(url)
    key = new_key(url)
    with ExitStack() as stack:
        slot = Slot(nursery, url, key, tmp_path / "server.log")
        slot.start()
        stack.callback(slot.stop)
        shop = SlotShop(stack.enter_context(caller_client(key)), key, slot)
        ground = Ground(shop)
        if is_killed:
            slot.kill()
        ballast = fill_up(small_disk, 0 if is_killed else MIB // 2)
        if is_killed:
            slot.start()
        check_full_disk(shop, ground, ballast.unlink)
    check_whole(url)
