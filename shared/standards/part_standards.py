"""Which parts a standard is about, as far as a designation begins with it: ISO 4017, DIN 934."""

import re
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import Final

from shared.standards.catalogue_model import TableInfo
from shared.standards.reader import Sourced, rows

_OF_ISO: Final = re.compile(r"(?:DIN |EN |BS )+(?=ISO )")


class StandardPart(StrEnum):
    """What a standard's parts are, seen from the thread."""

    SCREW = "screw"
    NUT = "nut"
    OTHER = "other"
    """No thread: rings, seals, bearings, keys, washers, pins."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StandardRow(Sourced):
    """A standard and its parts, from memory."""

    standard: str
    part: StandardPart
    what: str


def part_standards() -> tuple[StandardRow, ...]:
    """Return all standards of the table."""
    return rows("part_standards", StandardRow, "standard")


@cache
def _by_name() -> dict[str, StandardRow]:
    return {row.standard: row for row in part_standards()}


def part_standard(written: str) -> StandardRow | None:
    """Return what the standard ``written`` ("DIN EN ISO 4017:2014") is about, if it is listed.

    >>> part_standard("DIN EN ISO 4017:2014").what
    'hexagon head screws, threaded to the head'
    """
    name = _OF_ISO.sub("", written.partition(":")[0])
    return _by_name().get(name)


TABLES: Final = (
    TableInfo(
        name="part_standards",
        title="What parts the standards named in designations are about",
        load=part_standards,
        note="All from memory; tells screws, nuts and parts without a thread apart, and which are"
        " thin, pointed, for lifting, or of a weak head.",
    ),
)
