"""The job asks for something that can be asked for."""

from shared.condition.model import UnitKind
from shared.decision.check.numbers import check_probability
from shared.decision.check.references import require
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput
from shared.evidence import CauseKind
from shared.money import Money
from shared.sourcing.calendar import local_time

LARGEST_PER_DAY_MINOR = 10**8
"""What a day of waiting may cost: over the longest calendar it still sums to what a plan holds."""


def check_job(snapshot: Snapshot) -> None:
    """Refuse a job for a donor, for another assembly, or for a day gone by."""
    job = snapshot.job
    require("/job/unit_id", job.unit_id, snapshot.units, "unit")
    require("/job/core_unit_id", job.core_unit_id, snapshot.units, "unit")
    unit = next(u for u in snapshot.units if u.id == job.unit_id)
    if unit.kind is UnitKind.DONOR:
        raise InvalidInput(
            "/job/unit_id",
            f"Unit {unit.id} is a donor; a job's own unit cannot be one.",
            "Name the unit that is to be put right.",
            "donor-is-own-unit",
        )
    if unit.assembly_id != snapshot.assembly.id:
        raise InvalidInput(
            "/job/unit_id",
            f"Unit {unit.id} is of assembly {unit.assembly_id}, not {snapshot.assembly.id}.",
            "Give the assembly of the job's unit.",
        )
    today = local_time(snapshot.as_of, snapshot.settings.calendar).date()
    if job.required_by_on is not None and job.required_by_on < today:
        raise InvalidInput(
            "/job/required_by_on",
            f"{job.required_by_on} lies before {today}, the day of this answer (as_of).",
            "Give a date that is still to come, or leave it out.",
            "date-past",
        )
    if job.confidence is not None:
        check_probability("/job/confidence", job.confidence)
    if job.horizon_hours is not None and job.horizon_hours <= 0:
        raise InvalidInput(
            "/job/horizon_hours", "It is 0.", "Give the running hours for which it must last."
        )
    if job.hours_per_year is not None and job.hours_per_year <= 0:
        raise InvalidInput(
            "/job/hours_per_year", "It is 0.", "Give the running hours a year, or leave it out."
        )
    _check_per_day(snapshot)
    try:
        check_cause(job.cause, job.cause_kind, job.is_cause_removed)
    except InvalidInput as error:
        raise error.below("/job") from None
    for index, group_id in enumerate(job.opened_group_ids):
        require(f"/job/opened_group_ids/{index}", group_id, snapshot.access_groups, "access group")


def check_cause(
    cause: str | None, cause_kind: CauseKind | None, is_cause_removed: bool | None
) -> None:
    """Refuse to say whether a cause is put right that is not given; the pointer is into the job."""
    if is_cause_removed is not None and cause is None and cause_kind is None:
        raise InvalidInput(
            "/is_cause_removed",
            "It is said whether the cause is put right, and no cause is given.",
            "Give cause or cause_kind, or leave is_cause_removed out.",
            "cause-missing",
        )


def _check_per_day(snapshot: Snapshot) -> None:
    """Refuse what each day of waiting costs where it would run beyond what is counted with."""
    job = snapshot.job
    amounts = {"standstill_cost_per_day": job.standstill_cost_per_day}
    if job.waiting is not None:
        amounts["waiting/cost_per_day"] = job.waiting.cost_per_day
        amounts["waiting/price_per_day"] = job.waiting.price_per_day
    for name, money in amounts.items():
        if money is not None and money.minor > LARGEST_PER_DAY_MINOR:
            most = Money.of_minor(LARGEST_PER_DAY_MINOR, money.currency).amount
            raise InvalidInput(
                f"/job/{name}/amount",
                f"{money.amount} {money.currency} is more than a day may cost.",
                f"Give at most {most}.",
            )
