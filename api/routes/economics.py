"""Calculations on repair or replace."""

from litestar import post
from litestar.params import JSONBody

from api.access import Right, needs
from api.schemas.base import to_domain
from api.schemas.economics import (
    EquivalentAnnualCostAnswer,
    EquivalentAnnualCostQuestion,
    MoneyRangeIn,
    OutlayAnswer,
    OutlayQuestion,
)
from api.schemas.economics_by_age import (
    RepairLimitAnswer,
    RepairLimitQuestion,
    ReplacementAgeAnswer,
    ReplacementAgeQuestion,
)
from shared.decision.economics.outlay import NOTHING, Range, compare_outlay
from shared.decision.economics.repair_limit import AgeClass, repair_limits
from shared.decision.economics.replacement_age import life_of, replacement_age
from shared.quantities import Quantity


@post(
    "/calculations/equivalent-annual-cost",
    operation_id="calculateEquivalentAnnualCost",
    summary="What ways of unequal life cost per year",
    tags=["decision"],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_equivalent_annual_cost(
    data: JSONBody[EquivalentAnnualCostQuestion],
) -> EquivalentAnnualCostAnswer:
    """Present value and equivalent annual cost of each way, and which costs least per year."""
    return EquivalentAnnualCostAnswer.of(data)


@post(
    "/calculations/outlay",
    operation_id="calculateOutlay",
    summary="From which job on an outlay pays",
    tags=["decision"],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_outlay(data: JSONBody[OutlayQuestion]) -> OutlayAnswer:
    """A one-off outlay (tools, a machine) against a cost on every job, with ranges."""
    found = compare_outlay(
        outlay=data.outlay.in_minor(),
        own_per_job=_range(data.with_outlay_per_job),
        other_per_job=data.without_outlay_per_job.in_minor(),
        either_way_per_job=_range(data.either_way_per_job),
        jobs=data.jobs,
    )
    return OutlayAnswer.of(found, data.outlay.lower.currency)


def _range(asked: MoneyRangeIn | None) -> Range:
    return NOTHING if asked is None else asked.in_minor()


@post(
    "/calculations/replacement-age",
    operation_id="calculateReplacementAge",
    summary="At what age a part is best replaced before it fails",
    tags=["decision"],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_replacement_age(data: JSONBody[ReplacementAgeQuestion]) -> ReplacementAgeAnswer:
    """The age of least cost per running hour, after failures replaced or minimally repaired."""
    life = life_of(float(data.shape), to_domain(data.scale, Quantity))
    found = replacement_age(
        life, float(data.planned_cost.amount), float(data.failure_cost.amount), data.on_failure
    )
    return ReplacementAgeAnswer.of(found, data.planned_cost.currency, data.on_failure)


@post(
    "/calculations/repair-limit",
    operation_id="calculateRepairLimit",
    summary="Up to what estimate a failed unit is repaired, by its age",
    tags=["decision"],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_repair_limit(data: JSONBody[RepairLimitQuestion]) -> RepairLimitAnswer:
    """One limit for each year of age, and what the rule costs per year in the long run."""
    ages = [
        AgeClass(float(age.failure_probability), float(age.mean_repair_cost.amount))
        for age in data.ages
    ]
    found = repair_limits(float(data.replacement_cost.amount), ages)
    return RepairLimitAnswer.of(found, data.replacement_cost)


CALCULATION_ROUTES = (
    calculate_equivalent_annual_cost,
    calculate_outlay,
    calculate_replacement_age,
    calculate_repair_limit,
)
