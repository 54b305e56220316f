"""Who may call what: every handler declares its right, every key has a role.

A handler without a declared right stops the start-up.
"""

from enum import StrEnum
from typing import Any


class Right(StrEnum):
    """What a handler asks of the key that calls it."""

    NOTHING = "nothing"
    """No key at all: health, the API's document, the pages of problems."""
    READ = "read"
    CALCULATE = "calculate"
    """Look-ups and calculations: they store nothing."""
    WRITE = "write"


def needs(right: Right) -> dict[str, Any]:
    """Options of a handler that say what its key must be allowed: ``opt=needs(Right.READ)``."""
    return {"right": right}
