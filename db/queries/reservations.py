"""Reservations: mapping and checks. A salvaged part is promised to one job at a time."""

from collections.abc import Mapping
from typing import Any, Final

from sqlalchemy import Select, select, update
from sqlalchemy import text as sql
from sqlalchemy.orm import Session

from db.models.decision import jobs
from db.models.salvage import reservations
from db.queries import access
from db.queries.access import Principal, note_change
from db.queries.mapping import Mapped, Touched
from db.queries.references import Row, known
from db.queries.salvage import (
    already_reserved,
    expire_lapsed,
    held_by,
    not_on_the_shelf,
    own_part_locked,
)
from shared.decision.job_states import OPEN, JobState
from shared.errors import Conflict
from shared.salvage.model import Reservation, ReservationState, SalvagedPartState
from shared.salvage.states import check_reservation, check_reservation_step, state_at

_RELEASED_DETAIL: Final = '{"state":{"after":"released","before":"held"}}'
_LAPSED_DETAIL: Final = '{"state":{"after":"expired","before":"held"}}'
_AT_ONCE: Final = 200
"""Lapsed reservations that one transaction writes down: others cannot write meanwhile."""
_ANOTHER: Final = "Release this reservation and make another one."
_EXPIRED: Final = "reservations expired by this transaction"


def _check_reservation(session: Session, principal: Principal, made: Reservation) -> None:
    found = session.execute(select(reservations.c.id).where(reservations.c.id == made.id))
    if found.first() is not None:
        return
    moment = access.now()
    check_reservation(made, moment)
    part = own_part_locked(session, principal, made.salvaged_part_id)
    _check_job_is_open(session, principal, made.job_id)
    if part["state"] != SalvagedPartState.SHELVED:
        raise not_on_the_shelf(part["state"])
    # Or the index that lets one in at a time would not let the new one in.
    session.info[_EXPIRED] = expire_lapsed(session, made.salvaged_part_id, moment)
    held = held_by(session, made.salvaged_part_id, moment)
    if held is not None:
        raise already_reserved(held["id"], "Choose another one, or wait until this one is free.")


def _touched(session: Session, principal: Principal, made: Reservation) -> tuple[Touched, ...]:
    touched: tuple[Touched, ...] = session.info.pop(_EXPIRED, ())
    return touched


def _check_job_is_open(session: Session, principal: Principal, job_id: str) -> None:
    _check_open(known(session, principal, jobs, job_id, "/job_id", "job", lock=True))


def _check_open(job: Row) -> None:
    if job["state"] == JobState.CLOSED:
        raise Conflict(
            "state-conflict",
            f"The job {job['id']} is closed.",
            "Reserve for a job that is open.",
            allowed_states=[state.value for state in OPEN],
        )


def _check_reservation_change(
    session: Session, principal: Principal, before: Reservation, after: Reservation
) -> None:
    """Check what becomes of a reservation, which this transaction holds.

    Neither its part nor its job is held: who takes the part off the shelf or closes the job takes
    the reservation after it, and waits for this one.
    """
    check_reservation_step(before, after, access.now())
    if after.state is ReservationState.HELD:
        _check_open(known(session, principal, jobs, after.job_id, "/job_id", "job"))


def _check_reservation_retire(session: Session, principal: Principal, kept: Reservation) -> None:
    if kept.state is ReservationState.TAKEN:
        raise Conflict(
            "state-conflict",
            "The reservation was taken by a fitment: it tells whom the part was held for.",
            "Leave it; a part that is free again is reserved anew.",
            allowed_states=[],
        )


def _as_read(row: Mapping[Any, Any]) -> Mapping[Any, Any]:
    """Let a reservation lapse when its time is up, as one change of it.

    updated_at stays as written, for it is what lists are ordered by; expires_at tells when.
    """
    state = state_at(ReservationState(row["state"]), row["expires_at"], access.now())
    if state == row["state"]:
        return row
    return {**row, "state": state.value, "version": row["version"] + 1}


def _overdue(principal: Principal) -> Select[Any]:
    table = reservations
    return select(table.c.id).where(
        table.c.shop_id == principal.shop_id,
        # In so many words, or the index of what is held does not serve it.
        sql("state = 'held'"),
        table.c.expires_at <= access.now(),
    )


def _lapsed(session: Session, principal: Principal) -> list[str]:
    return list(session.execute(_overdue(principal).limit(_AT_ONCE)).scalars())


def _expire(session: Session, principal: Principal) -> None:
    """Write down that reservations have lapsed, each as the one change that it is.

    Rows that somebody else works on are left to him, and what is more than ``_AT_ONCE`` to the next
    look. All rows come before the first audit entry: from that on all other writers wait.
    """
    table = reservations
    free = _overdue(principal).order_by(table.c.id).limit(_AT_ONCE)
    lapsed = list(session.execute(free.with_for_update(skip_locked=True)).scalars())
    session.execute(
        update(table)
        .where(table.c.id.in_(lapsed))
        .values(state=ReservationState.EXPIRED.value, version=table.c.version + 1)
    )
    for reservation_id in lapsed:
        note_change(session, principal, RESERVATIONS.word, reservation_id, "change", _LAPSED_DETAIL)


def release_held_for(session: Session, job_id: str) -> tuple[Touched, ...]:
    """Release what is held for a job that is held itself; return what was touched.

    Whoever is about to hold one of them for longer is waited for. What has lapsed stays so.
    """
    table, moment = reservations, access.now()
    held = session.execute(
        select(table.c.id, table.c.expires_at)
        .where(table.c.job_id == job_id, table.c.state == ReservationState.HELD.value)
        .order_by(table.c.id)
        .with_for_update()
    ).all()
    ids = [row.id for row in held if row.expires_at > moment]
    session.execute(
        update(table)
        .where(table.c.id.in_(ids))
        .values(
            state=ReservationState.RELEASED.value, version=table.c.version + 1, updated_at=moment
        )
    )
    return tuple(Touched(RESERVATIONS.word, one, _RELEASED_DETAIL) for one in ids)


RESERVATIONS: Final = Mapped(
    Reservation,
    "reservation",
    reservations,
    filters=("salvaged_part_id", "job_id"),
    ranges=("expires_at",),
    sorts=("expires_at",),
    check=_check_reservation,
    check_change=_check_reservation_change,
    check_retire=_check_reservation_retire,
    fixed={
        "salvaged_part_id": _ANOTHER,
        "job_id": _ANOTHER,
        "reserved_by": _ANOTHER,
    },
    after=_touched,
    as_read=_as_read,
    lapsed=_lapsed,
    settle=_expire,
)
MAPPED: Final[tuple[Mapped[Any], ...]] = (RESERVATIONS,)
