"""Published tables as data files, a source per row, and their reader."""

from shared.standards.reader import Basis, BrokenTable, Sourced, rows, table

__all__ = ["Basis", "BrokenTable", "Sourced", "rows", "table"]
