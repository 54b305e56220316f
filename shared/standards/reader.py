"""Reads the published tables that lie beside it: the only file access in ``shared``.

Each table is a CSV file in ``data/`` (UTF-8, header row); every row names its source. Tables read
by ``rows`` are checked as they are loaded: a row without source or edition, a figure that is none,
a column too many, a doubled key stop the service instead of giving a wrong answer.
"""

import csv
from dataclasses import dataclass, fields
from enum import StrEnum
from functools import cache
from importlib.resources import files
from math import isfinite
from types import UnionType
from typing import Any, Final, TypeVar, Union, get_args, get_origin, get_type_hints

from shared.errors import CorewrightError

R = TypeVar("R", bound="Sourced")


class BrokenTable(CorewrightError):
    """A table breaks the rules of the house: a fault of the program, not of a request."""


class Basis(StrEnum):
    """How far a row may be trusted."""

    FORMULA = "formula"
    """Computed from the formula by which the standard defines it."""
    TWO_SOURCES = "two-sources"
    """Two independent origins agree: memory of the standard and a library or public table, say."""
    ONE_SOURCE = "one-source"
    MEMORY = "memory"
    """The authors' memory of the standard only: to be checked against the printed one."""
    COMMON_PRACTICE = "common-practice"
    """A rule of the trade without a published source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sourced:
    """What every row of a table carries: the publication, its edition, how far it is confirmed."""

    source: str
    edition: str
    basis: Basis


@cache
def table(name: str) -> tuple[dict[str, str], ...]:
    """Return the rows of ``data/<name>.csv`` in file order, each a mapping from column to text.

    ``name`` is the program's own word, never text from a request. The rows are shared between
    callers: read them, never change them.

    >>> table("units")[0]["code"]
    'mm'
    """
    text = (files("shared.standards") / "data" / f"{name}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


@cache
def rows(name: str, kind: type[R], *key: str) -> tuple[R, ...]:
    """Return the rows of ``data/<name>.csv`` as ``kind``, whose fields are the columns.

    Text, whole numbers, finite numbers, words of a closed list, and any of these or nothing
    (``float | None``, an empty cell) are read by the field's type. ``key`` names the fields that
    together occur once. Raises BrokenTable with file, line and column.
    """
    wanted = [field.name for field in fields(kind)]
    types = get_type_hints(kind)
    found: list[R] = []
    seen: dict[tuple[Any, ...], int] = {}
    for line, row in enumerate(table(name), start=2):
        if None in row or set(row) != set(wanted) or None in row.values():
            raise BrokenTable(f"{name}.csv line {line}: wanted the columns {wanted}")
        made = kind(**{field: _cell(row[field], types[field], name, line, field) for field in row})
        if not made.source or not made.edition:
            raise BrokenTable(f"{name}.csv line {line}: a row needs its source and edition")
        if key:
            own = tuple(getattr(made, field) for field in key)
            if own in seen:
                raise BrokenTable(f"{name}.csv line {line}: {own} stands in line {seen[own]} too")
            seen[own] = line
        found.append(made)
    return tuple(found)


_ABSENT: Final = ""


def _cell(text: str, kind: Any, name: str, line: int, field: str) -> Any:
    if get_origin(kind) in {Union, UnionType}:
        if text == _ABSENT:
            return None
        (kind,) = (one for one in get_args(kind) if one is not type(None))
    try:
        if text != text.strip():
            raise ValueError
        value = kind(text)
        if kind is float and not isfinite(value):
            raise ValueError
    except ValueError:
        raise BrokenTable(
            f"{name}.csv line {line}: {field} is '{text}', which is no {kind.__name__}"
        ) from None
    return value
