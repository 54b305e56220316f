"""What the inspection sheet of one unit is made from."""

from datetime import datetime

from sqlalchemy import select, union
from sqlalchemy.orm import Session

from db.models.assemblies import labour_operations
from db.models.condition import shim_packs
from db.models.decision import jobs
from db.models.fasteners import special_tool_operations, special_tools
from db.models.shims import shim_places
from db.queries import store
from db.queries.access import Principal
from db.queries.assemblies import (
    ACCESS_GROUPS,
    ASSEMBLIES,
    OPERATIONS,
    POSITION_SETS,
    positions_for,
    with_cautions,
)
from db.queries.condition import SHIM_PACKS
from db.queries.decision import JOBS
from db.queries.fasteners import TOOLS
from db.queries.mapping import load
from db.queries.references import known
from db.queries.shim_places import SHIM_PLACES
from db.queries.unit_records import UnitRecords
from shared.condition.sheet.model import SheetRecords, ToolCalledFor
from shared.decision.snapshot import Job
from shared.errors import InvalidInput
from shared.sourcing.calendar import local_time
from shared.sourcing.model import WorkCalendar


def sheet_records(
    session: Session,
    principal: Principal,
    unit_id: str,
    moment: datetime,
    job_id: str | None = None,
) -> SheetRecords:
    """Return what is on record of a unit and its design, each kind in the order of its ids.

    Rulings are those that hold for the unit's serial number. ``moment`` gives the day, by the
    shop's calendar; without settings the house's rules count. The number of statements does not
    depend on the number of records. Raises NotFound for an unknown unit, InvalidInput ("/job_id")
    for a job that is unknown or on another unit.
    """
    found = UnitRecords(session, principal, unit_id)
    unit, rules = found.unit, found.rules
    job = None if job_id is None else _job(session, principal, unit_id, job_id)
    calendar = WorkCalendar() if found.settings is None else found.settings.calendar
    assembly, positions_found = with_cautions(
        session,
        principal,
        store.read(session, principal, ASSEMBLIES, unit.assembly_id).record,
        found.of_assembly(positions_for(unit.serial_number)),
    )
    return SheetRecords(
        unit=unit,
        assembly=assembly,
        positions=positions_found,
        today=local_time(moment, calendar).date(),
        access_groups=found.of_assembly(ACCESS_GROUPS),
        position_sets=found.of_assembly(POSITION_SETS),
        operations=found.of_assembly(OPERATIONS),
        characteristics=found.characteristics(),
        findings=found.findings(),
        gauges=found.gauges(),
        shim_places=found.where(SHIM_PLACES, shim_places.c.position_id.in_(found.position_ids)),
        shim_packs=found.where(SHIM_PACKS, shim_packs.c.unit_id == unit_id),
        tools=_tools(session, unit.assembly_id),
        opened_group_ids=() if job is None else job.opened_group_ids,
        rule=rules.conformity_rule,
        acceptance_probability=rules.conformity_probability,
        job_id=job_id,
        is_cause_known=job is not None and (job.cause is not None or job.cause_kind is not None),
    )


def _job(session: Session, principal: Principal, unit_id: str, job_id: str) -> Job:
    row = known(session, principal, jobs, job_id, "/job_id", "job")
    if row["unit_id"] != unit_id:
        raise InvalidInput(
            "/job_id",
            f"The job '{job_id}' is on another unit.",
            f"Give a job on the unit '{unit_id}', or leave it out.",
            "other-unit",
        )
    return store.read(session, principal, JOBS, job_id).record


def _tools(session: Session, assembly_id: str) -> tuple[ToolCalledFor, ...]:
    """Return the special tools of an assembly, and those that its operations call for."""
    at_work = select(special_tool_operations.c.special_tool_id).join(
        labour_operations,
        labour_operations.c.id == special_tool_operations.c.labour_operation_id,
    )
    ids = union(
        select(special_tools.c.id).where(special_tools.c.assembly_id == assembly_id),
        at_work.where(labour_operations.c.assembly_id == assembly_id),
    )
    statement = select(special_tools).where(special_tools.c.id.in_(ids))
    return tuple(
        ToolCalledFor(tool.id, tool.name, tool.number, tool.position_id, tool.labour_operation_ids)
        for stored in load(session, TOOLS, statement.order_by(special_tools.c.id))
        for tool in (stored.record,)
    )
