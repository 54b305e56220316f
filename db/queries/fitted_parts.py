"""Where fitted salvaged parts sit, and which places they have left again."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from sqlalchemy import select
from sqlalchemy.orm import Session

from db.models.decision import jobs
from db.models.salvage import fitments, salvaged_parts
from db.queries.mapping import in_steps
from shared.interchange.model import FitmentResult
from shared.salvage.model import SalvagedPartState

Place = tuple[str, str, int]
"""A unit, a position, a piece of it."""


class _Newest(NamedTuple):
    """What was fitted last in a place: a salvaged part, and whether it still sits there."""

    part_id: str
    is_there: bool


def fitted_into(session: Session, unit_id: str) -> dict[tuple[str, int], str]:
    """Return the salvaged parts that sit in a unit, by the position and the piece that they are.

    One that went elsewhere since, and one in whose place something else was fitted, does not.
    """
    return {
        (position_id, piece): newest.part_id
        for (_, position_id, piece), newest in _newest_of(session, [unit_id])
        if newest.is_there
    }


def emptied_positions(session: Session, unit_ids: Sequence[str]) -> dict[str, set[str]]:
    """Return per unit the positions out of which a salvaged part, fitted last, has gone again.

    Nothing on record says that anything sits there.
    """
    emptied: dict[str, set[str]] = {unit_id: set() for unit_id in unit_ids}
    for (unit_id, position_id, _), newest in _newest_of(session, unit_ids):
        if not newest.is_there:
            emptied[unit_id].add(position_id)
    return emptied


def newest_fitment(session: Session, part_id: str) -> str | None:
    """Return the id of the fitment that tells where a salvaged part went last; None: nowhere."""
    return _newest_fitments(session, [part_id]).get(part_id)


def _newest_of(session: Session, unit_ids: Sequence[str]) -> Iterator[tuple[Place, _Newest]]:
    """Yield the places of units in which a salvaged part was the last thing fitted."""
    found: dict[Place, tuple[str, str | None]] = {}
    table = fitments
    for some in in_steps(unit_ids):
        statement = (
            select(
                jobs.c.unit_id,
                table.c.position_id,
                table.c.piece,
                table.c.id,
                table.c.salvaged_part_id,
            )
            .join(jobs, jobs.c.id == table.c.job_id)
            .where(jobs.c.unit_id.in_(some), table.c.result != FitmentResult.DID_NOT_FIT.value)
            .order_by(table.c.fitted_on, table.c.created_at, table.c.id)
        )
        for unit_id, position_id, piece, fitment_id, part_id in session.execute(statement):
            found[unit_id, position_id, piece] = (fitment_id, part_id)
    part_ids = sorted({part_id for _, part_id in found.values() if part_id is not None})
    newest, fitted = _newest_fitments(session, part_ids), _fitted(session, part_ids)
    for place, (fitment_id, part_id) in found.items():
        if part_id is not None:
            yield place, _Newest(part_id, part_id in fitted and newest[part_id] == fitment_id)


def _newest_fitments(session: Session, part_ids: Sequence[str]) -> dict[str, str]:
    newest: dict[str, str] = {}
    table = fitments
    for some in in_steps(part_ids):
        statement = (
            select(table.c.salvaged_part_id, table.c.id)
            .where(table.c.salvaged_part_id.in_(some))
            .order_by(table.c.created_at, table.c.id)
        )
        for part_id, fitment_id in session.execute(statement):
            newest[part_id] = fitment_id
    return newest


def _fitted(session: Session, part_ids: Sequence[str]) -> set[str]:
    fitted: set[str] = set()
    table = salvaged_parts
    for some in in_steps(part_ids):
        statement = select(table.c.id).where(
            table.c.id.in_(some), table.c.state == SalvagedPartState.FITTED.value
        )
        fitted |= set(session.execute(statement).scalars())
    return fitted
