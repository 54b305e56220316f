"""When a plan is ready: the integer arithmetic of waiting and fitting.

Waiting: each awaited thing has a chance to be there by a working day. A plan's arrivals meet a
confidence on a day when their weights add up to no more than the budget of the confidence.

Things that arrive independently: the chances multiply, and their logarithms add. A weight is
-10^6 ln(chance), the budget that of the confidence itself, both rounded down, so that one
supplier's P90 meets 0.9 on its own day. Rounding may lose 10^-6 per awaited thing: the true
product, which is exact here, may fall short of the confidence by at most 10^-5.
Source: logarithmic form of a joint chance constraint; common practice, no source.

Any dependence: the chance that something is late is at most the sum of the chances of being late,
however they hang together. A weight is that chance in 10^-9, exact; the budget is what the
confidence leaves, and 10^-7 for the last digits of the tables.
Source: Boole's inequality.
"""

import math
from collections.abc import Iterable
from functools import cache

from shared.decision.planning.case import CHANCE_ONE, LeadTable, PlanningCase
from shared.sourcing.model import ArrivalDependence

INDEPENDENT, ANY = ArrivalDependence.INDEPENDENT, ArrivalDependence.ANY
WEIGHT_SCALE = 1_000_000
LAST_DIGITS = 100
"""What rounding may take from the tables of all that is awaited, in 10^-9."""
CHANCE_TOLERANCE = 10_000
"""10^-5, in the integer chances of a lead-time table."""


@cache
def weight_of(chance: int, dependence: ArrivalDependence = INDEPENDENT) -> int:
    """Weight of a chance in 10^-9, 0 < chance <= 10^9: -10^6 ln(chance), rounded down.

    Under any dependence the chance of being late, in 10^-9.

    >>> weight_of(900_000_000), weight_of(1_000_000_000)
    (105360, 0)
    >>> weight_of(900_000_000, ArrivalDependence.ANY)
    100000000
    """
    if dependence is ANY:
        return CHANCE_ONE - chance
    return math.floor(-WEIGHT_SCALE * math.log(chance / CHANCE_ONE))


@cache
def budget_of(confidence: int, dependence: ArrivalDependence = INDEPENDENT) -> int:
    """What the weights of all that is awaited may add up to; confidence in 10^-9, above 0.

    >>> budget_of(900_000_000), budget_of(CHANCE_ONE, ArrivalDependence.ANY)
    (105360, 0)
    """
    slack = LAST_DIGITS if dependence is ANY and confidence < CHANCE_ONE else 0
    return weight_of(confidence, dependence) + slack


def capped_weight(chance: int, confidence: int, dependence: ArrivalDependence = INDEPENDENT) -> int:
    """Weight of a chance, at most one more than the budget of the confidence (both in 10^-9).

    That one more says "not by this day": for no chance at all, and, where the confidence is 1, for
    any chance that is not certainty.

    >>> capped_weight(899_000_000, 900_000_000), capped_weight(999_999_999, CHANCE_ONE)
    (105361, 1)
    """
    budget = budget_of(confidence, dependence)
    if chance <= 0 or (confidence >= CHANCE_ONE and chance < CHANCE_ONE):
        return budget + 1
    return min(budget + 1, weight_of(chance, dependence))


def chance_on(table: LeadTable, day: int) -> int:
    """Chance (10^-9) of being there at the end of a working day; after the table's end, its last.

    >>> table = LeadTable("t", (0, 500_000_000, 900_000_000))
    >>> chance_on(table, 1), chance_on(table, 40)
    (500000000, 900000000)
    """
    return table.chance_by_day[min(day, len(table.chance_by_day) - 1)]


def meets_confidence(
    chances: Iterable[int], confidence: int, dependence: ArrivalDependence = INDEPENDENT
) -> bool:
    """Whether all chances together reach the confidence within 10^-5 (all in 10^-9), exactly.

    A confidence of 1 admits certainty only.

    >>> meets_confidence([900_000_000, 1_000_000_000], 900_000_000)
    True
    >>> meets_confidence([900_000_000, 999_000_000], 900_000_000)
    False
    >>> meets_confidence([950_000_000, 949_000_000], 900_000_000)
    True
    >>> meets_confidence([950_000_000, 949_000_000], 900_000_000, ArrivalDependence.ANY)
    False
    """
    allowed = CHANCE_TOLERANCE if confidence < CHANCE_ONE else 0
    if dependence is ANY:
        late = sum(CHANCE_ONE - chance for chance in chances)
        return CHANCE_ONE - late >= confidence - allowed
    product, one = 1, 1
    for chance in chances:
        product *= chance
        one *= CHANCE_ONE
    return product * CHANCE_ONE >= (confidence - allowed) * one


def joint_chance(chances: Iterable[int], dependence: ArrivalDependence = INDEPENDENT) -> float:
    """Chance that all of these (10^-9 each) come true; under any dependence what is sure of it.

    >>> joint_chance([900_000_000, 500_000_000])
    0.45
    >>> joint_chance([900_000_000, 500_000_000], ArrivalDependence.ANY)
    0.4
    """
    if dependence is ANY:
        late = sum(CHANCE_ONE - chance for chance in chances)
        return max(0, CHANCE_ONE - late) / CHANCE_ONE
    return math.prod(chance / CHANCE_ONE for chance in chances)


def whole_days(minutes: int, minutes_per_day: int) -> int:
    """Working days that so many minutes take, a begun day counted whole.

    >>> whole_days(480, 480), whole_days(481, 480)
    (1, 2)
    """
    return -(-minutes // minutes_per_day)


def bench_days(case: PlanningCase, minutes: int) -> int:
    """Whole working days that so many bench minutes take."""
    return whole_days(minutes, case.bench_minutes_per_day)


def ready_day(case: PlanningCase, arrival_day: int, minutes: int) -> int:
    """Working day at whose end the work is done, when all is there at the end of ``arrival_day``.

    With nothing awaited (arrival day 0) and ``starts_on_day_zero`` day 0 itself is worked.
    """
    days = bench_days(case, minutes)
    if arrival_day == 0 and case.starts_on_day_zero:
        return max(0, days - 1)
    return arrival_day + days


def latest_arrival(case: PlanningCase, minutes: int, ready_by: int) -> int | None:
    """Last arrival day that still lets so many bench minutes be done by a day; None: none does."""
    by_then = ready_by - bench_days(case, minutes)
    if by_then >= 0:
        return by_then
    return 0 if ready_day(case, 0, minutes) <= ready_by else None


def minutes_left(case: PlanningCase, arrival_day: int, ready_by: int) -> int:
    """Bench minutes between an arrival day and a day, both working days; below 0: too late."""
    extra = 1 if arrival_day == 0 and case.starts_on_day_zero else 0
    return (ready_by - arrival_day + extra) * case.bench_minutes_per_day
