"""Numbers are found by every way in which they are written, at once, however many there are."""

import pytest
from sqlalchemy import text

from db.ids import new_id
from db.queries import part_numbers
from db.queries.part_numbers import find_numbers
from shared.interchange.model import NumberKind, NumberRule, OtherNumber, Part
from shared.interchange.part_numbers.search import HowMatched, plan_search
from shared.interchange.part_numbers.settling import NumbersFound
from tests.db.workshop import Workshop

EVERY = frozenset(NumberKind)


def found(workshop: Workshop, wanted: str, **more) -> NumbersFound:
    with workshop.sessions.reading() as session:
        return find_numbers(session, workshop.principal, wanted, **more)


def named(numbers: NumbersFound) -> list[tuple[str, str | None]]:
    return [(one.match.value, one.part_id or one.position_id) for one in numbers.matches]


def numbered(workshop: Workshop, number: str, maker: str = "Maker A", **fields) -> Part:
    return workshop.part(maker=maker, number=number, **fields)


@pytest.mark.parametrize(
    ("wanted", "match"),
    [
        ("0417-0263580", "exact"),
        ("04170263580", "normal-form"),
        ("0417 026 3580", "normal-form"),
        ("\uff10\uff14\uff11\uff17.0263580", "normal-form"),
        ("O417-0263580", "look-alike"),
        ("0417-0263850", "typing-error"),
        ("0417-026", "prefix"),
    ],
)
def test_a_number_is_found_however_it_is_written(
    workshop: Workshop, wanted: str, match: str
) -> None:
    part = numbered(workshop, "0417-0263580")
    numbered(workshop, "9999-0000000")
    numbers = found(workshop, wanted)
    assert named(numbers) == [(match, part.id)]
    is_named = match in {"exact", "normal-form"}
    assert numbers.settled_part_id == (part.id if is_named else None)


def test_a_typing_error_is_looked_for_only_if_asked(workshop: Workshop) -> None:
    numbered(workshop, "0417-0263580")
    assert not found(workshop, "0417-0263850", has_near=False).matches


def test_two_makers_with_one_number_are_both_shown_and_neither_is_taken(
    workshop: Workshop, neighbour: Workshop
) -> None:
    first, second = numbered(workshop, "716804"), numbered(neighbour, "716804", "Maker B")
    numbers = found(workshop, "716 804")
    assert named(numbers) == [("normal-form", first.id), ("normal-form", second.id)]
    assert numbers.settled_part_id is None
    alone = found(workshop, "716804", maker="maker  b")
    assert alone.settled_part_id == second.id
    assert named(alone) == [("exact", second.id)]


def test_other_numbers_positions_and_designations_are_found_too(workshop: Workshop) -> None:
    cast = numbered(workshop, "A 1", other_numbers=(OtherNumber(NumberKind.CASTING, "716804"),))
    bearing = numbered(workshop, "B 1", generic_designation="6205-2RS1")
    lined = numbered(
        workshop, "C 1", other_numbers=(OtherNumber(NumberKind.BOOK_POSITION, "03-11-28", "Book"),)
    )
    position = workshop.position(workshop.assembly(), reference="3-11-28")
    assert named(found(workshop, "716804")) == [("exact", cast.id)]
    assert found(workshop, "716804").settled_part_id is None
    by_standard = found(workshop, "6205 2rs1")
    assert bearing.id in [part_id for _, part_id in named(by_standard)]
    in_books = found(workshop, "3/11/28")
    assert {part_id for _, part_id in named(in_books)} == {lined.id, position.id}
    assert {one.kind for one in in_books.matches} == {NumberKind.BOOK_POSITION}
    # Without its groups it is no spelling of the position.
    assert lined.id not in [part_id for _, part_id in named(found(workshop, "31128"))]
    only = found(workshop, "3/11/28", kinds={NumberKind.MAKER, NumberKind.CASTING})
    assert not only.matches


def test_a_makers_rule_names_the_part_with_and_without_its_suffix(workshop: Workshop) -> None:
    rule = NumberRule(
        new_id("nrl"), "Maker A", "its list", base_length=8, default_suffix="001",
    )  # fmt: skip
    workshop.keep(rule)
    part, others = numbered(workshop, "12345678-001"), numbered(workshop, "12345678-001", "Maker B")
    numbers = found(workshop, "12345678")
    assert ("maker-rule", part.id) in named(numbers)
    assert ("maker-rule", others.id) not in named(numbers)
    assert numbers.settled_part_id == part.id


def test_separators_carry_meaning_where_the_maker_says_so(workshop: Workshop) -> None:
    workshop.keep(NumberRule(new_id("nrl"), "Maker A", "its list", kept_separators="-"))
    part = numbered(workshop, "100-52")
    numbers = found(workshop, "1005-2")
    assert named(numbers) == [("typing-error", part.id)]
    assert numbers.settled_part_id is None


def test_what_was_cut_off_never_settles(
    workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(part_numbers, "MOST_ROWS", 3)
    made = [numbered(workshop, "71 6804"), *(numbered(workshop, f"716804{'.' * n}") for n in
            range(1, 5))]  # fmt: skip
    numbers = found(workshop, "71 6804")
    assert named(numbers)[0] == ("exact", made[0].id)
    assert numbers.settled_part_id is None
    assert "More numbers" in (numbers.why_not_settled or "")


def test_every_way_of_looking_is_served_by_an_index(workshop: Workshop) -> None:
    rule = NumberRule(new_id("nrl"), "Maker A", "list", base_length=7, default_suffix="001")
    for maker in (None, "Maker A"):
        query = plan_search("6205-2RS", [rule], maker)
        ways = [*part_numbers._ways(query, EVERY), *part_numbers._near_ways(query, EVERY)]
        assert len(ways) > 10
        with workshop.sessions.reading() as session:
            for way in ways:
                steps = plan_of(session, way.statement)
                assert not any(is_reading_all(step) for step in steps), (way.statement, steps)


def plan_of(session, statement) -> list[str]:
    if session.connection().dialect.name == "sqlite":
        way = "EXPLAIN QUERY PLAN"
    else:
        session.execute(text("SET LOCAL enable_seqscan = off"))
        way = "EXPLAIN (COSTS OFF)"
    sql = statement.compile(session.connection(), compile_kwargs={"literal_binds": True})
    return [row[-1] for row in session.execute(text(f"{way} {sql}".replace(":", r"\:")))]


def is_reading_all(step: str) -> bool:
    is_list = "CONSTANT ROW" in step
    return ("SCAN " in step and not is_list) or "Seq Scan" in step


def test_a_match_is_told_once(workshop: Workshop) -> None:
    part = numbered(workshop, "716804")
    numbers = found(workshop, "716804")
    assert [(one.match, one.part_id) for one in numbers.matches] == [(HowMatched.EXACT, part.id)]
