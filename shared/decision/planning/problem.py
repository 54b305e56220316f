"""A linear problem in whole numbers: variables, rows, an aim to be made least."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

Terms = Mapping[int, int]
"""Variable index to coefficient."""


@dataclass(frozen=True, slots=True)
class Row:
    """low <= sum of coefficient times variable <= high; None: no bound on that side."""

    terms: Terms
    low: int | None
    high: int | None


@dataclass(frozen=True, slots=True)
class Slip:
    """These charges together are not there by a day after all (``timing.meets_confidence``)."""

    day: int
    charge_ids: frozenset[str]


@dataclass
class Formulation:
    """The problem. Variable i is a whole number from 0 to ``highs[i]``."""

    highs: list[int] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)
    aim: dict[int, int] = field(default_factory=dict)
    source_at: dict[str, int] = field(default_factory=dict)
    charge_at: dict[str, int] = field(default_factory=dict)
    fillings: list[tuple[tuple[int, ...], tuple[int, ...]]] = field(default_factory=list)
    """Parts, wholes: exactly one of the parts holds for each whole that does; lower ones first."""
    arrival_at: dict[int, int] = field(default_factory=dict)
    """Where the ready day has its price: the variable of each arrival day planned with."""
    is_possible: bool = True
    """False: found impossible while it was written down."""

    def variable(self, high: int = 1) -> int:
        """Add a variable, return its index."""
        self.highs.append(high)
        return len(self.highs) - 1

    def row(self, terms: Terms, low: int | None, high: int | None) -> None:
        """Add a row; one without terms is settled at once."""
        if 0 in terms.values():
            terms = {index: factor for index, factor in terms.items() if factor}
        if terms:
            self.rows.append(Row(terms, low, high))
        elif (low is not None and low > 0) or (high is not None and high < 0):
            self.is_possible = False

    def pay(self, index: int, amount: int) -> None:
        """Add to the aim: an amount for each unit of a variable."""
        self.aim[index] = self.aim.get(index, 0) + amount

    def lessened(self, terms: Terms) -> dict[int, int]:
        """The same sum for every solution, in smaller numbers.

        What each way to fill a position adds at least is counted with the whole that it is a part
        of. The optimiser then sees what a choice costs beyond the least there is, and its bounds
        say so much more that large cases take a tenth of the time.
        """
        total = dict(terms)
        for parts, wholes in self.fillings:
            values = [total.get(index, 0) for index in parts]
            least = min(values)
            if least:
                total.update(zip(parts, [value - least for value in values], strict=True))
                for index in wholes:
                    total[index] = total.get(index, 0) + least
        return {index: factor for index, factor in total.items() if factor}

    def planned_arrival(self, values: Sequence[int]) -> int | None:
        """Arrival day that these values plan with; None: any that the deadline leaves."""
        return next((day for day, index in self.arrival_at.items() if values[index]), None)
