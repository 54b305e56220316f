"""Which ruling is in force: the newest that applies, the strictest where that cannot be told."""

from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlalchemy import select

from db.models.access import audit_entries
from db.queries.assemblies import positions_for
from db.queries.mapping import load
from shared.assemblies.model import Position, Ruling, Serviceability, ServiceabilityRuling
from shared.decision.settings import ShopSettings
from tests.db.workshop import Workshop


def in_force(workshop: Workshop, position: Position, serial: str | None) -> Ruling:
    mapped = positions_for(serial)
    with workshop.sessions.reading() as session:
        statement = select(mapped.table).where(mapped.table.c.id == position.id)
        return load(session, mapped, statement)[0].record.serviceability.ruling


def test_a_position_is_created_with_its_first_ruling(workshop: Workshop) -> None:
    stated = Serviceability(Ruling.INSPECT_ONLY, "Preload.", "Plate 4")
    position = workshop.position(workshop.assembly(), serviceability=stated)
    rulings = workshop.page(ServiceabilityRuling, position_id=position.id)
    assert [(r.ruling, r.reason, r.evidence) for r in rulings] == [
        (Ruling.INSPECT_ONLY, "Preload.", "Plate 4")
    ]


def test_a_new_ruling_changes_what_is_read_of_the_position(workshop: Workshop) -> None:
    position = workshop.position(workshop.assembly())
    ruling = workshop.ruling(position, Ruling.REPLACE_AS_ASSEMBLY, evidence="Job 118")
    stored = workshop.read(Position, position.id)
    assert stored.record.serviceability == Serviceability(
        Ruling.REPLACE_AS_ASSEMBLY, ruling.reason, "Job 118"
    )
    assert stored.version == 2
    assert stored.updated_at > stored.created_at
    assert workshop.read(ServiceabilityRuling, ruling.id).version == 2


def test_a_new_ruling_is_audited_once(workshop: Workshop) -> None:
    ruling = workshop.ruling(workshop.position(workshop.assembly()), Ruling.INSPECT_ONLY)
    with workshop.sessions.reading() as session:
        rows = session.execute(
            select(audit_entries).where(audit_entries.c.record_id == ruling.id)
        ).all()
    assert [(row.kind, row.action) for row in rows] == [("serviceability-ruling", "create")]


def test_a_ruling_for_some_serial_numbers_leaves_the_others_alone(workshop: Workshop) -> None:
    position = workshop.position(workshop.assembly())
    workshop.ruling(position, Ruling.INSPECT_ONLY, serial_from="100", serial_to="200")
    assert workshop.read(Position, position.id).record.serviceability.ruling is Ruling.SERVICEABLE
    assert in_force(workshop, position, "150") is Ruling.INSPECT_ONLY
    assert in_force(workshop, position, "201") is Ruling.SERVICEABLE


@pytest.mark.parametrize("serial", [None, "unreadable"])
def test_an_unknown_serial_number_takes_the_strictest_ruling_in_question(
    workshop: Workshop, serial: str | None
) -> None:
    position = workshop.position(workshop.assembly())
    workshop.ruling(position, Ruling.REPLACE_AS_ASSEMBLY, serial_from="100")
    workshop.ruling(position, Ruling.SERVICEABLE, serial_from="100", serial_to="200")
    assert in_force(workshop, position, serial) is Ruling.REPLACE_AS_ASSEMBLY
    workshop.ruling(position, Ruling.SERVICEABLE)
    assert in_force(workshop, position, serial) is Ruling.SERVICEABLE


def test_rulings_made_at_the_same_time_are_counted_one_by_one(workshop: Workshop) -> None:
    position = workshop.position(workshop.assembly())
    with ThreadPoolExecutor(6) as threads:
        list(threads.map(lambda _: workshop.ruling(position, Ruling.INSPECT_ONLY), range(30)))
    rulings = workshop.page(ServiceabilityRuling, position_id=position.id)
    versions = [workshop.read(ServiceabilityRuling, ruling.id).version for ruling in rulings]
    assert sorted(versions) == list(range(1, 32))
    assert workshop.read(Position, position.id).version == 31


def test_settings_made_at_the_same_time_are_counted_one_by_one(workshop: Workshop) -> None:
    with ThreadPoolExecutor(6) as threads:
        made = list(threads.map(lambda _: workshop.settings(), range(12)))
    versions = [workshop.read(ShopSettings, settings.id).version for settings in made]
    assert sorted(versions) == list(range(1, 13))
