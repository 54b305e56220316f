"""A rolling bearing that was never run, where its duty is stated: fatigue by ISO 281.

The worse of the rating life and of what else is on record counts: a rating knows fatigue alone, the
shop's record what happens to bearings of this kind wherever they sit. A bearing that has run is no
matter of a rating.
"""

from dataclasses import replace

from shared.decision.building.planned import PlannedPosition
from shared.decision.building.risk import Prospect, worse_of
from shared.decision.snapshot import Snapshot
from shared.life.bearing_rating import life_of_duty
from shared.life.weibull import LifeSpec


def with_duty(snapshot: Snapshot, planned: PlannedPosition, outlook: Prospect) -> Prospect:
    """How goods never run are expected to last at a position: as before, or by its duty if worse.

    Several pieces last as long as the first of them to fail (a series of equal Weibull lives).
    """
    duty = planned.position.duty
    if duty is None:
        return outlook
    found = life_of_duty(duty)
    if found.life is None:
        return replace(outlook, basis=f"{outlook.basis}; {found.basis}")
    pieces = planned.quantity
    scale = found.life.scale_hours * pieces ** (-1 / found.life.shape)
    basis = found.basis if pieces == 1 else f"{found.basis}, the first of {pieces} to fail"
    return worse_of(snapshot, outlook, Prospect(LifeSpec(found.life.shape, scale), basis))
