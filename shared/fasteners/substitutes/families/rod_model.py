"""What a rod with nuts is put together from: the facts of the work, and pieces in their roles.

mm, N, MPa.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import inf
from typing import NamedTuple

from shared.fasteners.model import FeatureKind, TightRing, ToolFunction
from shared.fasteners.substitutes.common import COMMON_PRACTICE, missing
from shared.fasteners.substitutes.families.ring_fit import asked_size, face_checks
from shared.fasteners.substitutes.model import Check, PartUsed, Requirement
from shared.fasteners.substitutes.screw_work import Arms, PartAllows, surely_given
from shared.fasteners.turning import MM_PER_M


class Facts(NamedTuple):
    """The sizes of the work, mm; ``through`` is the clear hole right through part and housing.

    ``span`` is what the bar bridges, 0 in a pull; ``width`` is what goes into the tube, 0 else.
    """

    bore: float
    face_inside: float
    face_outside: float
    reach: float
    travel: float
    through: float
    span: float
    width: float
    function: ToolFunction
    tight_ring: TightRing

    @property
    def is_pull(self) -> bool:
        """Whether the part comes out into a tube."""
        return self.function is ToolFunction.PULL

    @property
    def enters(self) -> bool:
        """Whether the ring follows the part into the housing's bore."""
        return self.function is not ToolFunction.COMPRESS


def facts_of(requirement: Requirement) -> tuple[Facts | None, tuple[Check, ...]]:
    """Return the facts of the work, and the checks that fail for want of one."""
    found = list(face_checks(requirement))
    is_pull = requirement.function is ToolFunction.PULL
    wanted = [
        (FeatureKind.REACH, "how far apart the two outer faces are at the start"),
        (FeatureKind.TRAVEL, "how far the part has to go"),
        (FeatureKind.CLEAR_DIAMETER, "the clear hole right through part and housing"),
    ]
    if is_pull:
        wanted.append((FeatureKind.WIDTH, "the length of the part that goes into the tube"))
    else:
        wanted.append((FeatureKind.SPACING, "the span that the bar bridges"))
    found += [
        missing("set-up", kind.value, f"State {what}.")
        for kind, what in wanted
        if asked_size(requirement, kind) is None
    ]
    ring = requirement.tight_ring
    if ring is TightRing.INNER:
        # Bar and tube stand on the housing: what sits tight on a shaft needs the shaft held.
        detail = "The inner ring sits tight on its shaft, and bar or tube bears on the housing: the"
        detail += " load would go through the balls. Hold the shaft itself; take a press and ring."
        found.append(Check("tight ring", False, detail, COMMON_PRACTICE))
    if found or ring is None:
        return None, tuple(found)

    def size(kind: FeatureKind) -> float:
        return asked_size(requirement, kind) or 0.0

    facts = Facts(
        bore=size(FeatureKind.BORE),
        face_inside=size(FeatureKind.FACE_INSIDE),
        face_outside=size(FeatureKind.FACE_OUTSIDE),
        reach=size(FeatureKind.REACH),
        travel=size(FeatureKind.TRAVEL),
        through=size(FeatureKind.CLEAR_DIAMETER),
        span=0.0 if is_pull else size(FeatureKind.SPACING),
        width=size(FeatureKind.WIDTH) if is_pull else 0.0,
        function=requirement.function,
        tight_ring=ring,
    )
    return facts, ()


@dataclass(frozen=True, slots=True)
class Role:
    """Pieces that do one thing in the set-up: how long they are along the rod, what they bear."""

    used: tuple[PartUsed, ...]
    checks: tuple[Check, ...]
    parts: tuple[PartAllows, ...]
    length: float

    @property
    def is_fit(self) -> bool:
        """Whether its own checks pass."""
        return all(check.passes for check in self.checks)

    @property
    def is_there(self) -> bool:
        """Whether its own checks pass, and there is one of each of its pieces."""
        return self.is_fit and all(part.piece.quantity >= part.count for part in self.used)

    @property
    def bears(self) -> float:
        """The least force that one of its parts bears, N."""
        return min((part.force for part in self.parts), default=inf)

    @property
    def is_on_hand(self) -> bool:
        """Whether its pieces lie in the shop."""
        return all(part.piece.is_on_hand for part in self.used)

    @property
    def key(self) -> tuple[str, ...]:
        """The keys of its pieces."""
        return tuple(part.piece.key for part in self.used)


def gives(force: float, arms: Arms) -> float:
    """Return what is surely given, N, where a part that bears ``force`` sets the torque."""
    return surely_given(force * arms.least / MM_PER_M, arms)


def nearness(checks: Iterable[Check]) -> tuple[int, float]:
    """Return how near checks are to passing: fewest that fail, then the least margin of these.

    What only lacks a fact may yet pass: it is nearer than what is known not to.
    """
    failing = [check for check in checks if not check.passes]
    margins = [1.0 if check.missing is not None else check.margin or 0.0 for check in failing]
    return -len(failing), min(margins, default=inf)
