"""What if one input were another: the snapshot with it moved, its planning case, its best plan.

An input is one number of the snapshot, on the grid on which it is given. Moving it changes nothing
but the snapshot: everything that follows is worked out anew, so that no effect is forgotten.
"""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from shared.decision.building.build import Built, build
from shared.decision.planning.budget import Budget
from shared.decision.planning.case import Plan, Query
from shared.decision.planning.evaluator import PlanError, evaluate
from shared.decision.planning.solver import Solution, SolverStopped, solve
from shared.decision.result import BreakEvenKind
from shared.decision.snapshot import Snapshot


@dataclass(frozen=True, slots=True)
class Input:
    """One number of a snapshot that may move.

    ``path`` is a JSON pointer into the snapshot; ``step`` the grid, in ``unit`` as all values are;
    ``moved`` gives the snapshot with the input at a value from ``lowest`` to ``highest``. ``id``
    names the record that it belongs to. ``scale``: distance that counts as 1 when it is asked how
    near a change is (None: the current value); ``is_chance``: a chance, compared by its odds.
    """

    path: str
    subject: str
    kind: BreakEvenKind
    id: str
    unit: str
    current: Decimal
    step: Decimal
    lowest: Decimal
    highest: Decimal
    moved: Callable[[Snapshot, Decimal], Snapshot]
    scale: Decimal | None = None
    is_chance: bool = False


@dataclass(frozen=True, slots=True)
class Grid:
    """The values of an input from its current one in one direction: number 0 is the current."""

    current: Decimal
    step: Decimal
    end: Decimal

    @property
    def is_up(self) -> bool:
        """Whether the values rise."""
        return self.end >= self.current

    @property
    def _base(self) -> Decimal:
        rounding = ROUND_FLOOR if self.is_up else ROUND_CEILING
        return (self.current / self.step).to_integral_value(rounding) * self.step

    @property
    def last(self) -> int:
        """Number of the last value; 0: there is none but the current."""
        return max(0, int(abs(self.end - self._base) / self.step))

    def value(self, number: int) -> Decimal:
        """The value with a number.

        >>> grid = Grid(Decimal("2.35"), Decimal("0.1"), Decimal(4))
        >>> [str(grid.value(number)) for number in (0, 1, grid.last)]
        ['2.35', '2.4', '4.0']
        """
        if number == 0:
            return self.current
        return self._base + (number if self.is_up else -number) * self.step

    def number(self, value: Decimal) -> int:
        """Number of the last value that does not go beyond ``value``, within the grid.

        >>> Grid(Decimal(10), Decimal(1), Decimal(0)).number(Decimal("7.5"))
        2
        """
        beyond = value - self._base if self.is_up else self._base - value
        return min(self.last, max(0, int(beyond / self.step)))


@dataclass(frozen=True, slots=True)
class World:
    """What follows from one value of an input.

    ``optimum`` is the cheapest plan there (None: nothing meets what is asked); ``kept`` is the
    choice under scrutiny as it turns out there (None: it is not allowed or not ready in time).
    """

    built: Built
    optimum: Plan | None
    kept: Plan | None

    @property
    def holds(self) -> bool:
        """Whether the choice is still among the cheapest: no other plan comes cheaper."""
        return (
            self.kept is not None
            and self.optimum is not None
            and self.kept.objective <= self.optimum.objective
        )


def what_if(
    snapshot: Snapshot,
    source_ids: tuple[str, ...],
    budget: Budget | None = None,
    *,
    breaks_ties: bool = False,
) -> World:
    """Work a (moved) snapshot out and see how a choice of sources fares in it.

    Raises SolverStopped where the cheapest plan is not proven within the limit.
    """
    built = build(snapshot)
    optimum = proven(built, budget, breaks_ties=breaks_ties).plan
    return World(built, optimum, chosen_again(built, source_ids))


def proven(built: Built, budget: Budget | None = None, *, breaks_ties: bool = False) -> Solution:
    """The cheapest plan by the required date, proven; raises SolverStopped where it is not."""
    query = Query(built.confidence, built.deadline)
    solution = solve(built.case, query, breaks_ties=breaks_ties, budget=budget)
    if not solution.report.is_proven:
        raise SolverStopped("The search for the cheapest plan was not finished.")
    return solution


def chosen_again(built: Built, source_ids: tuple[str, ...]) -> Plan | None:
    """The same choice in another case; None: it breaks a rule there, or is not ready in time."""
    try:
        plan = evaluate(built.case, source_ids, built.confidence)
    except PlanError:
        return None
    latest = built.case.last_day if built.deadline is None else built.deadline
    return plan if plan.ready_day <= latest else None
