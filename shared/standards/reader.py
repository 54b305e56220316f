"""Reads the published tables that lie beside it: the only file access in ``shared``.

Each table is a CSV file in ``data/`` (UTF-8, header row); every row names its source.
"""

import csv
from functools import cache
from importlib.resources import files


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
