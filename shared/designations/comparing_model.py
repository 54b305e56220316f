"""A running comparison: every difference lowers what the answer may be, and says why."""

from dataclasses import dataclass, field
from typing import Final

from shared.designations.model import Comparison, StandIn

_FROM_BEST: Final = (
    StandIn.SAME,
    StandIn.SERVES,
    StandIn.ON_CONDITION,
    StandIn.UNKNOWN,
    StandIn.NO,
)


@dataclass(slots=True)
class Differences:
    """Collects what is gained, lost and to be checked; the outcome is the worst that was said."""

    outcome: StandIn = StandIn.SAME
    gained: list[str] = field(default_factory=list)
    lost: list[str] = field(default_factory=list)
    conditions: list[str] = field(default_factory=list)

    def at_best(self, outcome: StandIn) -> None:
        """Lower the outcome to ``outcome`` where it is better."""
        self.outcome = max(self.outcome, outcome, key=_FROM_BEST.index)

    def refuse(self, lost: str) -> None:
        """What the offered part lacks rules it out."""
        self.at_best(StandIn.NO)
        self.lost.append(lost)

    def ask(self, condition: str, *, gained: str = "", lost: str = "") -> None:
        """A difference that has to be looked at."""
        self.at_best(StandIn.ON_CONDITION)
        if condition not in self.conditions:
            self.conditions.append(condition)
        if gained:
            self.gained.append(gained)
        if lost:
            self.lost.append(lost)

    def better(self, gained: str) -> None:
        """A difference that only improves."""
        self.at_best(StandIn.SERVES)
        self.gained.append(gained)

    def found(self) -> Comparison:
        """The comparison as it goes out."""
        return Comparison(
            self.outcome, tuple(self.gained), tuple(self.lost), tuple(self.conditions)
        )
