"""How much metals lengthen with temperature: coefficients of linear expansion, 10^-6 per kelvin.

Mean values between 20 °C and any temperature from -40 to 150 °C, always a range: alloys of one name
differ, and nobody knows the part's own. Plastics are left out: they move many times as much, and
with moisture too.
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
class ExpansionRow(Sourced):
    """One metal: ``least`` and ``most`` coefficient, 10^-6/K; its other names by semicolons."""

    material: str
    title: str
    also_written: str
    least: float
    most: float
    note: str


def expansion_rows() -> tuple[ExpansionRow, ...]:
    """Return every metal, in the order of the table."""
    return rows("thermal_expansion", ExpansionRow, "material")


def expansion_of(words: str, pointer: str = "/material") -> ExpansionRow:
    """Return the metal that ``words`` name; raises InvalidInput naming all that are known.

    >>> expansion_of("Grey iron").material
    'grey cast iron'
    """
    row = _by_name().get(plain_words(words)) if len(words) <= _LONGEST else None
    if row is None:
        known = "; ".join(one.material for one in expansion_rows())
        raise InvalidInput(
            pointer,
            "The thermal expansion of this material is not in the table.",
            f"Give one of: {known}. Left out, the widest range of the metals counts.",
            "material-unknown",
        )
    return row


def widest_expansion() -> tuple[float, float]:
    """Return the least and the most of all metals of the table, 10^-6/K.

    >>> widest_expansion()
    (8.0, 35.0)
    """
    return min(row.least for row in expansion_rows()), max(row.most for row in expansion_rows())


@cache
def _by_name() -> dict[str, ExpansionRow]:
    return {
        plain_words(name): row
        for row in expansion_rows()
        for name in (row.material, *filter(None, row.also_written.split(";")))
    }


TABLES: Final = (
    TableInfo(
        "thermal_expansion",
        "Linear thermal expansion of metals near room temperature, least and most",
        expansion_rows,
        "Ranges set around published single values, wider than these, for -40 to 150 °C."
        " Plastics are left out.",
    ),
)
"""The tables of this module."""
