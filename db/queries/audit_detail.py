"""What an audit entry says of a write: the members that changed, or the record that went."""

import json
from collections.abc import Mapping
from typing import Any

from shared.decision.codec import to_builtins


def record_as_text(record: object) -> str:
    """Return a record's members as JSON, sorted, decimals and dates as text."""
    return _text(to_builtins(record))


def row_as_text(row: Mapping[Any, Any]) -> str:
    """Return the columns of a row as JSON, sorted; times and decimals as text."""
    return json.dumps(
        {str(name): value for name, value in row.items()},
        sort_keys=True,
        ensure_ascii=False,
        separators=(",", ":"),
        default=str,
    )


def members_changed(before: object, after: object) -> str:
    """Return the members that differ, as JSON: their values before and after."""
    old: dict[str, Any] = to_builtins(before)
    new: dict[str, Any] = to_builtins(after)
    changed = {
        name: {"before": old.get(name), "after": new.get(name)}
        for name in sorted(old.keys() | new.keys())
        if old.get(name) != new.get(name)
    }
    return _text(changed)


def _text(members: object) -> str:
    return json.dumps(members, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
