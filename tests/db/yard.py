"""A yard to salvage from, and what is done in it again and again by several files of tests."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from datetime import datetime

import pytest

from db.queries import access, records
from db.queries.mapping import Stored
from shared.assemblies.model import Assembly, Position
from shared.condition.model import Unit
from shared.decision.snapshot import Job
from shared.errors import Conflict, InvalidInput, StaleVersion
from shared.evidence import ReasonRetired
from shared.interchange.model import Fitment
from shared.salvage.model import Reservation, ReservationState, SalvagedPart, SalvagedPartState
from tests.db.workshop import REMOVED_ON, Workshop

DAY = REMOVED_ON


@dataclass
class Yard:
    """One design, a donor of it in the yard, a customer's unit of it on the bench."""

    workshop: Workshop
    assembly: Assembly
    position: Position
    donor: Unit
    unit: Unit
    job: Job

    def part(self, **fields) -> SalvagedPart:
        return self.workshop.salvaged_part(self.donor, self.position, **fields)

    def reserve(self, part: SalvagedPart, job: Job | None = None, **fields) -> Reservation:
        return self.workshop.reservation(part, job or self.job, **fields)

    def fit(self, part: SalvagedPart, job: Job | None = None, **fields) -> Fitment:
        fields = {"salvaged_part_id": part.id, **fields}
        return self.workshop.fitment(job or self.job, self.position, **fields)

    def another_job(self) -> Job:
        return self.workshop.job(self.workshop.unit(self.assembly))

    def state(self, part: SalvagedPart) -> SalvagedPartState:
        return self.workshop.read(SalvagedPart, part.id).record.state

    def reservation_state(self, reservation: Reservation) -> ReservationState:
        return self.workshop.read(Reservation, reservation.id).record.state


def set_out(workshop: Workshop) -> Yard:
    assembly = workshop.assembly()
    position = workshop.position(assembly, quantity=2)
    donor = workshop.donor(
        assembly,
        serial_number="LF-100",
        reason_retired=ReasonRetired.WEAR,
        released_on=DAY,
    )
    unit = workshop.unit(assembly, serial_number="LF-417")
    return Yard(workshop, assembly, position, donor, unit, workshop.job(unit))


def change(workshop: Workshop, record, **fields) -> Stored:
    with workshop.sessions.writing() as session:
        stored = records.read(session, workshop.principal, type(record), record.id)
        return records.change(
            session,
            workshop.principal,
            type(record),
            record.id,
            [stored.version],
            lambda before: replace(before.record, **fields),
        )


def retire(workshop: Workshop, record) -> None:
    with workshop.sessions.writing() as session:
        stored = records.read(session, workshop.principal, type(record), record.id)
        records.retire(session, workshop.principal, type(record), record.id, [stored.version])


def refused(make, pointer: str, code: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        make()
    assert (caught.value.pointer, caught.value.code) == (pointer, code)
    assert caught.value.detail and caught.value.fix


def conflict(make, code: str = "state-conflict") -> Conflict:
    with pytest.raises(Conflict) as caught:
        make()
    assert caught.value.code == code
    assert caught.value.detail and caught.value.fix
    return caught.value


def at(monkeypatch: pytest.MonkeyPatch, moment: datetime) -> None:
    monkeypatch.setattr(access, "now", lambda: moment)


def both_at_once(*deeds: Callable[[], object]) -> list[bool]:
    """Do things that exclude each other at the same moment; which of them came about."""

    def came_about(deed: Callable[[], object]) -> bool:
        try:
            deed()
        except (Conflict, InvalidInput, StaleVersion):
            return False
        return True

    with ThreadPoolExecutor(len(deeds)) as threads:
        return list(threads.map(came_about, deeds))
