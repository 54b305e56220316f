"""Kinds that several threads ask for first at the same moment."""

import subprocess
import sys

ROUNDS = 100

PROGRAM = f"""
import dataclasses, sys, threading
from shared.typed import convert

sys.setswitchinterval(1e-6)


def kind(depth):
    members = [("a", int), ("b", int)]
    if depth:
        members.insert(1, ("inner", kind(depth - 1)))
    return dataclasses.make_dataclass("Kind" + str(depth), members)


def data(depth):
    return dict(a=1, b=2) | (dict(inner=data(depth - 1)) if depth else dict())


def first(gate, one, answers):
    gate.wait()
    answers.append(convert(data(6), one))


for _ in range({ROUNDS}):
    gate, one, answers = threading.Barrier(8), kind(6), []
    callers = [threading.Thread(target=first, args=(gate, one, answers)) for _ in range(8)]
    for caller in callers:
        caller.start()
    for caller in callers:
        caller.join()
    assert len(answers) == 8 and all(answer == answers[0] for answer in answers)
"""


def test_the_first_callers_of_a_kind_may_come_at_once() -> None:
    # The library alone ends the process here by SIGSEGV, within the first rounds.
    ended = subprocess.run(
        [sys.executable, "-c", PROGRAM], check=False, capture_output=True, text=True
    )
    assert (ended.returncode, ended.stderr) == (0, "")
