"""Jobs, decisions on them, and what became of them."""

from typing import Any, Final

from sqlalchemy import select
from sqlalchemy.orm import Session

from db.models import decision as tables
from db.models.condition import units
from db.queries import store
from db.queries.access import Principal
from db.queries.currency import check_currency
from db.queries.job_units import check_units
from db.queries.listing import Place
from db.queries.mapping import Children, Mapped, Stored, Touched
from db.queries.references import check_distinct, group_of, known, position_of
from db.queries.reservations import release_held_for
from db.queries.shop_settings import SETTINGS
from shared.decision.check.job import check_cause
from shared.decision.frozen import FrozenDecision
from shared.decision.job_states import JobState, check_step
from shared.decision.outcome import Outcome
from shared.decision.snapshot import Job
from shared.errors import InvalidInput

# --- jobs ------------------------------------------------------------------------------------


def _check_job(session: Session, principal: Principal, job: Job) -> None:
    found = session.execute(select(tables.jobs.c.id).where(tables.jobs.c.id == job.id))
    if found.first() is None:
        check_units(session, principal, job)
    unit = known(session, principal, units, job.unit_id, "/unit_id", "unit")
    check_distinct(job.opened_group_ids, "/opened_group_ids", "access group")
    for place, group_id in enumerate(job.opened_group_ids):
        pointer = f"/opened_group_ids/{place}"
        group_of(session, principal, group_id, unit["assembly_id"], pointer)
    check_cause(job.cause, job.cause_kind, job.is_cause_removed)
    check_currency(session, principal, job)


def _check_job_change(session: Session, principal: Principal, before: Job, after: Job) -> None:
    """A job goes only to a state that follows the one it is in; raises Conflict.

    What its units have become meanwhile is asked only where the job wants them anew: it can
    always be closed.
    """
    check_step(before.state, after.state)
    is_reopened = before.state is JobState.CLOSED and after.state is not JobState.CLOSED
    if is_reopened or before.core_unit_id != after.core_unit_id:
        check_units(session, principal, after)


def _let_go(session: Session, principal: Principal, before: Job, after: Job) -> tuple[Touched, ...]:
    """Release what is held for a job that is closed: nobody is coming for it."""
    if after.state is not JobState.CLOSED or before.state is after.state:
        return ()
    return release_held_for(session, after.id)


# --- decisions -------------------------------------------------------------------------------


def _check_decision(session: Session, principal: Principal, decision: FrozenDecision) -> None:
    known(session, principal, tables.jobs, decision.job_id, "/job_id", "job")


# --- outcomes --------------------------------------------------------------------------------


def _check_outcome(session: Session, principal: Principal, outcome: Outcome) -> None:
    job = known(session, principal, tables.jobs, outcome.job_id, "/job_id", "job")
    if outcome.decision_id is not None:
        _check_decision_of_job(session, principal, outcome.decision_id, outcome.job_id)
    unit = known(session, principal, units, job["unit_id"], "/job_id", "unit")
    for place, comeback in enumerate(outcome.comebacks):
        pointer = f"/comebacks/{place}"
        if comeback.position_id is not None:
            at = f"{pointer}/position_id"
            position_of(session, principal, comeback.position_id, unit["assembly_id"], at)
        if outcome.handed_over_on is not None and comeback.came_back_on < outcome.handed_over_on:
            raise InvalidInput(
                f"{pointer}/came_back_on",
                f"It came back on {comeback.came_back_on} and was handed over on"
                f" {outcome.handed_over_on}.",
                "Give a day not before the hand-over.",
                "range-reversed",
            )
    check_currency(session, principal, outcome)


def _check_decision_of_job(
    session: Session, principal: Principal, decision_id: str, job_id: str
) -> None:
    decision = known(session, principal, tables.decisions, decision_id, "/decision_id", "decision")
    if decision["job_id"] != job_id:
        raise InvalidInput(
            "/decision_id",
            f"The decision '{decision_id}' is on another job.",
            f"Give a decision on the job '{job_id}', or none.",
            "other-job",
        )


JOBS: Final = Mapped(
    Job,
    "job",
    tables.jobs,
    filters=("unit_id", "state"),
    children=(
        Children(
            "opened_group_ids",
            tables.job_opened_groups,
            "job_id",
            column="access_group_id",
            shared=("shop_id",),
        ),
    ),
    ranges=("required_by_on",),
    check=_check_job,
    check_change=_check_job_change,
    after_change=_let_go,
    fixed={"unit_id": "Book another job in for the other unit."},
)
DECISIONS: Final = Mapped(
    FrozenDecision,
    "decision",
    tables.decisions,
    filters=("job_id",),
    is_kept=True,
    check=_check_decision,
)
OUTCOMES: Final = Mapped(
    Outcome,
    "outcome",
    tables.outcomes,
    filters=("job_id", "decision_id"),
    children=(Children("comebacks", tables.outcome_comebacks, "outcome_id"),),
    ranges=("handed_over_on",),
    unique=(("shop_id", "job_id"),),
    check=_check_outcome,
    fixed={"job_id": "Record the outcome of the other job, and retire this one."},
)
MAPPED: Final[tuple[Mapped[Any], ...]] = (SETTINGS, JOBS, DECISIONS, OUTCOMES)


def store_decision(
    session: Session, principal: Principal, decision: FrozenDecision
) -> Stored[FrozenDecision]:
    """Keep a decision for good; raises InvalidInput for an unknown job, an override unreasoned."""
    return store.create(session, principal, DECISIONS, decision)


def read_decision(
    session: Session, principal: Principal, decision_id: str
) -> Stored[FrozenDecision]:
    """Return one decision of this shop; raises NotFound."""
    return store.read(session, principal, DECISIONS, decision_id)


def page_decisions(
    session: Session,
    principal: Principal,
    place: Place,
) -> list[Stored[FrozenDecision]]:
    """Return decisions from a place on."""
    return store.page(session, principal, DECISIONS, place)
