"""Where a salvaged part and a reservation stand, and which steps lead on from there.

Common practice, no source: a part is looked at before it goes on the shelf, comes out of a machine
as it went in - not inspected -, and one thrown away that turns up again is inspected anew.
"""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from enum import StrEnum
from typing import Final

from shared.errors import Conflict, InvalidInput
from shared.salvage.model import Reservation, ReservationState, SalvagedPartState

LONGEST_RESERVATION_DAYS: Final = 366
_FIRST_ZONE_HOURS: Final = 14

NEXT: Final[dict[SalvagedPartState, tuple[SalvagedPartState, ...]]] = {
    SalvagedPartState.UNINSPECTED: (SalvagedPartState.SHELVED, SalvagedPartState.DISCARDED),
    SalvagedPartState.SHELVED: (SalvagedPartState.UNINSPECTED, SalvagedPartState.DISCARDED),
    SalvagedPartState.FITTED: (SalvagedPartState.UNINSPECTED, SalvagedPartState.DISCARDED),
    SalvagedPartState.DISCARDED: (SalvagedPartState.UNINSPECTED,),
}
"""The states that may follow each one by a change; fitted follows by a fitment alone."""


def check_step(before: SalvagedPartState, after: SalvagedPartState) -> None:
    """Check a step of a salvaged part; raises Conflict ("state-conflict", with allowed_states).

    >>> check_step(SalvagedPartState.UNINSPECTED, SalvagedPartState.SHELVED)
    """
    if after is before or after in NEXT[before]:
        return
    by_fitment = " It becomes fitted by a fitment." if after is SalvagedPartState.FITTED else ""
    raise _conflict("A salvaged part", before, after, NEXT[before], by_fitment)


def check_start(state: SalvagedPartState) -> None:
    """Check the state in which a salvaged part is recorded; raises Conflict ("state-conflict").

    >>> check_start(SalvagedPartState.SHELVED)
    """
    if state is SalvagedPartState.FITTED:
        raise Conflict(
            "state-conflict",
            "A salvaged part is not recorded as fitted.",
            "Record it as shelved, then record a fitment of it.",
            allowed_states=[one.value for one in SalvagedPartState if one is not state],
        )


def has_come(day: date, moment: datetime) -> bool:
    """Return whether a day has begun somewhere at a moment, in UTC (UTC+14 is first).

    >>> has_come(date(2031, 3, 5), datetime(2031, 3, 4, 10))
    True
    """
    return day <= (moment + timedelta(hours=_FIRST_ZONE_HOURS)).date()


def check_day_has_come(day: date | None, moment: datetime, pointer: str) -> None:
    """Check that something done is not of a day that has begun nowhere yet (UTC+14 is first).

    Raises InvalidInput ("out-of-range").

    >>> check_day_has_come(date(2031, 3, 5), datetime(2031, 3, 4, 10), "/removed_on")
    """
    if day is not None and not has_come(day, moment):
        raise InvalidInput(
            pointer,
            f"{pointer.removeprefix('/')} is {day}, a day to come.",
            "Record what was done once it is done.",
            "out-of-range",
        )


def state_at(state: ReservationState, expires_at: datetime, moment: datetime) -> ReservationState:
    """Return how a reservation stands at a moment: one that is held lapses when its time is up.

    >>> state_at(ReservationState.HELD, datetime(2031, 3, 4, 9), datetime(2031, 3, 4, 9)).value
    'expired'
    """
    if state is ReservationState.HELD and expires_at <= moment:
        return ReservationState.EXPIRED
    return state


def check_reservation(reservation: Reservation, moment: datetime) -> None:
    """Check a new reservation at the moment of writing.

    Raises Conflict ("state-conflict") for one that does not begin held, InvalidInput for an end
    that is not ahead or more than 366 days off.
    """
    if reservation.state is not ReservationState.HELD:
        raise Conflict(
            "state-conflict",
            f"A reservation does not begin as {reservation.state}.",
            "Leave state out, or give held.",
            allowed_states=[ReservationState.HELD.value],
        )
    check_end(reservation.expires_at, moment)


def check_end(expires_at: datetime, moment: datetime) -> None:
    """Check when a reservation ends; raises InvalidInput ("out-of-range").

    >>> check_end(datetime(2031, 3, 11), datetime(2031, 3, 4))
    """
    latest = moment + timedelta(days=LONGEST_RESERVATION_DAYS)
    if not moment < expires_at <= latest:
        raise InvalidInput(
            "/expires_at",
            f"expires_at is {expires_at.isoformat()}; it is now {moment.isoformat()}.",
            f"Give a moment ahead, at most {LONGEST_RESERVATION_DAYS} days from now.",
            "out-of-range",
        )


def check_reservation_step(before: Reservation, after: Reservation, moment: datetime) -> None:
    """Check a change of a reservation: one that is held is released, or held for longer.

    ``before`` is the reservation as it stands at ``moment``. Raises Conflict ("state-conflict"),
    InvalidInput.
    """
    allowed = (ReservationState.RELEASED,)
    if before.state is not ReservationState.HELD:
        raise _conflict("A reservation", before.state, after.state, ())
    if after.state not in (before.state, *allowed):
        why = " A fitment takes it, its time lets it expire."
        raise _conflict("A reservation", before.state, after.state, allowed, why)
    if after.expires_at == before.expires_at:
        return
    if after.state is ReservationState.RELEASED or after.expires_at < before.expires_at:
        raise InvalidInput(
            "/expires_at",
            "A reservation is not made shorter.",
            "Release it instead: state released.",
            "out-of-range",
        )
    check_end(after.expires_at, moment)


def _conflict(
    what: str, before: StrEnum, after: StrEnum, allowed: Sequence[StrEnum], more: str = ""
) -> Conflict:
    listed = ", ".join(allowed)
    if before is after:
        detail = f"{what} that is {before} stays as it is."
    else:
        detail = f"{what} that is {before} does not become {after}.{more}"
    fix = f"Give one of {listed}." if allowed else "Record another one."
    return Conflict(
        "state-conflict", detail, fix, allowed_states=[state.value for state in allowed]
    )
