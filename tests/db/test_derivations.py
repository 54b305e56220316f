"""What a characteristic may be derived from, and what keeps it as it is; truths of the tables."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from db.queries import records
from shared.assemblies.model import (
    Characteristic,
    Derivation,
    DerivationKind,
    DerivationTerm,
    Grade,
)
from shared.condition.model import Finding, Reading
from shared.errors import Conflict, InvalidInput
from shared.quantities import Quantity
from tests.db.workshop import Workshop, mm


def refused(make: Any, pointer: str, code: str | None = None) -> None:
    with pytest.raises(InvalidInput) as caught:
        make()
    assert caught.value.pointer == pointer
    assert code in (None, caught.value.code)
    assert caught.value.detail and caught.value.fix


def total(*characteristics: Characteristic, **fields: Any) -> Derivation:
    terms = tuple(DerivationTerm(one.id) for one in characteristics)
    return Derivation(DerivationKind.SUM, terms, **fields)


def taper_of(one: Characteristic) -> Derivation:
    return Derivation(DerivationKind.TAPER, (DerivationTerm(one.id),))


def changed(workshop: Workshop, record: Any, **fields: Any) -> Any:
    with workshop.sessions.writing() as session:
        return records.change(
            session, workshop.principal, type(record), record.id, range(1, 9),
            lambda stored: replace(stored.record, **fields),
        )  # fmt: skip


def test_a_derivation_names_sizes_of_its_own_assembly(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    position, other = workshop.position(assembly, quantity=2), workshop.position(assembly)
    bore = workshop.characteristic(position)
    # Another position of the same assembly is what a clearance is made of.
    workshop.characteristic(other, derivation=total(bore))
    elsewhere = workshop.characteristic(workshop.position(workshop.assembly()))
    heavy = workshop.characteristic(
        position, service_upper=Quantity(Decimal(2), "kg"), name="Weight"
    )
    terms = "/derivation/terms"
    for derivation, pointer, code in (
        (total(elsewhere), f"{terms}/0/characteristic_id", "other-assembly"),
        (total(bore, workshop.attribute(position)), f"{terms}/1/characteristic_id", "not-measured"),
        (total(bore, heavy), f"{terms}/1/characteristic_id", "unit-wrong-dimension"),
        (total(bore, offset=Quantity(Decimal(1), "N")), "/derivation/offset/unit", None),
        (total(*[bore] * 13), terms, "too-many"),
        (total(), terms, "too-few"),
        (replace(taper_of(bore), terms=total(bore, bore).terms), terms, "too-many"),
        (total(replace(bore, id="chr_none")), f"{terms}/0/characteristic_id", "reference-unknown"),
        (Derivation(DerivationKind.SUM, (DerivationTerm(bore.id, piece=3),)), f"{terms}/0/piece",
         "out-of-range"),
    ):  # fmt: skip
        refused(lambda d=derivation: workshop.characteristic(position, derivation=d), pointer, code)


def test_what_follows_from_readings_follows_from_a_size_that_is_read(workshop: Workshop) -> None:
    position = workshop.position(workshop.assembly())
    bore = workshop.characteristic(position)
    width = workshop.characteristic(position, derivation=total(bore))
    refused(
        lambda: workshop.characteristic(position, derivation=taper_of(width)),
        "/derivation/terms/0/characteristic_id",
        "derived-not-read",
    )
    workshop.characteristic(position, derivation=taper_of(bore))
    other = workshop.characteristic(position)
    refused(lambda: changed(workshop, bore, derivation=total(other)), "/derivation",
            "derived-not-read")  # fmt: skip


def test_nothing_is_derived_from_itself(workshop: Workshop) -> None:
    position = workshop.position(workshop.assembly())
    first = workshop.characteristic(position)
    refused(lambda: changed(workshop, first, derivation=total(first)), "/derivation/terms", "cycle")
    second = workshop.characteristic(position, derivation=total(first))
    third = workshop.characteristic(position, derivation=total(second, first))
    refused(lambda: changed(workshop, first, derivation=total(third)), "/derivation/terms", "cycle")


def test_what_others_are_derived_from_stays_what_it_is(workshop: Workshop) -> None:
    position = workshop.position(workshop.assembly(), quantity=2)
    bore = workshop.characteristic(position)
    terms = (DerivationTerm(bore.id, piece=2),)
    sum_of = workshop.characteristic(position, derivation=Derivation(DerivationKind.SUM, terms))
    refused(
        lambda: changed(workshop, bore, service_upper=Quantity(Decimal(2), "kg")),
        "/service_upper",
        "fixed-member",
    )
    refused(
        lambda: changed(workshop, bore, service_upper=None, worst_acceptable_grade=Grade.LIGHT),
        "/worst_acceptable_grade",
        "fixed-member",
    )
    refused(lambda: changed(workshop, position, quantity=1), "/quantity", "out-of-range")
    with workshop.sessions.writing() as session, pytest.raises(Conflict) as caught:
        records.retire(session, workshop.principal, Characteristic, bore.id, [1])
    assert caught.value.facts["used_by"] == [{"kind": "characteristic", "id": sum_of.id}]


def test_what_has_readings_of_its_own_is_not_made_to_follow_from_others(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    position = workshop.position(assembly)
    bore, other = workshop.characteristic(position), workshop.characteristic(position)
    readings = (Reading(mm("20.01")),)
    workshop.finding(workshop.unit(assembly), bore, measured=None, readings=readings)
    refused(lambda: changed(workshop, bore, derivation=taper_of(other)), "/derivation",
            "fixed-member")  # fmt: skip


def test_a_finding_says_one_thing(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    bore, unit = workshop.characteristic(workshop.position(assembly)), workshop.unit(assembly)
    readings = (Reading(mm("20.01")),)
    for said in (
        {"measured": None, "note": "Looked at."},
        {"readings": readings},
        {"measured": None, "readings": readings, "at_least": mm("20.00")},
        {"grade": Grade.LIGHT},
    ):
        refused(lambda said=said: workshop.finding(unit, bore, **said), "/measured")
    upside_down = {"measured": None, "at_least": mm("20.01"), "at_most": mm("20.00")}
    refused(lambda: workshop.finding(unit, bore, **upside_down), "/at_most", "not-true")
    refused(lambda: workshop.finding(unit, bore, unit_hours=Decimal(-1)), "/unit_hours", "not-true")


def test_a_gauge_is_never_without_doubt(workshop: Workshop, neighbour: Workshop) -> None:
    for fields, pointer in (
        ({"standard_uncertainty": mm("0")}, "/standard_uncertainty/value"),
        ({"common_uncertainty": mm("-0.001")}, "/common_uncertainty/value"),
        (
            {"standard_uncertainty": mm("0.003"), "common_uncertainty": mm("0.004")},
            "/common_uncertainty/value",
        ),
        ({"calibration_months": 0}, "/calibration_months"),
    ):
        refused(lambda fields=fields: workshop.gauge(**fields), pointer, "not-true")
    mixed = {"standard_uncertainty": mm("1"), "common_uncertainty": Quantity(Decimal(1), "N")}
    refused(lambda: workshop.gauge(**mixed), "/common_uncertainty/unit")
    first = workshop.gauge(name="Bore gauge 2")
    with pytest.raises(Conflict) as caught:
        workshop.gauge(name="bore  gauge 2")
    assert caught.value.facts["existing_id"] == first.id
    neighbour.gauge(name="Bore gauge 2")


def test_a_gauge_goes_on_to_read_the_same_kind_of_quantity(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    bore, unit = workshop.characteristic(workshop.position(assembly)), workshop.unit(assembly)
    gauge = workshop.gauge()
    found = workshop.finding(unit, bore, gauge_id=gauge.id)
    torque = Quantity(Decimal("0.4"), "N·m")
    refused(lambda: changed(workshop, gauge, standard_uncertainty=torque),
            "/standard_uncertainty", "fixed-member")  # fmt: skip
    changed(workshop, gauge, standard_uncertainty=mm("0.003"))
    assert workshop.page(Finding, gauge_id=gauge.id) == [found]
    with workshop.sessions.writing() as session, pytest.raises(Conflict) as caught:
        records.retire(session, workshop.principal, type(gauge), gauge.id, [2])
    assert caught.value.code == "in-use"
