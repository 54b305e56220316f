"""The rings of a drawer, tested on the face that takes the load. mm."""

from math import inf
from typing import Final

from shared.fasteners.model import FeatureKind, ItemForm
from shared.fasteners.substitutes.families.ring_fit import (
    RING_FORMS,
    along_of,
    ring_checks,
    ring_parts,
    size_of,
)
from shared.fasteners.substitutes.families.rod_model import Role, nearness
from shared.fasteners.substitutes.model import Drawer, PartUsed, Piece, Requirement


class Rings:
    """The rings of a drawer, tested on the face once for all rods."""

    def __init__(self, requirement: Requirement, drawer: Drawer) -> None:
        """Test every ring."""
        every = [
            Role(
                (PartUsed(piece, 1, "see that its ends are square, and break their edges"),),
                ring_checks(requirement, piece),
                ring_parts(requirement, piece),
                along_of(piece) or 0.0,
            )
            for piece in drawer.of(*RING_FORMS)
        ]
        self.fit = tuple(one for one in every if one.is_there and one.length > 0)
        self.nearest = max(
            self.fit or every, key=lambda one: (*nearness(one.checks), one.bears), default=None
        )


def narrowest(ring: Piece) -> float:
    """Return the narrowest hole right through a ring, mm; 0 where it is not stated."""
    hole = size_of(ring, FeatureKind.BORE) or 0.0
    if ring.form is ItemForm.SOCKET:
        # Its drive end is narrower than its open end, and no size of the open end tells it.
        return min(hole, size_of(ring, FeatureKind.CLEAR_DIAMETER) or 0.0)
    return min(hole, size_of(ring, FeatureKind.CLEAR_DIAMETER) or inf)


PLAY: Final = 0.2
"""Play, mm, of the rod in a ring. Common practice, no source."""
