"""Published tables as data files, a source per row, and their reader."""

from shared.standards.reader import table

__all__ = ["table"]
