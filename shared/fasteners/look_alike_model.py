"""What is said of a screw turned into a hole of another thread. Lengths in mm, angles in degrees.

``screw`` and ``hole`` are canonical designations (``Thread.designation``).
"""

from dataclasses import dataclass
from enum import StrEnum


class Starts(StrEnum):
    """Whether the screw enters the hole."""

    ALWAYS = "always"
    """Any two parts made within their tolerances."""
    SOMETIMES = "at the tolerance limits"
    """Only a small screw in a large hole: new ones near their limits, or worn ones."""
    NEVER = "never"


class Outcome(StrEnum):
    """What comes of turning the screw in."""

    RUNS_POORLY = "runs fully, holds poorly"
    """Some parts of this pair go in all the way and feel right: the dangerous outcome."""
    BINDS = "binds"
    RUNS_HOLDS = "runs fully, holds"
    """The same thread under another name, or two threads made for each other."""
    BLOCKED = "blocked"
    SLIPS = "slips through"
    """The screw is smaller than the hole's thread: nothing grips."""


class StoppedBy(StrEnum):
    """What ends the turning."""

    PITCH = "pitch"
    TAPER = "taper"
    DIAMETER = "diameter"
    HAND = "hand"
    """One is left-hand, the other right-hand."""
    NOTHING = "nothing"


@dataclass(frozen=True, slots=True)
class LookAlike:
    """A screw in a hole that is not its own.

    ``turns_least`` is the largest screw in the smallest hole (0: it does not start there),
    ``turns_most`` the smallest screw in the largest hole; None where no turns can be told: nothing
    stops it, or a taper does. ``turns_available`` is the engagement over the hole's pitch.
    ``turns_to_half_pitch`` is where ridges stand against ridges, None at equal pitches.
    ``reverse`` and ``reverse_starts`` tell of the same threads with screw and hole exchanged, None
    where one of them has no such side. ``pitch_error``, ``diameter_error`` and ``angle_error`` are
    the screw's less the hole's; ``relative_pitch_error`` is in parts of the hole's pitch.
    ``overlap`` and ``overlap_least`` are the radial overlap of the flanks in parts of the hole's
    full depth, at basic sizes and at the limits. ``strip_share`` estimates what of the right
    screw's strip strength is left at the limits, None where a taper takes part.
    """

    screw: str
    hole: str
    starts: Starts
    outcome: Outcome
    reverse_starts: Starts | None
    reverse: Outcome | None
    stopped_by: StoppedBy
    turns_least: float | None
    turns_most: float | None
    turns_available: float
    turns_to_half_pitch: float | None
    pitch_error: float
    relative_pitch_error: float
    diameter_error: float
    angle_error: float
    overlap: float
    overlap_least: float
    strip_share: float | None
    tell_apart: tuple[str, ...]
    note: str = ""

    @property
    def is_one_way(self) -> bool:
        """Whether the same two threads the other way round go in less readily or not at all."""
        if self.reverse is None or self.outcome in {Outcome.BLOCKED, Outcome.SLIPS}:
            return False
        runs = self.outcome in {Outcome.RUNS_POORLY, Outcome.RUNS_HOLDS}
        is_readier = self.starts is Starts.ALWAYS and self.reverse_starts is not Starts.ALWAYS
        return (
            is_readier
            or self.reverse is Outcome.BLOCKED
            or (runs and self.reverse is Outcome.BINDS)
        )


CAUTIONS: tuple[str, ...] = (
    "That a screw goes in proves nothing: use the thread that the maker names, above all where a"
    " life hangs on the joint, in brakes, steering, lifting gear and parts under pressure.",
    "Local codes and the rules of licensed trades (gas, pressure, lifting, road brakes) come"
    " first.",
    "Turns are computed from tolerances of new parts; worn, plated, painted or rusted ones differ.",
    "A designation without a mark is right-hand by the standards; of a part in hand nothing is"
    " known until its helix is seen: seen upright, a right-hand thread rises to the right.",
)
"""What travels with every answer."""

ESTIMATED_LIMITS = (
    "No published limits of {designation} are in the house: its tolerances are estimated from the"
    " formulas of ISO 965-1, grade 6, without an allowance."
)
"""Said of a parallel thread whose limits are not in the house."""
