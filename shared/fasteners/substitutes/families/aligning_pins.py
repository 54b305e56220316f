"""Pins through the holes of two parts, that bring them into line. Lengths in mm.

A pin must come out again and mark nothing: it is softer than the work. Common practice, no source.
"""

from collections.abc import Iterator
from typing import Final

from shared.fasteners.model import FeatureKind, ItemForm
from shared.fasteners.substitutes.cautions import cautions_for
from shared.fasteners.substitutes.common import (
    count_check,
    missing,
    use_check,
)
from shared.fasteners.substitutes.families.guiding import (
    gap_check,
    length_and_room,
    not_borne,
    tolerance_of,
)
from shared.fasteners.substitutes.model import (
    Candidate,
    Check,
    Drawer,
    Family,
    PartUsed,
    Piece,
    Requirement,
)
from shared.fasteners.substitutes.softness import softness_check
from shared.fasteners.substitutes.stresses import tool_material_check

LEAST_PLAY: Final = 0.005
"""Less is a press fit that does not come out."""
STANDS_OUT: Final = 5.0
"""So much is left to draw a pin by: one that is flush stays in. Common practice, no source."""
_PREPARATION: Final = "Break and polish both ends; clean and oil it."
_STEPS: Final = (
    "Clean the holes, and look for burrs: a pin that needs a blow is not aligning, it is cutting.",
    "Never turn the machine against the pin, and never hold it with one while a nut is undone: it"
    " shears.",
    "Put the pins in by hand, a light tap with a soft hammer at the most, with enough left standing"
    " out to draw them.",
    "Stop when a pin does not slide: bring the part closer with its own support, and try again.",
    "Start every fastener by hand, then draw the pins, count them, and tighten as the maker says.",
)


def candidates(requirement: Requirement, drawer: Drawer) -> Iterator[Candidate]:
    """Yield every pin of the drawer, tested for the holes."""
    use, wanted = use_check(requirement), max(requirement.count(FeatureKind.BORE), 1)
    for piece in drawer.of(ItemForm.PIN):
        yield Candidate(
            Family.ALIGNING_PINS,
            (PartUsed(piece, wanted, _PREPARATION),),
            (
                use,
                _fit(requirement, piece),
                *length_and_room(requirement, piece, STANDS_OUT, "how deep the pin must reach"),
                tool_material_check(piece, bends=True),
                softness_check(piece, requirement),
                count_check(piece, wanted),
            ),
            steps=_STEPS,
            cautions=cautions_for(requirement, Family.ALIGNING_PINS),
            notes=not_borne(requirement),
        )


def _fit(requirement: Requirement, piece: Piece) -> Check:
    name = "pin fit"
    bore, outside = requirement.size(FeatureKind.BORE), piece.size(FeatureKind.OUTSIDE_DIAMETER)
    if bore is None:
        return missing(name, "bore", "State the diameter of the holes.")
    if outside is None:
        return missing(name, "outside-diameter", f"State the diameter of {piece.name}.")
    most = tolerance_of(requirement, name, "how much play the alignment may have")
    if isinstance(most, Check):
        return most
    what = f"A pin of {outside:.5g} mm in a hole of {bore:.5g} mm"
    return gap_check(name, bore - outside, LEAST_PLAY, most, what)
