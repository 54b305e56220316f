"""Lists: by rising id, narrowed by what an index serves."""

import pytest
from sqlalchemy import Column, Date, Select, text
from sqlalchemy.orm import Session

from db.queries import listing, records, store
from db.queries.listing import Place, placed
from db.queries.records import lists_of
from db.types import UtcDateTime
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


def asked_ways(kind: type) -> list[Place]:
    """Every single way in which a list of the kind can be asked for."""
    lists = lists_of(kind)
    table = records._MAPPED[kind].table
    places = [Place(after=("x", "x"))]
    places += [Place({name: "x"}, after=("x", "x")) for name in lists.filters]
    places += [Place({f"{name}.in": "x,y"}) for name in lists.filters]
    for name in lists.ranges:
        places += [Place({f"{name}.{ending}": some(table.c[name])}) for ending in ("gte", "lte")]
    for name in lists.sorts:
        after = (some(table.c[name]), "x")
        places += [Place(sort=name, after=after), Place(sort=f"-{name}", after=after)]
    return [*places, Place(sort="-id", after=("x", "x"))]


def some(column: Column) -> str:
    """Any value of a column, as text."""
    if isinstance(column.type, UtcDateTime | Date):
        return "2031-03-04"
    return "5"


@pytest.mark.parametrize("kind", records.KINDS, ids=lambda kind: kind.__name__)
def test_every_way_of_asking_for_a_list_is_served_by_an_index(
    workshop: Workshop, kind: type, monkeypatch: pytest.MonkeyPatch
) -> None:
    mapped = records._MAPPED[kind]
    # Words are checked before the database is asked; any will do here.
    monkeypatch.setattr(listing, "_check_word", lambda *_: None)
    with workshop.sessions.reading() as session:
        for place in asked_ways(kind):
            statement = placed(store.visible(mapped, workshop.principal), mapped, place)
            if workshop.sessions.engine.dialect.name == "sqlite":
                check_plan_of_sqlite(session, statement, place)
            else:
                check_plan_of_postgresql(session, statement, place)


def is_narrowed_by_several(place: Place) -> bool:
    """Whether rows of several values come together: their ids have to be sorted."""
    return any(name.endswith(".in") for name in place.filters)


def explained(session: Session, statement: Select, way: str) -> list[str]:
    sql = statement.compile(session.connection(), compile_kwargs={"literal_binds": True})
    return [row[-1] for row in session.execute(text(f"{way} {sql}".replace(":", r"\:")))]


def check_plan_of_sqlite(session: Session, statement: Select, place: Place) -> None:
    steps = explained(session, statement, "EXPLAIN QUERY PLAN")
    assert "SEARCH" in steps[0] and "INDEX" in steps[0], (place, steps)
    sorted_after = steps[1:] == ["USE TEMP B-TREE FOR ORDER BY"]
    assert not steps[1:] or (sorted_after and is_narrowed_by_several(place)), (place, steps)
    for name in place.filters:
        if name.endswith(".in"):
            # Without figures of the table it may as well go through the shop's records by id.
            continue
        column = name.split(".")[0]
        assert f"{column}=?" in steps[0] or f"{column}>" in steps[0] or f"{column}<" in steps[0], (
            place,
            steps,
        )


def check_plan_of_postgresql(session: Session, statement: Select, place: Place) -> None:
    """Whether an index gives rows in the order wanted, once reading all and sorting are forbidden.

    Which of several such indexes it takes depends on figures that empty tables do not have.
    """
    for way in ("seqscan", "bitmapscan", "sort"):
        session.execute(text(f"SET LOCAL enable_{way} = off"))
    limit, *steps = explained(session, statement, "EXPLAIN (COSTS OFF)")
    assert limit == "Limit"
    if is_narrowed_by_several(place):
        assert any("Index" in step and "Scan" in step for step in steps), (place, steps)
        assert not any("Seq Scan" in step for step in steps), (place, steps)
    else:
        assert "Index Scan" in steps[0], (place, steps)
        assert "Index Cond" in steps[1], (place, steps)


def test_sets_of_each_kind_are_told_apart(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    a, b = workshop.position(assembly), workshop.position(assembly)
    matched = workshop.position_set(assembly, a, b)
    together = workshop.position_set(assembly, a, b, kind=SetKind.RENEWED_TOGETHER)
    assert workshop.page(type(matched), kind="matched") == [matched]
    assert workshop.page(type(matched), kind="renewed-together") == [together]
