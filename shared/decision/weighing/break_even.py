"""How far one input may move before the recommended plan changes, and to what, exactly.

The plan holds as long as no other comes cheaper in what is compared, and it is allowed and ready
in time: a tie is no change. Every figure is verified on both sides, by a full answer with the
input at ``holds_to`` and with it one step on. That nothing else comes between is looked into where
amounts jump (mark-up bands, refused orders, verdicts); elsewhere amounts move with the input, and
two cost lines cross once. Where the lines may meet again (lives that grow short, orders refused
with other goods in them) values in between are looked at before it is told that nothing changes.
Nearest first; what is not reached within the budget or beyond ``most`` is counted,
never guessed.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from shared.condition.model import Verdict
from shared.decision.building.build import Built
from shared.decision.planning.budget import Budget
from shared.decision.planning.case import Plan
from shared.decision.planning.solver import SolverStopped
from shared.decision.result import BreakEven, BreakEvenKind
from shared.decision.snapshot import Snapshot
from shared.decision.telling.figures import plan_id
from shared.decision.weighing.break_even_inputs import Candidate, candidates, readings_left_out
from shared.decision.weighing.break_even_search import Search
from shared.decision.weighing.nearness import nearness
from shared.decision.weighing.plan_difference import NOTHING, differences
from shared.decision.weighing.reading_zones import turns, verdict_at, worth_looking
from shared.decision.weighing.what_if import Grid, Input, World, proven, what_if
from shared.errors import InvalidInput

MOST = 6
"""Break-evens worked out unless more are asked for: each takes two or three full answers."""

LOOKS_ON_THE_WAY = 8
"""Values looked at besides where what changes the plan on the way may be gone at the end of it."""
_PARTS = range(1, LOOKS_ON_THE_WAY + 1)


@dataclass(frozen=True, slots=True)
class BreakEvens:
    """Break-evens nearest first (by ``nearness.py``), those without a change last.

    ``left_out`` counts the inputs that were not looked at, or not to the end.
    """

    found: tuple[BreakEven, ...]
    left_out: int


def break_evens(
    snapshot: Snapshot,
    built: Built,
    best: Plan,
    budget: Budget | None = None,
    *,
    rivals: Sequence[Plan] = (),
    most: int = MOST,
) -> BreakEvens:
    """Break-evens of the recommended plan ``best`` of a checked snapshot, as ``built`` from it.

    ``best`` is proven to be the cheapest by the required date: of any other nothing could be told.
    ``rivals``: other plans that are known already (best of each route, runners-up); they only
    show where to look first. At most ``most`` are worked out. Raises Cancelled.
    """
    found: list[tuple[tuple[bool, float, str, str, str], BreakEven]] = []
    wanted = candidates(snapshot, built, best, rivals)
    looked = 0
    for candidate in wanted:
        if len(found) >= most or (budget is not None and budget.is_spent):
            break
        if budget is not None:
            budget.check()
        looked += 1
        try:
            one = _Question(snapshot, built, best, candidate, budget).answer()
        except SolverStopped:
            looked -= 1
            break
        if one is not None:
            found.append((_order(candidate.input, one), one))
    in_order = sorted(found, key=lambda pair: pair[0])
    left_out = len(wanted) - looked + readings_left_out(built)
    return BreakEvens(tuple(one for _, one in in_order), left_out)


def _order(moved: Input, one: BreakEven) -> tuple[bool, float, str, str, str]:
    """Sort key; equals by what they are called, not by where the records stand."""
    at = one.changes_at
    distance = 0.0 if at is None else nearness(moved, at)
    return at is None, distance, one.subject, one.path, one.direction


class _Question:
    """One input in one direction."""

    def __init__(
        self,
        snapshot: Snapshot,
        built: Built,
        best: Plan,
        candidate: Candidate,
        budget: Budget | None,
    ) -> None:
        self.snapshot, self.built, self.best = snapshot, built, best
        self.candidate, self.budget = candidate, budget
        self.input = candidate.input
        self._look_up_to(self.input.highest if candidate.is_up else self.input.lowest)
        self.turns: list[tuple[int, Verdict]] = []

    def _look_up_to(self, end: Decimal) -> None:
        self.grid = Grid(self.input.current, self.input.step, end)
        now = World(self.built, self.best, self.best)
        self.search = Search(self._look, self.grid.last, now)

    def answer(self) -> BreakEven | None:
        """The break-even; None: the input has no bearing on the plan, or nowhere to move.

        Where the input's farthest values make amounts beyond what a plan takes in, it is looked
        only half as far, and again.
        """
        while self.grid.last:
            try:
                return self._answer()
            except InvalidInput:
                self._look_up_to(self.grid.value(self.grid.last // 2))
        return None

    def _answer(self) -> BreakEven | None:
        if self.candidate.planned is not None:
            self._find_turns()
            if not self.turns:
                return None
            holds, fails = self.search.walk(worth_looking(self.turns, self.grid.last))
        else:
            guess = self.candidate.guess
            holds, fails = self.search.first_change(
                None if guess is None else self.grid.number(guess),
                [n for edge in self.candidate.edges for n in self._around(edge)],
                rival=self.candidate.rival,
                is_straight=self.input.kind is not BreakEvenKind.LEAD_TIME,
            )
            if fails is None and self.candidate.is_chosen and self._is_idle():
                return None
            if fails is None and self.candidate.may_turn_back:
                holds, fails = self.search.walk(self._on_the_way())
        return self._told(holds, fails)

    def _look(self, number: int) -> World:
        moved = self.input.moved(self.snapshot, self.grid.value(number))
        return what_if(moved, self.best.source_ids, self.budget)

    def _around(self, edge: Decimal) -> tuple[int, int]:
        number = self.grid.number(edge)
        return number, min(self.grid.last, number + 1)

    def _on_the_way(self) -> list[int]:
        """Numbers spread evenly from the current value to the last."""
        last = self.grid.last
        return sorted({max(1, last * part // LOOKS_ON_THE_WAY) for part in _PARTS})

    def _is_idle(self) -> bool:
        """Whether a chance leaves the plan's amount as it is at its farthest: no bearing at all."""
        end = self.search.worlds.get(self.grid.last)
        return (
            self.input.kind is BreakEvenKind.FAILURE_RATE
            and end is not None
            and end.kept is not None
            and end.kept.objective == self.best.objective
        )

    def _find_turns(self) -> None:
        planned = self.candidate.planned
        assert planned is not None

        def verdict(number: int) -> Verdict:
            return verdict_at(self.built.bench, planned, self.input, self.grid.value(number))

        self.turns = turns(self.grid, self.candidate.limits, verdict)

    def _told(self, holds: int, fails: int | None) -> BreakEven:
        becomes, becomes_id = None, None
        differs: tuple[str, ...] = ()
        if fails is not None:
            world = self.search.worlds[fails]
            becomes = world.optimum
            if becomes is not None:
                becomes = proven(world.built, self.budget, breaks_ties=True).plan
            becomes_id = None if becomes is None else plan_id(becomes)
            differs = differences((self.built, self.best), (world.built, becomes))
        return BreakEven(
            path=self.input.path,
            subject=self.input.subject,
            kind=self.input.kind,
            current=self.input.current,
            unit=self.input.unit,
            direction="up" if self.candidate.is_up else "down",
            holds_to=None if fails is None else self.grid.value(holds),
            changes_at=None if fails is None else self.grid.value(fails),
            looked_to=self.grid.value(self.grid.last),
            becomes_plan_id=becomes_id,
            becomes=differs,
            detail=" ".join((*self._course(holds, fails, becomes), *self._verdicts())),
        )

    def _course(self, holds: int, fails: int | None, becomes: Plan | None) -> list[str]:
        way = "up" if self.candidate.is_up else "down"
        if fails is None:
            return [f"Nothing {way} to {self._value(self.grid.last)} changes the plan."]
        told = f"The plan stays the cheapest {way} to {self._value(holds)}; "
        told += f"at {self._value(fails)} "
        kept = self.search.worlds[fails].kept
        if becomes is None:
            return [f"{told}{NOTHING}."]
        if kept is None:
            return [f"{told}it is not allowed or not ready in time, and another takes its place."]
        return [f"{told}another comes cheaper."]

    def _value(self, number: int) -> str:
        return f"{self.grid.value(number):f} {self.input.unit}".rstrip()

    def _verdicts(self) -> list[str]:
        """At what readings the verdict turns, whatever becomes of the plan."""
        if not self.turns:
            return []
        told = ", ".join(
            f"{verdict} from {self.grid.value(number):f}" for number, verdict in self.turns
        )
        way = "upwards" if self.candidate.is_up else "downwards"
        return [f"The verdict {way}: {told} {self.input.unit}."]
