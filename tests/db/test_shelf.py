"""What the planner is told lies on the shelf: free for this job, out of donors that may give."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import pytest

from db.queries import access, records
from db.queries.snapshot import load_snapshot
from shared.assemblies.model import Assembly, Position
from shared.condition.model import Unit, UnitKind
from shared.decision.decide import decide
from shared.decision.snapshot import Aim, Job, Snapshot
from shared.interchange.model import Part
from shared.salvage.model import Reservation, ReservationState, SalvagedPart, SalvagedPartState
from tests.db.workshop import REMOVED_ON, Workshop, euro, mm

AS_OF = datetime(2031, 3, 5, 8, 0, tzinfo=UTC)


@dataclass
class Shelf:
    """A job on a unit with one bearing position, and a donor of the same design."""

    workshop: Workshop
    assembly: Assembly
    bearing: Part
    position: Position
    donor: Unit
    job: Job

    def part(self, **fields) -> SalvagedPart:
        donor = self.workshop.donor(self.assembly, released_on=REMOVED_ON)
        return self.workshop.salvaged_part(donor, self.position, **fields)

    def snapshot(self, as_of: datetime = AS_OF, job: Job | None = None) -> Snapshot:
        with self.workshop.sessions.reading() as session:
            job_id = (job or self.job).id
            return load_snapshot(session, self.workshop.principal, job_id, as_of, Aim.PRICE)

    def told(self, as_of: datetime = AS_OF, job: Job | None = None) -> set[str]:
        return {part.id for part in self.snapshot(as_of, job).salvaged_parts}

    def change(self, record, **fields) -> None:
        with self.workshop.sessions.writing() as session:
            principal, kind = self.workshop.principal, type(record)
            stored = records.read(session, principal, kind, record.id)
            records.change(
                session, principal, kind, record.id, [stored.version],
                lambda before: replace(before.record, **fields),
            )  # fmt: skip


@pytest.fixture
def shelf(workshop: Workshop) -> Shelf:
    workshop.settings()
    assembly, bearing = workshop.assembly(), workshop.part()
    position = workshop.position(assembly, part_id=bearing.id)
    donor = workshop.donor(assembly, released_on=REMOVED_ON)
    job = workshop.job(workshop.unit(assembly))
    return Shelf(workshop, assembly, bearing, position, donor, job)


def test_only_what_lies_on_the_shelf_is_told(shelf: Shelf) -> None:
    part = shelf.part(worth=euro("40.00"), part_id=shelf.bearing.id)
    shelf.part(state=SalvagedPartState.UNINSPECTED, inspected_by=None, inspected_on=None)
    shelf.part(state=SalvagedPartState.DISCARDED)
    fitted = shelf.part()
    shelf.workshop.fitment(shelf.job, shelf.position, salvaged_part_id=fitted.id)
    assert shelf.told() == {part.id}
    (told,) = shelf.snapshot().salvaged_parts
    assert (told.label, told.worth, told.part_id) == (part.label, part.worth, shelf.bearing.id)


def test_a_part_held_for_another_job_is_not_there_until_its_time_is_up(
    shelf: Shelf, monkeypatch: pytest.MonkeyPatch
) -> None:
    free, held = shelf.part(), shelf.part()
    other = shelf.workshop.job(shelf.workshop.unit(shelf.assembly))
    soon = datetime.now(UTC).replace(microsecond=0) + timedelta(days=1)
    shelf.workshop.reservation(held, other, expires_at=soon)
    assert shelf.told(soon - timedelta(seconds=1)) == {free.id}
    assert shelf.told(soon) == {free.id}, "held today, whatever day is asked about"
    monkeypatch.setattr(access, "now", lambda: soon)
    assert shelf.told(soon) == {free.id, held.id}
    assert shelf.told(soon - timedelta(seconds=1), other) == {free.id, held.id}


def test_a_part_held_for_this_job_and_one_released_are_there(shelf: Shelf) -> None:
    own, released = shelf.part(), shelf.part()
    far = datetime.now(UTC).replace(microsecond=0) + timedelta(days=300)
    other = shelf.workshop.job(shelf.workshop.unit(shelf.assembly))
    shelf.workshop.reservation(own, shelf.job, expires_at=far)
    given_up = shelf.workshop.reservation(released, other, expires_at=far)
    before = far - timedelta(days=1)
    assert shelf.told(before) == {own.id}
    shelf.change(
        shelf.workshop.read(Reservation, given_up.id).record, state=ReservationState.RELEASED
    )
    assert shelf.told(before) == {own.id, released.id}


def test_before_it_was_inspected_a_part_was_not_on_the_shelf(shelf: Shelf) -> None:
    part = shelf.part(inspected_on=REMOVED_ON + timedelta(days=3))
    day = datetime(2026, 2, 20, 12, 0, tzinfo=UTC)
    assert shelf.told(day) == set()
    assert shelf.told(day + timedelta(days=2)) == {part.id}


def test_a_part_of_the_number_called_for_comes_with_its_donor_of_another_assembly(
    shelf: Shelf,
) -> None:
    w = shelf.workshop
    elsewhere = w.assembly()
    position = w.position(elsewhere)
    donor = w.donor(elsewhere, released_on=REMOVED_ON)
    finding = w.finding(donor, w.characteristic(position))
    part = w.salvaged_part(donor, position, part_id=shelf.bearing.id, finding_ids=(finding.id,))
    w.salvaged_part(w.donor(elsewhere, released_on=REMOVED_ON), position)
    snapshot = shelf.snapshot()
    assert [one.id for one in snapshot.salvaged_parts] == [part.id]
    assert donor.id in {unit.id for unit in snapshot.units}
    assert finding.id not in {one.id for one in snapshot.findings}
    told = {e.subject: e.detail for e in decide(snapshot).exclusions}
    assert (
        "another assembly's position" in told[f"Input bearing from the shelf, label {part.label}"]
    )
    assert told[f"donor {donor.id}"] == "it is another assembly"


def test_stock_units_of_another_assembly_give_parts_and_are_not_fitted(shelf: Shelf) -> None:
    w = shelf.workshop
    elsewhere = w.assembly()
    stock = w.donor(elsewhere, kind=UnitKind.STOCK, released_on=REMOVED_ON)
    part = w.salvaged_part(stock, w.position(elsewhere), part_id=shelf.bearing.id)
    snapshot = shelf.snapshot()
    assert [one.id for one in snapshot.salvaged_parts] == [part.id]
    assert all(plan.route != "used" for plan in decide(snapshot).plans)


def test_the_neighbours_shelf_is_his_own(shelf: Shelf, neighbour: Workshop) -> None:
    theirs = neighbour.donor(shelf.assembly, released_on=REMOVED_ON)
    neighbour.salvaged_part(theirs, shelf.position, part_id=shelf.bearing.id)
    assert shelf.told() == set()


def test_the_findings_that_a_part_names_are_in_the_snapshot(shelf: Shelf) -> None:
    w = shelf.workshop
    bore = w.characteristic(shelf.position)
    w.finding(
        w.read(Unit, shelf.job.unit_id).record,
        bore,
        measured=mm("20.500", standard_uncertainty="0.002"),
    )
    finding = w.finding(shelf.donor, bore, measured=mm("20.000", standard_uncertainty="0.002"))
    part = w.salvaged_part(shelf.donor, shelf.position, finding_ids=(finding.id,))
    snapshot = shelf.snapshot()
    assert snapshot.salvaged_parts[0].finding_ids == (finding.id,)
    assert finding in snapshot.findings
    (plan,) = decide(snapshot).plans
    (line,) = plan.lines
    assert (line.salvaged_part_ids, line.verdict) == ((part.id,), "conforming")
