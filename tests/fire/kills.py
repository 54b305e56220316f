"""A service disturbed in the middle of writing, again and again, and the account afterwards."""

import random
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, closing
from dataclasses import dataclass, field
from itertools import chain
from pathlib import Path
from typing import Any

import httpx

from db.engine import Sessions, make_engine
from db.queries.access import make_shop_and_key
from tests.fire.caller import Caller, Lost, callers
from tests.fire.checker import check_answers, check_tables, places_without_gap
from tests.fire.nursery import Nursery, Slot

CALLERS = 6
LIFE_SECONDS = (0.0, 0.3)
"""How long a server answers before it is killed: drawn evenly from this range."""


@dataclass
class Account:
    """What a run came to."""

    seed: int
    blows: int
    acknowledged: int
    lost: int
    repeated: int
    refused: dict[str, int]
    edits: bool
    findings: list[str] = field(default_factory=list)

    def __str__(self) -> str:
        told = (
            f"seed {self.seed}: {self.blows} blows, {self.acknowledged} writes acknowledged"
            f"{'' if self.edits else ' (creations only)'}, {self.lost} answers lost, of which"
            f" {self.repeated} had been stored; refusals {self.refused};"
            f" {len(self.findings)} findings"
        )
        return "\n  ".join([told, *self.findings[:40]])


def run_kills(
    nursery: Nursery, url: str, folder: Path, *, kills: int, requests: int = 0, **more: Any
) -> Account:
    """Kill servers on a migrated, empty database while callers write; settle; check.

    Each server is sent at least so many ``requests`` before it is killed.
    """

    def disturb(slots: Sequence[Slot], chance: random.Random) -> None:
        counter = iter(range(kills))
        with ThreadPoolExecutor(len(slots)) as killers:
            calls = [
                killers.submit(_kill_in_turn, slot, counter, chance, requests) for slot in slots
            ]
            for call in calls:
                call.result()

    return run_under_fire(nursery, url, folder, disturb, blows=kills, **more)


def _kill_in_turn(slot: Slot, counter: Iterator[int], chance: random.Random, requests: int) -> None:
    for _ in counter:
        time.sleep(chance.uniform(*LIFE_SECONDS))
        while slot.requests < requests:
            time.sleep(0.01)
        slot.kill()
        slot.start()


def run_cuts(
    nursery: Nursery,
    url: str,
    folder: Path,
    *,
    cuts: int,
    cut: Callable[[], object],
    **more: Any,
) -> Account:
    """Take the database away so many times while callers write; settle; check."""

    def disturb(slots: Sequence[Slot], chance: random.Random) -> None:
        for _ in range(cuts):
            time.sleep(chance.uniform(*LIFE_SECONDS))
            cut()

    return run_under_fire(nursery, url, folder, disturb, blows=cuts, **more)


Disturb = Callable[[Sequence[Slot], random.Random], None]


def run_under_fire(
    nursery: Nursery,
    url: str,
    folder: Path,
    disturb: Disturb,
    *,
    blows: int,
    seed: int,
    servers: int = 1,
    breakage: str | None = None,
) -> Account:
    """Let callers write while something is done to the service; settle; check."""
    key = new_key(url)
    logs = [folder / f"server-{number}.log" for number in range(servers)]
    slots = [Slot(nursery, url, key, log, breakage) for log in logs]
    with ExitStack() as stack:
        client = stack.enter_context(caller_client(key))
        stack.callback(lambda: [slot.stop() for slot in slots])
        sender = Sender(client, slots)
        all_callers = [*callers(CALLERS, str(seed), sender)]
        for slot in slots:
            slot.start()
        edits = sender.may_edit()
        _write_meanwhile(all_callers, slots, lambda: disturb(slots, random.Random(seed)), edits)
        with ThreadPoolExecutor(CALLERS) as threads:
            list(threads.map(Caller.settle_all, all_callers))
            answers = threads.map(lambda one: [*check_answers(one.ledger, sender)], all_callers)
            findings = list(chain(*answers))
    return _account(url, all_callers, findings, seed=seed, blows=blows, edits=edits)


def caller_client(key: str, base_url: str = "") -> httpx.Client:
    """An HTTP client for many callers at once, with a shop's key."""
    return httpx.Client(
        base_url=base_url,
        headers={"Authorization": f"Bearer {key}"},
        timeout=60,
        limits=httpx.Limits(max_connections=None, max_keepalive_connections=64),
        verify=False,  # there is nothing to verify, and its certificates take long to load
    )


class Sender:
    """Sends to the servers that are up, in turn; waits while none is."""

    def __init__(self, client: httpx.Client, slots: Sequence[Slot]) -> None:
        self._client = client
        self._slots = slots
        self._turn = 0

    def __call__(self, method: str, path: str, **more: Any) -> httpx.Response:
        self._turn += 1
        number = len(self._slots)
        in_turn = [self._slots[(self._turn + place) % number] for place in range(number)]
        slot = next((one for one in in_turn if one.is_up.is_set()), in_turn[0])
        assert slot.is_up.wait(60), "the server does not come back"
        slot.requests += 1
        try:
            return self._client.request(method, slot.base_url + path, **more)
        except httpx.TransportError as error:
            raise Lost from error

    def may_edit(self) -> bool:
        """Whether records can be changed and deleted."""
        allowed = self("OPTIONS", "/suppliers/sup_none").headers.get("allow", "")
        return "PATCH" in allowed and "DELETE" in allowed


def new_key(url: str) -> str:
    with closing(Sessions(make_engine(url))) as sessions, sessions.writing() as session:
        return make_shop_and_key(session, "Workshop under fire")[1]


def _write_meanwhile(
    all_callers: Sequence[Caller],
    slots: Sequence[Slot],
    disturb: Callable[[], None],
    edits: bool,
) -> None:
    stop = threading.Event()
    with ThreadPoolExecutor(len(all_callers)) as threads:
        running = [threads.submit(caller.run, stop, edits) for caller in all_callers]
        try:
            disturb()
        finally:
            stop.set()
            for slot in slots:
                slot.is_up.set()  # nobody waits for a server that failed to come back
        for one in running:
            one.result()


def _account(url: str, all_callers: Sequence[Caller], findings: list[str], **about: Any) -> Account:
    ledgers = [caller.ledger for caller in all_callers]
    engine = make_engine(url)
    try:
        findings += check_tables(engine, ledgers)
        with engine.connect() as connection:
            findings += places_without_gap(connection)
    finally:
        engine.dispose()
    refused: dict[str, int] = {}
    for ledger in ledgers:
        findings += ledger.findings
        for word, times in ledger.refused.items():
            refused[word] = refused.get(word, 0) + times
    return Account(
        acknowledged=sum(ledger.acknowledged for ledger in ledgers),
        lost=sum(ledger.lost for ledger in ledgers),
        repeated=sum(ledger.repeated for ledger in ledgers),
        refused=refused,
        findings=findings,
        **about,
    )
