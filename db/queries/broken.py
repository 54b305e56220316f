"""What the database refuses, in words: each named truth carries its own explanation."""

import functools
import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Final

from sqlalchemy import CheckConstraint
from sqlalchemy.exc import IntegrityError

from db.models import metadata
from shared.errors import InvalidInput

_SQLITE_CHECK: Final = re.compile(r"CHECK constraint failed: (\w+)")


@contextmanager
def explained(below: str = "") -> Iterator[None]:
    """Turn a broken CHECK into the InvalidInput that its truth states; others pass through.

    ``below`` is where the row lies in the record ("/serviceability").
    """
    try:
        yield
    except IntegrityError as error:
        told = _explanations().get(_name_of(error) or "")
        if told is None:
            raise
        raise InvalidInput(
            below + told["pointer"], told["detail"], told["fix"], "not-true"
        ) from error


@functools.cache
def _explanations() -> dict[str, dict[Any, Any]]:
    return {
        str(constraint.name): constraint.info
        for table in metadata.tables.values()
        for constraint in table.constraints
        if isinstance(constraint, CheckConstraint) and "pointer" in constraint.info
    }


def _name_of(error: IntegrityError) -> str | None:
    """Return the name of the broken constraint: psycopg tells it, SQLite only of a CHECK."""
    told = getattr(getattr(error.orig, "diag", None), "constraint_name", None)
    if told is not None:
        return str(told)
    found = _SQLITE_CHECK.search(str(error.orig))
    return found.group(1) if found else None
