"""Many callers at one thing at the same moment, and what came of it."""

import threading
from collections import Counter
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any, TypeVar

T = TypeVar("T")

WAIT_SECONDS = 60.0


def race(n: int, call: Callable[[int], T]) -> list[T]:
    """Call ``call(0)`` to ``call(n - 1)`` from as many threads, which set off together.

    The results come in the order of the numbers; the first error that a call raised is raised.
    """
    start = threading.Barrier(n)

    def run(number: int) -> T:
        start.wait(WAIT_SECONDS)
        return call(number)

    with ThreadPoolExecutor(n) as threads:
        calls = [threads.submit(run, number) for number in range(n)]
        return [one.result() for one in calls]


def outcome(answer: Any) -> str:
    """An answer in a word: "201", "201 repeated", or "409 duplicate" for a problem."""
    if answer.status_code < 400:
        repeated = " repeated" if "answer-repeated" in answer.headers else ""
        return f"{answer.status_code}{repeated}"
    return f"{answer.status_code} {answer.json()['type'].removeprefix('/problems/')}"


def tally(answers: Sequence[Any]) -> dict[str, int]:
    """How often each outcome came.

    Of a race for one thing: ``assert tally(answers) == {"201": 1, "409 duplicate": 63}``.
    """
    return dict(Counter(outcome(answer) for answer in answers))


def winner(answers: Sequence[Any], loss: str) -> Any:
    """The one answer that is a success where all others must be ``loss`` ("409 duplicate")."""
    counts = tally(answers)
    wins = [answer for answer in answers if answer.status_code < 400]
    assert len(wins) == 1, f"wanted one winner; got {counts}"
    assert counts == {outcome(wins[0]): 1, loss: len(answers) - 1}, counts
    return wins[0]
