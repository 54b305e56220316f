"""Salvaged parts: mapping and checks. What has left a donor stays on record as gone from it."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any, Final, NamedTuple

from sqlalchemy import case, func, select, update
from sqlalchemy.orm import Session

from db.models.assemblies import positions
from db.models.condition import findings, units
from db.models.interchange import parts
from db.models.salvage import fitments, reservations, salvaged_part_findings, salvaged_parts
from db.queries import access
from db.queries.access import Principal
from db.queries.assemblies import identity, serviceability
from db.queries.audit_detail import members_changed
from db.queries.currency import check_currency
from db.queries.fitted_parts import fitted_into
from db.queries.job_units import busy_with
from db.queries.mapping import Children, Mapped, Touched
from db.queries.references import Row, check_distinct, known, position_of
from shared.assemblies.model import Ruling
from shared.condition.model import UnitKind
from shared.errors import Conflict, InvalidInput
from shared.salvage.model import ReservationState, SalvagedPart, SalvagedPartState
from shared.salvage.states import check_day_has_come, check_start, check_step

Tree = Mapping[str, str | None]
"""The positions of an assembly: for each the one that holds it."""


# --- the piece -------------------------------------------------------------------------------


def _check_part(session: Session, principal: Principal, part: SalvagedPart) -> None:
    if not _is_stored(session, part.id):
        check_start(part.state)
        check_day_has_come(part.inspected_on, access.now(), "/inspected_on")
        _check_taking(session, principal, part)
    if part.part_id is not None:
        known(session, principal, parts, part.part_id, "/part_id", "part")
    _check_findings(session, principal, part)
    check_currency(session, principal, part)


def _check_taking(session: Session, principal: Principal, part: SalvagedPart) -> None:
    """Check that the donor could give this piece; the donor is held, so that it stays one."""
    check_day_has_come(part.removed_on, access.now(), "/removed_on")
    donor = known(
        session, principal, units, part.donor_unit_id, "/donor_unit_id", "unit", lock=True
    )
    _check_donor(donor, part.removed_on)
    _check_at_rest(session, principal, donor["id"])
    position = position_of(
        session, principal, part.position_id, donor["assembly_id"], "/position_id", steady=True
    )
    check_piece(part.piece, position)
    tree = _tree(session, donor["assembly_id"])
    _check_ruling(session, donor, part.position_id, tree)
    _check_still_there(session, part, tree)
    _check_none_fitted(session, part, tree)


def _is_stored(session: Session, part_id: str) -> bool:
    found = session.execute(select(salvaged_parts.c.id).where(salvaged_parts.c.id == part_id))
    return found.first() is not None


def _check_donor(donor: Row, removed_on: date) -> None:
    """Nothing is taken from a customer's unit, nor before the unit was the shop's to take from."""
    if donor["kind"] == UnitKind.CUSTOMER:
        raise InvalidInput(
            "/donor_unit_id",
            f"The unit '{donor['id']}' is a customer's: nothing is taken from it.",
            "Record it as a donor first, once it is bought or released in writing.",
            "donor-not-released",
        )
    if donor["released_on"] is None:
        raise InvalidInput(
            "/donor_unit_id",
            f"The unit '{donor['id']}' has no date on which it was bought or released in writing.",
            "Give the unit its released_on first.",
            "donor-not-released",
        )
    if removed_on < donor["released_on"]:
        raise InvalidInput(
            "/removed_on",
            f"removed_on is {removed_on}; the unit was released on {donor['released_on']}.",
            "Mend the date that is wrong: nothing is taken before the release.",
            "donor-not-released",
        )


def _check_at_rest(session: Session, principal: Principal, donor_id: str) -> None:
    """Nothing is taken from a unit that a job works on, or that is promised back as a core."""
    open_jobs = busy_with(session, principal, [donor_id])[donor_id]
    if open_jobs:
        raise InvalidInput(
            "/donor_unit_id",
            f"The job {open_jobs[0]['id']} on the unit '{donor_id}', or with it as core, is open.",
            "Close that job first, or give it another core.",
            "unit-in-work",
        )


def check_piece(piece: int, position: Row) -> None:
    """Check that a position has this piece; raises InvalidInput ("out-of-range")."""
    if piece > position["quantity"]:
        raise InvalidInput(
            "/piece",
            f"piece is {piece}; the position holds {position['quantity']}.",
            "Count the pieces from 1 to what the position holds.",
            "out-of-range",
        )


def _tree(session: Session, assembly_id: str) -> Tree:
    statement = select(positions.c.id, positions.c.parent_id).where(
        positions.c.assembly_id == assembly_id
    )
    return {row.id: row.parent_id for row in session.execute(statement)}


def _outwards(tree: Tree, position_id: str) -> list[str]:
    """Return the positions that hold one, the nearest first."""
    holders: list[str] = []
    holder = tree.get(position_id)
    while holder is not None and holder not in holders:
        holders.append(holder)
        holder = tree.get(holder)
    return holders


def _inwards(tree: Tree, position_id: str) -> list[str]:
    """Return the positions that lie inside one, at any depth."""
    return [inner for inner in tree if position_id in _outwards(tree, inner)]


def _check_ruling(session: Session, donor: Row, position_id: str, tree: Tree) -> None:
    """Check that no position around this one is kept whole, by the rulings for the donor."""
    holders = _outwards(tree, position_id)
    rulings = serviceability(session, holders, serial=donor["serial_number"], has_unit=True)
    for holder in holders:
        in_force = rulings[holder]["serviceability"]
        if in_force.ruling is not Ruling.SERVICEABLE:
            reason = f" ({in_force.reason})" if in_force.reason else ""
            raise InvalidInput(
                "/position_id",
                f"It lies inside the position '{holder}', ruled {in_force.ruling}{reason}.",
                f"Take '{holder}' whole; it gives no inner part.",
                "not-serviceable",
            )


def _check_still_there(session: Session, part: SalvagedPart, tree: Tree) -> None:
    """Check that the piece did not leave with a whole, nor a whole without its inside."""
    gone = _gone(session, part)
    for holder in _outwards(tree, part.position_id):
        whole = gone.get(holder)
        if whole and whole.unbroken == whole.pieces >= _quantity(session, holder):
            raise InvalidInput(
                "/position_id",
                f"It left the donor with the whole position '{holder}'.",
                f"To take it out of the salvaged part {whole.example_id}, discard that first: it"
                " is whole no more.",
                "taken-already",
            )
    inside = next((inner for inner in _inwards(tree, part.position_id) if inner in gone), None)
    if inside is not None and _quantity(session, part.position_id) == 1:
        raise InvalidInput(
            "/position_id",
            f"Something inside it, of the position '{inside}', left the donor already.",
            "Record what is left of it piece by piece.",
            "taken-already",
        )


def _check_none_fitted(session: Session, part: SalvagedPart, tree: Tree) -> None:
    """Check that what sits there is not a salvaged part that was fitted into the donor before.

    Nor lies in one, nor holds one: one thing has one record.
    """
    fitted = fitted_into(session, part.donor_unit_id)
    here = fitted.get((part.position_id, part.piece))
    if here is not None:
        raise _fitted_there(part.position_id, here)
    pieces: dict[str, list[str]] = {}
    for (position_id, _), part_id in fitted.items():
        pieces.setdefault(position_id, []).append(part_id)
    for holder in _outwards(tree, part.position_id):
        if holder in pieces and len(pieces[holder]) >= _quantity(session, holder):
            raise _fitted_there(holder, pieces[holder][0])
    inside = next((inner for inner in _inwards(tree, part.position_id) if inner in pieces), None)
    if inside is not None and _quantity(session, part.position_id) == 1:
        raise _fitted_there(inside, pieces[inside][0])


def _fitted_there(position_id: str, part_id: str) -> InvalidInput:
    return InvalidInput(
        "/position_id",
        f"What sits there, at '{position_id}', is the salvaged part {part_id}: it was fitted into"
        " this unit.",
        f"Take {part_id} back: set its state to uninspected. It stays one record.",
        "fitted-there",
    )


class _Gone(NamedTuple):
    """What has left a donor of one position; discarded pieces are whole no more."""

    pieces: int
    unbroken: int
    example_id: str


def _gone(session: Session, part: SalvagedPart) -> dict[str, _Gone]:
    """Return which pieces of each position left the donor besides this one."""
    table = salvaged_parts
    is_unbroken = case((table.c.state != SalvagedPartState.DISCARDED.value, 1), else_=0)
    statement = (
        select(table.c.position_id, func.count(), func.sum(is_unbroken), func.min(table.c.id))
        .where(table.c.donor_unit_id == part.donor_unit_id, table.c.id != part.id)
        .group_by(table.c.position_id)
    )
    return {row[0]: _Gone(row[1], row[2], row[3]) for row in session.execute(statement)}


def _quantity(session: Session, position_id: str) -> int:
    statement = select(positions.c.quantity).where(positions.c.id == position_id)
    quantity: int = session.execute(statement).scalar_one()
    return quantity


def _check_findings(session: Session, principal: Principal, part: SalvagedPart) -> None:
    check_distinct(part.finding_ids, "/finding_ids", "finding")
    if not part.finding_ids:
        return
    position = known(session, principal, positions, part.position_id, "/position_id", "position")
    tree = _tree(session, position["assembly_id"])
    here = {part.position_id, *_inwards(tree, part.position_id)}
    for place, finding_id in enumerate(part.finding_ids):
        pointer = f"/finding_ids/{place}"
        finding = known(session, principal, findings, finding_id, pointer, "finding")
        if finding["unit_id"] != part.donor_unit_id or finding["position_id"] not in here:
            raise InvalidInput(
                pointer,
                f"The finding '{finding_id}' is of another unit or position.",
                "Name findings of the donor, at this position or inside it.",
                "other-unit",
            )
        is_same = finding["position_id"] == part.position_id
        if is_same and finding["piece"] not in (None, part.piece):
            raise InvalidInput(
                pointer,
                f"The finding '{finding_id}' speaks of piece {finding['piece']}.",
                f"Name findings of piece {part.piece}, or of the position as a whole.",
                "other-piece",
            )


# --- changes ---------------------------------------------------------------------------------


def _check_part_change(
    session: Session, principal: Principal, before: SalvagedPart, after: SalvagedPart
) -> None:
    check_step(before.state, after.state)
    if after.state is not SalvagedPartState.SHELVED and before.state is SalvagedPartState.SHELVED:
        held = held_by(session, after.id, access.now())
        if held is not None:
            raise already_reserved(held["id"], "Release the reservation first.")
    if before.state is SalvagedPartState.DISCARDED and after.state is not before.state:
        _check_unbroken(session, after)
    if _whence(before) != _whence(after):
        _check_never_promised(session, after.id)
    if (_whence(before), before.removed_on) != (_whence(after), after.removed_on):
        _check_taking(session, principal, after)
    if before.removed_on != after.removed_on:
        _check_removed_before_fitted(session, after)
    if before.inspected_on != after.inspected_on:
        check_day_has_come(after.inspected_on, access.now(), "/inspected_on")


def _check_unbroken(session: Session, part: SalvagedPart) -> None:
    """Check that nothing was taken out of a discarded part that turns up again."""
    donor = session.execute(
        select(units.c.assembly_id)
        .where(units.c.id == part.donor_unit_id)
        .with_for_update(key_share=True)
    ).one()
    gone = _gone(session, part)
    inside = _inwards(_tree(session, donor.assembly_id), part.position_id)
    taken = next((gone[inner].example_id for inner in inside if inner in gone), None)
    if taken is not None:
        raise Conflict(
            "state-conflict",
            f"The salvaged part {taken} was taken out of the discarded one, or out of its like.",
            f"Leave it discarded; if {taken} was recorded by mistake, retire that first.",
            allowed_states=[SalvagedPartState.DISCARDED.value],
        )


def _check_removed_before_fitted(session: Session, part: SalvagedPart) -> None:
    first = session.execute(
        select(func.min(fitments.c.fitted_on)).where(fitments.c.salvaged_part_id == part.id)
    ).scalar()
    if first is not None and part.removed_on > first:
        raise InvalidInput(
            "/removed_on",
            f"removed_on is {part.removed_on}; the part was fitted elsewhere on {first}.",
            f"Give {first} or an earlier day.",
            "out-of-range",
        )


def _whence(part: SalvagedPart) -> tuple[str, str, int]:
    return part.donor_unit_id, part.position_id, part.piece


def _check_never_promised(session: Session, part_id: str) -> None:
    """Check that where a part comes from is mended only while nobody has relied on it."""
    for table in (reservations, fitments):
        statement = select(table.c.id).where(table.c.salvaged_part_id == part_id).limit(1)
        user_id = session.execute(statement).scalar()
        if user_id is not None:
            raise InvalidInput(
                "/donor_unit_id",
                f"Where it comes from stays: {user_id} was made of it.",
                "Discard this one, and record the right one under another label.",
                "fixed-member",
            )


def _check_part_retire(session: Session, principal: Principal, part: SalvagedPart) -> None:
    """What was thrown away stays on record, or the donor would be planned to give it again."""
    if part.state is SalvagedPartState.DISCARDED:
        raise Conflict(
            "state-conflict",
            "The part is discarded; it has left its donor for good, and its record says so.",
            "Leave it; one recorded by mistake is set uninspected first.",
            allowed_states=[SalvagedPartState.UNINSPECTED.value],
        )


# --- the donor -------------------------------------------------------------------------------


def _touch_donor(session: Session, principal: Principal, part: SalvagedPart) -> tuple[Touched, ...]:
    return _touch_units(session, [part.donor_unit_id])


def _touch_donors(
    session: Session, principal: Principal, before: SalvagedPart, after: SalvagedPart
) -> tuple[Touched, ...]:
    if _whence(before) == _whence(after):
        return ()
    return _touch_units(session, sorted({before.donor_unit_id, after.donor_unit_id}))


def _touch_units(session: Session, unit_ids: Sequence[str]) -> tuple[Touched, ...]:
    """Count the donors' versions up: which of their positions are taken is read with them."""
    session.execute(
        update(units)
        .where(units.c.id.in_(unit_ids))
        .values(version=units.c.version + 1, updated_at=access.now())
    )
    return tuple(Touched("unit", unit_id) for unit_id in unit_ids)


# --- what reservations and fitments ask ------------------------------------------------------


def held_by(session: Session, part_id: str, moment: datetime) -> Row | None:
    """Return the reservation (id, job_id) that holds a part at a moment; None if none does.

    Whoever is about to hold it for longer is waited for: part first, then reservation, is the
    order of all who take both.
    """
    held = (
        select(reservations.c.id, reservations.c.job_id, reservations.c.expires_at)
        .where(
            reservations.c.salvaged_part_id == part_id,
            reservations.c.state == ReservationState.HELD.value,
        )
        .with_for_update()
    )
    row = session.execute(held).mappings().first()
    return row if row is not None and row["expires_at"] > moment else None


def already_reserved(reservation_id: str, fix: str) -> Conflict:
    """Return the Conflict of a part that is held already ("already-reserved", existing_id)."""
    return Conflict(
        "already-reserved",
        f"The salvaged part is held by the reservation {reservation_id}.",
        fix,
        existing_id=reservation_id,
    )


def not_on_the_shelf(state: str) -> Conflict:
    """Return the Conflict of a part that is not there to be promised or fitted."""
    return Conflict(
        "state-conflict",
        f"The salvaged part is {state}; only one that is shelved is reserved or fitted.",
        "Inspect and shelve it first, or choose another one.",
        allowed_states=[SalvagedPartState.SHELVED.value],
    )


def expire_lapsed(session: Session, part_id: str, moment: datetime) -> tuple[Touched, ...]:
    """Store that the time of a part's reservation is up; return it if there was one."""
    lapsed = session.execute(
        update(reservations)
        .where(
            reservations.c.salvaged_part_id == part_id,
            reservations.c.state == ReservationState.HELD.value,
            reservations.c.expires_at <= moment,
        )
        .values(state=ReservationState.EXPIRED.value, version=reservations.c.version + 1)
        .returning(reservations.c.id)
    )
    detail = members_changed({"state": "held"}, {"state": "expired"})
    return tuple(Touched("reservation", one, detail) for one in lapsed.scalars())


def set_state(
    session: Session, part_id: str, state: SalvagedPartState, **columns: Any
) -> tuple[Touched, ...]:
    """Write the new state of a part that is held, its version counted up; for fitments."""
    after = {"state": state.value, **columns}
    named = [salvaged_parts.c[name] for name in after]
    before = session.execute(select(*named).where(salvaged_parts.c.id == part_id)).mappings()
    detail = members_changed(dict(before.one()), after)
    session.execute(
        update(salvaged_parts)
        .where(salvaged_parts.c.id == part_id)
        .values(version=salvaged_parts.c.version + 1, updated_at=access.now(), **after)
    )
    return (Touched(SALVAGED_PARTS.word, part_id, detail),)


def own_part_locked(session: Session, principal: Principal, part_id: str) -> Row:
    """Return a salvaged part, held so that nobody else promises it; raises InvalidInput."""
    pointer, word = "/salvaged_part_id", "salvaged part"
    return known(session, principal, salvaged_parts, part_id, pointer, word, lock=True)


SALVAGED_PARTS: Final = Mapped(
    SalvagedPart,
    "salvaged-part",
    salvaged_parts,
    filters=("donor_unit_id", "position_id", "part_id", "state", "label"),
    ranges=("removed_on",),
    sorts=("removed_on",),
    children=(
        Children(
            "finding_ids",
            salvaged_part_findings,
            "salvaged_part_id",
            column="finding_id",
            shared=("shop_id",),
        ),
    ),
    keys=lambda part: {"label_key": identity(part.label)},
    unique=(("shop_id", "label_key"), ("shop_id", "donor_unit_id", "position_id", "piece")),
    check=_check_part,
    check_change=_check_part_change,
    check_retire=_check_part_retire,
    after=_touch_donor,
    after_change=_touch_donors,
    after_retire=_touch_donor,
)
MAPPED: Final[tuple[Mapped[Any], ...]] = (SALVAGED_PARTS,)
