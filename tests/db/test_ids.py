"""Ids rise in the order in which they are made."""

from concurrent.futures import ThreadPoolExecutor

import pytest

from db import ids
from db.ids import new_id


def test_ids_rise_and_never_repeat() -> None:
    made = [new_id("fnd") for _ in range(5_000)]
    assert made == sorted(set(made))


def test_ids_of_many_threads_never_repeat() -> None:
    with ThreadPoolExecutor(8) as threads:
        made = list(threads.map(lambda _: new_id("fnd"), range(4_000)))
    assert len(set(made)) == 4_000


def test_a_clock_that_steps_back_does_not_disturb_the_order(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    before = new_id("fnd")
    monkeypatch.setattr(ids.time, "time_ns", lambda: 0)
    assert new_id("fnd") > before


def test_an_id_is_a_prefix_and_26_lower_case_digits() -> None:
    prefix, tail = new_id("asm").split("_")
    assert prefix == "asm"
    assert len(tail) == 26 and tail.isalnum() and tail == tail.lower()
