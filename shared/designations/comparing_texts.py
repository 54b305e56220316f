"""Two designations as people write them, compared: what is wanted, what is offered."""

from dataclasses import dataclass, replace

from shared.designations.comparing import compare
from shared.designations.described import type_conflict
from shared.designations.model import Bearing, Comparison, Designated, StandIn
from shared.designations.reading import read_designation


@dataclass(frozen=True, slots=True)
class Compared:
    """Both parts as read, the comparison, and what else contradicts about the wanted one."""

    wanted: Designated
    offered: Designated
    comparison: Comparison
    conflicts: tuple[str, ...] = ()


def compare_texts(wanted: str, offered: str, described: str | None = None) -> Compared:
    """Read and compare; ``described`` is what a parts list calls the wanted part.

    Where number and description contradict nothing is decided: the outcome is at best "cannot be
    told". Raises InvalidInput or Ambiguous at /wanted or /offered for text that is not one part.
    """
    asked = read_designation(wanted, "/wanted")
    given = read_designation(offered, "/offered")
    found = compare(asked, given)
    conflict = None
    if described is not None and isinstance(asked, Bearing):
        conflict = type_conflict(described, asked.basic, [asked.type_name])
    if conflict is None:
        return Compared(asked, given, found)
    if found.outcome is not StandIn.NO:
        found = replace(found, outcome=StandIn.UNKNOWN)
    return Compared(asked, given, found, (conflict,))
