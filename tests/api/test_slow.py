"""Bodies that come too slowly, answers that are not taken, clients that are gone."""

import asyncio
from collections.abc import Awaitable, Callable
from dataclasses import replace
from typing import Any

import pytest

from api.errors import ApiError
from api.settings import Limits
from api.slow import _PIECE, Answer, Body, Memory, ReaderTooSlow, answer_while_there

QUICK = Limits(body_gap_s=0.02, body_s=0.06, answer_gap_s=0.02, answer_s=0.06, bodies_mib=1)
MIB = 1024 * 1024


async def never() -> Any:
    await asyncio.get_running_loop().create_future()


def messages(*bodies: bytes, after_s: float = 0) -> Callable[[], Awaitable[Any]]:
    """Gives pieces of a body, each after a while, and then nothing for ever."""
    left = list(bodies)

    async def receive() -> Any:
        if not left:
            return await never()
        await asyncio.sleep(after_s)
        return {"type": "http.request", "body": left.pop(0), "more_body": True}

    return receive


async def read(body: Body) -> int:
    count = 0
    while (message := await body.receive()).get("more_body"):
        count += len(message["body"])
    return count


def test_a_body_that_stops_coming_times_out() -> None:
    body = Body(messages(b"a", b"b"), QUICK, Memory(QUICK))
    with pytest.raises(ApiError) as caught:
        asyncio.run(read(body))
    assert caught.value.type == "request-timeout"
    assert caught.value.headers == {"Connection": "close"}


def test_a_body_that_comes_a_byte_at_a_time_times_out_as_a_whole() -> None:
    limits = replace(QUICK, body_gap_s=5)
    body = Body(messages(*[b"a"] * 1000, after_s=0.005), limits, Memory(limits))
    with pytest.raises(ApiError) as caught:
        asyncio.run(asyncio.wait_for(read(body), 5))
    assert caught.value.type == "request-timeout"


def test_all_bodies_together_have_so_much_memory_and_give_it_back() -> None:
    async def story() -> None:
        memory = Memory(QUICK)
        first = Body(messages(b"a" * (MIB - 10)), QUICK, memory)
        await first.receive()
        second = Body(messages(b"b" * 11), QUICK, memory)
        with pytest.raises(ApiError) as caught:
            await second.receive()
        assert caught.value.type == "busy"
        second.let_go()
        assert memory.free_bytes == 10
        first.let_go()
        first.let_go()
        assert memory.free_bytes == MIB

    asyncio.run(story())


def test_after_the_body_nothing_is_timed() -> None:
    async def story() -> None:
        body = Body(whole_then_gone(after_s=0.05), QUICK, Memory(QUICK))
        assert (await body.receive())["body"] == b"all"
        assert (await body.receive())["type"] == "http.disconnect"

    asyncio.run(story())


def whole_then_gone(after_s: float = 0) -> Callable[[], Awaitable[Any]]:
    left = [{"type": "http.request", "body": b"all", "more_body": False}]

    async def receive() -> Any:
        if left:
            return left.pop()
        await asyncio.sleep(after_s)
        return {"type": "http.disconnect"}

    return receive


# --- answers --------------------------------------------------------------------------------------


async def sent(body: bytes, more: bool = False) -> list[Any]:
    told: list[Any] = []

    async def send(message: Any) -> None:
        told.append(message)

    await Answer(send, QUICK).send({"type": "http.response.body", "body": body, "more_body": more})
    return told


@pytest.mark.parametrize("size", [0, 1, _PIECE])
def test_a_small_answer_goes_out_in_one(size: int) -> None:
    assert [len(one["body"]) for one in asyncio.run(sent(b"x" * size))] == [size]


@pytest.mark.parametrize("size", [_PIECE + 1, MIB, MIB + 17])
def test_a_large_answer_goes_out_in_pieces_and_whole(size: int) -> None:
    body = bytes(number % 251 for number in range(size))
    told = asyncio.run(sent(body))
    assert b"".join(one["body"] for one in told) == body
    assert max(len(one["body"]) for one in told) <= _PIECE
    assert [one["more_body"] for one in told] == [True] * (len(told) - 1) + [False]


def test_a_piece_of_a_stream_does_not_end_it() -> None:
    assert [one["more_body"] for one in asyncio.run(sent(b"x" * (_PIECE + 1), more=True))] == [
        True
    ] * 2


def test_a_reader_that_stops_reading_is_cut_off() -> None:
    async def stuck(_: Any) -> None:
        await never()

    answer = Answer(stuck, QUICK)
    with pytest.raises(ReaderTooSlow):
        asyncio.run(answer.send({"type": "http.response.body", "body": b"x" * MIB}))


def test_a_reader_that_takes_little_by_little_is_cut_off_in_the_end() -> None:
    taken: list[Any] = []

    async def slow(message: Any) -> None:
        await asyncio.sleep(0.005)
        taken.append(message)

    answer = Answer(slow, replace(QUICK, answer_gap_s=5))
    with pytest.raises(ReaderTooSlow):
        asyncio.run(answer.send({"type": "http.response.body", "body": b"x" * (100 * MIB)}))
    assert 0 < len(taken) < 100


# --- clients that are gone ------------------------------------------------------------------------


def test_a_reading_request_whose_client_is_gone_is_given_up() -> None:
    given_up: list[bool] = []

    async def answer(_: Any) -> None:
        try:
            await never()
        except asyncio.CancelledError:
            given_up.append(True)
            raise

    assert asyncio.run(answer_while_there(answer, whole_then_gone())) is False
    assert given_up == [True]


def test_a_client_that_stays_gets_its_answer() -> None:
    async def answer(receive: Any) -> None:
        assert await receive() == {"type": "http.request", "body": b"", "more_body": False}
        await asyncio.sleep(0.1)  # long enough to be watched

    assert asyncio.run(answer_while_there(answer, whole_then_gone(after_s=5))) is True


def test_a_body_that_nobody_asked_for_does_no_harm() -> None:
    async def answer(_: Any) -> None:
        await asyncio.sleep(0.15)  # until the body's own time is over

    async def story() -> None:
        body = Body(messages(b"a"), QUICK, Memory(QUICK))
        assert await answer_while_there(answer, body.receive) is True

    asyncio.run(story())


def test_a_server_that_ends_is_not_taken_for_a_client_that_is_gone() -> None:
    async def story() -> None:
        task = asyncio.ensure_future(answer_while_there(lambda _: never(), never))
        await asyncio.sleep(0)
        task.cancel()
        with pytest.raises(asyncio.CancelledError):
            await task

    asyncio.run(story())


def test_an_error_of_the_answer_passes() -> None:
    async def failing(_: Any) -> None:
        raise ReaderTooSlow

    with pytest.raises(ReaderTooSlow):
        asyncio.run(answer_while_there(failing, whole_then_gone(after_s=5)))
