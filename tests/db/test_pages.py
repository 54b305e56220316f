"""Lists: by rising id, narrowed by what an index serves."""

import pytest
from sqlalchemy import text
from sqlalchemy.orm import Session

from db.queries import records, store
from db.queries.records import FILTERS
from shared.assemblies.model import Position, SetKind
from shared.condition.model import Unit
from shared.errors import InvalidInput
from shared.interchange.model import Part
from tests.db.workshop import Workshop


def test_pages_follow_each_other_without_gap_or_repeat(workshop: Workshop) -> None:
    made = [workshop.part() for _ in range(7)]
    seen: list[Part] = []
    while found := workshop.page(Part, 3, seen[-1].id if seen else None):
        assert len(found) <= 3
        seen += found
    assert seen == made


def test_a_list_is_narrowed_by_its_filters(workshop: Workshop) -> None:
    here, there = workshop.assembly(), workshop.assembly()
    parent = workshop.position(here)
    inner = workshop.position(here, parent_id=parent.id)
    workshop.position(there)
    assert workshop.page(Position, assembly_id=here.id) == [parent, inner]
    assert workshop.page(Position, assembly_id=here.id, parent_id=parent.id) == [inner]
    donor = workshop.donor(here)
    workshop.unit(here)
    assert workshop.page(Unit, kind="donor") == [donor]
    assert workshop.page(Unit, kind="donor", assembly_id=there.id) == []


def test_an_unlisted_filter_or_an_unknown_word_is_refused(workshop: Workshop) -> None:
    for kind, name, value in ((Unit, "provenance", "yard"), (Unit, "kind", "scrap")):
        with pytest.raises(InvalidInput) as caught:
            workshop.page(kind, **{name: value})
        assert caught.value.pointer == f"/{name}"


@pytest.mark.parametrize(
    ("kind", "name"),
    [(kind, name) for kind, names in FILTERS.items() for name in (None, *names)],
    ids=lambda value: getattr(value, "__name__", value),
)
def test_every_filter_is_served_by_an_index_in_the_order_of_the_page(
    workshop: Workshop, kind: type, name: str | None
) -> None:
    mapped = records._MAPPED[kind]
    statement = store.visible(mapped, workshop.principal).order_by(mapped.table.c.id)
    statement = statement.where(mapped.table.c.id > "x").limit(50)
    if name is not None:
        statement = statement.where(mapped.table.c[name] == "x")
    with workshop.sessions.reading() as session:
        sql = str(statement.compile(session.connection(), compile_kwargs={"literal_binds": True}))
        if workshop.sessions.engine.dialect.name == "sqlite":
            check_plan_of_sqlite(session, sql, name)
        else:
            check_plan_of_postgresql(session, sql)


def check_plan_of_sqlite(session: Session, sql: str, name: str | None) -> None:
    steps = [row.detail for row in session.execute(text(f"EXPLAIN QUERY PLAN {sql}"))]
    assert all("SEARCH" in step and "INDEX" in step for step in steps), steps
    if name is not None:
        assert any(f"{name}=?" in step for step in steps), steps


def check_plan_of_postgresql(session: Session, sql: str) -> None:
    """Whether an index gives rows in the order wanted, once reading all and sorting are forbidden.

    Which of several such indexes it takes depends on figures that empty tables do not have.
    """
    for way in ("seqscan", "bitmapscan", "sort"):
        session.execute(text(f"SET LOCAL enable_{way} = off"))
    limit, *steps = session.execute(text(f"EXPLAIN (COSTS OFF) {sql}")).scalars()
    assert limit == "Limit"
    assert "Index Scan" in steps[0], steps
    assert "id" in steps[1] and "Index Cond" in steps[1], steps


def test_sets_of_each_kind_are_told_apart(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    a, b = workshop.position(assembly), workshop.position(assembly)
    matched = workshop.position_set(assembly, a, b)
    together = workshop.position_set(assembly, a, b, kind=SetKind.RENEWED_TOGETHER)
    assert workshop.page(type(matched), kind="matched") == [matched]
    assert workshop.page(type(matched), kind="renewed-together") == [together]
