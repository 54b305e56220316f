"""When a plan is ready, as it is told: the promise, and the spread of the finish."""

from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from shared.decision.building.build import Built
from shared.decision.planning.case import CHANCE_ONE, Plan
from shared.decision.result import FinishSpread, Readiness
from shared.decision.telling.figures import chance_number, number
from shared.decision.telling.finish import (
    TOLERANCE,
    DayCurve,
    arrivals,
    certain_work,
    day_on,
    finish,
    finish_spread,
)
from shared.decision.telling.hours import Labour, labour_of


@dataclass(frozen=True)
class Timing:
    """The days of one plan: each curve is worked out once."""

    built: Built
    plan: Plan

    @cached_property
    def labour(self) -> Labour:
        """The plan's bench work."""
        return labour_of(self.built.case, self.plan, self.built.draft.work)

    @cached_property
    def arrived(self) -> DayCurve:
        """Chance that all that is awaited is there, by working day."""
        return arrivals(self.built.case, self.plan)

    @cached_property
    def finished(self) -> DayCurve:
        """Chance to be ready by working day, work of uncertain length counted."""
        return finish(self.built.case, self.labour, self.arrived)

    @property
    def promise_chance(self) -> Decimal:
        """Chance to be ready on the promised day: as asked, or less where the work may last longer.

        The promise counts each operation at its P90 and then takes the work as certain.
        """
        asked = self.built.confidence / CHANCE_ONE
        true = self.finished.by(self.plan.ready_day)
        return number(asked) if true >= asked - TOLERANCE else chance_number(true)

    def readiness(self) -> Readiness:
        """The promise, and how likely the required date is, every operation at its P90."""
        built, plan = self.built, self.plan
        curve = certain_work(built.case, plan, self.arrived)
        required = None if built.deadline is None else chance_number(curve.by(built.deadline))
        return Readiness(
            promise_on=built.days[plan.ready_day],
            confidence=number(built.confidence / CHANCE_ONE),
            p50_on=day_on(curve, built.days, 0.5),
            p90_on=day_on(curve, built.days, 0.9),
            working_days=plan.ready_day,
            bench_hours=number(plan.bench_minutes / 60),
            probability_by_required=required,
        )

    def spread(self) -> FinishSpread:
        """The spread of the finish."""
        marked = (self.plan.ready_day, self.built.deadline)
        return finish_spread(
            self.finished,
            self.built.days,
            self.built.deadline,
            tuple(day for day in marked if day is not None),
        )
