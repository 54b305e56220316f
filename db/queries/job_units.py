"""The units that jobs want: the one that each works on, and the one that goes back as its core."""

from collections.abc import Collection, Sequence

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from db.models.condition import units
from db.models.decision import jobs
from db.models.salvage import salvaged_parts
from db.queries import access
from db.queries.access import Principal
from db.queries.fitted_parts import emptied_positions
from db.queries.mapping import in_steps
from db.queries.references import Row, known
from shared.condition.model import UnitKind
from shared.decision.job_states import OPEN, JobState
from shared.decision.snapshot import Job
from shared.errors import InvalidInput
from shared.salvage.states import has_come


def busy_with(
    session: Session, principal: Principal, unit_ids: Collection[str]
) -> dict[str, list[Row]]:
    """Return per unit the open jobs, by rising id, that work on it or give it back as core.

    Of each job id, unit_id and core_unit_id are told.
    """
    found: dict[str, list[Row]] = {unit_id: [] for unit_id in unit_ids}
    for some in in_steps(sorted(found)):
        statement = (
            select(jobs.c.id, jobs.c.unit_id, jobs.c.core_unit_id)
            .where(
                jobs.c.shop_id == principal.shop_id,
                jobs.c.state.in_([state.value for state in OPEN]),
                or_(jobs.c.unit_id.in_(some), jobs.c.core_unit_id.in_(some)),
            )
            .order_by(jobs.c.id)
        )
        for job in session.execute(statement).mappings():
            for unit_id in {job["unit_id"], job["core_unit_id"]} & set(some):
                found[unit_id].append(job)
    return found


def check_units(session: Session, principal: Principal, job: Job) -> None:
    """Check that a job may have its unit and its core, and hold both as they are.

    Raises InvalidInput ("reference-unknown", "unit-is-donor", "unit-is-core", "other-assembly",
    "core-not-own", "core-incomplete", "core-in-work").
    """
    wanted = {job.unit_id: "/unit_id"}
    if job.core_unit_id is not None:
        wanted.setdefault(job.core_unit_id, "/core_unit_id")
    held = {  # by rising id, so that no two jobs wait for one another
        unit_id: known(session, principal, units, unit_id, wanted[unit_id], "unit", lock=True)
        for unit_id in sorted(wanted)
    }
    busy = busy_with(session, principal, list(wanted))
    _check_own_unit(job, held[job.unit_id], busy[job.unit_id])
    if job.core_unit_id is not None and job.core_unit_id != job.unit_id:
        _check_core(session, held[job.core_unit_id], held[job.unit_id], busy[job.core_unit_id])


def _check_own_unit(job: Job, unit: Row, open_jobs: Sequence[Row]) -> None:
    if unit["kind"] == UnitKind.DONOR:
        raise InvalidInput(
            "/unit_id",
            f"The unit '{job.unit_id}' is a donor; a donor is not repaired, it gives parts.",
            "Give the customer's unit, or a stock unit.",
            "unit-is-donor",
        )
    others = (one["id"] for one in open_jobs if one["unit_id"] != job.unit_id)
    as_core_of = next(others, None)
    if as_core_of is not None and job.state is not JobState.CLOSED:
        raise InvalidInput(
            "/unit_id",
            f"The unit '{job.unit_id}' is to go back as the core of the job {as_core_of}.",
            "Give that job another core first, or close it.",
            "unit-is-core",
        )


def _check_core(session: Session, core: Row, unit: Row, open_jobs: Sequence[Row]) -> None:
    """Check that another unit than the job's own can go back: the shop's, complete, at rest."""
    if core["assembly_id"] != unit["assembly_id"]:
        raise _no_core(core, "is of another assembly than the job's unit", "other-assembly")
    if not _is_the_shops(core):
        raise _no_core(core, "is another customer's, or not released yet", "core-not-own")
    taken = select(salvaged_parts.c.id).where(salvaged_parts.c.donor_unit_id == core["id"])
    is_stripped = session.execute(taken.limit(1)).first() is not None
    if is_stripped or emptied_positions(session, [core["id"]])[core["id"]]:
        raise _no_core(core, "is not complete: parts were taken from it", "core-incomplete")
    own_job = next((one["id"] for one in open_jobs if one["unit_id"] == core["id"]), None)
    if own_job is not None:
        raise _no_core(core, f"is being worked on in the job {own_job}", "core-in-work")


def _is_the_shops(unit: Row) -> bool:
    """Return whether a unit is the shop's own by now; a stock unit without release is so."""
    if unit["kind"] == UnitKind.CUSTOMER:
        return False
    return unit["released_on"] is None or has_come(unit["released_on"], access.now())


def _no_core(core: Row, why: str, code: str) -> InvalidInput:
    return InvalidInput(
        "/core_unit_id",
        f"The unit '{core['id']}' {why}.",
        "Give a complete unit of the shop's own, of the same assembly, as core, or none: then the"
        " job's own unit goes back.",
        code,
    )
