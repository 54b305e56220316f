"""What was seen of a kind of part: hours at which some failed, and that others have run so far."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import fsum, isfinite, log

from shared.errors import InvalidInput, OutOfRange

MOST_TIMES = 5000
MOST_ALIKE = 1_000_000


@dataclass(frozen=True, slots=True)
class Alike:
    """So many parts with the same hours."""

    hours: float
    count: int = 1


@dataclass(frozen=True, slots=True)
class Observed:
    """Failed parts and suspended ones: running still, or taken out for another reason.

    Raises InvalidInput for no times at all and for more than 5,000 different entries, OutOfRange
    for hours that are not above 0 and for a count outside 1 to 10^6.
    """

    failures: tuple[Alike, ...]
    suspended: tuple[Alike, ...] = ()

    def __post_init__(self) -> None:
        if not self.failures and not self.suspended:
            raise InvalidInput("/failures", "There are no times at all.", "Give at least one time.")
        if len(self.failures) + len(self.suspended) > MOST_TIMES:
            raise InvalidInput(
                "/failures",
                f"There are more than {MOST_TIMES} entries.",
                "Put equal times together, with their count.",
                "too-many",
            )
        for name, entries in (("failures", self.failures), ("suspended", self.suspended)):
            for index, entry in enumerate(entries):
                if not (isfinite(entry.hours) and entry.hours > 0):
                    raise OutOfRange(f"{name}/{index}/hours", entry.hours, "above 0 h")
                if not 1 <= entry.count <= MOST_ALIKE:
                    wanted = f"from 1 to {MOST_ALIKE}"
                    raise OutOfRange(f"{name}/{index}/count", entry.count, wanted)

    @classmethod
    def of(
        cls, failure_hours: Iterable[float], suspended_hours: Iterable[float] = ()
    ) -> "Observed":
        """Make a record of plain times, one part each."""
        return cls(tuple(map(Alike, failure_hours)), tuple(map(Alike, suspended_hours)))

    @property
    def all(self) -> tuple[Alike, ...]:
        """Failed and suspended parts together."""
        return (*self.failures, *self.suspended)

    @property
    def failure_count(self) -> int:
        """How many parts failed."""
        return sum(entry.count for entry in self.failures)

    @property
    def suspended_count(self) -> int:
        """How many parts had not failed."""
        return sum(entry.count for entry in self.suspended)

    @property
    def longest_hours(self) -> float:
        """The most hours that any part ran."""
        return max(entry.hours for entry in self.all)

    def sum_of_logs(self, unit_hours: float) -> float:
        """Sum of ln(t / unit) over the failed parts."""
        return fsum(entry.count * log(entry.hours / unit_hours) for entry in self.failures)

    def sum_of_powers(self, shape: float, unit_hours: float) -> float:
        """Sum of (t / unit)^shape over all parts."""
        return fsum(entry.count * (entry.hours / unit_hours) ** shape for entry in self.all)
