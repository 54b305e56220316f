"""What the inspection sheet of one unit is made from."""

from datetime import datetime
from typing import Any, TypeVar

from sqlalchemy import select, union
from sqlalchemy.orm import Session

from db.models.assemblies import characteristics, labour_operations, positions
from db.models.condition import findings, shim_packs
from db.models.decision import jobs
from db.models.fasteners import special_tool_operations, special_tools
from db.models.shims import shim_places
from db.queries import store
from db.queries.access import Principal
from db.queries.assemblies import (
    ACCESS_GROUPS,
    ASSEMBLIES,
    CHARACTERISTICS,
    OPERATIONS,
    POSITION_SETS,
    positions_for,
    with_cautions,
)
from db.queries.condition import FINDINGS, GAUGES, SHIM_PACKS, UNITS
from db.queries.decision import JOBS
from db.queries.fasteners import TOOLS
from db.queries.mapping import Mapped, load
from db.queries.references import known
from db.queries.shim_places import SHIM_PLACES
from db.queries.shop_settings import newest_settings
from shared.condition.sheet.model import SheetRecords, ToolCalledFor
from shared.decision.settings import DecisionRules
from shared.decision.snapshot import Job
from shared.errors import InvalidInput
from shared.sourcing.calendar import local_time
from shared.sourcing.model import WorkCalendar

T = TypeVar("T")


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
    unit = store.read(session, principal, UNITS, unit_id).record
    job = None if job_id is None else _job(session, principal, unit_id, job_id)
    settings = newest_settings(session, principal)
    rules = DecisionRules() if settings is None else settings.rules
    calendar = WorkCalendar() if settings is None else settings.calendar

    def of_assembly(mapped: Mapped[T]) -> tuple[T, ...]:
        table = mapped.table
        found = load(
            session,
            mapped,
            select(table).where(table.c.assembly_id == unit.assembly_id).order_by(table.c.id),
        )
        return tuple(stored.record for stored in found)

    def where(mapped: Mapped[T], *conditions: Any) -> tuple[T, ...]:
        statement = store.visible(mapped, principal).where(*conditions)
        found = load(session, mapped, statement.order_by(mapped.table.c.id))
        return tuple(stored.record for stored in found)

    here = select(positions.c.id).where(positions.c.assembly_id == unit.assembly_id)
    assembly, positions_found = with_cautions(
        session,
        principal,
        store.read(session, principal, ASSEMBLIES, unit.assembly_id).record,
        of_assembly(positions_for(unit.serial_number)),
    )
    return SheetRecords(
        unit=unit,
        assembly=assembly,
        positions=positions_found,
        today=local_time(moment, calendar).date(),
        access_groups=of_assembly(ACCESS_GROUPS),
        position_sets=of_assembly(POSITION_SETS),
        operations=of_assembly(OPERATIONS),
        characteristics=where(CHARACTERISTICS, characteristics.c.position_id.in_(here)),
        findings=where(FINDINGS, findings.c.unit_id == unit_id),
        gauges=where(GAUGES),
        shim_places=where(SHIM_PLACES, shim_places.c.position_id.in_(here)),
        shim_packs=where(SHIM_PACKS, shim_packs.c.unit_id == unit_id),
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
