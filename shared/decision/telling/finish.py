"""When a plan may be ready: arrivals that may be late, and work that may take longer.

Ready by a day means: all is there by the last day from which the work, begun days counted whole, is
done by that day. Exact for independent work and arrivals; where nothing is taken for granted of how
arrivals hang together, their least joint chance stands for it. The promise adds up the P90 of every
operation, more than the P90 of the sum unless P90 is many times P50; but it then takes the work as
certain, so that the chance told here may fall short of the promise's.
Source: distribution of a sum of independent random variables (textbook).
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from shared.decision.planning.case import Plan, PlanningCase
from shared.decision.planning.evaluator import shipment_chances
from shared.decision.planning.timing import joint_chance, latest_arrival
from shared.decision.result import DayChance, FinishSpread
from shared.decision.telling.figures import chance_number
from shared.decision.telling.hours import Labour

TOLERANCE = 1e-5
"""A chance counts as met within this, as at a promise."""
DRAWN_AT_MOST = 60
"""Points of a curve that is handed out to be drawn."""
_AS_GOOD_AS_SURE = 1 - 1e-6
_DRAWN_FROM, _DRAWN_TO = 0.0005, 0.9995


@dataclass(frozen=True, slots=True)
class DayCurve:
    """Chance by working day 0, 1, ... that something has come about; the last holds for later."""

    chances: tuple[float, ...]

    def by(self, day: int) -> float:
        """Chance by the end of a working day; before day 0: none."""
        return 0.0 if day < 0 else self.chances[min(day, len(self.chances) - 1)]

    def first_day(self, chance: float) -> int | None:
        """First day with at least that chance, within 10^-5; None: the calendar has none."""
        met = (day for day, value in enumerate(self.chances) if value >= chance - TOLERANCE)
        return next(met, None)


def arrivals(case: PlanningCase, plan: Plan) -> DayCurve:
    """Chance that all that a plan awaits is there, up to the day when that is as good as sure."""
    opened = set(plan.charge_ids)
    awaited = [c for c in case.charges if c.id in opened and c.lead_table_id is not None]
    needed = {charge.lead_table_id for charge in awaited}
    lean = replace(case, lead_tables=tuple(t for t in case.lead_tables if t.id in needed))
    found: list[float] = []
    for day in range(case.last_day + 1):
        chances = shipment_chances(lean, awaited, day)
        found.append(joint_chance(chances, case.arrival_dependence))
        if found[-1] > _AS_GOOD_AS_SURE:
            break
    return DayCurve(tuple(found))


def certain_work(case: PlanningCase, plan: Plan, arrived: DayCurve) -> DayCurve:
    """Chance to be ready as the promise reckons: every operation takes its P90."""
    found = []
    for day in range(case.last_day + 1):
        arrival = latest_arrival(case, plan.bench_minutes, day)
        found.append(0.0 if arrival is None else arrived.by(arrival))
    return DayCurve(tuple(found))


def finish(case: PlanningCase, labour: Labour, arrived: DayCurve) -> DayCurve:
    """Chance to be ready by each working day of the calendar, work of uncertain length counted."""
    days = _days_of_work(case, labour)
    found: list[float] = []
    for day in range(case.last_day + 1):
        chance = 0.0
        for worked, share in days:
            arrival = latest_arrival(case, worked * case.bench_minutes_per_day, day)
            if arrival is not None:
                chance += share * arrived.by(arrival)
        found.append(max(chance, found[-1] if found else 0.0))
        if chance > _AS_GOOD_AS_SURE:
            break
    return DayCurve(tuple(found))


def finish_spread(
    curve: DayCurve, days: Sequence[date], deadline: int | None, marked: Sequence[int] = ()
) -> FinishSpread:
    """The curve as it is told; ``deadline`` -1: no day meets it, None: no date is required.

    ``marked`` days are drawn whatever the chance on them.
    """
    return FinishSpread(
        p10_on=day_on(curve, days, 0.1),
        p50_on=day_on(curve, days, 0.5),
        p90_on=day_on(curve, days, 0.9),
        chance_by_required=None if deadline is None else chance_number(curve.by(deadline)),
        by_day=tuple(
            DayChance(days[day], chance_number(curve.by(day))) for day in _drawn(curve, marked)
        ),
    )


def day_on(curve: DayCurve, days: Sequence[date], chance: float) -> date | None:
    """Calendar date of the first working day with at least that chance; None: none is known."""
    day = curve.first_day(chance)
    return None if day is None else days[day]


def _days_of_work(case: PlanningCase, labour: Labour) -> tuple[tuple[int, float], ...]:
    """Whole working days that the work takes, each with its chance."""
    per_day = case.bench_minutes_per_day
    found, before, worked = [], 0.0, 0
    while before < _AS_GOOD_AS_SURE and worked <= case.last_day + 1:
        within = labour.chance_within(worked * per_day)
        if within > before:
            found.append((worked, within - before))
        if worked and within == before and within > 1 - TOLERANCE:
            break
        before, worked = within, worked + 1
    return tuple(found)


def _drawn(curve: DayCurve, marked: Sequence[int]) -> tuple[int, ...]:
    """Days to draw: from the last without a chance to the first as good as sure, thinned evenly."""
    last = len(curve.chances) - 1
    start = next((d for d, c in enumerate(curve.chances) if c >= _DRAWN_FROM), last)
    end = next((d for d, c in enumerate(curve.chances) if c >= _DRAWN_TO), last)
    start = max(0, start - 1)
    stride = -(-(end - start + 1) // DRAWN_AT_MOST)
    drawn = {*range(start, end + 1, stride), end, *(day for day in marked if day >= 0)}
    return tuple(sorted(drawn))
