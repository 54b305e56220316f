"""A salvaged part traced from its donor to the jobs it went into, in one state of the database."""

from dataclasses import dataclass
from datetime import date
from typing import TypeVar

from sqlalchemy import ColumnElement, select
from sqlalchemy.orm import Session

from db.models.assemblies import positions
from db.models.condition import units
from db.models.decision import jobs
from db.models.salvage import fitments, reservations
from db.queries import store
from db.queries.access import Principal
from db.queries.condition import FINDINGS
from db.queries.fitments import FITMENTS
from db.queries.mapping import Mapped, load
from db.queries.reservations import RESERVATIONS
from db.queries.salvage import SALVAGED_PARTS
from shared.condition.model import Finding
from shared.evidence import ReasonRetired
from shared.interchange.model import Fitment
from shared.salvage.model import Reservation, SalvagedPart

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class TracedDonor:
    """The unit that a part came from, and why it was there to give it."""

    unit_id: str
    serial_number: str | None
    provenance: str | None
    reason_retired: ReasonRetired | None
    released_on: date | None


@dataclass(frozen=True, slots=True)
class TracedFitment:
    """A fitment of the part, and the unit of its job."""

    fitment: Fitment
    unit_id: str
    serial_number: str | None
    position_name: str


@dataclass(frozen=True, slots=True)
class SalvagedPartTrace:
    """Where a salvaged part came from, what was found, who held it, where it was fitted."""

    salvaged_part: SalvagedPart
    donor: TracedDonor
    position_name: str
    findings: tuple[Finding, ...]
    reservations: tuple[Reservation, ...]
    fitments: tuple[TracedFitment, ...]


def trace(session: Session, principal: Principal, part_id: str) -> SalvagedPartTrace:
    """Return where a salvaged part came from and where it went; raises NotFound."""
    part = store.read(session, principal, SALVAGED_PARTS, part_id).record
    found = store.find_all(session, principal, FINDINGS, part.finding_ids)
    fitted = _records(session, principal, FITMENTS, fitments.c.salvaged_part_id == part_id)
    held = _records(session, principal, RESERVATIONS, reservations.c.salvaged_part_id == part_id)
    name = select(positions.c.name).where(positions.c.id == part.position_id)
    return SalvagedPartTrace(
        salvaged_part=part,
        donor=_donor(session, part.donor_unit_id),
        position_name=session.execute(name).scalar_one(),
        findings=tuple(found[finding_id].record for finding_id in part.finding_ids),
        reservations=held,
        fitments=tuple(_with_unit(session, fitment) for fitment in fitted),
    )


def _records(
    session: Session, principal: Principal, mapped: Mapped[T], wanted: ColumnElement[bool]
) -> tuple[T, ...]:
    statement = store.visible(mapped, principal).where(wanted).order_by(mapped.table.c.id)
    return tuple(stored.record for stored in load(session, mapped, statement))


def _donor(session: Session, unit_id: str) -> TracedDonor:
    row = session.execute(select(units).where(units.c.id == unit_id)).mappings().one()
    reason = row["reason_retired"]
    return TracedDonor(
        unit_id=unit_id,
        serial_number=row["serial_number"],
        provenance=row["provenance"],
        reason_retired=None if reason is None else ReasonRetired(reason),
        released_on=row["released_on"],
    )


def _with_unit(session: Session, fitment: Fitment) -> TracedFitment:
    statement = (
        select(units.c.id, units.c.serial_number, positions.c.name)
        .select_from(jobs)
        .join(units, units.c.id == jobs.c.unit_id)
        .join(positions, positions.c.id == fitment.position_id)
        .where(jobs.c.id == fitment.job_id)
    )
    unit_id, serial_number, position_name = session.execute(statement).one()
    return TracedFitment(fitment, unit_id, serial_number, position_name)
