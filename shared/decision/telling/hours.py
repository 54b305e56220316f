"""How long the bench work of a plan may take: operations of uncertain length added up.

An operation's length is lognormal through its P50 and P90, fixed where both are equal; operations
are independent of one another. Their sum has no closed form: it is worked out on a grid.
Source: sum of independent random variables as convolution, by discrete Fourier transform (any
textbook); that hours are lognormal and independent is common practice, no source.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property, lru_cache
from itertools import pairwise
from math import ceil, erfc, exp, log, sqrt
from typing import TYPE_CHECKING

from shared.decision.building.draft import Spans, minutes
from shared.decision.planning.case import Charge, Plan, PlanningCase, Source
from shared.sourcing.lead_time import Z_90

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import NDArray

    _Single = tuple[NDArray[float64], int]

CELLS_AT_MOST = 16_384
"""Cells of the grid; a minute each where they hold all the hours, else two, five, ten ... ."""
TAIL = 1e-6
"""Chance that an operation takes longer than is looked at; it then counts as never done."""
_TAIL_Z = 4.753424308822899
"""The point that a standard normal variable exceeds with the chance of the tail."""
_STEPS_MINUTES = (1, 2, 5, 10, 20, 30, 60, 120, 240, 480, 960)


@dataclass(frozen=True)
class Labour:
    """The operations of one plan, those of certain length added up.

    ``certain_minutes``: each rounded up to the minute. ``uncertain``: (P50 hours, P90 hours) of
    each of the others, in rising order. ``unquoted_hours``: P90 of those among the certain whose
    P50 is 0, so that they are on no quote.
    """

    certain_minutes: int
    uncertain: Spans = ()
    unquoted_hours: Decimal = Decimal(0)

    @cached_property
    def _grid(self) -> "_Grid":
        return _summed(self.uncertain)

    def chance_within(self, within_minutes: int) -> float:
        """Chance that all is done within so many bench minutes, on the safe side by a cell."""
        cell = self.cells_within(within_minutes)
        if cell < 0 or not self.uncertain:
            return float(cell >= 0)
        return float(self._grid.cumulated[cell])

    def mean_excess_hours(self) -> float:
        """Mean hours above the sum of the P50: sum of P50 (exp(sigma^2 / 2) - 1)."""
        return sum(float(p50) * (exp(_sigma(p50, p90) ** 2 / 2) - 1) for p50, p90 in self.uncertain)

    def cells_within(self, within_minutes: int) -> int:
        """Last cell of the grid with which all is done within so many bench minutes; -1: none.

        Rounded up to the grid is each of n operations, half a cell too much each: all but one cell
        of that is given back.
        """
        left = within_minutes - self.certain_minutes
        if left < 0:
            return -1
        if not self.uncertain:
            return 0
        cell = left // self._grid.step_minutes + max(0, len(self.uncertain) // 2 - 1)
        return min(cell, len(self._grid.cumulated) - 1)

    def excess(self) -> "tuple[NDArray[float64], NDArray[float64]]":
        """Hours above the sum of the P50 (below: negative), rising, and chance of at most that.

        Cells stand for their middles, so that the mean is kept.
        """
        import numpy as np  # noqa: PLC0415 - slow to load

        if not self.uncertain:
            return np.zeros(1), np.ones(1)
        grid = self._grid
        quoted = float(sum(p50 for p50, _ in self.uncertain)) * 60
        middle = len(self.uncertain) / 2
        cells = np.arange(len(grid.cumulated))
        return ((cells - middle) * grid.step_minutes - quoted) / 60, grid.cumulated


def labour_of(case: PlanningCase, plan: Plan, work: Mapping[str, Spans]) -> Labour:
    """The bench work of a plan; ``work`` are the operations (P50, P90 hours) by source or charge.

    What is not in it is taken at its bench minutes, as certain; so is work with a P50 of 0.
    """
    ids = {*plan.source_ids, *plan.charge_ids}
    certain, uncertain, unquoted = 0, [], Decimal(0)
    parts: tuple[Source | Charge, ...] = (*case.sources, *case.charges)
    for one in parts:
        if one.id not in ids:
            continue
        spans = work.get(one.id)
        if spans is None:
            certain += one.bench_minutes
            continue
        for p50, p90 in spans:
            if 0 < p50 < p90:
                uncertain.append((p50, p90))
            else:
                certain += minutes(p90)
                unquoted += p90 - p50
    return Labour(certain, tuple(sorted(uncertain)), unquoted)


@dataclass(frozen=True)
class _Grid:
    """Chance that the sum is at most 0, 1, 2 ... steps."""

    step_minutes: int
    cumulated: "NDArray[float64]"


def _sigma(p50: Decimal, p90: Decimal) -> float:
    return log(p90 / p50) / Z_90


def _reach_minutes(p50: Decimal, p90: Decimal) -> float:
    return float(p50) * 60 * exp(_sigma(p50, p90) * _TAIL_Z)


@lru_cache(maxsize=64)
def _summed(spans: Spans) -> _Grid:
    """Distribution of the sum of lognormal operations, each rounded up to the grid."""
    import numpy as np  # noqa: PLC0415 - slow to load

    step, cells = _grid_for(spans)
    singles = [
        (np.array(_chances(p50, p90, step)[:cells]), times)
        for (p50, p90), times in sorted(Counter(spans).items())
    ]
    longest = sum((len(single) - 1) * times for single, times in singles) + 1
    chances = _whole_product(singles, longest) if longest <= cells else _cut(singles, cells)
    return _Grid(step, np.minimum(np.cumsum(np.maximum(chances, 0.0)), 1 - TAIL))


def _whole_product(singles: "Sequence[_Single]", cells: int) -> "NDArray[float64]":
    """Convolution where the grid holds the longest of all together: nothing wraps around."""
    import numpy as np  # noqa: PLC0415 - slow to load

    size = 1 << (cells - 1).bit_length()
    product = np.ones(size // 2 + 1, dtype=complex)
    for single, times in singles:
        product *= np.fft.rfft(single, size) ** times
    return np.asarray(np.fft.irfft(product, size)[:cells])


def _cut(singles: "Sequence[_Single]", cells: int) -> "NDArray[float64]":
    """Convolution one by one, what passes the end of the grid left out each time."""
    import numpy as np  # noqa: PLC0415 - slow to load

    size = 1 << (2 * cells - 1).bit_length()
    total = np.ones(1)
    for single, times in singles:
        factor = np.fft.rfft(single, size)
        for _ in range(times):
            total = np.fft.irfft(np.fft.rfft(total, size) * factor, size)[:cells]
    return np.asarray(total)


def _grid_for(spans: Spans) -> tuple[int, int]:
    """Length of a cell in minutes, and the most cells.

    A cell is at most a hundredth of the hours quoted: where they spread so widely that the grid
    then ends before their tail, the tail is left out.
    """
    coarsest = max(1, int(sum(p50 for p50, _ in spans) * 60 / 100))
    step = _STEPS_MINUTES[0]
    for step in (one for one in _STEPS_MINUTES if one <= coarsest):
        if sum(_last_cell(p50, p90, step) for p50, p90 in spans) < CELLS_AT_MOST:
            break
    return step, CELLS_AT_MOST


def _last_cell(p50: Decimal, p90: Decimal, step_minutes: int) -> int:
    return min(CELLS_AT_MOST, ceil(_reach_minutes(p50, p90) / step_minutes))


@lru_cache(maxsize=256)
def _chances(p50: Decimal, p90: Decimal, step_minutes: int) -> tuple[float, ...]:
    """Chance that an operation takes 0, 1, 2 ... steps, rounded up."""
    median, sigma = float(p50) * 60, _sigma(p50, p90)
    last = _last_cell(p50, p90, step_minutes)
    below = [0.0] + [
        erfc(-log(cell * step_minutes / median) / sigma / sqrt(2)) / 2
        for cell in range(1, last + 1)
    ]
    return (0.0, *(high - low for low, high in pairwise(below)))
