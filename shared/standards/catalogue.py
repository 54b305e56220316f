"""The list of the house's tables: what each holds, from which publications, how far confirmed.

Every module beside this one that has ``TABLES`` is in the list; nothing else has to be told of a
new table.
"""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from pkgutil import iter_modules
from typing import Any, Final

import shared.standards as package
from shared.standards.catalogue_model import TableInfo
from shared.standards.reader import Basis, BrokenTable, table

_OWN: Final = frozenset({"catalogue", "catalogue_model", "reader"})


@dataclass(frozen=True, slots=True)
class SourceSummary:
    """One publication in one edition, and how many rows of a table rest on it how firmly."""

    source: str
    edition: str
    rows: int
    basis: Mapping[Basis, int]


@dataclass(frozen=True, slots=True)
class TableSummary:
    """A table of the house: its name, what it holds, its sources."""

    name: str
    title: str
    note: str
    rows: int
    sources: tuple[SourceSummary, ...]

    @property
    def basis(self) -> Mapping[Basis, int]:
        """How many rows of the whole table rest on what."""
        counts: Counter[Basis] = Counter()
        for source in self.sources:
            counts.update(source.basis)
        return counts


@cache
def tables() -> tuple[TableInfo, ...]:
    """Return every table of the house, by name. Raises BrokenTable for a name used twice."""
    found = sorted((*_of_modules(), *_UNITS), key=lambda info: info.name)
    names = Counter(info.name for info in found)
    twice = [name for name, count in names.items() if count > 1]
    if twice:
        raise BrokenTable(f"Two tables are called {', '.join(twice)}.")
    return tuple(found)


@cache
def catalogue() -> tuple[TableSummary, ...]:
    """Read and check every table, and summarise it; raises BrokenTable for the first broken one."""
    return tuple(_summary(info) for info in tables())


def load_all() -> int:
    """Read and check every table, for the start of the service; returns how many rows there are.

    Raises BrokenTable: better no service than one that answers from a broken table.
    """
    return sum(summary.rows for summary in catalogue())


def _of_modules() -> Iterator[TableInfo]:
    for module in iter_modules(package.__path__):
        if module.name not in _OWN:
            loaded = import_module(f"{package.__name__}.{module.name}")
            yield from getattr(loaded, "TABLES", ())


def _summary(info: TableInfo) -> TableSummary:
    counts: dict[tuple[str, str], Counter[Basis]] = {}
    for row in info.load():
        source, edition, basis = _origin(row, info)
        counts.setdefault((source, edition), Counter())[basis] += 1
    if not counts:
        raise BrokenTable(f"The table {info.name} has no rows.")
    sources = tuple(
        SourceSummary(source, edition, basis.total(), dict(basis))
        for (source, edition), basis in counts.items()
    )
    return TableSummary(
        info.name, info.title, info.note, sum(source.rows for source in sources), sources
    )


def _origin(row: Any, info: TableInfo) -> tuple[str, str, Basis]:
    """Return source, edition and basis of a row; of a thread its standard is the source."""
    if isinstance(row, Mapping):
        return _origin_of_unit(row)
    source = getattr(row, "source", None) or getattr(row, "standard", None)
    edition = getattr(row, "edition", None)
    basis = getattr(row, "basis", None)
    if not source or edition is None or not isinstance(basis, Basis):
        raise BrokenTable(f"A row of {info.name} does not say what it rests on.")
    return source, edition, basis


def _origin_of_unit(row: Mapping[str, str]) -> tuple[str, str, Basis]:
    """Tell the words of a unit's source apart: the publication, and how it was come by."""
    source = row["source"]
    if "common practice" in source:
        return source, "", Basis.COMMON_PRACTICE
    if "from memory" in source:
        return source.replace(", from memory", ""), "from memory", Basis.MEMORY
    return source, "", Basis.ONE_SOURCE


_UNITS: Final = (
    TableInfo(
        "units",
        "Unit codes, their kinds and their definitions",
        lambda: table("units"),
        "Definitions from memory; each factor is compared with a units library in the tests.",
    ),
    TableInfo(
        "unit_spellings",
        "How the trade writes units, and what each spelling means",
        lambda: table("unit_spellings"),
    ),
)
"""Read by ``shared.quantities``, which stands above this package; their rows have older columns."""
