"""The audit as it is read: in its order, from an index, and of no other shop's own records."""

import pytest
from sqlalchemy import event

from db.models.access import audit_entries
from db.queries.access import AuditEntry, page_audit
from db.queries.records import CATALOGUE_WORDS, KINDS, word_of
from shared.assemblies.model import CautionNote, ServiceabilityRuling
from shared.condition.model import ShimPack
from shared.decision.outcome import Outcome
from shared.fasteners.model import SpecialTool, StockItem
from shared.interchange.model import Supersession
from shared.sourcing.model import Delivery
from tests.db.workshop import Workshop


def read(
    workshop: Workshop, record_id: str | None = None, after: int = 0, limit: int = 50
) -> list[AuditEntry]:
    with workshop.sessions.reading() as session:
        me = workshop.principal
        return page_audit(session, me, record_id, CATALOGUE_WORDS, after, limit)


def test_pages_follow_each_other_by_rising_sequence(workshop: Workshop) -> None:
    made = [workshop.supplier().id for _ in range(5)]
    found: list[AuditEntry] = []
    while some := read(workshop, after=found[-1].sequence if found else 0, limit=2):
        assert len(some) <= 2
        found += some
    assert [entry.record_id for entry in found if entry.kind == "supplier"] == made
    assert [one.sequence for one in found] == sorted({one.sequence for one in found})


def test_only_what_all_shops_read_has_a_history_that_all_read() -> None:
    of_catalogue = {kind for kind in KINDS if word_of(kind) in CATALOGUE_WORDS}
    assert {CautionNote, Supersession, SpecialTool, ServiceabilityRuling} <= of_catalogue
    assert of_catalogue.isdisjoint({StockItem, ShimPack, Delivery, Outcome})
    assert "key" not in CATALOGUE_WORDS


def test_anothers_entries_are_those_of_the_catalogue_without_the_key(
    workshop: Workshop, neighbour: Workshop
) -> None:
    tool, item = neighbour.tool(), neighbour.stock_item()
    (entry,) = read(workshop, tool.id)
    assert (entry.shop_id, entry.key_id) == (neighbour.principal.shop_id, None)
    assert read(workshop, item.id) == []
    assert [entry.key_id for entry in read(neighbour, item.id)] == [neighbour.principal.key_id]
    assert {entry.shop_id for entry in read(workshop)} == {workshop.principal.shop_id}


@pytest.mark.engines("sqlite")
@pytest.mark.parametrize("of_one", [False, True])
def test_a_page_of_the_audit_is_served_by_an_index(workshop: Workshop, of_one: bool) -> None:
    record_id = workshop.supplier().id if of_one else None
    seen: list[tuple[str, object]] = []

    def note(connection, cursor, statement, parameters, *_):
        if audit_entries.name in statement:
            seen.append((statement, parameters))

    engine = workshop.sessions.engine
    event.listen(engine, "before_cursor_execute", note)
    read(workshop, record_id, after=3)
    event.remove(engine, "before_cursor_execute", note)
    statement, parameters = seen[0]
    with engine.connect() as connection:
        plan = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", parameters).all()
    steps = [row[-1] for row in plan]
    assert not any(step.startswith("SCAN audit") for step in steps), steps
    index = "shop_id" if record_id is None else "record_id"
    assert any(f"ix_audit_entries_{index}_sequence" in step for step in steps), steps
