"""Whichever call to the database fails, a write is done once or not at all, and says which."""

import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import pytest
from litestar.testing import TestClient
from sqlalchemy import CompoundSelect, Engine, func, literal, select, union_all

from api.app import create_app
from api.settings import Settings
from db.engine import make_engine
from db.migrate import upgrade
from tests.api.bodies import Shop, fresh
from tests.api.conftest import make_shop
from tests.fire.checker import tables_of
from tests.fire.faults import FAULTS, LOST_ANSWER, RETRIED, FailingDriver, Spoil
from tests.fire.race import outcome
from tests.fire.writes import WRITES, Call, Ground

Rows = dict[str, int]

EVERY_FAULT = os.environ.get("EVERY_FAULT") == "true"
STRIDE = {"sqlite": 2, "postgresql": 4}
"""Of so many calls of a write one is made to fail; each write begins with another one."""


@dataclass(frozen=True)
class Bench:
    """An app in this process, its driver, and a look at its tables past both."""

    engine_name: str
    driver: FailingDriver
    shop: Shop
    ground: Ground
    behind: Engine
    counts: "CompoundSelect[str, int]"

    def rows(self) -> Rows:
        """How many rows each table has."""
        with self.behind.connect() as connection:
            return dict(connection.execute(self.counts).all())


@pytest.fixture(scope="module")
def bench(quiet_log: None, engine_name: str, new_url: Callable[[], str]) -> Iterator[Bench]:
    url = new_url()
    upgrade(url)
    app, behind = create_app(Settings(url)), make_engine(url)
    with TestClient(app, raise_server_exceptions=False) as client:
        shop = make_shop(app, client, fresh("Workshop with a bad disk"))
        driver = FailingDriver(app.state.sessions)
        yield Bench(engine_name, driver, shop, Ground(shop), behind, _counts(behind))
    behind.dispose()


def _counts(engine: Engine) -> "CompoundSelect[str, int]":
    with engine.connect() as connection:
        return union_all(
            *(
                select(literal(table.name), func.count()).select_from(table)
                for table in tables_of(connection)
            )
        )


@pytest.fixture(params=WRITES)
def prepare(request: pytest.FixtureRequest, bench: Bench) -> Callable[[Ground], Call]:
    return WRITES[request.param]


def added(before: Rows, after: Rows) -> Rows:
    """By how many rows each table has grown or shrunk."""
    return {name: after[name] - before[name] for name in after if after[name] != before[name]}


def clean_run(bench: Bench, call: Call) -> tuple[list[str], Rows]:
    """Do the write with nothing failing; its calls to the driver, and the rows it made."""
    before = bench.rows()
    with bench.driver.watching():
        answer = call.send(bench.shop)
    calls = bench.driver.calls
    assert outcome(answer) == call.done, answer.text
    return calls, added(before, bench.rows())


def spoiled_run(bench: Bench, call: Call, at: int, spoil: Spoil) -> tuple[str, Rows]:
    """Do the write with one call failing; what was answered, and the rows it left."""
    before = bench.rows()
    with bench.driver.watching(at, spoil):
        answer = call.send(bench.shop)
    if answer.status_code >= 400:
        assert answer.headers["content-type"].startswith("application/problem+json")
        assert answer.json()["request_id"]
    return outcome(answer), added(before, bench.rows())


def sent_again(bench: Bench, call: Call) -> tuple[str, Rows]:
    before = bench.rows()
    answer = call.send(bench.shop)
    return outcome(answer), added(before, bench.rows())


def check_fault(
    bench: Bench, call: Call, at: int, spoil: Spoil, allowed: frozenset[str], made: Rows
) -> Iterator[str]:
    """Hold one write with one failing call to the promise; yield what is broken."""
    told, left = spoiled_run(bench, call, at, spoil)
    again, left_again = sent_again(bench, call)
    is_done = told == call.done
    if not is_done and told not in allowed:
        yield f"answered {told}"
    if left != (made if is_done else {}):
        yield f"answered {told}, and left {left}"
    if again != (call.done_before if is_done else call.done):
        yield f"answered {told}, sent again {again}"
    if left_again != ({} if is_done else made):
        yield f"sent again it left {left_again}, wanted {made}"


def faults_at(engine_name: str, at: int, place: str) -> list[str]:
    """A call fails in one way, the commit in all; every call in all, where that is asked for."""
    names = list(FAULTS[engine_name])
    if EVERY_FAULT or place == "do_commit":
        return names
    return [names[at % len(names)]]


def test_a_write_with_any_call_failing_is_refused_whole_and_succeeds_when_sent_again(
    bench: Bench, prepare: Callable[[Ground], Call]
) -> None:
    calls, made = clean_run(bench, prepare(bench.ground))
    assert made and calls.count("do_commit") == 1, (calls, made)
    first, stride = list(WRITES.values()).index(prepare), STRIDE[bench.engine_name]
    broken = []
    for at, place in enumerate(calls):
        if not EVERY_FAULT and place != "do_commit" and (at + first) % stride:
            continue
        for name in faults_at(bench.engine_name, at, place):
            spoil, allowed = FAULTS[bench.engine_name][name]
            found = check_fault(bench, prepare(bench.ground), at, spoil, allowed, made)
            broken += [f"{name} at call {at} ({place}): {one}" for one in found]
    assert not broken, "\n".join(broken)


@pytest.mark.engines("postgresql")
@pytest.mark.parametrize("fault", RETRIED)
def test_a_write_that_lost_a_race_is_done_without_the_caller_noticing(
    bench: Bench, prepare: Callable[[Ground], Call], fault: str
) -> None:
    spoil, _ = FAULTS[bench.engine_name][fault]
    calls, made = clean_run(bench, prepare(bench.ground))
    commit = calls.index("do_commit")
    call = prepare(bench.ground)
    told, left = spoiled_run(bench, call, commit, spoil)
    assert (told, left) == (call.done, made)


def test_a_write_whose_commit_was_done_but_not_reported_is_not_done_twice(
    bench: Bench, prepare: Callable[[Ground], Call]
) -> None:
    calls, made = clean_run(bench, prepare(bench.ground))
    call = prepare(bench.ground)
    told, left = spoiled_run(bench, call, calls.index("do_commit"), LOST_ANSWER[bench.engine_name])
    assert told == "503 database-away"
    assert left == made
    assert sent_again(bench, call) == (call.done_before, {})
