"""One thing, one record: salvaged parts that sit in units, wholes taken apart, units in work."""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from threading import Event

import pytest
from sqlalchemy import event, select, text, update

from db.models.access import audit_touches
from db.models.salvage import reservations
from db.queries import access, records
from db.queries.snapshot import load_snapshot
from shared.assemblies.model import Position
from shared.condition.model import DonorTerms, Unit, UnitKind
from shared.decision.job_states import JobState
from shared.decision.snapshot import Aim, Job
from shared.errors import Conflict, InvalidInput
from shared.interchange.model import FitmentResult
from shared.salvage.model import Reservation, ReservationState, SalvagedPart, SalvagedPartState
from tests.db.workshop import Workshop, euro
from tests.db.yard import DAY, Yard, at, both_at_once, change, conflict, refused, retire

OUT = {"state": SalvagedPartState.UNINSPECTED, "inspected_by": None, "inspected_on": None}
INSPECTED = {"inspected_by": "bench one", "inspected_on": DAY}
TERMS = DonorTerms(is_owned=True, undisturbed_worth=euro("90.00"))


def becomes_donor(yard: Yard) -> None:
    """The customer leaves the unit to the shop once its job is closed."""
    change(yard.workshop, yard.job, state=JobState.CLOSED)
    change(yard.workshop, yard.unit, kind=UnitKind.DONOR, donor=TERMS, released_on=DAY)


def stock(workshop: Workshop, near: Yard, **fields) -> Unit:
    return workshop.unit(near.assembly, kind=UnitKind.STOCK, donor=TERMS, **fields)


def given(yard: Yard, job: Job, as_of: datetime | None = None) -> dict[str, Unit]:
    with yard.workshop.sessions.reading() as session:
        moment = as_of or datetime.now(UTC)
        found = load_snapshot(session, yard.workshop.principal, job.id, moment, Aim.PRICE)
    return {unit.id: unit for unit in found.units}


# --- parts that sit in a unit ----------------------------------------------------------------


def test_what_was_fitted_into_a_unit_is_not_taken_out_of_it_as_another(yard: Yard) -> None:
    part = yard.part()
    yard.fit(part)
    becomes_donor(yard)
    again = lambda: yard.workshop.salvaged_part(yard.unit, yard.position)  # noqa: E731
    refused(again, "/position_id", "fitted-there")
    yard.workshop.salvaged_part(yard.unit, yard.position, piece=2)
    change(yard.workshop, part, **OUT)
    again()


def test_a_whole_with_such_a_part_inside_is_not_taken_nor_what_is_inside_one(yard: Yard) -> None:
    w = yard.workshop
    carrier = w.position(yard.assembly)
    inner, other = (w.position(yard.assembly, parent_id=carrier.id) for _ in range(2))
    small = w.salvaged_part(yard.donor, inner)
    whole = w.salvaged_part(w.donor(yard.assembly, released_on=DAY), carrier)
    units = [w.unit(yard.assembly) for _ in range(2)]
    for unit, part, place in zip(units, (small, whole), (inner, carrier), strict=True):
        job = w.job(unit)
        w.fitment(job, place, salvaged_part_id=part.id)
        change(w, job, state=JobState.CLOSED)
        change(w, unit, kind=UnitKind.DONOR, donor=TERMS, released_on=DAY)
    refused(lambda: w.salvaged_part(units[0], carrier), "/position_id", "fitted-there")
    refused(lambda: w.salvaged_part(units[1], inner), "/position_id", "fitted-there")
    w.salvaged_part(units[0], other)


def test_a_part_that_went_elsewhere_or_did_not_fit_bars_nothing(yard: Yard) -> None:
    moved, tried = yard.part(piece=1), yard.part(piece=2)
    yard.fit(moved)
    yard.fit(tried, piece=2, result=FitmentResult.DID_NOT_FIT)
    change(yard.workshop, moved, **OUT)
    for part in (moved, tried):
        change(yard.workshop, part, state=SalvagedPartState.SHELVED, **INSPECTED)
        yard.fit(part, yard.another_job())
    becomes_donor(yard)
    for piece in (1, 2):
        yard.workshop.salvaged_part(yard.unit, yard.position, piece=piece)


def test_a_part_replaced_since_bars_nothing(yard: Yard) -> None:
    yard.fit(yard.part())
    bought = yard.workshop.part()
    yard.workshop.fitment(
        yard.job, yard.position, part_id=bought.id, fitted_on=DAY + timedelta(days=30)
    )
    becomes_donor(yard)
    yard.workshop.salvaged_part(yard.unit, yard.position)


def test_a_part_is_not_fitted_where_the_piece_was_taken_out_since(yard: Yard) -> None:
    becomes_donor(yard)
    later = DAY + timedelta(days=30)
    yard.workshop.salvaged_part(yard.unit, yard.position, removed_on=later, inspected_on=later)
    refused(lambda: yard.fit(yard.part()), "/fitted_on", "taken-since")
    yard.fit(yard.part(piece=2), piece=2)


def test_a_place_that_a_salvaged_part_has_left_again_gives_nothing(yard: Yard) -> None:
    yard.workshop.settings()
    part = yard.part()
    yard.fit(part)
    becomes_donor(yard)
    job = yard.another_job()
    assert given(yard, job)[yard.unit.id].taken_position_ids == ()
    change(yard.workshop, part, **OUT)
    assert given(yard, job)[yard.unit.id].taken_position_ids == (yard.position.id,)


def test_a_part_was_not_removed_after_it_was_fitted(yard: Yard) -> None:
    part = yard.part()
    yard.fit(part)
    late = {"removed_on": DAY + timedelta(days=1), "inspected_on": DAY + timedelta(days=1)}
    refused(lambda: change(yard.workshop, part, **late), "/removed_on", "out-of-range")
    early = DAY - timedelta(days=1)
    bought_in_time = yard.part(piece=2)
    refused(lambda: yard.fit(bought_in_time, fitted_on=early), "/fitted_on", "out-of-range")


# --- wholes taken apart ----------------------------------------------------------------------


def test_a_discarded_whole_is_taken_apart_and_is_whole_no_more(yard: Yard) -> None:
    w = yard.workshop
    carrier = w.position(yard.assembly)
    inner = w.position(yard.assembly, parent_id=carrier.id)
    whole = w.salvaged_part(yard.donor, carrier)
    with pytest.raises(InvalidInput) as caught:
        w.salvaged_part(yard.donor, inner)
    assert whole.id in caught.value.fix
    change(w, whole, state=SalvagedPartState.DISCARDED)
    taken = w.salvaged_part(yard.donor, inner)
    conflict(lambda: change(w, whole, **OUT))
    retire(w, taken)
    change(w, whole, **OUT)


# --- units in work, and cores ----------------------------------------------------------------


def test_a_core_in_work_is_none_and_a_core_is_not_worked_on(yard: Yard) -> None:
    w = yard.workshop
    core = stock(w, yard)
    overhaul = w.job(core)
    with_core = lambda: w.job(yard.unit, core_unit_id=core.id)  # noqa: E731
    refused(with_core, "/core_unit_id", "core-in-work")
    change(w, overhaul, state=JobState.CLOSED)
    job = with_core()
    refused(lambda: w.job(core), "/unit_id", "unit-is-core")
    came_back = lambda: change(w, overhaul, state=JobState.CAME_BACK)  # noqa: E731
    refused(came_back, "/unit_id", "unit-is-core")
    conflict(lambda: change(w, core, kind=UnitKind.CUSTOMER, donor=None))
    conflict(lambda: change(w, core, kind=UnitKind.DONOR, released_on=DAY))
    change(w, core, released_on=DAY)
    refused(lambda: w.salvaged_part(core, yard.position), "/donor_unit_id", "unit-in-work")
    change(w, job, core_unit_id=None)
    change(w, overhaul, state=JobState.CAME_BACK)


def test_a_job_always_closes_whatever_became_of_its_core(yard: Yard) -> None:
    w = yard.workshop
    core = stock(w, yard, released_on=DAY)
    job = w.job(yard.unit, core_unit_id=core.id)
    change(w, job, state=JobState.CLOSED)
    w.salvaged_part(core, yard.position)
    change(w, job, notes="Paid.")
    refused(lambda: change(w, job, state=JobState.CAME_BACK), "/core_unit_id", "core-incomplete")
    change(w, job, state=JobState.CAME_BACK, core_unit_id=None)


def test_a_core_promised_to_one_job_is_not_given_to_another(yard: Yard) -> None:
    w = yard.workshop
    w.settings()
    core = stock(w, yard)
    other = yard.another_job()
    assert core.id in given(yard, other)
    promised = w.job(yard.unit, core_unit_id=core.id)
    assert core.id not in given(yard, other)
    assert core.id in given(yard, promised)


def test_no_unit_is_offered_before_the_day_of_its_release(yard: Yard) -> None:
    w = yard.workshop
    w.settings()
    today = datetime.now(UTC)
    later = today.date() + timedelta(days=40)
    units = {stock(w, yard, released_on=later).id, w.donor(yard.assembly, released_on=later).id}
    assert not units & given(yard, yard.job).keys()
    assert units <= given(yard, yard.job, today + timedelta(days=42)).keys()


# --- reservations ----------------------------------------------------------------------------


def test_what_is_held_for_a_closed_job_is_held_no_longer(yard: Yard) -> None:
    held, lapsed = yard.reserve(yard.part(piece=1)), yard.reserve(yard.part(piece=2))
    with yard.workshop.sessions.writing() as session:
        session.execute(
            update(reservations)
            .where(reservations.c.id == lapsed.id)
            .values(expires_at=access.now() - timedelta(minutes=1))
        )
    change(yard.workshop, yard.job, state=JobState.CLOSED)
    assert yard.reservation_state(held) is ReservationState.RELEASED
    assert yard.reservation_state(lapsed) is ReservationState.EXPIRED


def test_a_reservation_of_a_closed_job_is_released_and_not_extended(yard: Yard) -> None:
    """One that was left held when its job was closed, by whatever wrote it."""
    change(yard.workshop, yard.job, state=JobState.CLOSED)
    part = yard.part()
    held = yard.reserve(part, yard.another_job())
    with yard.workshop.sessions.writing() as session:
        session.execute(
            update(reservations).where(reservations.c.id == held.id).values(job_id=yard.job.id)
        )
    longer = held.expires_at + timedelta(days=1)
    conflict(lambda: change(yard.workshop, held, expires_at=longer))
    change(yard.workshop, held, state=ReservationState.RELEASED)


def test_what_a_fitment_does_to_other_records_is_told(yard: Yard) -> None:
    part = yard.part()
    held = yard.reserve(part)
    fitment = yard.fit(part)
    change(yard.workshop, fitment, result=FitmentResult.DID_NOT_FIT)
    with yard.workshop.sessions.reading() as session:
        told = session.execute(
            select(audit_touches.c.record_id, audit_touches.c.detail)
            .where(audit_touches.c.record_id.in_([part.id, held.id]))
            .order_by(audit_touches.c.sequence, audit_touches.c.record_id)
        ).all()
    assert [tuple(one) for one in told] == [
        (held.id, '{"state":{"after":"taken","before":"held"}}'),
        (part.id, '{"state":{"after":"fitted","before":"shelved"}}'),
        (
            part.id,
            '{"inspected_by":{"after":null,"before":"bench one"},'
            f'"inspected_on":{{"after":null,"before":"{DAY}"}},'
            '"state":{"after":"uninspected","before":"fitted"}}',
        ),
    ]


def settle(workshop: Workshop) -> None:
    with workshop.sessions.writing() as session:
        records.settle(session, workshop.principal, Reservation)


@pytest.mark.engines("postgresql")
def test_the_sweep_of_lapsed_reservations_waits_for_nobody(
    yard: Yard,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    held = [yard.reserve(yard.part(piece=piece)) for piece in (1, 2)]
    at(monkeypatch, held[1].expires_at)
    w, in_hand, done = yard.workshop, Event(), Event()

    def be_slow() -> None:
        with w.sessions.writing() as session:
            statement = select(reservations.c.id).where(reservations.c.id == held[0].id)
            session.execute(statement.with_for_update())
            in_hand.set()
            assert done.wait(30)

    def stored() -> list[str]:
        with w.sessions.reading() as session:
            states = select(reservations.c.state).order_by(reservations.c.id)
            return list(session.execute(states).scalars())

    with ThreadPoolExecutor(1) as threads:
        slow = threads.submit(be_slow)
        assert in_hand.wait(30)
        try:
            settle(w)
            assert stored() == ["held", "expired"]
        finally:
            done.set()
        slow.result()
    settle(w)
    assert stored() == ["expired", "expired"]


def test_an_index_tells_what_has_lapsed(yard: Yard) -> None:
    w, seen = yard.workshop, []
    with w.sessions.reading() as session:
        connection = session.connection()
        is_sqlite = connection.dialect.name == "sqlite"

        def note(connection, cursor, statement, parameters, context, executemany) -> None:
            if "held" in statement:
                seen.append((statement, parameters))

        event.listen(connection, "before_cursor_execute", note)
        assert not records.has_lapsed(session, w.principal, Reservation)
        event.remove(connection, "before_cursor_execute", note)
        ((statement, parameters),) = seen
        if not is_sqlite:
            connection.execute(text("SET LOCAL enable_seqscan = off"))
            connection.execute(text("SET LOCAL enable_bitmapscan = off"))
        way = "EXPLAIN QUERY PLAN" if is_sqlite else "EXPLAIN (COSTS OFF)"
        plan = connection.exec_driver_sql(f"{way} {statement}", parameters).all()
    assert "ix_reservations_held_until" in str(plan), plan


# --- at the same moment ----------------------------------------------------------------------


def test_a_job_and_a_release_of_its_unit_exclude_each_other(yard: Yard) -> None:
    w = yard.workshop
    for is_new in (True, False) * 4:
        unit = w.unit(yard.assembly)
        closed = w.job(unit, state=JobState.CLOSED)
        done = both_at_once(
            lambda unit=unit, closed=closed, is_new=is_new: (
                w.job(unit) if is_new else change(w, closed, state=JobState.CAME_BACK)
            ),
            lambda unit=unit: change(w, unit, kind=UnitKind.DONOR, donor=TERMS, released_on=DAY),
        )
        assert done.count(True) == 1


def test_a_piece_is_not_taken_while_the_position_comes_to_hold_fewer(yard: Yard) -> None:
    w = yard.workshop
    for _ in range(8):
        place: Position = w.position(yard.assembly, quantity=4)
        done = both_at_once(
            lambda place=place: w.salvaged_part(yard.donor, place, piece=4),
            lambda place=place: change(w, place, quantity=1),
        )
        assert done.count(True) == 1


def test_nothing_stays_held_for_a_job_closed_at_the_same_moment(yard: Yard) -> None:
    w = yard.workshop
    for _ in range(6):
        donor = w.donor(yard.assembly, released_on=DAY)
        held_part, free_part = (
            w.salvaged_part(donor, yard.position, piece=piece) for piece in (1, 2)
        )
        job = yard.another_job()
        held = yard.reserve(held_part, job)
        done = both_at_once(
            lambda held=held: change(w, held, expires_at=held.expires_at + timedelta(days=1)),
            lambda part=free_part, job=job: yard.reserve(part, job),
            lambda job=job: change(w, job, state=JobState.CLOSED),
        )
        assert done[2]
        assert not w.page(Reservation, job_id=job.id) or {
            one.state for one in w.page(Reservation, job_id=job.id)
        } == {ReservationState.RELEASED}


@pytest.fixture
def ticking(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[datetime]]:
    """A clock that reads what its one item says."""
    clock = [datetime.now(UTC)]
    monkeypatch.setattr(access, "now", lambda: clock[0])
    yield clock


@pytest.mark.engines("postgresql")
def test_a_part_is_not_thrown_away_while_its_reservation_is_extended_in_time(
    yard: Yard,
    ticking: list[datetime],
) -> None:
    """The extension is written before the end, and seen by others only after it."""
    w, part = yard.workshop, yard.part()
    held = yard.reserve(part)
    ticking[0] = held.expires_at - timedelta(seconds=1)
    with ThreadPoolExecutor(1) as threads:
        with w.sessions.writing() as session:
            records.change(
                session, w.principal, Reservation, held.id, [1],
                lambda before: replace(
                    before.record, expires_at=held.expires_at + timedelta(days=1)
                ),
            )  # fmt: skip
            ticking[0] = held.expires_at + timedelta(seconds=1)
            thrown = threads.submit(change, w, part, state=SalvagedPartState.DISCARDED)
            with pytest.raises(TimeoutError):
                thrown.result(timeout=0.3)
        with pytest.raises(Conflict) as caught:
            thrown.result(30)
    assert caught.value.code == "already-reserved"
    assert w.read(SalvagedPart, part.id).record.state is SalvagedPartState.SHELVED
