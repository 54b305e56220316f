"""How much work a call is, counted: the same on every machine, however busy."""

import sys
from collections.abc import Callable
from types import FrameType
from typing import Any


def lines_run(call: Callable[[], object]) -> int:
    """How many lines of Python a call runs; what the interpreter does in C counts as its line."""
    count = 0

    def each(_frame: FrameType, event: str, _arg: Any) -> Any:
        nonlocal count
        count += event == "line"
        return each

    before = sys.gettrace()
    sys.settrace(lambda *_: each)
    try:
        call()
    finally:
        sys.settrace(before)
    return count
