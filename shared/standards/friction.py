"""Friction of screws: how slippery thread and head can be, by surface and lubricant.

Coefficients of friction after ISO 16047, without unit. Always a range: two screws of one box differ
by a third. Most rows are from memory of the classes of VDI 2230-1 and ask to be checked.
"""

from dataclasses import dataclass
from functools import cache
from typing import Final

from shared.errors import InvalidInput
from shared.standards.catalogue_model import TableInfo
from shared.standards.plain_words import plain_words
from shared.standards.reader import Sourced, rows

_LONGEST: Final = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class FrictionRow(Sourced):
    """One condition of surface and lubricant.

    ``mu_least`` and ``mu_most`` hold for thread and head alike; ``nut_factor`` is the K that
    torque tables use for it (T = K F d), None where they name none. ``also_written`` are its other
    names, parted by semicolons.
    """

    condition: str
    title: str
    also_written: str
    mu_least: float
    mu_most: float
    nut_factor: float | None
    note: str


def friction_rows() -> tuple[FrictionRow, ...]:
    """Return every condition, in the order of the table."""
    return rows("friction", FrictionRow, "condition")


def friction_of(words: str, pointer: str = "/lubrication") -> FrictionRow:
    """Return the condition that ``words`` name; raises InvalidInput naming all that are known.

    >>> friction_of("Engine oil").condition
    'oiled'
    """
    row = friction_named(words)
    if row is None:
        known = "; ".join(one.condition for one in friction_rows())
        raise InvalidInput(
            pointer,
            "This condition of thread and head is not in the table.",
            f"Give one of: {known}. Or give friction with lowest and highest.",
            "lubrication-unknown",
        )
    return row


def friction_named(words: str) -> FrictionRow | None:
    """Return the condition that ``words`` name, None where they name none.

    >>> friction_named("waxed").condition, friction_named("hexagon")
    ('wax or ptfe', None)
    """
    return _by_name().get(plain_words(words)) if len(words) <= _LONGEST else None


@cache
def _by_name() -> dict[str, FrictionRow]:
    return {
        plain_words(name): row
        for row in friction_rows()
        for name in (row.condition, *filter(None, row.also_written.split(";")))
    }


TABLES: Final = (
    TableInfo(
        "friction",
        "Coefficients of friction of thread and head, least and most, by surface and lubricant",
        friction_rows,
        "From memory or common practice throughout: ranges to be careful with, not figures to"
        " design by.",
    ),
)
"""The tables of this module."""
