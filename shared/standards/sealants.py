"""How hard a sealed joint holds its two faces together, by what seals it. MPa on the sealed area.

Pulled straight apart, all of the area at once. Ranges of common practice, no source: estimates,
good for telling how strong a set-up has to be, never for how little would do.
"""

from dataclasses import dataclass
from functools import cache
from typing import Final

from shared.errors import InvalidInput
from shared.standards.catalogue_model import TableInfo
from shared.standards.plain_words import plain_words
from shared.standards.reader import Sourced, rows

UNKNOWN: Final = "unknown"
"""The row that counts where nobody says what seals the joint."""

_LONGEST: Final = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Sealant(Sourced):
    """What seals a joint between metal faces.

    ``bond_least`` and ``bond_most`` are the tensile strength of the bond, MPa. ``also_written``
    are its other names, parted by semicolons.
    """

    sealant: str
    title: str
    also_written: str
    bond_least: float
    bond_most: float
    note: str


def sealants() -> tuple[Sealant, ...]:
    """Return every sealant, in the order of the table."""
    return rows("sealants", Sealant, "sealant")


def sealant_of(words: str, pointer: str = "/sealant") -> Sealant:
    """Return the sealant that ``words`` name; raises InvalidInput naming all that are known.

    >>> sealant_of("RTV silicone").sealant
    'silicone'
    """
    row = _by_name().get(plain_words(words)) if len(words) <= _LONGEST else None
    if row is None:
        known = "; ".join(one.sealant for one in sealants())
        raise InvalidInput(
            pointer,
            "This sealant is not in the table.",
            f"Give one of: {known}. Or state the force.",
            "sealant-unknown",
        )
    return row


@cache
def _by_name() -> dict[str, Sealant]:
    return {
        plain_words(name): row
        for row in sealants()
        for name in (row.sealant, row.title, *row.also_written.split(";"))
        if name
    }


TABLES: Final = (
    TableInfo(
        "sealants",
        "Tensile bond strength of sealants and stuck gaskets between metal faces, least and most",
        sealants,
        "Common practice throughout, no source: estimates. Prying from an edge, a thin blade,"
        " scraping and heat lower them.",
    ),
)
"""The tables of this module."""
