"""Salvaged parts kept straight: where from, for whom, where to; nothing is promised twice."""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from sqlalchemy import insert, select, update
from sqlalchemy.exc import IntegrityError

from db.models.access import audit_entries, changes
from db.models.salvage import reservations
from db.queries.salvage_trace import trace
from db.queries.snapshot import load_snapshot
from shared.assemblies.model import Ruling
from shared.condition.model import DonorTerms, Unit, UnitKind
from shared.decision.decide import decide
from shared.decision.job_states import JobState
from shared.decision.snapshot import Aim
from shared.errors import Conflict, InvalidInput, NotFound
from shared.evidence import EvidenceKind, ReasonRetired
from shared.interchange.model import Fitment, FitmentResult
from shared.salvage.model import (
    Reservation,
    ReservationState,
    SalvagedPart,
    SalvagedPartState,
)
from tests.db.workshop import FOUND_AT, Workshop, euro
from tests.db.yard import DAY, Yard, at, both_at_once, change, conflict, refused, retire

# --- who may give parts ----------------------------------------------------------------------


def test_a_customers_unit_gives_no_part(yard: Yard) -> None:
    refused(
        lambda: yard.workshop.salvaged_part(yard.unit, yard.position),
        "/donor_unit_id",
        "donor-not-released",
    )


def test_a_customers_unit_gives_parts_once_it_is_released(yard: Yard) -> None:
    change(yard.workshop, yard.job, state=JobState.CLOSED)
    terms = DonorTerms(is_owned=True, undisturbed_worth=euro("90.00"))
    change(yard.workshop, yard.unit, kind=UnitKind.DONOR, released_on=DAY, donor=terms)
    part = yard.workshop.salvaged_part(yard.unit, yard.position, removed_on=DAY)
    assert part.donor_unit_id == yard.unit.id


def test_a_unit_that_goes_back_to_its_customer_gives_no_part(yard: Yard) -> None:
    change(yard.workshop, yard.donor, kind=UnitKind.CUSTOMER, donor=None, released_on=None)
    refused(yard.part, "/donor_unit_id", "donor-not-released")


def test_a_unit_that_gave_a_part_never_goes_back_to_a_customer(yard: Yard) -> None:
    yard.part()
    back = conflict(lambda: change(yard.workshop, yard.donor, kind=UnitKind.CUSTOMER, donor=None))
    assert back.facts["allowed_states"] == ["donor", "stock"]
    assert yard.workshop.read(Unit, yard.donor.id).record.kind is UnitKind.DONOR
    change(yard.workshop, yard.donor, kind=UnitKind.STOCK)
    conflict(lambda: change(yard.workshop, yard.donor, kind=UnitKind.CUSTOMER, donor=None))


def test_nothing_is_taken_before_the_release(yard: Yard) -> None:
    early = DAY - timedelta(days=1)
    refused(lambda: yard.part(removed_on=early), "/removed_on", "donor-not-released")
    yard.part(removed_on=DAY)


def test_nothing_is_recorded_before_it_is_done(yard: Yard, monkeypatch: pytest.MonkeyPatch) -> None:
    tomorrow = FOUND_AT.date() + timedelta(days=1)
    at(monkeypatch, FOUND_AT.replace(hour=9))  # begun nowhere yet
    refused(lambda: yard.part(removed_on=tomorrow), "/removed_on", "out-of-range")
    refused(lambda: yard.part(inspected_on=tomorrow), "/inspected_on", "out-of-range")
    part = yard.part()
    refused(
        lambda: change(yard.workshop, part, inspected_on=tomorrow), "/inspected_on", "out-of-range"
    )
    refused(lambda: yard.fit(part, fitted_on=tomorrow), "/fitted_on", "out-of-range")
    fitment = yard.fit(part)
    failed = {"result": FitmentResult.FAILED, "result_on": tomorrow}
    refused(lambda: change(yard.workshop, fitment, **failed), "/result_on", "out-of-range")
    at(monkeypatch, FOUND_AT.replace(hour=10))  # the next day has begun furthest east
    yard.part(piece=2, removed_on=tomorrow, inspected_on=tomorrow)


def test_the_release_does_not_move_behind_what_was_taken(yard: Yard) -> None:
    yard.part(removed_on=DAY)
    for day in (DAY + timedelta(days=1), None):
        refused(
            lambda day=day: change(yard.workshop, yard.donor, kind=UnitKind.STOCK, released_on=day),
            "/released_on",
            "donor-not-released",
        )
    change(yard.workshop, yard.donor, released_on=DAY - timedelta(days=30))


def test_a_stock_unit_gives_parts_once_its_release_is_on_record(yard: Yard) -> None:
    terms = DonorTerms(is_owned=True)
    stock = yard.workshop.unit(yard.assembly, kind=UnitKind.STOCK, donor=terms)
    refused(
        lambda: yard.workshop.salvaged_part(stock, yard.position),
        "/donor_unit_id",
        "donor-not-released",
    )
    change(yard.workshop, stock, released_on=DAY)
    yard.workshop.salvaged_part(stock, yard.position)


def test_another_shops_donor_is_told_as_unknown(yard: Yard, neighbour: Workshop) -> None:
    theirs = neighbour.donor(yard.assembly, released_on=DAY)
    refused(
        lambda: yard.workshop.salvaged_part(theirs, yard.position),
        "/donor_unit_id",
        "reference-unknown",
    )


# --- which part ------------------------------------------------------------------------------


def test_each_piece_leaves_a_donor_once(yard: Yard) -> None:
    first = yard.part(piece=1)
    yard.part(piece=2)
    again = conflict(lambda: yard.part(piece=1), "duplicate")
    assert again.facts["existing_id"] == first.id
    refused(lambda: yard.part(piece=3), "/piece", "out-of-range")
    yard.workshop.salvaged_part(
        yard.workshop.donor(yard.assembly, released_on=DAY), yard.position, piece=1
    )


def test_a_label_is_on_one_part_of_a_shop(yard: Yard, neighbour: Workshop) -> None:
    first = yard.part(label="S 0418")
    again = conflict(lambda: yard.part(piece=2, label="s  0418"), "duplicate")
    assert again.facts["existing_id"] == first.id
    neighbour.salvaged_part(
        neighbour.donor(yard.assembly, released_on=DAY), yard.position, label="S 0418"
    )


def test_the_position_belongs_to_the_donors_assembly(yard: Yard) -> None:
    elsewhere = yard.workshop.position(yard.workshop.assembly())
    refused(
        lambda: yard.workshop.salvaged_part(yard.donor, elsewhere),
        "/position_id",
        "other-assembly",
    )


@pytest.mark.parametrize("ruling", [Ruling.INSPECT_ONLY, Ruling.REPLACE_AS_ASSEMBLY])
@pytest.mark.parametrize("serial_to", [None, "LF-200"])
def test_what_is_kept_whole_gives_no_inner_part_but_itself(
    yard: Yard, ruling: Ruling, serial_to: str | None
) -> None:
    workshop = yard.workshop
    carrier = workshop.position(yard.assembly)
    cage = workshop.position(yard.assembly, parent_id=carrier.id)
    ball = workshop.position(yard.assembly, parent_id=cage.id)
    workshop.ruling(carrier, ruling, serial_to=serial_to)
    for inner in (cage, ball):
        refused(
            lambda inner=inner: workshop.salvaged_part(yard.donor, inner),
            "/position_id",
            "not-serviceable",
        )
    workshop.salvaged_part(yard.donor, carrier)


def test_a_ruling_for_other_serial_numbers_does_not_bar_and_an_unknown_one_does(
    yard: Yard,
) -> None:
    workshop = yard.workshop
    carrier = workshop.position(yard.assembly)
    inner = workshop.position(yard.assembly, parent_id=carrier.id)
    workshop.ruling(carrier, Ruling.INSPECT_ONLY, serial_from="LF-101")
    workshop.salvaged_part(yard.donor, inner)
    nameless = workshop.donor(yard.assembly, released_on=DAY)
    refused(lambda: workshop.salvaged_part(nameless, inner), "/position_id", "not-serviceable")


def test_a_whole_and_what_is_inside_it_do_not_both_leave_a_donor(yard: Yard) -> None:
    workshop = yard.workshop
    carrier = workshop.position(yard.assembly)
    inner = workshop.position(yard.assembly, parent_id=carrier.id)
    workshop.salvaged_part(yard.donor, carrier)
    refused(lambda: workshop.salvaged_part(yard.donor, inner), "/position_id", "taken-already")
    other = workshop.donor(yard.assembly, released_on=DAY)
    workshop.salvaged_part(other, inner)
    refused(lambda: workshop.salvaged_part(other, carrier), "/position_id", "taken-already")


def test_findings_are_of_the_donor_and_of_this_piece(yard: Yard) -> None:
    workshop = yard.workshop
    bore = workshop.characteristic(yard.position)
    inner = workshop.position(yard.assembly, parent_id=yard.position.id)
    own = workshop.finding(yard.donor, bore, piece=1)
    inside = workshop.finding(yard.donor, workshop.characteristic(inner))
    strange = {
        workshop.finding(yard.unit, bore).id: "other-unit",
        workshop.finding(
            yard.donor, workshop.characteristic(workshop.position(yard.assembly))
        ).id: "other-unit",
        workshop.finding(yard.donor, bore, piece=2).id: "other-piece",
        "fnd_none": "reference-unknown",
    }
    for finding_id, code in strange.items():
        refused(lambda one=finding_id: yard.part(finding_ids=(one,)), "/finding_ids/0", code)
    refused(lambda: yard.part(finding_ids=(own.id, own.id)), "/finding_ids/1", "duplicate-item")
    part = yard.part(finding_ids=(inside.id, own.id))
    assert workshop.read(SalvagedPart, part.id).record == part


def test_where_a_part_comes_from_is_mended_while_nobody_has_relied_on_it(yard: Yard) -> None:
    part = yard.part(piece=1)
    assert change(yard.workshop, part, piece=2).record.piece == 2
    refused(lambda: change(yard.workshop, part, piece=3), "/piece", "out-of-range")
    yard.reserve(part)
    refused(lambda: change(yard.workshop, part, piece=1), "/donor_unit_id", "fixed-member")


def test_a_position_keeps_the_pieces_that_were_taken_or_fitted(yard: Yard) -> None:
    workshop = yard.workshop
    yard.part(piece=2)
    refused(lambda: change(workshop, yard.position, quantity=1), "/quantity", "out-of-range")
    place = workshop.position(yard.assembly, quantity=2)
    workshop.fitment(yard.job, place, part_id=workshop.part().id, piece=2)
    refused(lambda: change(workshop, place, quantity=1), "/quantity", "out-of-range")


# --- how it stands ---------------------------------------------------------------------------


def test_nothing_is_shelved_that_nobody_inspected(yard: Yard) -> None:
    with pytest.raises(InvalidInput) as caught:
        yard.part(inspected_by=None, inspected_on=None)
    assert caught.value.pointer == "/inspected_on"
    with pytest.raises(InvalidInput):
        yard.part(inspected_on=DAY - timedelta(days=1))
    with pytest.raises(InvalidInput):
        yard.part(state=SalvagedPartState.UNINSPECTED)
    with pytest.raises(InvalidInput):
        yard.part(inspected_by=None)


def test_a_part_becomes_fitted_by_a_fitment_alone(yard: Yard) -> None:
    conflict(lambda: yard.part(state=SalvagedPartState.FITTED))
    part = yard.part()
    caught = conflict(lambda: change(yard.workshop, part, state=SalvagedPartState.FITTED))
    assert caught.facts["allowed_states"] == ["uninspected", "discarded"]
    yard.fit(part)
    assert yard.state(part) is SalvagedPartState.FITTED


def test_what_comes_out_of_a_machine_is_inspected_anew(yard: Yard) -> None:
    part = yard.part()
    yard.fit(part)
    conflict(lambda: change(yard.workshop, part, state=SalvagedPartState.SHELVED))
    with pytest.raises(InvalidInput) as caught:
        change(yard.workshop, part, state=SalvagedPartState.UNINSPECTED)
    assert caught.value.pointer == "/inspected_on"
    out = {"state": SalvagedPartState.UNINSPECTED, "inspected_by": None, "inspected_on": None}
    assert change(yard.workshop, part, **out).record.state is SalvagedPartState.UNINSPECTED


def test_what_is_held_does_not_leave_the_shelf(yard: Yard) -> None:
    part = yard.part()
    held = yard.reserve(part)
    gone = {"state": SalvagedPartState.DISCARDED}
    caught = conflict(lambda: change(yard.workshop, part, **gone), "already-reserved")
    assert caught.facts["existing_id"] == held.id
    assert change(yard.workshop, part, shelf="rack 3").record.shelf == "rack 3"
    change(yard.workshop, held, state=ReservationState.RELEASED)
    change(yard.workshop, part, **gone)


def test_what_was_discarded_stays_on_record(yard: Yard) -> None:
    part = yard.part()
    change(yard.workshop, part, state=SalvagedPartState.DISCARDED)
    caught = conflict(lambda: retire(yard.workshop, part))
    assert caught.facts["allowed_states"] == ["uninspected"]


def test_what_was_recorded_by_mistake_goes_and_its_donor_has_it_again(yard: Yard) -> None:
    part = yard.part()
    retire(yard.workshop, part)
    stored = yard.workshop.read(Unit, yard.donor.id)
    assert stored.record.taken_position_ids == ()
    assert stored.version == 3
    assert sequence(yard.workshop, yard.donor.id) == sequence(yard.workshop, part.id)
    yard.part()


def test_taking_a_part_changes_what_is_read_of_its_donor(yard: Yard) -> None:
    workshop = yard.workshop
    assert yard.donor.taken_position_ids == ()
    part = yard.part()
    stored = workshop.read(Unit, yard.donor.id)
    assert stored.record.taken_position_ids == (yard.position.id,)
    assert stored.version == 2
    assert sequence(workshop, yard.donor.id) == sequence(workshop, part.id)
    other = workshop.donor(yard.assembly, released_on=DAY)
    change(workshop, part, donor_unit_id=other.id)
    assert workshop.read(Unit, yard.donor.id).record.taken_position_ids == ()
    assert workshop.read(Unit, other.id).record.taken_position_ids == (yard.position.id,)
    assert workshop.read(Unit, yard.donor.id).version == 3
    change(workshop, part, shelf="rack 3")
    assert workshop.read(Unit, other.id).version == 2


def sequence(workshop: Workshop, record_id: str) -> int:
    with workshop.sessions.reading() as session:
        statement = select(changes.c.sequence).where(changes.c.record_id == record_id)
        return session.execute(statement).scalar_one()


def test_a_unit_that_gave_parts_is_in_use(yard: Yard) -> None:
    part = yard.part()
    caught = conflict(lambda: retire(yard.workshop, yard.donor), "in-use")
    assert {"kind": "salvaged-part", "id": part.id} in caught.facts["used_by"]


# --- for whom --------------------------------------------------------------------------------


def test_a_part_is_held_once_at_a_time(yard: Yard) -> None:
    part = yard.part()
    first = yard.reserve(part)
    for job in (yard.job, yard.another_job()):
        caught = conflict(lambda job=job: yard.reserve(part, job), "already-reserved")
        assert caught.facts["existing_id"] == first.id
    change(yard.workshop, first, state=ReservationState.RELEASED)
    assert yard.reservation_state(yard.reserve(part)) is ReservationState.HELD


@pytest.mark.parametrize("state", [SalvagedPartState.UNINSPECTED, SalvagedPartState.DISCARDED])
def test_only_what_is_on_the_shelf_is_reserved(yard: Yard, state: SalvagedPartState) -> None:
    part = yard.part(state=state, inspected_by=None, inspected_on=None)
    caught = conflict(lambda: yard.reserve(part))
    assert caught.facts["allowed_states"] == ["shelved"]
    conflict(lambda: yard.fit(part))


def test_nothing_is_reserved_for_a_closed_job(yard: Yard) -> None:
    part = yard.part()
    change(yard.workshop, yard.job, state=JobState.CLOSED)
    conflict(lambda: yard.reserve(part))


def test_a_reservation_ends_within_a_year_from_now(
    yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    at(monkeypatch, FOUND_AT)
    part = yard.part()
    for ends in (FOUND_AT, FOUND_AT - timedelta(1), FOUND_AT + timedelta(days=366, seconds=1)):
        refused(
            lambda ends=ends: yard.reserve(part, expires_at=ends), "/expires_at", "out-of-range"
        )
    yard.reserve(part, expires_at=FOUND_AT + timedelta(days=366))


@pytest.mark.parametrize(
    "state", [ReservationState.RELEASED, ReservationState.TAKEN, ReservationState.EXPIRED]
)
def test_a_reservation_begins_held(yard: Yard, state: ReservationState) -> None:
    part = yard.part()
    conflict(lambda: yard.reserve(part, state=state))


def test_a_reservation_is_released_or_held_for_longer_and_nothing_else(yard: Yard) -> None:
    held = yard.reserve(yard.part())
    later = held.expires_at + timedelta(days=1)
    for state in (ReservationState.TAKEN, ReservationState.EXPIRED):
        caught = conflict(lambda state=state: change(yard.workshop, held, state=state))
        assert caught.facts["allowed_states"] == ["released"]
    sooner = held.expires_at - timedelta(days=1)
    for fields in (
        {"expires_at": sooner},
        {"expires_at": later, "state": ReservationState.RELEASED},
        {"expires_at": later + timedelta(days=366)},
    ):
        refused(
            lambda fields=fields: change(yard.workshop, held, **fields),
            "/expires_at",
            "out-of-range",
        )
    other = yard.another_job()
    for name, value in (("job_id", other.id), ("reserved_by", "someone")):
        refused(
            lambda name=name, value=value: change(yard.workshop, held, **{name: value}),
            f"/{name}",
            "fixed-member",
        )
    assert change(yard.workshop, held, expires_at=later).record.expires_at == later
    change(yard.workshop, held, state=ReservationState.RELEASED)
    caught = conflict(lambda: change(yard.workshop, held, state=ReservationState.HELD))
    assert caught.facts["allowed_states"] == []


def test_a_reservation_lapses_when_its_time_is_up(
    yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    workshop, part = yard.workshop, yard.part()
    held = yard.reserve(part)
    stored = workshop.read(Reservation, held.id)
    at(monkeypatch, held.expires_at - timedelta(microseconds=1))
    assert workshop.read(Reservation, held.id) == stored
    at(monkeypatch, held.expires_at)
    lapsed = workshop.read(Reservation, held.id)
    assert lapsed.record == replace(held, state=ReservationState.EXPIRED)
    assert lapsed.version == stored.version + 1
    conflict(lambda: change(workshop, held, expires_at=held.expires_at + timedelta(days=1)))
    following = yard.reserve(part, expires_at=held.expires_at + timedelta(days=1))
    assert workshop.read(Reservation, held.id) == lapsed
    assert sequence(workshop, held.id) == sequence(workshop, following.id)
    assert workshop.page(Reservation, salvaged_part_id=part.id) == [lapsed.record, following]


def test_what_lapsed_before_is_not_told_as_changed_again(
    yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    part = yard.part()
    first = yard.reserve(part)
    at(monkeypatch, first.expires_at)
    second = yard.reserve(part, expires_at=first.expires_at + timedelta(days=1))
    change(yard.workshop, second, state=ReservationState.RELEASED)
    third = yard.reserve(part, expires_at=first.expires_at + timedelta(days=1))
    assert sequence(yard.workshop, first.id) < sequence(yard.workshop, third.id)


def test_a_lapsed_reservation_neither_holds_a_part_nor_stops_another_job(
    yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    part = yard.part()
    held = yard.reserve(part)
    at(monkeypatch, held.expires_at)
    yard.fit(part, yard.another_job())
    assert yard.reservation_state(held) is ReservationState.EXPIRED
    assert yard.state(part) is SalvagedPartState.FITTED


def test_the_database_itself_holds_a_part_once(yard: Yard) -> None:
    held = yard.reserve(yard.part())
    with yard.workshop.sessions.reading() as session:
        row = dict(
            session.execute(select(reservations).where(reservations.c.id == held.id))
            .mappings()
            .one()
        )
    with pytest.raises(IntegrityError), yard.workshop.sessions.writing() as session:
        session.execute(insert(reservations).values(row | {"id": "rsv_other"}))
    with yard.workshop.sessions.writing() as session:
        ended = row | {"id": "rsv_other", "state": "released"}
        session.execute(insert(reservations).values(ended))
    with pytest.raises(IntegrityError), yard.workshop.sessions.writing() as session:
        session.execute(
            update(reservations).where(reservations.c.id == "rsv_other").values(state="held")
        )


def test_a_taken_reservation_stays_on_record_and_others_may_go(yard: Yard) -> None:
    part, second = yard.part(piece=1), yard.part(piece=2)
    taken, held = yard.reserve(part), yard.reserve(second)
    yard.fit(part)
    conflict(lambda: retire(yard.workshop, taken))
    retire(yard.workshop, held)
    with pytest.raises(NotFound):
        yard.workshop.read(Reservation, held.id)
    yard.reserve(second)


def test_of_many_who_reserve_at_once_one_wins(yard: Yard) -> None:
    part = yard.part()

    def reserve(_: int) -> str:
        try:
            return yard.reserve(part).id
        except Conflict as error:
            assert error.code == "already-reserved"
            return "lost"

    with ThreadPoolExecutor(8) as threads:
        outcomes = list(threads.map(reserve, range(16)))
    assert outcomes.count("lost") == 15
    assert len(yard.workshop.page(Reservation, salvaged_part_id=part.id)) == 1


def test_a_donor_does_not_go_back_while_a_part_is_taken_from_it(yard: Yard) -> None:
    workshop = yard.workshop
    for _ in range(8):
        donor = workshop.donor(yard.assembly, released_on=DAY)
        done = both_at_once(
            lambda donor=donor: workshop.salvaged_part(donor, yard.position),
            lambda donor=donor: change(workshop, donor, kind=UnitKind.CUSTOMER, donor=None),
        )
        assert done.count(True) == 1
        is_customers = workshop.read(Unit, donor.id).record.kind is UnitKind.CUSTOMER
        taken = workshop.page(SalvagedPart, donor_unit_id=donor.id)
        assert (len(taken) == 1) != is_customers


def test_a_part_is_not_thrown_away_while_it_is_reserved_or_fitted_elsewhere(yard: Yard) -> None:
    other = yard.another_job()
    for _ in range(8):
        donor = yard.workshop.donor(yard.assembly, released_on=DAY)
        part = yard.workshop.salvaged_part(donor, yard.position)
        done = both_at_once(
            lambda part=part: yard.reserve(part),
            lambda part=part: yard.fit(part, other),
            lambda part=part: change(yard.workshop, part, state=SalvagedPartState.DISCARDED),
        )
        held = yard.workshop.page(Reservation, salvaged_part_id=part.id)
        fitted = yard.workshop.page(Fitment, salvaged_part_id=part.id)
        assert done[:2] == [len(held) == 1, len(fitted) == 1]
        state = yard.state(part)
        if held:
            assert (state, fitted) == (SalvagedPartState.SHELVED, [])
        else:
            assert state is not SalvagedPartState.SHELVED


# --- where to --------------------------------------------------------------------------------


def test_a_fitment_takes_the_part_and_its_reservation(yard: Yard) -> None:
    part = yard.part()
    held = yard.reserve(part)
    fitment = yard.fit(part)
    assert yard.state(part) is SalvagedPartState.FITTED
    assert yard.reservation_state(held) is ReservationState.TAKEN
    workshop = yard.workshop
    assert workshop.read(SalvagedPart, part.id).version == 2
    assert workshop.read(Reservation, held.id).version == 2
    told = {sequence(workshop, one.id) for one in (part, held, fitment)}
    assert len(told) == 1
    with workshop.sessions.reading() as session:
        written = session.execute(
            select(audit_entries.c.record_id).where(audit_entries.c.sequence.in_(told))
        ).scalars()
        assert list(written) == [fitment.id]
    conflict(lambda: yard.fit(part))


def test_what_is_held_for_another_job_is_not_fitted(yard: Yard) -> None:
    part = yard.part()
    held = yard.reserve(part, yard.another_job())
    caught = conflict(lambda: yard.fit(part), "already-reserved")
    assert caught.facts["existing_id"] == held.id
    assert yard.state(part) is SalvagedPartState.SHELVED
    assert yard.reservation_state(held) is ReservationState.HELD
    assert yard.workshop.page(Fitment) == []


def test_a_part_that_did_not_fit_comes_back_uninspected_and_free(yard: Yard) -> None:
    part = yard.part()
    held = yard.reserve(part)
    fitment = yard.fit(part, result=FitmentResult.DID_NOT_FIT, result_on=DAY)
    record = yard.workshop.read(SalvagedPart, part.id).record
    assert record.state is SalvagedPartState.UNINSPECTED
    assert (record.inspected_by, record.inspected_on) == (None, None)
    assert yard.reservation_state(held) is ReservationState.RELEASED
    caught = conflict(
        lambda: change(yard.workshop, fitment, result=FitmentResult.RUNNING, result_on=None)
    )
    assert caught.facts["allowed_states"] == ["did-not-fit"]


def test_a_part_found_later_not_to_fit_comes_back_too(yard: Yard) -> None:
    part = yard.part()
    fitment = yard.fit(part)
    change(yard.workshop, fitment, result=FitmentResult.DID_NOT_FIT, result_on=DAY)
    assert yard.state(part) is SalvagedPartState.UNINSPECTED
    assert sequence(yard.workshop, part.id) == sequence(yard.workshop, fitment.id)


def test_an_old_fitment_does_not_take_a_part_out_of_where_it_is_now(yard: Yard) -> None:
    part = yard.part()
    first = yard.fit(part)
    out = {"state": SalvagedPartState.UNINSPECTED, "inspected_by": None, "inspected_on": None}
    change(yard.workshop, part, **out)
    looked = {"inspected_by": "bench one", "inspected_on": DAY}
    change(yard.workshop, part, state=SalvagedPartState.SHELVED, **looked)
    yard.fit(part, yard.another_job())
    change(yard.workshop, first, result=FitmentResult.DID_NOT_FIT)
    assert yard.state(part) is SalvagedPartState.FITTED


def test_the_result_of_a_fitment_changes_and_what_it_was_does_not(yard: Yard) -> None:
    fitment = yard.fit(yard.part())
    later = DAY + timedelta(days=90)
    changed = change(
        yard.workshop, fitment, result=FitmentResult.FAILED, result_on=later, note="Seized."
    )
    assert changed.record.result is FitmentResult.FAILED
    for name, value in (("piece", 2), ("fitted_by", "someone"), ("job_id", "job_x")):
        refused(
            lambda name=name, value=value: change(yard.workshop, fitment, **{name: value}),
            f"/{name}",
            "fixed-member",
        )


def test_a_fitment_of_a_salvaged_part_stays_and_one_of_a_bought_part_may_go(yard: Yard) -> None:
    conflict(lambda: retire(yard.workshop, yard.fit(yard.part())))
    bought = yard.workshop.fitment(
        yard.job, yard.position, part_id=yard.workshop.part().id, piece=2
    )
    retire(yard.workshop, bought)
    with pytest.raises(NotFound):
        yard.workshop.read(Fitment, bought.id)


def test_a_fitment_names_one_thing_and_a_place_in_the_jobs_unit(yard: Yard) -> None:
    workshop, bought = yard.workshop, yard.workshop.part()
    for fields in ({}, {"part_id": bought.id, "salvaged_part_id": yard.part().id}):
        with pytest.raises(InvalidInput) as caught:
            workshop.fitment(yard.job, yard.position, **fields)
        assert caught.value.pointer == "/part_id"
    elsewhere = workshop.position(workshop.assembly())
    refused(
        lambda: workshop.fitment(yard.job, elsewhere, part_id=bought.id),
        "/position_id",
        "other-assembly",
    )
    refused(
        lambda: workshop.fitment(yard.job, yard.position, part_id=bought.id, piece=3),
        "/piece",
        "out-of-range",
    )
    refused(
        lambda: workshop.fitment(yard.job, yard.position, salvaged_part_id="slv_none"),
        "/salvaged_part_id",
        "reference-unknown",
    )


def test_the_days_and_hours_of_a_fitment_make_sense(yard: Yard) -> None:
    fields = {"part_id": yard.workshop.part().id}
    for wrong, pointer in (
        ({"result_on": DAY}, "/result_on"),
        ({"result": FitmentResult.FAILED, "result_on": date(2020, 1, 1)}, "/result_on"),
        ({"result": FitmentResult.DID_NOT_FIT, "hours_run": Decimal(5)}, "/hours_run"),
    ):
        with pytest.raises(InvalidInput) as caught:
            yard.workshop.fitment(yard.job, yard.position, **fields, **wrong)
        assert caught.value.pointer == pointer


def test_a_fitment_tries_a_claim_that_speaks_of_it(yard: Yard) -> None:
    workshop = yard.workshop
    called_for, stand_in, third = workshop.part(), workshop.part(), workshop.part()
    place = workshop.position(yard.assembly, part_id=called_for.id)
    claim = workshop.claim(called_for, stand_in, evidence_kind=EvidenceKind.TOLD)
    fits = workshop.fitment(yard.job, place, part_id=stand_in.id, claim_id=claim.id)
    assert workshop.page(Fitment, claim_id=claim.id) == [fits]
    for other in (
        workshop.claim(called_for, third),
        workshop.claim(third, stand_in),
        workshop.claim(called_for, stand_in, serial_from="LF-500"),
        workshop.claim(called_for, stand_in, serial_from="XX-1"),
        workshop.claim(called_for, stand_in, position_id=yard.position.id),
    ):
        refused(
            lambda other=other: workshop.fitment(
                yard.job, place, part_id=stand_in.id, claim_id=other.id
            ),
            "/claim_id",
            "other-claim",
        )
    nameless = yard.part()
    refused(
        lambda: workshop.fitment(yard.job, place, salvaged_part_id=nameless.id, claim_id=claim.id),
        "/claim_id",
        "other-claim",
    )
    named = yard.part(piece=2, part_id=stand_in.id)
    workshop.fitment(yard.job, place, salvaged_part_id=named.id, claim_id=claim.id)


# --- from donor to job and back --------------------------------------------------------------


def test_a_part_is_traced_from_donor_to_job(yard: Yard) -> None:
    workshop = yard.workshop
    finding = workshop.finding(yard.donor, workshop.characteristic(yard.position))
    part = yard.part(finding_ids=(finding.id,))
    held = yard.reserve(part)
    fitment = yard.fit(part)
    with workshop.sessions.reading() as session:
        traced = trace(session, workshop.principal, part.id)
    assert traced.salvaged_part.id == part.id
    assert traced.donor.unit_id == yard.donor.id
    assert traced.donor.serial_number == "LF-100"
    assert traced.donor.reason_retired is ReasonRetired.WEAR
    assert traced.donor.released_on == DAY
    assert traced.position_name == yard.position.name
    assert traced.findings == (finding,)
    assert traced.reservations == (replace(held, state=ReservationState.TAKEN),)
    (one,) = traced.fitments
    assert (one.fitment, one.unit_id, one.serial_number) == (fitment, yard.unit.id, "LF-417")
    assert workshop.page(Fitment, job_id=yard.job.id) == [fitment]
    assert [one.id for one in workshop.page(SalvagedPart, donor_unit_id=yard.donor.id)] == [part.id]


def test_another_shop_traces_nothing(yard: Yard, neighbour: Workshop) -> None:
    part = yard.part()
    held, fitment = yard.reserve(part), yard.fit(part)
    with neighbour.sessions.reading() as session, pytest.raises(NotFound):
        trace(session, neighbour.principal, part.id)
    for record in (part, held, fitment):
        with pytest.raises(NotFound):
            neighbour.read(type(record), record.id)
        assert neighbour.page(type(record)) == []
    theirs = neighbour.job(neighbour.unit(yard.assembly))
    for make in (
        lambda: neighbour.reservation(part, theirs),
        lambda: neighbour.fitment(theirs, yard.position, salvaged_part_id=part.id),
    ):
        refused(make, "/salvaged_part_id", "reference-unknown")


def test_the_planner_is_told_what_has_left_a_donor(yard: Yard) -> None:
    workshop = yard.workshop
    workshop.settings()
    yard.part()
    with workshop.sessions.reading() as session:
        snapshot = load_snapshot(session, workshop.principal, yard.job.id, FOUND_AT, Aim.PRICE)
    taken = {unit.id: unit.taken_position_ids for unit in snapshot.units}
    assert taken == {yard.unit.id: (), yard.donor.id: (yard.position.id,)}
    told = [e for e in decide(snapshot).exclusions if "donor LF-100" in e.subject]
    assert [one.detail for one in told] == ["a piece of it was taken already"]
