"""How what the customer pays until the unit is handed over may turn out, tax included.

Convention: labour is billed by the hours worked at the shop's rate, with workshop supplies as their
share of it; quoted is every operation at its P50. A part that has yet to prove good either does, or
what takes its place is billed besides. A loan or hire is billed to the day on which the unit is
ready. All else is billed as quoted. Operations, proofs and arrivals are independent of one another.
Amounts are whole minor units; hours lie on the grid of ``hours.py``, within which they are rounded
to the middle of a cell.
Source: distribution of a sum of independent random variables (textbook).
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from shared.decision.planning.case import PlanningCase
from shared.decision.planning.timing import latest_arrival
from shared.decision.result import AmountChance, TotalSpread
from shared.decision.telling.figures import chance_number
from shared.decision.telling.finish import DayCurve
from shared.decision.telling.hours import Labour
from shared.money import Money, round_half_up

if TYPE_CHECKING:
    from numpy import float64, int64
    from numpy.typing import NDArray

OUTCOMES_AT_MOST = 256
"""Outcomes of proofs kept apart; more are put on a grid of so many amounts that keeps the mean."""
POINTS_AT_MOST = 40
_LEVELS = (0.005, *(step / 40 for step in range(1, 40)), 0.995)


@dataclass(frozen=True, slots=True)
class Gamble:
    """With ``chance`` nothing happens; otherwise ``amount`` (minor units, no tax) is paid."""

    chance: float
    amount: int


@dataclass(frozen=True, slots=True)
class Bill:
    """What a plan is billed at, and what may move it; amounts in minor units.

    ``to_pay`` is as quoted, with tax. ``labour_per_hour`` is the price of an hour with its share of
    supplies, without tax.
    """

    to_pay: int
    tax_percent: Decimal
    labour_per_hour: Decimal
    labour: Labour
    arrived: DayCurve
    gambles: tuple[Gamble, ...] = ()
    waiting_by_day: tuple[int, ...] = ()
    """Price of a loan or hire by ready day; empty: none is billed."""
    waiting_quoted: int = 0
    limit: int | None = None


@dataclass(frozen=True, slots=True)
class _Branch:
    """An outcome of all but the hours, and the cells of the hours' grid that go with it."""

    chance: float
    amount: int
    """Without tax, above the quote."""
    after_cell: int
    to_cell: int


def total_spread(
    case: PlanningCase, bill: Bill, currency: str, not_counted: Sequence[str] = ()
) -> TotalSpread:
    """The distribution of the total: P10, P50, P90, mean, chance of the limit, points to draw."""
    curve = _Curve(case, bill)
    found = curve.quantiles(_LEVELS)
    p10, p50, p90 = (found[_LEVELS.index(level)] for level in (0.1, 0.5, 0.9))
    points = curve.all_amounts or sorted(set(found))

    def money(minor: int) -> Money:
        return Money.of_minor(minor, currency)

    return TotalSpread(
        p10=money(p10),
        p50=money(p50),
        p90=money(p90),
        mean=money(curve.mean),
        chance_within_limit=None
        if bill.limit is None
        else chance_number(curve.at([bill.limit])[0]),
        points=tuple(
            AmountChance(money(amount), chance_number(chance))
            for amount, chance in zip(points, curve.at(points), strict=True)
        ),
        not_counted=tuple(not_counted),
    )


class _Curve:
    """The distribution function of the total, on whole minor units."""

    def __init__(self, case: PlanningCase, bill: Bill) -> None:
        import numpy as np  # noqa: PLC0415 - slow to load

        excess_hours, cumulated = bill.labour.excess()
        with_tax = 1 + float(bill.tax_percent) / 100
        branches = tuple(_branches(case, bill, len(cumulated)))
        per_hour = float(bill.labour_per_hour) * with_tax
        self._labour: NDArray[int64] = np.rint(excess_hours * per_hour).astype(np.int64)
        self._cumulated: NDArray[float64] = np.concatenate(([0.0], cumulated))
        self._chance = np.array([branch.chance for branch in branches])
        self._offset = bill.to_pay + np.rint(
            np.array([branch.amount * with_tax for branch in branches])
        ).astype(np.int64)
        self._low = self._cumulated[[branch.after_cell + 1 for branch in branches]]
        self._high = self._cumulated[[branch.to_cell + 1 for branch in branches]]
        self.mean = bill.to_pay + round_half_up(_mean_excess(bill, branches, self._shares()))

    @property
    def all_amounts(self) -> list[int]:
        """Every amount that can come about, where there are few; else none."""
        amounts = sorted(set(self._offset.tolist())) if len(self._labour) == 1 else []
        return amounts if len(amounts) <= POINTS_AT_MOST else []

    def at(self, amounts: Sequence[int]) -> list[float]:
        """Chance that the total is at most each amount."""
        import numpy as np  # noqa: PLC0415 - slow to load

        return [float(chance) for chance in self._values(np.array(amounts))]

    def quantiles(self, levels: Sequence[float]) -> list[int]:
        """The least amount that is not exceeded with at least each chance."""
        import numpy as np  # noqa: PLC0415 - slow to load

        wanted = np.array(levels) - 1e-9
        low = np.full(len(levels), self._offset.min() + self._labour[0] - 1)
        high = np.full(len(levels), self._offset.max() + self._labour[-1])
        while np.any(high - low > 1):
            middle = (low + high) // 2
            is_met = self._values(middle) >= wanted
            low, high = np.where(is_met, low, middle), np.where(is_met, middle, high)
        return [int(amount) for amount in high]

    def _values(self, amounts: "NDArray[int64]") -> "NDArray[float64]":
        import numpy as np  # noqa: PLC0415 - slow to load

        left = amounts[:, None] - self._offset[None, :]
        reached = self._cumulated[np.searchsorted(self._labour, left, side="right")]
        inside = np.clip(reached, self._low, self._high) - self._low
        return np.asarray((inside * self._chance).sum(axis=1))

    def _shares(self) -> list[float]:
        """Chance of each branch, its hours counted."""
        return [float(share) for share in (self._high - self._low) * self._chance]


def _mean_excess(bill: Bill, branches: Sequence[_Branch], shares: Sequence[float]) -> Decimal:
    """Mean of the total above the quote, in minor units: hours in closed form, the rest summed."""
    rest = sum(branch.amount * share for branch, share in zip(branches, shares, strict=True))
    whole = sum(shares)
    hours = float(bill.labour_per_hour) * bill.labour.mean_excess_hours()
    return Decimal(repr((hours + rest / whole) * (1 + float(bill.tax_percent) / 100)))


def outcomes(gambles: Sequence[Gamble]) -> Mapping[int, float]:
    """What is paid besides in all, in minor units, each amount with its chance."""
    found: dict[int, float] = {0: 1.0}
    for gamble in gambles:
        after: dict[int, float] = defaultdict(float)
        for amount, chance in found.items():
            after[amount] += chance * gamble.chance
            after[amount + gamble.amount] += chance * (1 - gamble.chance)
        found = after if len(after) <= OUTCOMES_AT_MOST else _on_grid(after)
    return {amount: found[amount] for amount in sorted(found)}


def _on_grid(found: Mapping[int, float]) -> dict[int, float]:
    """Each amount shared between its neighbours on a grid, so that the mean stays as it is."""
    least, most = min(found), max(found)
    step = -(-(most - least) // (OUTCOMES_AT_MOST - 2))
    merged: dict[int, float] = defaultdict(float)
    for amount in sorted(found):
        cell, beyond = divmod(amount - least, step)
        merged[least + cell * step] += found[amount] * (1 - beyond / step)
        if beyond:
            merged[least + (cell + 1) * step] += found[amount] * beyond / step
    return merged


def _branches(case: PlanningCase, bill: Bill, cells: int) -> Iterator[_Branch]:
    for amount, chance in outcomes(bill.gambles).items():
        if not bill.waiting_by_day:
            yield _Branch(chance, amount, -1, cells - 1)
            continue
        for days, more, after, to in _waits(case, bill, cells):
            yield _Branch(chance * days, amount + more, after, to)


def _waits(case: PlanningCase, bill: Bill, cells: int) -> Iterator[tuple[float, int, int, int]]:
    """By days of work and day of readiness: chance of the arrivals, price above the quote, cells.

    What is later than the calendar counts as its last day.
    """
    after, worked = -1, 0
    while after < cells - 1:
        to = bill.labour.cells_within(worked * case.bench_minutes_per_day)
        if worked > case.last_day:
            to = cells - 1
        if to > after:
            before = 0.0
            for day in range(case.last_day + 1):
                arrival = latest_arrival(case, worked * case.bench_minutes_per_day, day)
                chance = 0.0 if arrival is None else bill.arrived.by(arrival)
                if day == case.last_day:
                    chance = 1.0
                if chance > before:
                    price = bill.waiting_by_day[min(day, len(bill.waiting_by_day) - 1)]
                    yield chance - before, price - bill.waiting_quoted, after, to
                    before = chance
            after = to
        worked += 1
