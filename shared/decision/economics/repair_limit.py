"""Up to what estimate a failed unit is repaired rather than replaced, by its age.

A unit of age j (in years) fails within the year with chance p_j; the repair is then estimated, the
estimate exponential with mean m_j. Repaired, it runs on a year older; replaced, for C, it begins
anew. After the last age it is replaced in any case. Least is the long-run cost per year g:

    h(j) = -g + h(j + 1) + p_j E[min(X_j, L_j)],  L_j = C + h(0) - h(j + 1),  h(J) = C + h(0),

with g such that h(0) = 0, and E[min(X, L)] = m (1 - exp(-L / m)). A unit fails at most once a year.
Sources: The Repair Limit Replacement Method, Operational Research Quarterly, 1969; Some Notes on
Dynamic Programming and Replacement, same journal, 1968 (structure).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import expm1, isfinite

from shared.errors import InvalidInput, OutOfRange

MOST_AGES = 100
_HALVINGS = 200


@dataclass(frozen=True, slots=True)
class AgeClass:
    """One year of age: chance of a failure in it, and the mean repair estimate then."""

    failure_probability: float
    mean_repair_cost: float


@dataclass(frozen=True, slots=True)
class RepairLimits:
    """The limit for a failure in each year of age, and what the rule costs per year at length.

    Beside it two plainer rules: repair every failure until the last age; repair every failure up
    to ``age_only_years`` and replace at the first one after.
    """

    limits: tuple[float, ...]
    cost_per_year: float
    always_repair_per_year: float
    age_only_per_year: float
    age_only_years: int


def repair_limits(replacement_cost: float, ages: Sequence[AgeClass]) -> RepairLimits:
    """Work the limits out for 1 to 100 years of age; amounts in one currency.

    A failure is repaired while the estimate is not above the limit of its age. Raises OutOfRange
    for a replacement cost not above 0, a chance outside 0 ... 1, a negative mean; InvalidInput for
    no age or too many.

    >>> rule = repair_limits(1000, [AgeClass(0.2, 150.0), AgeClass(0.5, 300.0)])
    >>> [round(limit) for limit in rule.limits], round(rule.cost_per_year)
    ([515, 0], 515)
    """
    _check(replacement_cost, ages)
    always = _always_repair(replacement_cost, ages)
    age_only, years = _age_only(replacement_cost, ages)
    lower, upper = 0.0, always
    for _ in range(_HALVINGS):
        middle = (lower + upper) / 2
        if not lower < middle < upper:
            break
        is_too_low = _relative_cost(middle, replacement_cost, ages)[0] > 0
        lower, upper = (middle, upper) if is_too_low else (lower, middle)
    _, limits = _relative_cost(upper, replacement_cost, ages)
    return RepairLimits(limits, upper, always, age_only, years)


def _relative_cost(
    cost_per_year: float, replacement_cost: float, ages: Sequence[AgeClass]
) -> tuple[float, tuple[float, ...]]:
    """h(0) by the recursion, its own value on the right taken as 0, and the limits on the way."""
    relative, limits = replacement_cost, []
    for age in reversed(ages):
        limit = max(0.0, replacement_cost - relative)
        limits.append(limit)
        relative += age.failure_probability * _mean_paid(age.mean_repair_cost, limit)
        relative -= cost_per_year
    return relative, tuple(reversed(limits))


def _mean_paid(mean: float, limit: float) -> float:
    """E[min(X, L)] for an exponential estimate."""
    return 0.0 if mean == 0 else -mean * expm1(-limit / mean)


def _always_repair(replacement_cost: float, ages: Sequence[AgeClass]) -> float:
    repairs = sum(age.failure_probability * age.mean_repair_cost for age in ages)
    return (replacement_cost + repairs) / len(ages)


def _age_only(replacement_cost: float, ages: Sequence[AgeClass]) -> tuple[float, int]:
    """The least cost per year of repairing up to an age, and that age in years."""
    found = []
    for years in range(len(ages) + 1):
        repairs = sum(age.failure_probability * age.mean_repair_cost for age in ages[:years])
        life, reaches = float(years), 1.0
        for age in ages[years:]:
            life += reaches
            reaches *= 1 - age.failure_probability
        found.append(((replacement_cost + repairs) / life, years))
    return min(found)


def _check(replacement_cost: float, ages: Sequence[AgeClass]) -> None:
    if not (isfinite(replacement_cost) and replacement_cost > 0):
        raise OutOfRange("replacement_cost", replacement_cost, "above 0")
    if not 1 <= len(ages) <= MOST_AGES:
        raise InvalidInput(
            "/ages",
            f"There are {len(ages)} years of age; wanted 1 to {MOST_AGES}.",
            f"Give 1 to {MOST_AGES} years of age.",
            "list-length",
        )
    for number, age in enumerate(ages):
        if not 0 <= age.failure_probability <= 1:
            wanted = "a probability from 0 to 1"
            raise OutOfRange(f"ages/{number}/failure_probability", age.failure_probability, wanted)
        if not (isfinite(age.mean_repair_cost) and age.mean_repair_cost >= 0):
            wanted = "0 or more"
            raise OutOfRange(f"ages/{number}/mean_repair_cost", age.mean_repair_cost, wanted)
