"""Fitments: mapping and checks, and what they make of a salvaged part and its reservation."""

from typing import Any, Final

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from db.models.condition import units
from db.models.decision import jobs
from db.models.interchange import interchange_claims, parts
from db.models.salvage import fitments, reservations, salvaged_parts
from db.queries import access, store
from db.queries.access import Principal
from db.queries.assemblies import POSITIONS
from db.queries.audit_detail import members_changed
from db.queries.fitted_parts import newest_fitment
from db.queries.interchange import CLAIMS
from db.queries.mapping import Mapped, Touched
from db.queries.references import Row, known, position_of
from db.queries.reservations import RESERVATIONS
from db.queries.salvage import (
    already_reserved,
    check_piece,
    expire_lapsed,
    held_by,
    not_on_the_shelf,
    own_part_locked,
    set_state,
)
from shared.assemblies.traits import Hand, Traits
from shared.errors import Conflict, InvalidInput
from shared.interchange.conditions import holds
from shared.interchange.found import Holds, Place
from shared.interchange.model import ClaimSays, Fitment, FitmentResult
from shared.salvage.model import ReservationState, SalvagedPartState
from shared.salvage.states import check_day_has_come

_ANOTHER: Final = "Record another fitment."


# --- checks ----------------------------------------------------------------------------------


def _check_fitment(session: Session, principal: Principal, fitment: Fitment) -> None:
    if _is_stored(session, fitment.id):
        return
    check_day_has_come(fitment.fitted_on, access.now(), "/fitted_on")
    check_day_has_come(fitment.result_on, access.now(), "/result_on")
    job = known(session, principal, jobs, fitment.job_id, "/job_id", "job")
    unit = known(session, principal, units, job["unit_id"], "/job_id", "unit", steady=True)
    position = position_of(
        session,
        principal,
        fitment.position_id,
        unit["assembly_id"],
        "/position_id",
        steady=True,
    )
    check_piece(fitment.piece, position)
    part_id = fitment.part_id
    if part_id is not None:
        known(session, principal, parts, part_id, "/part_id", "part")
    if fitment.salvaged_part_id is not None:
        part_id = _check_on_the_shelf(session, principal, fitment)
        _check_not_taken_since(session, fitment, unit["id"])
    if fitment.claim_id is not None:
        _check_claim(session, principal, fitment, part_id, unit)


def _is_stored(session: Session, fitment_id: str) -> bool:
    found = session.execute(select(fitments.c.id).where(fitments.c.id == fitment_id))
    return found.first() is not None


def _check_on_the_shelf(session: Session, principal: Principal, fitment: Fitment) -> str | None:
    """Check that a salvaged part is there to be fitted; return its part number's id."""
    assert fitment.salvaged_part_id is not None
    part = own_part_locked(session, principal, fitment.salvaged_part_id)
    if part["state"] != SalvagedPartState.SHELVED:
        raise not_on_the_shelf(part["state"])
    if fitment.fitted_on < part["removed_on"]:
        raise InvalidInput(
            "/fitted_on",
            f"fitted_on is {fitment.fitted_on}; the part left its donor on {part['removed_on']}.",
            f"Give {part['removed_on']} or a later day.",
            "out-of-range",
        )
    number: str | None = part["part_id"]
    return number


def _check_not_taken_since(session: Session, fitment: Fitment, unit_id: str) -> None:
    """Check that this very piece is not on record as taken out again: one thing, one record."""
    table = salvaged_parts
    taken = session.execute(
        select(table.c.id, table.c.removed_on).where(
            table.c.donor_unit_id == unit_id,
            table.c.position_id == fitment.position_id,
            table.c.piece == fitment.piece,
            table.c.removed_on > fitment.fitted_on,
        )
    ).first()
    if taken is not None:
        raise InvalidInput(
            "/fitted_on",
            f"What sat there was taken out on {taken.removed_on}, as the salvaged part {taken.id}.",
            f"If that was this part, retire {taken.id}; if not, mend the date that is wrong.",
            "taken-since",
        )


def _check_claim(
    session: Session,
    principal: Principal,
    fitment: Fitment,
    part_id: str | None,
    unit: Row,
) -> None:
    """Check that the fitment tries the claim: its outcome will speak for or against it."""
    assert fitment.claim_id is not None
    known(session, principal, interchange_claims, fitment.claim_id, "/claim_id", "claim")
    claim = store.read(session, principal, CLAIMS, fitment.claim_id).record
    position = store.read(session, principal, POSITIONS, fitment.position_id).record
    if claim.stand_in_part_id != part_id:
        why: str | None = (
            f"it speaks of the part '{claim.stand_in_part_id}', not of what was fitted"
        )
    elif claim.part_id != position.part_id:
        why = f"it speaks of the place of the part '{claim.part_id}', not of this position's"
    elif claim.says is ClaimSays.DOES_NOT_FIT:
        why = "it says that the part does not fit there"
    else:
        today = access.now().date()
        traits = _traits(unit)
        place = Place(claim.part_id, today, position.assembly_id, position.id, traits)
        outcome, reason = holds(claim, place)
        why = None if outcome is Holds.YES else reason
    if why is not None:
        raise InvalidInput(
            "/claim_id",
            f"The fitment does not try the claim '{claim.id}': {why}.",
            "Name the claim that it tries, or none.",
            "other-claim",
        )


def _traits(unit: Row) -> Traits:
    return Traits(
        unit["serial_number"],
        unit["built_on"],
        Hand(unit["hand"]) if unit["hand"] else None,
        unit["ratio"],
        unit["generation"],
        unit["variant"],
    )


def _check_fitment_change(
    session: Session, principal: Principal, before: Fitment, after: Fitment
) -> None:
    """A salvaged part that did not fit has gone back; it comes in again by another fitment."""
    if after.result_on != before.result_on:
        check_day_has_come(after.result_on, access.now(), "/result_on")
    is_salvaged = before.salvaged_part_id is not None
    if is_salvaged and before.result is FitmentResult.DID_NOT_FIT and after.result != before.result:
        raise Conflict(
            "state-conflict",
            "The salvaged part did not fit, and was taken back uninspected.",
            "Inspect and shelve it, then record another fitment of it.",
            allowed_states=[before.result.value],
        )


def _check_fitment_retire(session: Session, principal: Principal, fitment: Fitment) -> None:
    if fitment.salvaged_part_id is not None:
        raise Conflict(
            "state-conflict",
            "The fitment tells where a salvaged part went, so it stays.",
            "Set its result; did-not-fit takes the part back.",
            allowed_states=[result.value for result in FitmentResult],
        )


# --- what it brings about --------------------------------------------------------------------


def _bring_about(session: Session, principal: Principal, fitment: Fitment) -> tuple[Touched, ...]:
    """Take a salvaged part off the shelf, or back from where it did not fit.

    Raises Conflict ("already-reserved") where it is held for another job.
    """
    part_id = fitment.salvaged_part_id
    if part_id is None:
        return ()
    fits = fitment.result is not FitmentResult.DID_NOT_FIT
    return (
        *_settle_reservation(session, part_id, fitment.job_id, fits),
        *(
            set_state(session, part_id, SalvagedPartState.FITTED)
            if fits
            else _back(session, part_id)
        ),
    )


def _settle_reservation(
    session: Session, part_id: str, job_id: str, fits: bool
) -> tuple[Touched, ...]:
    """End the reservation that holds the part: the job takes it, or has no more use for it."""
    moment = access.now()
    lapsed = expire_lapsed(session, part_id, moment)
    held = held_by(session, part_id, moment)
    if held is None:
        return lapsed
    if held["job_id"] != job_id:
        raise already_reserved(
            held["id"], "Fit another one, or have that reservation released first."
        )
    state = ReservationState.TAKEN if fits else ReservationState.RELEASED
    table = reservations
    session.execute(
        update(table)
        .where(table.c.id == held["id"])
        .values(state=state.value, version=table.c.version + 1, updated_at=moment)
    )
    detail = members_changed({"state": "held"}, {"state": state.value})
    return (*lapsed, Touched(RESERVATIONS.word, held["id"], detail))


def _back(session: Session, part_id: str) -> tuple[Touched, ...]:
    """Take a part back as it comes out of a machine: whatever was known of it is known no more."""
    return set_state(
        session, part_id, SalvagedPartState.UNINSPECTED, inspected_by=None, inspected_on=None
    )


def _bring_about_later(
    session: Session, principal: Principal, before: Fitment, after: Fitment
) -> tuple[Touched, ...]:
    part_id = after.salvaged_part_id
    if part_id is None or after.result is not FitmentResult.DID_NOT_FIT:
        return ()
    if before.result is after.result:
        return ()
    part = own_part_locked(session, principal, part_id)
    # Unless it was fitted elsewhere since.
    is_newest = newest_fitment(session, part_id) == after.id
    is_there = part["state"] == SalvagedPartState.FITTED and is_newest
    return _back(session, part_id) if is_there else ()


FITMENTS: Final[Mapped[Any]] = Mapped(
    Fitment,
    "fitment",
    fitments,
    filters=("job_id", "position_id", "part_id", "salvaged_part_id", "claim_id", "result"),
    ranges=("fitted_on",),
    sorts=("fitted_on",),
    check=_check_fitment,
    check_change=_check_fitment_change,
    check_retire=_check_fitment_retire,
    fixed=dict.fromkeys(
        (
            "job_id",
            "position_id",
            "piece",
            "part_id",
            "salvaged_part_id",
            "claim_id",
            "fitted_on",
            "fitted_by",
        ),
        _ANOTHER,
    ),
    after=_bring_about,
    after_change=_bring_about_later,
)
MAPPED: Final[tuple[Mapped[Any], ...]] = (FITMENTS,)
