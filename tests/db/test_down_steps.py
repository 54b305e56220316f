"""What a step down forgets, whoever keeps a copy is told after the step up."""

from collections.abc import Callable, Iterator
from contextlib import closing

import pytest
from sqlalchemy import select

from db.engine import Sessions, make_engine
from db.migrate import downgrade, upgrade
from db.models.access import audit_entries, changes
from db.queries.access import changes_since, make_shop_and_key, newest_sequence
from db.queries.mapping import Stored
from shared.condition.model import Unit
from tests.db.test_migrations import FIRST
from tests.db.workshop import REMOVED_ON, Workshop, euro

STEPS = (FIRST, "2026_11_25_changes")


@pytest.fixture
def mill(new_url: Callable[[], str]) -> Iterator[tuple[str, Workshop]]:
    url = new_url()
    upgrade(url)
    with closing(Sessions(make_engine(url))) as sessions:
        with sessions.writing() as session:
            principal = make_shop_and_key(session, "Mill")[0]
        yield url, Workshop(sessions, principal)


def told_since(workshop: Workshop, kind: str, after: int) -> list[tuple[str, bool]]:
    with workshop.sessions.reading() as session:
        found = changes_since(session, kind, workshop.principal.shop_id, (after + 1, ""), 100)
    return [(record_id, is_retired) for record_id, _, is_retired in found]


@pytest.mark.parametrize("down_to", STEPS)
def test_a_donor_that_seems_whole_again_is_told_as_changed(
    mill: tuple[str, Workshop], down_to: str
) -> None:
    url, workshop = mill
    assembly = workshop.assembly()
    donor, other = (workshop.donor(assembly, released_on=REMOVED_ON) for _ in range(2))
    position = workshop.position(assembly)
    part = workshop.salvaged_part(donor, position)
    before: Stored[Unit] = workshop.read(Unit, donor.id)
    untouched = workshop.read(Unit, other.id)
    assert before.record.taken_position_ids == (position.id,)
    with workshop.sessions.reading() as session:
        last = newest_sequence(session)
    downgrade(url, down_to)
    upgrade(url)
    after = workshop.read(Unit, donor.id)
    assert after.record.taken_position_ids == ()
    assert after.version == before.version + 1
    assert after.updated_at > before.updated_at
    assert workshop.read(Unit, other.id) == untouched
    assert told_since(workshop, "unit", last) == [(donor.id, False)]
    assert told_since(workshop, "salvaged-part", last) == [(part.id, True)]


@pytest.mark.parametrize("down_to", STEPS)
def test_records_that_go_with_their_table_are_told_as_retired(
    mill: tuple[str, Workshop], down_to: str
) -> None:
    url, workshop = mill
    note = workshop.caution(part_id=workshop.part().id)
    item = workshop.stock_item(worth=euro("2.00"))
    with workshop.sessions.reading() as session:
        last = newest_sequence(session)
    downgrade(url, down_to)
    upgrade(url)
    assert told_since(workshop, "caution", last) == [(note.id, True)]
    assert told_since(workshop, "stock-item", last) == [(item.id, True)]
    with workshop.sessions.reading() as session:
        entries = session.execute(
            select(audit_entries.c.record_id, audit_entries.c.action, audit_entries.c.key_id)
            .where(audit_entries.c.sequence > last)
            .order_by(audit_entries.c.sequence)
        ).all()
        numbers = session.execute(select(changes.c.sequence)).scalars().all()
    assert [tuple(entry)[:2] for entry in entries] == [(note.id, "retire"), (item.id, "retire")]
    assert {entry.key_id for entry in entries} == {workshop.principal.key_id}
    assert len(numbers) == len(set(numbers))
