"""What a record points at must exist, be the shop's, and fit: each refusal names field and mend."""

from decimal import Decimal

import pytest

from db.queries import assemblies, records
from db.queries.access import make_shop_and_key
from db.queries.assemblies import MOST_POSITIONS
from shared.assemblies.model import Grade, OperationKind, SetKind
from shared.condition.model import UnitKind
from shared.errors import Conflict, InvalidInput
from shared.interchange.model import KitLine, Part
from shared.money import Money
from shared.quantities import Quantity
from shared.sourcing.model import OfferKind
from tests.db.workshop import Workshop, euro, mm


def refused(make, pointer: str, code: str) -> InvalidInput:
    with pytest.raises(InvalidInput) as caught:
        make()
    assert (caught.value.pointer, caught.value.code) == (pointer, code)
    assert caught.value.detail and caught.value.fix
    return caught.value


# --- unknown references ----------------------------------------------------------------------


def test_each_unknown_reference_names_its_field(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    position, unit, part = workshop.position(assembly), workshop.unit(assembly), workshop.part()
    bore, supplier = workshop.characteristic(position), workshop.supplier()
    nowhere = type(assembly)("asm_none", "m", "m", "k")
    absent = type(position)("pos_none", assembly.id, "n")
    attempts = {
        "/part_id": [
            lambda: workshop.assembly(part_id="prt_none"),
            lambda: workshop.position(assembly, part_id="prt_none"),
            lambda: workshop.claim(type(part)("prt_none", "", "", "", ""), part),
            lambda: workshop.offer(supplier, part_id="prt_none"),
        ],
        "/assembly_id": [
            lambda: workshop.position(nowhere),
            lambda: workshop.group(nowhere),
            lambda: workshop.operation(nowhere),
            lambda: workshop.position_set(nowhere, position, position),
            lambda: workshop.unit(nowhere),
            lambda: workshop.claim(part, workshop.part(), assembly_id="asm_none"),
            lambda: workshop.offer(supplier, assembly_id="asm_none"),
        ],
        "/position_id": [
            lambda: workshop.characteristic(absent),
            lambda: workshop.operation(assembly, position_id="pos_none"),
            lambda: workshop.finding(unit, bore, position_id="pos_none"),
            lambda: workshop.claim(part, workshop.part(), position_id="pos_none"),
            lambda: workshop.offer(supplier, kind=OfferKind.SERVICE, position_id="pos_none"),
        ],
        "/parent_id": [lambda: workshop.position(assembly, parent_id="pos_none")],
        "/access_group_id": [
            lambda: workshop.position(assembly, access_group_id="grp_none"),
            lambda: workshop.operation(assembly, access_group_id="grp_none"),
        ],
        "/outer_group_id": [lambda: workshop.group(assembly, outer_group_id="grp_none")],
        "/position_ids/1": [lambda: workshop.position_set(assembly, position, absent)],
        "/kit_lines/0/part_id": [lambda: workshop.part(kit_lines=(KitLine("prt_none"),))],
        "/stand_in_part_id": [lambda: workshop.claim(part, type(part)("prt_none", "", "", "", ""))],
        "/unit_id": [
            lambda: workshop.finding(type(unit)("unt_none", assembly.id, unit.kind), bore),
            lambda: workshop.job(type(unit)("unt_none", assembly.id, unit.kind)),
        ],
        "/characteristic_id": [lambda: workshop.finding(unit, bore, characteristic_id="chr_none")],
        "/supersedes_id": [lambda: workshop.finding(unit, bore, supersedes_id="fnd_none")],
        "/supplier_id": [
            lambda: workshop.offer(type(supplier)("sup_none", "", euro("0")), part_id=part.id)
        ],
        "/opened_group_ids/0": [lambda: workshop.job(unit, opened_group_ids=("grp_none",))],
        "/core_unit_id": [lambda: workshop.job(unit, core_unit_id="unt_none")],
    }
    for pointer, makes in attempts.items():
        for make in makes:
            refused(make, pointer, "reference-unknown")


def test_another_shops_own_record_is_told_as_unknown(
    workshop: Workshop, neighbour: Workshop
) -> None:
    assembly = workshop.assembly()
    theirs, their_supplier = neighbour.unit(assembly), neighbour.supplier()
    bore = workshop.characteristic(workshop.position(assembly))
    refused(lambda: workshop.job(theirs), "/unit_id", "reference-unknown")
    refused(lambda: workshop.finding(theirs, bore), "/unit_id", "reference-unknown")
    refused(
        lambda: workshop.offer(their_supplier, assembly_id=assembly.id),
        "/supplier_id",
        "reference-unknown",
    )


def test_a_refused_record_leaves_nothing_behind(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    before = workshop.page(type(workshop.position(assembly)))
    refused(
        lambda: workshop.position(assembly, parent_id="pos_none"), "/parent_id", "reference-unknown"
    )
    assert workshop.page(type(before[0])) == before


# --- assemblies ------------------------------------------------------------------------------


def test_what_lies_in_another_assembly_is_refused(workshop: Workshop) -> None:
    here, there = workshop.assembly(), workshop.assembly()
    position, group = workshop.position(there), workshop.group(there)
    own = workshop.position(here)
    attempts = {
        "/parent_id": lambda: workshop.position(here, parent_id=position.id),
        "/outer_group_id": lambda: workshop.group(here, outer_group_id=group.id),
        "/position_id": lambda: workshop.operation(here, position_id=position.id),
        "/position_ids/1": lambda: workshop.position_set(here, own, position),
    }
    for pointer, make in attempts.items():
        refused(make, pointer, "other-assembly")
    for make in (
        lambda: workshop.position(here, access_group_id=group.id),
        lambda: workshop.operation(here, kind=OperationKind.OPEN, access_group_id=group.id),
    ):
        refused(make, "/access_group_id", "other-assembly")
    refused(
        lambda: workshop.claim(
            workshop.part(), workshop.part(), assembly_id=here.id, position_id=position.id
        ),
        "/position_id",
        "other-assembly",
    )


def test_nothing_lies_inside_itself(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    refused(
        lambda: workshop.position(assembly, id="pos_self", parent_id="pos_self"),
        "/parent_id",
        "cycle",
    )
    refused(
        lambda: workshop.group(assembly, id="grp_self", outer_group_id="grp_self"),
        "/outer_group_id",
        "cycle",
    )


def test_a_tree_is_at_most_twenty_levels_deep(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    position = group = None
    for _ in range(20):
        position = workshop.position(assembly, parent_id=position.id if position else None)
        group = workshop.group(assembly, outer_group_id=group.id if group else None)
    refused(lambda: workshop.position(assembly, parent_id=position.id), "/parent_id", "too-deep")
    refused(
        lambda: workshop.group(assembly, outer_group_id=group.id), "/outer_group_id", "too-deep"
    )


def test_an_assembly_has_at_most_five_hundred_positions(
    workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert MOST_POSITIONS == 500
    monkeypatch.setattr("db.queries.assemblies.MOST_POSITIONS", 3)
    assembly = workshop.assembly()
    for _ in range(3):
        workshop.position(assembly)
    refused(lambda: workshop.position(assembly), "/assembly_id", "too-many")
    workshop.position(workshop.assembly())


def test_a_set_names_two_different_positions(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    one = workshop.position(assembly)
    refused(lambda: workshop.position_set(assembly, one), "/position_ids", "too-few")
    refused(lambda: workshop.position_set(assembly, one, one), "/position_ids/1", "duplicate-item")


def test_a_position_is_in_one_matched_set_only(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    a, b, c = (workshop.position(assembly) for _ in range(3))
    workshop.position_set(assembly, a, b)
    refused(lambda: workshop.position_set(assembly, c, b), "/position_ids/1", "matched-twice")
    workshop.position_set(assembly, b, c, kind=SetKind.RENEWED_TOGETHER)
    workshop.position_set(assembly, a, b, kind=SetKind.RENEWED_TOGETHER)


# --- interchange -----------------------------------------------------------------------------


def test_a_part_neither_holds_nor_replaces_itself(workshop: Workshop) -> None:
    part = workshop.part()
    refused(lambda: workshop.claim(part, part), "/stand_in_part_id", "cycle")
    refused(
        lambda: workshop.part(id="prt_self", kit_lines=(KitLine("prt_self"),)),
        "/kit_lines/0/part_id",
        "cycle",
    )
    refused(
        lambda: workshop.part(kit_lines=(KitLine(part.id), KitLine(part.id))),
        "/kit_lines/1",
        "duplicate-item",
    )


# --- condition -------------------------------------------------------------------------------


def test_a_finding_is_of_its_units_assembly_and_its_positions_characteristic(
    workshop: Workshop,
) -> None:
    here, there = workshop.assembly(), workshop.assembly()
    unit, position = workshop.unit(here), workshop.position(here)
    elsewhere = workshop.characteristic(workshop.position(there))
    refused(lambda: workshop.finding(unit, elsewhere), "/position_id", "other-assembly")
    refused(
        lambda: workshop.finding(unit, elsewhere, position_id=position.id),
        "/characteristic_id",
        "other-position",
    )


def test_a_finding_says_what_its_characteristic_asks(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    position, unit = workshop.position(assembly, quantity=2), workshop.unit(assembly)
    bore, scoring = workshop.characteristic(position), workshop.attribute(position)
    refused(lambda: workshop.finding(unit, scoring), "/grade", "grade-missing")
    refused(
        lambda: workshop.finding(unit, bore, measured=None, grade=Grade.NONE),
        "/measured",
        "measured-missing",
    )
    refused(
        lambda: workshop.finding(unit, bore, measured=Quantity(Decimal(20), "N·m")),
        "/measured/unit",
        "unit-wrong-dimension",
    )
    refused(
        lambda: workshop.finding(unit, bore, measured=Quantity(Decimal(20), "mmm")),
        "/measured/unit",
        "unit-unknown",
    )
    refused(lambda: workshop.finding(unit, bore, piece=3), "/piece", "out-of-range")
    refused(
        lambda: workshop.finding(unit, bore, part_temperature=mm("20")),
        "/part_temperature/unit",
        "unit-wrong-dimension",
    )


def test_a_finding_supersedes_one_of_the_same_unit_and_characteristic(
    workshop: Workshop,
) -> None:
    assembly = workshop.assembly()
    position = workshop.position(assembly)
    bore, depth = workshop.characteristic(position), workshop.characteristic(position)
    unit, other = workshop.unit(assembly), workshop.unit(assembly)
    first = workshop.finding(unit, bore)
    for make in (
        lambda: workshop.finding(other, bore, supersedes_id=first.id),
        lambda: workshop.finding(unit, depth, supersedes_id=first.id),
    ):
        refused(make, "/supersedes_id", "other-unit")


# --- money -----------------------------------------------------------------------------------

DOLLARS = Money(Decimal("18.40"), "USD")


def test_amounts_are_in_the_currency_of_the_shops_settings(workshop: Workshop) -> None:
    assembly, supplier = workshop.assembly(), workshop.supplier()
    unit, part = workshop.unit(assembly), workshop.part()
    workshop.settings()
    attempts = {
        "/price/currency": lambda: workshop.offer(supplier, part_id=part.id, price=DOLLARS),
        "/freight/currency": lambda: workshop.delivery(supplier, freight=DOLLARS),
        "/worth/currency": lambda: workshop.stock_item(worth=DOLLARS),
        "/standstill_cost_per_day/currency": lambda: workshop.job(
            unit, standstill_cost_per_day=DOLLARS
        ),
        "/spending_limit/currency": lambda: workshop.job(unit, spending_limit=DOLLARS),
        "/rework_cost/currency": lambda: workshop.claim(part, workshop.part(), rework_cost=DOLLARS),
    }
    for pointer, make in attempts.items():
        refused(make, pointer, "currency-other")


def test_one_record_has_one_currency(workshop: Workshop) -> None:
    supplier, part = workshop.supplier(), workshop.part()
    refused(
        lambda: workshop.offer(supplier, part_id=part.id, residual_worth=DOLLARS),
        "/residual_worth/currency",
        "currency-other",
    )


def test_settings_keep_the_currency_of_what_was_recorded_before(workshop: Workshop) -> None:
    workshop.stock_item(worth=DOLLARS)
    refused(workshop.settings, "/currency", "currency-other")


# --- jobs ------------------------------------------------------------------------------------


def test_a_donor_is_no_jobs_unit(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    donor = workshop.donor(assembly)
    refused(lambda: workshop.job(donor), "/unit_id", "unit-is-donor")
    workshop.job(workshop.donor(assembly, kind=UnitKind.STOCK))


def test_a_job_opens_groups_of_its_own_assembly_once(workshop: Workshop) -> None:
    here, there = workshop.assembly(), workshop.assembly()
    unit, group = workshop.unit(here), workshop.group(here)
    elsewhere = workshop.group(there)
    refused(
        lambda: workshop.job(unit, opened_group_ids=(group.id, elsewhere.id)),
        "/opened_group_ids/1",
        "other-assembly",
    )
    refused(
        lambda: workshop.job(unit, opened_group_ids=(group.id, group.id)),
        "/opened_group_ids/1",
        "duplicate-item",
    )
    refused(
        lambda: workshop.job(unit, core_unit_id=workshop.unit(there).id),
        "/core_unit_id",
        "other-assembly",
    )


# --- duplicates ------------------------------------------------------------------------------


def test_the_same_thing_twice_is_a_conflict_that_names_the_first(workshop: Workshop) -> None:
    assembly = workshop.assembly(model="LF-2", serial_from="100")
    part = workshop.part(number="62/22")
    unit = workshop.unit(assembly, serial_number="12873")
    bore = workshop.characteristic(workshop.position(assembly))
    first = workshop.finding(unit, bore)
    second = workshop.finding(unit, bore, supersedes_id=first.id)
    attempts = [
        (
            assembly.id,
            lambda: workshop.assembly(maker="OAKHOLLOW  drives", model="lf-2", serial_from="100"),
        ),
        (part.id, lambda: workshop.part(maker="oakhollow drives", number=" 62/22")),
        (unit.id, lambda: workshop.unit(assembly, serial_number="12873")),
        (second.id, lambda: workshop.finding(unit, bore, supersedes_id=first.id)),
    ]
    for existing_id, make in attempts:
        with pytest.raises(Conflict) as caught:
            make()
        assert caught.value.code == "duplicate"
        assert caught.value.facts == {"existing_id": existing_id}


def test_what_only_looks_alike_is_no_duplicate(workshop: Workshop) -> None:
    assembly = workshop.assembly(model="LF-2")
    workshop.assembly(model="LF-2", serial_from="100")
    workshop.part(number="62/22")
    workshop.part(number="6222")
    workshop.unit(assembly)
    workshop.unit(assembly)


@pytest.mark.parametrize("letter", ["\u0390", "\U00013000", "\u00df"])
def test_names_that_grow_when_case_is_folded_are_kept_and_told_apart(
    workshop: Workshop, letter: str
) -> None:
    """One letter may become three, or twelve characters of escapes; columns end, keys must not."""
    long = letter * 199
    names = {"maker": long + "a", "number": long + "b", "generic_designation": long + "c"}
    part = workshop.part(**names)
    assert workshop.read(Part, part.id).record == part
    workshop.part(**names | {"number": long + "c"})
    with pytest.raises(Conflict) as caught:
        workshop.part(**names)
    assert caught.value.facts["existing_id"] == part.id
    with workshop.sessions.writing() as session:
        first, _ = make_shop_and_key(session, long)
        second, _ = make_shop_and_key(session, long)
        other, _ = make_shop_and_key(session, long + "x")
    assert first.shop_id == second.shop_id != other.shop_id


def test_an_assembly_has_no_more_than_a_snapshot_takes_in(
    workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("MOST_GROUPS", "MOST_SETS", "MOST_OPERATIONS", "MOST_CHARACTERISTICS"):
        monkeypatch.setattr(assemblies, name, 1)
    assembly = workshop.assembly()
    position, other = workshop.position(assembly), workshop.position(assembly)
    attempts = {
        "/assembly_id": [
            lambda: workshop.group(assembly),
            lambda: workshop.position_set(assembly, position, other, kind=SetKind.RENEWED_TOGETHER),
            lambda: workshop.operation(assembly),
        ],
        "/position_id": [lambda: workshop.characteristic(position)],
    }
    for pointer, makes in attempts.items():
        for make in makes:
            make()
            refused(make, pointer, "too-many")


def test_the_work_at_an_assembly_stays_what_a_plan_can_reckon_with(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    workshop.operation(assembly, p90_hours=Decimal(60_000))
    refused(
        lambda: workshop.operation(assembly, p90_hours=Decimal("40000.1")),
        "/p90_hours",
        "out-of-range",
    )
    workshop.operation(assembly, p90_hours=Decimal(40_000))


def test_a_part_that_is_in_a_kit_is_in_use(workshop: Workshop) -> None:
    part = workshop.part()
    kit = workshop.part(kit_lines=(KitLine(part.id, 2),))
    with workshop.sessions.writing() as session, pytest.raises(Conflict) as caught:
        records.retire(session, workshop.principal, Part, part.id, [1])
    assert caught.value.facts["used_by"] == [{"kind": "part", "id": kit.id}]
