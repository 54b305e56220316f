"""What other jobs of the shop want and hold of what one job is planned with."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any, Final

from sqlalchemy import and_, func, select
from sqlalchemy.orm import Session

from db.models.assemblies import positions
from db.models.condition import units
from db.models.decision import jobs
from db.models.salvage import fitments, reservations
from db.queries.access import Principal
from db.queries.mapping import in_steps
from shared.assemblies.model import Position
from shared.decision.job_states import JobState
from shared.decision.snapshot import HeldPart, PartDemand
from shared.interchange.model import FitmentResult
from shared.salvage.model import ReservationState, SalvagedPart

STILL_WANTS_PARTS: Final = (
    JobState.BOOKED_IN,
    JobState.OPENED,
    JobState.MEASURED,
    JobState.OFFERED,
    JobState.AGREED,
    JobState.CAME_BACK,
)
"""The open states in which a job has not got its parts yet; from supplied on it has."""


def demands(
    session: Session, principal: Principal, job_id: str, assembly_id: str
) -> tuple[PartDemand, ...]:
    """Return what other jobs call for of the parts that an assembly calls for, by rising part id.

    A piece for which a fitment is recorded in its job is had, unless it did not fit. What will be
    renewed is not known: pieces called for are counted, however the job is decided. One statement.
    """
    here = select(positions.c.part_id).where(
        positions.c.assembly_id == assembly_id, positions.c.part_id.is_not(None)
    )
    had = (
        select(
            fitments.c.job_id,
            fitments.c.position_id,
            func.count(fitments.c.piece.distinct()).label("pieces"),
        )
        .where(
            fitments.c.shop_id == principal.shop_id,
            fitments.c.result != FitmentResult.DID_NOT_FIT.value,
        )
        .group_by(fitments.c.job_id, fitments.c.position_id)
        .subquery()
    )
    wanted = positions.c.quantity - func.coalesce(had.c.pieces, 0)
    statement = (
        select(
            positions.c.part_id,
            func.sum(wanted).label("quantity"),
            func.count(jobs.c.id.distinct()).label("jobs"),
        )
        .select_from(jobs)
        .join(units, units.c.id == jobs.c.unit_id)
        .join(positions, positions.c.assembly_id == units.c.assembly_id)
        .outerjoin(had, and_(had.c.job_id == jobs.c.id, had.c.position_id == positions.c.id))
        .where(
            jobs.c.shop_id == principal.shop_id,
            jobs.c.id != job_id,
            jobs.c.state.in_([state.value for state in STILL_WANTS_PARTS]),
            positions.c.part_id.in_(here),
            wanted > 0,
        )
        .group_by(positions.c.part_id)
        .order_by(positions.c.part_id)
    )
    return tuple(
        PartDemand(row.part_id, int(row.quantity), int(row.jobs))
        for row in session.execute(statement)
    )


def held_for_others(
    session: Session,
    principal: Principal,
    job_id: str,
    moment: datetime,
    found: Sequence[SalvagedPart],
    here: Sequence[Position],
    by_part: Mapping[str, frozenset[str]],
) -> tuple[HeldPart, ...]:
    """Return those of some salvaged parts that another job holds at a moment, in their order.

    Each is told once for every position, by rising id, that it sat in, that calls for it, or for
    whose part it may stand in (``by_part``: by part called for).
    """
    until: dict[str, datetime] = {}
    for some in in_steps([part.id for part in found]):
        statement: Any = select(reservations.c.salvaged_part_id, reservations.c.expires_at).where(
            reservations.c.shop_id == principal.shop_id,
            reservations.c.job_id != job_id,
            reservations.c.state == ReservationState.HELD.value,
            reservations.c.expires_at > moment,
            reservations.c.salvaged_part_id.in_(some),
        )
        until |= {row.salvaged_part_id: row.expires_at for row in session.execute(statement)}
    return tuple(
        HeldPart(part.id, position.id, part.part_id, until[part.id])
        for part in found
        if part.id in until
        for position in sorted(here, key=lambda one: one.id)
        if part.position_id == position.id
        or (part.part_id is not None and part.part_id in _for(position, by_part))
    )


def _for(position: Position, by_part: Mapping[str, frozenset[str]]) -> frozenset[str]:
    """Return the parts that are called for at a position, or may stand in there."""
    if position.part_id is None:
        return frozenset()
    return by_part.get(position.part_id, frozenset()) | {position.part_id}
