"""Whole requests and answers for the API's document, as real runs gave them.

``api/examples/<tag>.json`` holds, by operation id, the members ``path`` and ``query`` (parameters
as they were sent), ``request`` and ``answer`` of one run; tests write them and hold them true.
"""

import json
from functools import cache
from pathlib import Path
from typing import Any, Final

from litestar.handlers import HTTPRouteHandler

FOLDER: Final = Path(__file__).with_name("examples")


def example_of(handler: HTTPRouteHandler) -> dict[str, Any]:
    """Return the example of a handler's operation; empty where none was kept."""
    return examples().get(str(handler.operation_id), {})


@cache
def examples() -> dict[str, dict[str, Any]]:
    """Return all examples by operation id."""
    found: dict[str, dict[str, Any]] = {}
    for path in sorted(FOLDER.glob("*.json")):
        found |= json.loads(path.read_text(encoding="utf-8"))
    return found
