"""What a claim, a supersession, a number and a unit may say, and what a step down makes of it."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest
from sqlalchemy import select, update

from db.migrate import downgrade, upgrade
from db.models.condition import units
from db.models.interchange import claim_companion_lines, interchange_claims, number_rules, parts
from db.queries.access import newest_sequence, now
from shared.assemblies.traits import Hand
from shared.errors import Conflict, InvalidInput, NotFound
from shared.interchange.model import (
    ClaimSays,
    DutyAspect,
    DutyDifference,
    NumberKind,
    OtherNumber,
    PartLine,
    Sameness,
)
from tests.db.test_down_steps import mill, told_since
from tests.db.workshop import Workshop, euro

__all__ = ["mill"]
BEFORE = "2026_11_29_substitutes"


def refused(make, pointer: str, code: str | None = None) -> None:
    with pytest.raises(InvalidInput) as caught:
        make()
    assert caught.value.pointer == pointer
    assert code in (None, caught.value.code)
    assert caught.value.detail and caught.value.fix


# --- what is refused -------------------------------------------------------------------------


def test_a_claim_that_says_no_tells_of_no_work(workshop: Workshop) -> None:
    one, other, third = (workshop.part() for _ in range(3))
    for name, value in (
        ("rework_note", "Bush it."),
        ("rework_p90_hours", Decimal(1)),
        ("rework_cost", euro("1.00")),
        ("companion_lines", (PartLine(third.id),)),
    ):
        fields = {"says": ClaimSays.DOES_NOT_FIT, name: value}
        refused(lambda f=fields: workshop.claim(one, other, **f), f"/{name}", "claim-says-no")


def test_companions_are_known_parts_and_others_than_the_two(workshop: Workshop) -> None:
    one, other, third = (workshop.part() for _ in range(3))
    for part_id, code in ((one.id, "cycle"), (other.id, "cycle"), ("prt_none", None)):
        lines = (PartLine(third.id), PartLine(part_id))
        refused(
            lambda ls=lines: workshop.claim(one, other, companion_lines=ls),
            "/companion_lines/1/part_id",
            code,
        )
    twice = (PartLine(third.id), PartLine(third.id))
    refused(lambda: workshop.claim(one, other, companion_lines=twice), "/companion_lines/1")


def test_a_range_that_ends_before_it_begins_is_refused(workshop: Workshop) -> None:
    one, other = workshop.part(), workshop.part()
    for fields, pointer in (
        ({"serial_from": "LF-200", "serial_to": "LF-100"}, "/serial_to"),
        ({"built_from_on": date(1990, 1, 2), "built_to_on": date(1990, 1, 1)}, "/built_to_on"),
    ):
        refused(lambda f=fields: workshop.claim(one, other, **f), pointer, "range-reversed")
        refused(lambda f=fields: workshop.supersession(one, other, **f), pointer, "range-reversed")
    # Letters of another series: which comes first is the maker's secret.
    workshop.claim(one, other, serial_from="99999E", serial_to="100F")


def test_a_claims_position_lies_in_its_assembly(workshop: Workshop) -> None:
    one, other, here = workshop.part(), workshop.part(), workshop.assembly()
    position = workshop.position(workshop.assembly())
    fields = {"assembly_id": here.id, "position_id": position.id}
    refused(lambda: workshop.claim(one, other, **fields), "/position_id", "other-assembly")


def test_quantities_and_ratios_are_more_than_nothing(workshop: Workshop) -> None:
    one, other, third = (workshop.part() for _ in range(3))
    refused(lambda: workshop.claim(one, other, part_quantity=0), "/part_quantity")
    refused(lambda: workshop.claim(one, other, stand_in_quantity=0), "/part_quantity")
    none = (PartLine(third.id, 0),)
    refused(lambda: workshop.claim(one, other, companion_lines=none), "/companion_lines")
    refused(lambda: workshop.claim(one, other, ratio=Decimal(0)), "/ratio")
    refused(lambda: workshop.unit(workshop.assembly(), ratio=Decimal("-1")), "/ratio")
    refused(lambda: workshop.claim(one, other, to_check=("x" * 2001,)), "/to_check/0")


def test_another_number_is_not_of_the_makers_kind_and_is_named_once(workshop: Workshop) -> None:
    number = OtherNumber(NumberKind.MAKER, "716804")
    refused(lambda: workshop.part(other_numbers=(number,)), "/other_numbers/0/kind")
    twice = (OtherNumber(NumberKind.CASTING, "716804"),) * 2
    refused(lambda: workshop.part(other_numbers=twice), "/other_numbers/1", "duplicate-item")


def test_there_is_one_rule_for_a_maker_whoever_records_it(
    workshop: Workshop, neighbour: Workshop
) -> None:
    first = workshop.number_rule("Oakhollow Drives")
    with pytest.raises(Conflict) as caught:
        neighbour.number_rule("oakhollow  DRIVES")
    assert caught.value.facts["existing_id"] == first.id
    refused(lambda: workshop.number_rule("Millrace", base_length=8), "/default_suffix")


def test_the_database_itself_refuses_what_no_query_should_write(workshop: Workshop) -> None:
    one, other, third = (workshop.part() for _ in range(3))
    claim = workshop.claim(one, other, companion_lines=(PartLine(third.id),))
    workshop.number_rule("Oakhollow Drives")
    for table, values in (
        (claim_companion_lines, {"part_id": one.id}),
        (claim_companion_lines, {"part_id": other.id}),
        (claim_companion_lines, {"quantity": 0}),
        (interchange_claims, {"built_from_on": date(1990, 1, 2), "built_to_on": date(1990, 1, 1)}),
        (interchange_claims, {"ratio": Decimal(0)}),
        (number_rules, {"base_length": 8}),
    ):
        with pytest.raises(Exception, match=r"(?i)constraint"), workshop.sessions.writing() as it:
            it.execute(update(table).values(values))
    assert workshop.read(type(claim), claim.id).record == claim


# --- keys ------------------------------------------------------------------------------------


def test_keys_follow_a_change_of_the_number(workshop: Workshop) -> None:
    from db.queries import records  # noqa: PLC0415  (only here)

    part = workshop.part(number="0417-026", maker="Maker  A")
    with workshop.sessions.writing() as session:
        records.change(
            session,
            workshop.principal,
            type(part),
            part.id,
            [1],
            lambda stored: replace(stored.record, number="71-68O4"),
        )
    with workshop.sessions.reading() as session:
        columns = (parts.c.number_key, parts.c.folded_key, parts.c.maker_key)
        found = session.execute(select(*columns)).one()
    assert tuple(found) == ("7168O4", "716804", "maker a")


# --- fitments --------------------------------------------------------------------------------


def fitted(workshop: Workshop, claim_fields: dict, **unit_fields) -> None:
    assembly, called_for, stand_in = workshop.assembly(), workshop.part(), workshop.part()
    position = workshop.position(assembly, part_id=called_for.id)
    claim = workshop.claim(called_for, stand_in, **claim_fields)
    job = workshop.job(workshop.unit(assembly, **unit_fields))
    workshop.fitment(job, position, part_id=stand_in.id, claim_id=claim.id)


def test_a_fitment_tries_only_a_claim_that_speaks_of_its_unit(workshop: Workshop) -> None:
    for fields, unit in (
        ({"says": ClaimSays.DOES_NOT_FIT}, {}),
        ({"hand": Hand.LEFT}, {"hand": Hand.RIGHT}),
        ({"hand": Hand.LEFT}, {}),
        ({"ratio": Decimal("3.73")}, {"ratio": Decimal("3.55")}),
        ({"generation": "B"}, {"generation": "A"}),
        ({"built_to_on": date(1989, 12, 31)}, {"built_on": date(1990, 1, 1)}),
        ({"serial_from": "100"}, {"serial_number": "99"}),
        ({"stated_on": now().date() + timedelta(days=2)}, {}),
    ):
        refused(lambda f=fields, u=unit: fitted(workshop, f, **u), "/claim_id", "other-claim")
    fitted(workshop, {"hand": Hand.LEFT, "generation": "b"}, hand=Hand.LEFT, generation="B")
    fitted(workshop, {"ratio": Decimal("3.73")}, ratio=Decimal("3.727"))


# --- a step down -------------------------------------------------------------------------------


def test_a_step_down_forgets_details_but_lets_no_claim_say_more_than_it_did(
    mill: tuple[str, Workshop],
) -> None:
    url, w = mill
    one, other, third = (w.part() for _ in range(3))
    number = (OtherNumber(NumberKind.TRADE, "716804"),)
    load = (DutyDifference(DutyAspect.LOAD, "one row less", "shorter life"),)
    assembly = w.assembly()
    less = [
        (w.part(other_numbers=number), "part", {"other_numbers": ()}),
        (w.unit(assembly, hand=Hand.LEFT), "unit", {"hand": None}),
        (w.claim(one, other, to_check=("End float",)), "interchange-claim", {"to_check": ()}),
        (w.claim(one, other, differences=load, form=Sameness.DIFFERS), "interchange-claim",
         {"differences": (), "form": Sameness.NOT_TOLD}),
    ]  # fmt: skip
    gone = [
        w.claim(one, other, says=ClaimSays.DOES_NOT_FIT),
        w.claim(one, other, hand=Hand.LEFT, to_check=("End float",)),
        w.claim(one, other, ratio=Decimal(2)),
        w.claim(one, other, generation="B"),
        w.claim(one, other, built_from_on=date(1990, 1, 1)),
        w.claim(one, other, stand_in_quantity=2),
        w.claim(one, other, companion_lines=(PartLine(third.id),)),
        w.supersession(one, other, built_to_on=date(1990, 1, 1)),
        w.number_rule("Oakhollow Drives"),
    ]
    kept = [w.claim(one, other), w.supersession(other, one), third, w.unit(assembly)]
    position = w.position(assembly, part_id=one.id, reference="03-11")
    job = w.job(w.unit(assembly))
    fitment = w.fitment(job, position, part_id=other.id, claim_id=gone[6].id)
    before = [w.read(type(record), record.id) for record in kept]
    with w.sessions.reading() as session:
        last = newest_sequence(session)
    downgrade(url, BEFORE)
    upgrade(url)
    for record, kind, without in less:
        after = w.read(type(record), record.id)
        assert (after.record, after.version) == (replace(record, **without), 2), kind
        assert (record.id, False) in told_since(w, kind, last)
    for record in gone:
        with pytest.raises(NotFound):
            w.read(type(record), record.id)
    assert [w.read(type(record), record.id) for record in kept] == before
    assert w.read(type(fitment), fitment.id).record == replace(fitment, claim_id=None)
    told = told_since(w, "interchange-claim", last)
    assert sorted(told) == sorted(
        [(one.id, False) for one, kind, _ in less if kind == "interchange-claim"]
        + [(one.id, True) for one in gone[:7]]
    )
    assert told_since(w, "number-rule", last) == [(gone[8].id, True)]
    assert told_since(w, "supersession", last) == [(gone[7].id, True)]
    assert told_since(w, "fitment", last) == [(fitment.id, False)]
    with w.sessions.reading() as session:
        assert session.execute(select(parts.c.number_key).where(parts.c.id == third.id)).scalar()
        assert session.execute(select(units.c.hand)).scalars().all() == [None, None, None]
