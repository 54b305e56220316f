"""Repair-or-replace arithmetic: money at different times, an outlay against a cost per job.

Amounts are plain numbers in one currency, times years of the stated length; costs of a year fall
due at its end, so that a first cost counts in full and a worth at the end is discounted whole.
Sources: Principles of Corporate Finance, equivalent annual cost (from memory); MIL-HDBK-338B 5.3.6
for the conditional reliability of a part of known age.
"""

from dataclasses import dataclass
from math import exp, expm1, isfinite, log1p

from shared.errors import OutOfRange
from shared.life.weibull import WeibullLife

DAYS_PER_YEAR = 365
HIGHEST_RATE = 10.0
"""1000 % a year: more is a slip."""
MOST_YEARS = 1000.0


def discount_factor(rate: float, years: float) -> float:
    """Worth today of 1 that falls due after ``years``: (1 + r)^-t.

    Raises OutOfRange unless 0 <= rate <= 10 (a fraction per year) and 0 <= years <= 1000.

    >>> round(discount_factor(0.05, 3), 6)
    0.863838
    """
    _require("rate", rate, 0, HIGHEST_RATE)
    _require("years", years, 0, MOST_YEARS)
    return exp(-years * log1p(rate))


def annuity_factor(rate: float, years: float) -> float:
    """Worth today of 1 at the end of each of ``years``: (1 - (1 + r)^-n) / r, n at rate 0.

    Years that are not whole are taken by the same formula. Raises OutOfRange as discount_factor.

    >>> round(annuity_factor(0.05, 3), 5), annuity_factor(0, 3)
    (2.72325, 3.0)
    """
    _require("rate", rate, 0, HIGHEST_RATE)
    _require("years", years, 0, MOST_YEARS)
    growth = log1p(rate)
    return float(years) if growth == 0 else -expm1(-years * growth) / rate


def present_value(
    first_cost: float,
    cost_per_year: float,
    years: float,
    rate: float,
    worth_at_end: float = 0.0,
) -> float:
    """Worth today of all costs over a life: now, at the end of each year, less what is left.

    Raises OutOfRange as discount_factor.

    >>> round(present_value(15, 5, 3, 0.06), 2)
    28.37
    """
    later = cost_per_year * annuity_factor(rate, years)
    return first_cost + later - worth_at_end * discount_factor(rate, years)


def equivalent_annual_cost(present_value: float, rate: float, years: float) -> float:
    """Even yearly cost, paid over ``years``, that is worth ``present_value`` today: PV / annuity.

    The measure for lives of unequal length; the lower present value may be the dearer machine.
    Raises OutOfRange unless 0 <= rate <= 10 and 0 < years <= 1000.

    >>> round(equivalent_annual_cost(28.365, 0.06, 3), 2)
    10.61
    """
    _require("rate", rate, 0, HIGHEST_RATE)
    if not (isfinite(years) and 0 < years <= MOST_YEARS):
        raise OutOfRange("years", years, f"above 0 and at most {MOST_YEARS:g}")
    return present_value / annuity_factor(rate, years)


def pays_from_jobs(outlay: int, saved_per_job: int) -> int | None:
    """First number of jobs at which an outlay costs less than going without; None: at no number.

    Exact, in minor units; at equal cost it does not pay yet. Raises OutOfRange for an outlay below
    0. Source: plain arithmetic.

    >>> pays_from_jobs(104_500, 40_000), pays_from_jobs(80_000, 40_000), pays_from_jobs(1, 0)
    (3, 3, None)
    """
    if outlay < 0:
        raise OutOfRange("outlay", outlay, "0 or more")
    return None if saved_per_job <= 0 else outlay // saved_per_job + 1


@dataclass(frozen=True, slots=True)
class ComebackCost:
    """What comebacks within one warranty are expected to cost.

    ``once``: one comeback is paid, the second time nothing fails. ``repeating``: the same kind of
    part goes in again under a fresh warranty, and may come back again; None: it never ends.
    """

    probability: float
    once: float
    repeating: float | None


def comeback_cost(
    life: WeibullLife, age_hours: float, warranty_hours: float, cost_per_comeback: float
) -> ComebackCost:
    """Expected comeback cost of a part of ``age_hours`` over ``warranty_hours``.

    p = 1 - R(W | a), by the part's life at its age, never that of a new one; once p c, repeating
    the geometric sum c p / (1 - p). Raises OutOfRange for negative hours or a negative cost.

    >>> round(comeback_cost(WeibullLife(2.0, 8000.0), 3000, 1000, 650).once, 2)
    67.34
    """
    _require("cost_per_comeback", cost_per_comeback, 0)
    survives = life.chance_to_last(age_hours, warranty_hours)
    probability = 1 - survives
    repeating = None if survives == 0 else cost_per_comeback * probability / survives
    return ComebackCost(probability, cost_per_comeback * probability, repeating)


def core_deposit_net_cost(
    deposit: float, acceptance_probability: float, rate: float, days: float
) -> float:
    """What a core deposit costs in the end: D (1 - q (1 + r)^-t), t = days / 365.

    ``days`` until the refund arrives, ``acceptance_probability`` q that it does at all. The full
    deposit is paid on day 0 all the same. Raises OutOfRange for a negative deposit, a chance
    outside 0 ... 1, rate or days out of range. Source: definition of the expected present value.

    >>> round(core_deposit_net_cost(300, 0.85, 0.1, 30), 2)
    46.99
    """
    _require("deposit", deposit, 0)
    _require("acceptance_probability", acceptance_probability, 0, 1)
    _require("days", days, 0)
    back = acceptance_probability * discount_factor(rate, days / DAYS_PER_YEAR)
    return deposit * (1 - back)


def _require(field: str, value: float, least: float, most: float | None = None) -> None:
    if isfinite(value) and value >= least and (most is None or value <= most):
        return
    wanted = f"{least:g} or more" if most is None else f"from {least:g} to {most:g}"
    raise OutOfRange(field, value, wanted)
