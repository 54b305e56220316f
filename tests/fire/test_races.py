"""Sixty-four callers at one thing: one of them gets it, and all of them are told so."""

import uuid
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import httpx
import pytest

from db.migrate import upgrade
from tests.api import bodies
from tests.fire.kills import caller_client, new_key
from tests.fire.nursery import Nursery, Slot
from tests.fire.race import race, tally, winner

CALLERS = 64
SERVERS = {"sqlite": 1, "postgresql": 2}


class Service:
    """The servers of one database, asked in turn."""

    def __init__(self, clients: list[httpx.Client]) -> None:
        self._clients = clients

    def call(self, number: int, method: str, path: str, **more: Any) -> httpx.Response:
        """Ask the server whose turn the number is."""
        return self._clients[number % len(self._clients)].request(method, path, **more)

    def post(self, number: int, path: str, body: Any, key: str | None = None) -> httpx.Response:
        headers = {"Idempotency-Key": key or str(uuid.uuid4())}
        return self.call(number, "POST", path, json=body, headers=headers)


@pytest.fixture(scope="module")
def service(
    nursery: Nursery,
    engine_name: str,
    new_url: Callable[[], str],
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[Service]:
    url, folder = new_url(), tmp_path_factory.mktemp("races")
    upgrade(url)
    key = new_key(url)
    with ExitStack() as stack:
        clients = []
        for number in range(SERVERS[engine_name]):
            slot = Slot(nursery, url, key, Path(folder, f"server-{number}.log"))
            slot.start()
            stack.callback(slot.stop)
            clients.append(stack.enter_context(caller_client(key, slot.base_url)))
        yield Service(clients)


def changes_records(service: Service) -> None:
    if "PATCH" not in service.call(0, "OPTIONS", "/suppliers/sup_none").headers["allow"]:
        pytest.skip("records are not changed yet")


def test_one_key_sent_by_all_stores_one_record(service: Service) -> None:
    body, key = bodies.supplier(), str(uuid.uuid4())
    answers = race(CALLERS, lambda number: service.post(number, "/suppliers", body, key))
    assert tally(answers) == {"201": 1, "201 repeated": CALLERS - 1}
    assert len({answer.content for answer in answers}) == 1
    listed = service.call(0, "GET", "/suppliers", params={"limit": "200"}).json()["items"]
    assert [item["id"] for item in listed if item["name"] == body["name"]] == [
        answers[0].json()["id"]
    ]


def test_one_part_recorded_by_all_is_one_part_and_the_others_are_told_which(
    service: Service,
) -> None:
    body = bodies.part()
    answers = race(CALLERS, lambda number: service.post(number, "/parts", body))
    won = winner(answers, "409 duplicate").json()["id"]
    named = {answer.json()["existing_id"] for answer in answers if answer.status_code == 409}
    assert named == {won}


def test_one_key_with_two_bodies_stores_the_one_and_refuses_the_other(service: Service) -> None:
    key, sent = str(uuid.uuid4()), [bodies.supplier(), bodies.supplier()]
    answers = race(
        CALLERS, lambda number: service.post(number, "/suppliers", sent[number // 2 % 2], key)
    )
    half = CALLERS // 2
    assert tally(answers) == {
        "201": 1,
        "201 repeated": half - 1,
        "422 idempotency-key-reused": half,
    }
    assert len({answer.content for answer in answers if answer.status_code == 201}) == 1


def test_of_all_changes_to_one_version_one_is_made(service: Service) -> None:
    changes_records(service)
    record_id = service.post(0, "/suppliers", bodies.supplier()).json()["id"]
    headers = {"If-Match": '"1"', "Content-Type": "application/merge-patch+json"}

    def change(number: int) -> httpx.Response:
        body = {"name": f"Renamed by {number}"}
        return service.call(number, "PATCH", f"/suppliers/{record_id}", json=body, headers=headers)

    won = winner(race(CALLERS, change), "412 stale-version").json()
    assert won["version"] == 2
    assert service.call(0, "GET", f"/suppliers/{record_id}").json() == won


def test_a_record_is_retired_by_one_and_gone_for_the_others(service: Service) -> None:
    changes_records(service)
    record_id = service.post(0, "/suppliers", bodies.supplier()).json()["id"]
    headers = {"If-Match": '"1"'}
    answers = race(
        CALLERS,
        lambda number: service.call(number, "DELETE", f"/suppliers/{record_id}", headers=headers),
    )
    winner(answers, "404 not-found")


def test_a_record_retired_while_others_come_to_use_it_is_used_or_gone(service: Service) -> None:
    """Never an offer of a supplier that is not there."""
    changes_records(service)
    for _ in range(4):
        supplier = service.post(0, "/suppliers", bodies.supplier()).json()["id"]

        def call(number: int, supplier: str = supplier) -> httpx.Response:
            if number % 2:
                return service.post(number, "/offers", bodies.offer(supplier))
            headers = {"If-Match": '"1"'}
            return service.call(number, "DELETE", f"/suppliers/{supplier}", headers=headers)

        outcomes = tally(race(8, call))
        is_there = service.call(0, "GET", f"/suppliers/{supplier}").status_code == 200
        allowed = {"201", "409 in-use"} if is_there else {"204", "404 not-found", "422 validation"}
        assert outcomes.keys() <= allowed, (is_there, outcomes)
