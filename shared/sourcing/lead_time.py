"""How long things take to come, and with what chance they are there by a day.

A lead time is given by two quotes in working days: P50 (half of the orders are there by then) and
P90 (nine in ten). Between them it is taken as lognormal; P50 = P90 is a fixed time, both 0 is a
thing on the shelf. Several deliveries are taken as independent, which is on the safe side where
delays go together; what comes in one parcel is one delivery. Days count from day zero of the
working calendar; a delivery ordered a day later has ``order_day`` 1.

Chances of a table are integers in 10^-9, so that sums and products repeat exactly anywhere.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from math import ceil, erfc, exp, log, prod, sqrt
from statistics import NormalDist

from shared.errors import InvalidInput, OutOfRange

CHANCE_ONE = 1_000_000_000
"""Certainty, in the integer chances of a lead-time table."""

CHANCE_TOLERANCE = 10_000
"""A chance counts as met within 10^-5: a lead time is not known better than that."""

Z_90 = 1.2815515655446
"""The 90 % point of the standard normal distribution."""

LONGEST_LEAD_DAYS = 1_000
"""Longest P90 that is taken, in working days."""

FARTHEST_DAY = 1_500
"""Last day index at which a search for a chance gives up."""

SHORTEST_LEAD_DAYS = Decimal("0.000001")
"""Smallest quote above 0: the last place of a decimal that comes in."""

WIDE_RATIO = 3
"""Above this P90 / P50 the quotes say little, and the answer must say so (common practice)."""


@dataclass(frozen=True, slots=True)
class LeadTime:
    """One delivery: P50 and P90 in working days from its order, given on day ``order_day``."""

    p50_days: Decimal
    p90_days: Decimal
    order_day: int = 0


def check_quotes(p50_days: Decimal, p90_days: Decimal) -> None:
    """Raise InvalidInput unless 0 <= P50 <= P90 <= 1000, and P50 > 0 where P90 > 0."""
    for field, value in (("p50_days", p50_days), ("p90_days", p90_days)):
        if not value.is_finite() or not 0 <= value <= LONGEST_LEAD_DAYS:
            raise OutOfRange(field, value, f"from 0 to {LONGEST_LEAD_DAYS} working days")
        if 0 < value < SHORTEST_LEAD_DAYS:
            raise OutOfRange(field, value, f"0, or at least {SHORTEST_LEAD_DAYS} working days")
    if p90_days < p50_days:
        raise InvalidInput(
            "/p90_days",
            f"P90 of {p90_days} days is less than P50 of {p50_days} days.",
            "Give as P90 the days within which nine in ten orders arrive: P50 or more.",
            "p90-below-p50",
        )
    if p50_days == 0 and p90_days > 0:
        raise InvalidInput(
            "/p50_days",
            f"P50 is 0 days but P90 is {p90_days}: on the shelf half of the time cannot be spread.",
            "Give both as 0 for a thing on the shelf, or a P50 above 0.",
            "p50-zero",
        )


def is_on_shelf(p50_days: Decimal, p90_days: Decimal) -> bool:
    """Whether nothing is awaited: both quotes are 0."""
    check_quotes(p50_days, p90_days)
    return p90_days == 0


def is_wide(p50_days: Decimal, p90_days: Decimal) -> bool:
    """Whether the quotes lie so far apart that the answer must warn: P90 above three times P50.

    >>> is_wide(Decimal(2), Decimal(6)), is_wide(Decimal(2), Decimal("6.1"))
    (False, True)
    """
    check_quotes(p50_days, p90_days)
    return p90_days > WIDE_RATIO * p50_days


def log_spread(p50_days: Decimal, p90_days: Decimal) -> float:
    """Standard deviation of the logarithm: sigma = ln(P90 / P50) / 1.28155; 0 for a fixed time.

    Raises InvalidInput as ``check_quotes``. Source: the quantile function of the lognormal
    distribution (any textbook).

    >>> round(log_spread(Decimal(5), Decimal(9)), 7)
    0.4586524
    """
    check_quotes(p50_days, p90_days)
    if p50_days == p90_days:
        return 0.0
    return log(p90_days / p50_days) / Z_90


def chance_within(days: float, p50_days: Decimal, p90_days: Decimal) -> float:
    """Chance that a delivery takes at most ``days`` working days from its order.

    >>> round(chance_within(14, Decimal(6), Decimal(14)), 12)
    0.9
    """
    return _chance_within(days, float(p50_days), log_spread(p50_days, p90_days))


def days_within(chance: float, p50_days: Decimal, p90_days: Decimal) -> float:
    """Working days from the order that a delivery keeps to with ``chance``, 0 < chance < 1.

    >>> round(days_within(0.95, Decimal(5), Decimal(9)), 4)
    10.6318
    """
    if not 0 < chance < 1:
        raise OutOfRange("chance", chance, "above 0 and below 1")
    sigma = log_spread(p50_days, p90_days)
    if sigma == 0:
        return float(p50_days)
    return float(p50_days) * exp(sigma * NormalDist().inv_cdf(chance))


def mean_days(p50_days: Decimal, p90_days: Decimal) -> float:
    """Mean time of one delivery, P50 exp(sigma^2 / 2), in working days from its order.

    >>> round(mean_days(Decimal(5), Decimal(9)), 5)
    5.55456
    """
    return float(p50_days) * exp(log_spread(p50_days, p90_days) ** 2 / 2)


# --- by working day, in whole numbers ------------------------------------------------------------


@lru_cache(maxsize=1024)
def chance_by_day(
    p50_days: Decimal, p90_days: Decimal, order_day: int, last_day: int
) -> tuple[int, ...]:
    """Chance, in 10^-9, that a delivery is there at the end of working day 0, 1, ... last_day.

    Chance on day k = P(lead time <= k - order_day), rounded to the nearest 10^-9, so that P90
    gives 0.9 on its own day. Only a fixed time is ever certain. A thing on the shelf is there on
    every day, whenever it is asked for. Raises InvalidInput as ``check_quotes``.

    >>> chance_by_day(Decimal(2), Decimal(2), 1, 4)
    (0, 0, 0, 1000000000, 1000000000)
    """
    if is_on_shelf(p50_days, p90_days):
        return (CHANCE_ONE,) * (last_day + 1)
    p50, sigma = float(p50_days), log_spread(p50_days, p90_days)
    return tuple(_chance_on(day - order_day, p50, sigma) for day in range(last_day + 1))


def joint_chance_by_day(tables: Sequence[Sequence[int]], last_day: int) -> tuple[int, ...]:
    """Chance, in 10^-9 and rounded down, that all deliveries are there by each day.

    The product of independent tables, worked in whole numbers; nothing awaited is certain.

    >>> joint_chance_by_day([(500000000,), (500000000,), (500000000,)], 0)
    (125000000,)
    """
    scale = CHANCE_ONE ** max(len(tables) - 1, 0)
    empty = CHANCE_ONE if not tables else 1
    return tuple(
        empty * prod(table[day] for table in tables) // scale for day in range(last_day + 1)
    )


def meets(chance: int, confidence: int) -> bool:
    """Whether a chance meets a confidence, both in 10^-9: within 10^-5, but 1 means certain.

    >>> meets(899_990_000, 900_000_000), meets(999_999_999, CHANCE_ONE), meets(0, 1)
    (True, False, False)
    """
    if confidence >= CHANCE_ONE:
        return chance >= CHANCE_ONE
    return chance > 0 and chance + CHANCE_TOLERANCE >= confidence


def confidence_in_chances(confidence: Decimal) -> int:
    """Turn a confidence above 0 and at most 1 into 10^-9, rounded up; raises OutOfRange otherwise.

    >>> confidence_in_chances(Decimal("0.9"))
    900000000
    """
    if not confidence.is_finite() or not 0 < confidence <= 1:
        raise OutOfRange("confidence", confidence, "above 0 and at most 1")
    return ceil(confidence * CHANCE_ONE)


def tail_day(p50_days: Decimal, p90_days: Decimal, confidence: Decimal, order_day: int = 0) -> int:
    """First day index at the end of which a delivery is there with ``confidence``.

    Raises OutOfRange where that is after day 1500 or never (a spread-out lead time and
    confidence 1), InvalidInput as ``check_quotes``.

    >>> tail_day(Decimal(5), Decimal(9), Decimal("0.9"))
    9
    """
    return joint_tail_day((LeadTime(p50_days, p90_days, order_day),), confidence)


def joint_tail_day(leads: Sequence[LeadTime], confidence: Decimal) -> int:
    """First day index at the end of which all deliveries are there with ``confidence``.

    Raises as ``tail_day``.
    """
    day = first_day_meeting(leads, confidence_in_chances(confidence))
    if day is None:
        raise OutOfRange(
            "confidence",
            confidence,
            f"a confidence that these lead times reach within {FARTHEST_DAY} working days"
            " (1 only where every lead time is fixed)",
        )
    return day


def first_day_meeting(leads: Sequence[LeadTime], wanted: int) -> int | None:
    """First day index at the end of which all are there with the chance ``wanted`` (10^-9).

    None where that is never, or after the farthest day that is searched.
    """
    low, high = -1, FARTHEST_DAY
    if not meets(joint_chance_on(leads, high), wanted):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        if meets(joint_chance_on(leads, middle), wanted):
            high = middle
        else:
            low = middle
    return high


def joint_chance_on(leads: Sequence[LeadTime], day: int) -> int:
    """Chance, in 10^-9 and rounded down, that all deliveries are there at the end of one day."""
    return joint_chance_by_day([(_lead_chance_on(lead, day),) for lead in leads], 0)[0]


def promise_confidence(cost_of_late_day: Decimal, cost_of_early_day: Decimal) -> Decimal:
    """Confidence at which a promise costs least: c_late / (c_late + c_early).

    ``cost_of_late_day``: what each day after the promised one costs; ``cost_of_early_day``: what
    each day promised too late costs (the customer goes elsewhere, the bay stands full). Both above
    0 and in one currency, else OutOfRange. Source: the single-period inventory problem (textbook).

    >>> promise_confidence(Decimal(90), Decimal(10))
    Decimal('0.9')
    """
    costs = {"cost_of_late_day": cost_of_late_day, "cost_of_early_day": cost_of_early_day}
    for field, cost in costs.items():
        if not cost.is_finite() or cost <= 0:
            raise OutOfRange(field, cost, "above 0")
    return cost_of_late_day / (cost_of_late_day + cost_of_early_day)


def _lead_chance_on(lead: LeadTime, day: int) -> int:
    if is_on_shelf(lead.p50_days, lead.p90_days):
        return CHANCE_ONE
    sigma = log_spread(lead.p50_days, lead.p90_days)
    return _chance_on(day - lead.order_day, float(lead.p50_days), sigma)


def _chance_on(days: int, p50_days: float, sigma: float) -> int:
    chance = round(_chance_within(days, p50_days, sigma) * CHANCE_ONE)
    return min(chance, CHANCE_ONE - 1) if sigma else chance


def _chance_within(days: float, p50_days: float, sigma: float) -> float:
    if sigma == 0:
        return 1.0 if days >= p50_days else 0.0
    return _normal_chance(log(days / p50_days) / sigma) if days > 0 else 0.0


def _normal_chance(z: float) -> float:
    return erfc(-z / sqrt(2)) / 2
