"""The threads of handlers: so many at once, so many waiting, so long; calculations apart."""

import asyncio
import threading
from collections.abc import Iterator
from concurrent.futures import CancelledError, Future
from contextlib import contextmanager
from typing import Any

import pytest

from api.errors import ApiError
from api.lanes import CALCULATIONS, Lane, Lanes, given_up, request_scope
from api.openapi import endpoints_of
from api.settings import Limits
from api.slow import answer_to_who_waits


@contextmanager
def held(lane: Lane, count: int) -> Iterator[None]:
    """Have so many threads of a lane at work until the block ends."""
    gate, begun = threading.Event(), threading.Semaphore(0)

    def work() -> None:
        begun.release()
        assert gate.wait(10)

    try:
        for _ in range(count):
            lane.submit(work)
        for _ in range(count):
            assert begun.acquire(timeout=10)
        yield
    finally:
        gate.set()


def is_busy(error: BaseException | None) -> bool:
    return isinstance(error, ApiError) and error.type == "busy"


def test_who_comes_when_too_many_wait_is_told_at_once() -> None:
    async def story() -> None:
        with Lane(2, 3, 10, "test") as lane:
            with held(lane, 2):
                waiting = [lane.submit(int, "7") for _ in range(3)]
                with pytest.raises(ApiError) as caught:
                    lane.submit(int, "8")
                assert is_busy(caught.value)
            assert [await asyncio.wrap_future(one) for one in waiting] == [7, 7, 7]
            assert await asyncio.wrap_future(lane.submit(int, "9")) == 9, "there is room again"

    asyncio.run(story())


def test_who_waited_too_long_is_told_and_the_work_is_never_begun() -> None:
    async def story() -> None:
        begun: list[int] = []
        with Lane(1, 3, 0.01, "test") as lane:
            with held(lane, 1):
                late = lane.submit(begun.append, 1)
                with pytest.raises(ApiError) as caught:
                    await asyncio.wait_for(asyncio.wrap_future(late), 5)
                assert is_busy(caught.value)
            await asyncio.wrap_future(lane.submit(int, "9"))
        assert begun == []

    asyncio.run(story())


def test_work_that_began_in_time_is_not_given_up() -> None:
    async def story() -> None:
        with Lane(1, 3, 0.01, "test") as lane, held(lane, 0):
            gate = threading.Event()
            first = lane.submit(gate.wait, 10)
            asyncio.get_running_loop().call_later(0.05, gate.set)
            assert await asyncio.wrap_future(first) is True

    asyncio.run(story())


def test_work_whose_request_is_gone_is_never_begun_and_frees_its_place() -> None:
    async def story() -> None:
        begun: list[int] = []
        with Lane(1, 1, 10, "test") as lane:
            with held(lane, 1):
                gone = lane.submit(begun.append, 1)
                assert gone.cancel()
                kept = lane.submit(int, "7")
            assert await asyncio.wrap_future(kept) == 7
            with pytest.raises(CancelledError):
                gone.result()
        assert begun == []

    asyncio.run(story())


def test_an_error_of_the_work_comes_out_as_it_is() -> None:
    async def story() -> None:
        with Lane(1, 1, 10, "test") as lane:
            with pytest.raises(ZeroDivisionError):
                await asyncio.wrap_future(lane.submit(divmod, 1, 0))
            assert await asyncio.wrap_future(lane.submit(int, "7")) == 7

    asyncio.run(story())


class Handler:
    def __init__(self, operation_id: str) -> None:
        self.operation_id = operation_id
        self.opt = {"stores": True} if operation_id.startswith("create") else {}


def submit_for(lanes: Lanes, operation_id: str, **scope: Any) -> "Future[str]":
    """Submit as a request for an operation does; the name of the thread that works on it."""
    token = request_scope.set({"route_handler": Handler(operation_id), **scope})
    try:
        return lanes.submit(lambda: threading.current_thread().name)
    finally:
        request_scope.reset(token)


def test_calculations_never_take_the_threads_of_records() -> None:
    async def story() -> None:
        limits = Limits(threads=1, waiting=1, calculations=1, calculations_waiting=1)
        with Lanes(limits) as lanes:
            with held(lanes._calculations, 1):
                waiting = submit_for(lanes, "calculateDecision", auth="somebody")
                with pytest.raises(ApiError) as caught:
                    submit_for(lanes, "readOptions", auth="somebody")
                assert is_busy(caught.value)
                record = await asyncio.wrap_future(
                    submit_for(lanes, "readSupplier", auth="somebody")
                )
                assert record.startswith("handler")
            assert (await asyncio.wrap_future(waiting)).startswith("calculation")

    asyncio.run(story())


def test_a_key_is_looked_up_beside_the_calculations() -> None:
    """Who has no good key does not get into their queue."""

    async def story() -> None:
        with Lanes(Limits()) as lanes:
            name = await asyncio.wrap_future(submit_for(lanes, "calculateDecision"))
            assert name.startswith("handler")

    asyncio.run(story())


@pytest.mark.engines("sqlite")
def test_every_operation_that_decides_has_threads_of_its_own(app: Any) -> None:
    known = {endpoint.handler.operation_id for endpoint in endpoints_of(app)}
    assert known >= CALCULATIONS


# --- given up while it is computed ----------------------------------------------------------------


def computing(begun: threading.Event) -> str:
    """Long work that asks now and then whether it is still wanted."""
    is_given_up = given_up()
    begun.set()
    pause = threading.Event()
    for _ in range(2000):
        if is_given_up():
            return "stopped"
        pause.wait(0.005)
    return "finished"


def test_work_that_runs_is_told_that_it_was_given_up_and_frees_its_thread() -> None:
    async def story() -> None:
        begun = threading.Event()
        with Lane(1, 1, 10, "test") as lane:
            answer = lane.submit(computing, begun)
            waiting = asyncio.ensure_future(asyncio.wrap_future(answer))
            await asyncio.to_thread(begun.wait, 10)
            waiting.cancel()
            with pytest.raises(asyncio.CancelledError):
                await waiting
            assert await asyncio.wrap_future(lane.submit(int, "7")) == 7, "the thread is free"
            assert answer.result() == "stopped"

    asyncio.run(story())


def test_giving_one_up_leaves_the_others_alone() -> None:
    async def story() -> None:
        begun = [threading.Event(), threading.Event()]
        with Lane(2, 1, 10, "test") as lane:
            gone, kept = (lane.submit(computing, one) for one in begun)
            for one in begun:
                await asyncio.to_thread(one.wait, 10)
            gone.cancel()
            assert await asyncio.to_thread(gone.result, 10) == "stopped"
            assert not kept.done()
            kept.cancel()

    asyncio.run(story())


def test_what_asks_outside_the_lanes_is_never_given_up() -> None:
    assert given_up()() is False


def is_given_up_now() -> bool:
    return given_up()()


def test_a_thread_forgets_whom_it_worked_for() -> None:
    async def story() -> None:
        with Lane(1, 1, 10, "test") as lane:
            first = lane.submit(given_up)
            asked = await asyncio.wrap_future(first)
            first.cancel()
            assert asked() is True
            assert await asyncio.wrap_future(lane.submit(is_given_up_now)) is False

    asyncio.run(story())


def whole_then(*later: str, gate: asyncio.Event) -> Any:
    """A client that has sent its body, and does something else once the gate is open."""
    left = list(later)

    async def receive() -> Any:
        await gate.wait()
        if not left:
            await asyncio.get_running_loop().create_future()
        return {"type": left.pop(0)}

    return receive


@pytest.mark.parametrize(
    ("operation_id", "is_broken_off"),
    [("calculateDecision", True), ("createDecision", False), ("createSupplier", False)],
)
def test_a_client_that_goes_breaks_off_a_calculation_and_nothing_else(
    operation_id: str, is_broken_off: bool
) -> None:
    async def story() -> None:
        begun, gate, may_end = threading.Event(), asyncio.Event(), threading.Event()
        outcome: list[str] = []

        def work() -> None:
            is_given_up = given_up()
            begun.set()
            while not (is_given_up() or may_end.wait(0.005)):
                pass
            outcome.append("broken off" if is_given_up() else "to the end")

        with Lanes(Limits()) as lanes:

            async def answer(_: Any) -> None:
                scope = {"route_handler": Handler(operation_id), "auth": "somebody"}
                token = request_scope.set(scope)
                try:
                    await asyncio.get_running_loop().run_in_executor(lanes, work)
                finally:
                    request_scope.reset(token)

            client = asyncio.ensure_future(
                answer_to_who_waits(answer, whole_then("http.disconnect", gate=gate))
            )
            await asyncio.to_thread(begun.wait, 10)
            gate.set()
            if is_broken_off:
                assert await asyncio.wait_for(client, 10) is False
            else:
                may_end.set()
                assert await asyncio.wait_for(client, 10) is True
        assert outcome == ["broken off" if is_broken_off else "to the end"]

    asyncio.run(story())


def test_a_queued_calculation_whose_client_goes_is_never_begun() -> None:
    async def story() -> None:
        begun: list[int] = []
        gate = asyncio.Event()
        gate.set()
        limits = Limits(calculations=1, calculations_waiting=1)
        with Lanes(limits) as lanes, held(lanes._calculations, 1):

            async def answer(_: Any) -> None:
                token = request_scope.set(
                    {"route_handler": Handler("readOptions"), "auth": "somebody"}
                )
                try:
                    await asyncio.get_running_loop().run_in_executor(lanes, begun.append, 1)
                finally:
                    request_scope.reset(token)

            gone = whole_then("http.request", "http.disconnect", gate=gate)
            assert await asyncio.wait_for(answer_to_who_waits(answer, gone), 10) is False
            submit_for(lanes, "readOptions", auth="somebody").cancel()
        assert begun == []

    asyncio.run(story())
