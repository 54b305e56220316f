"""What the database itself refuses, told in the words of the truth that was broken."""

from datetime import date
from decimal import Decimal

import pytest
from sqlalchemy import insert
from sqlalchemy.exc import IntegrityError

from db.models import assemblies as tables
from db.queries.access import now
from shared.assemblies.model import Grade, Ruling, Serviceability, SetKind
from shared.condition.model import DonorTerms, UnitKind
from shared.errors import InvalidInput
from shared.interchange.model import KitLine
from shared.sourcing.model import CoreTerms, OfferKind
from tests.db.workshop import Workshop, euro, mm


def refused(make, pointer: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        make()
    assert caught.value.pointer == pointer
    assert caught.value.detail and caught.value.fix


def test_hours_and_days(workshop: Workshop) -> None:
    assembly, supplier, part = workshop.assembly(), workshop.supplier(), workshop.part()
    refused(lambda: workshop.operation(assembly, p50_hours=Decimal(-1)), "/p50_hours")
    refused(lambda: workshop.operation(assembly, p90_hours=Decimal("0.4")), "/p90_hours")
    refused(lambda: workshop.offer(supplier, part_id=part.id, p90_days=Decimal(1)), "/p90_days")
    refused(
        lambda: workshop.claim(part, workshop.part(), rework_p50_hours=Decimal(1)),
        "/rework_p90_hours",
    )
    refused(
        lambda: workshop.unit(assembly, lower_hours=Decimal(9), upper_hours=Decimal(8)),
        "/upper_hours",
    )
    refused(lambda: workshop.unit(assembly, lower_hours=Decimal(-1)), "/lower_hours")
    refused(lambda: workshop.job(workshop.unit(assembly), horizon_hours=Decimal(-1)),
            "/horizon_hours")  # fmt: skip


def test_probabilities(workshop: Workshop) -> None:
    assembly, supplier = workshop.assembly(), workshop.supplier()
    unit = workshop.unit(assembly)
    refused(
        lambda: workshop.offer(
            supplier, assembly_id=assembly.id, reject_probability=Decimal("1.01")
        ),
        "/reject_probability",
    )
    refused(
        lambda: workshop.offer(
            supplier, assembly_id=assembly.id, core=CoreTerms(euro("1.00"), Decimal("-0.1"))
        ),
        "/core/acceptance_probability",
    )
    for confidence in ("0", "1", "1.5"):
        refused(lambda c=confidence: workshop.job(unit, confidence=Decimal(c)), "/confidence")


def test_amounts_are_not_below_zero(workshop: Workshop) -> None:
    refused(lambda: workshop.supplier(freight=euro("-0.01")), "/freight")
    refused(
        lambda: workshop.donor(
            workshop.assembly(), donor=DonorTerms(True, remainder_worth=euro("-1.00"))
        ),
        "/donor/remainder_worth",
    )


def test_an_offer_names_one_thing_by_its_kind(workshop: Workshop) -> None:
    assembly, supplier, part = workshop.assembly(), workshop.supplier(), workshop.part()
    position = workshop.position(assembly)
    goods = [
        {},
        {"part_id": part.id, "assembly_id": assembly.id},
        {"position_id": position.id},
        {"part_id": part.id, "position_id": position.id},
    ]
    for fields in goods:
        refused(lambda f=fields: workshop.offer(supplier, **f), "/part_id")
    services = [
        {},
        {"part_id": part.id},
        {"position_id": position.id, "assembly_id": assembly.id},
    ]
    for fields in services:
        refused(
            lambda f=fields: workshop.offer(supplier, kind=OfferKind.SERVICE, **f), "/position_id"
        )
    refused(
        lambda: workshop.offer(
            supplier,
            part_id=part.id,
            valid_from=date(2031, 2, 1),
            valid_until=date(2031, 1, 31),
        ),
        "/valid_until",
    )


def test_a_donor_is_released_and_has_its_price(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    refused(lambda: workshop.donor(assembly, released_on=None), "/released_on")
    refused(lambda: workshop.donor(assembly, donor=DonorTerms(is_owned=False)), "/donor/price")
    refused(lambda: workshop.donor(assembly, kind=UnitKind.CUSTOMER, released_on=None), "/donor")


def test_a_finding_is_measured_or_graded(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    unit, position = workshop.unit(assembly), workshop.position(assembly)
    bore = workshop.characteristic(position)
    refused(lambda: workshop.finding(unit, bore, grade=Grade.NONE), "/measured")
    refused(lambda: workshop.finding(unit, bore, piece=0), "/piece")


def test_doubt_is_stated_once_and_never_below_zero(workshop: Workshop) -> None:
    position = workshop.position(workshop.assembly())
    for doubt in (
        {"standard_uncertainty": "0.1", "plus_minus": "0.1"},
        {"coverage_factor": "2"},
        {"plus_minus": "-0.1"},
    ):
        with pytest.raises(InvalidInput) as caught:
            workshop.characteristic(position, new_upper=mm("20", **doubt))
        assert caught.value.pointer.startswith("/new_upper/")


def test_limits_are_in_order_whatever_their_units(workshop: Workshop) -> None:
    position = workshop.position(workshop.assembly())
    inch = type(mm("1"))(Decimal("0.7"), "in")
    refused(
        lambda: workshop.characteristic(position, new_lower=mm("18"), new_upper=inch),
        "/new_upper",
    )
    workshop.characteristic(position, new_lower=inch, new_upper=mm("18"))


def test_replacement_as_assembly_has_its_reason(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    refused(
        lambda: workshop.position(
            assembly, serviceability=Serviceability(Ruling.REPLACE_AS_ASSEMBLY)
        ),
        "/serviceability/reason",
    )
    refused(
        lambda: workshop.ruling(
            workshop.position(assembly), Ruling.REPLACE_AS_ASSEMBLY, reason=None
        ),
        "/reason",
    )


def test_counts_start_at_one(workshop: Workshop) -> None:
    assembly, part = workshop.assembly(), workshop.part()
    refused(lambda: workshop.position(assembly, quantity=0), "/quantity")
    refused(lambda: workshop.part(kit_lines=(KitLine(part.id, 0),)), "/kit_lines")


def test_what_no_column_holds_is_refused_with_its_field(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    attempts = {
        "/p50_hours": lambda: workshop.operation(assembly, p50_hours=Decimal("0.0000001")),
        "/p90_hours": lambda: workshop.operation(assembly, p90_hours=Decimal("1E+30")),
        "/name": lambda: workshop.group(assembly, name="x" * 201),
        "/notes": lambda: workshop.assembly(notes="a\x00b"),
        "/kind": lambda: workshop.assembly(kind="\ud800"),
        "/freight/amount": lambda: workshop.supplier(freight=euro("1E+12")),
        "/quantity": lambda: workshop.position(assembly, quantity=2**31),
    }
    for pointer, make in attempts.items():
        refused(make, pointer)
    refused(lambda: workshop.supplier(freight=euro("0.001")), "/freight/amount")


# --- truths that hold even against a query that forgot to ask -----------------------------------


def test_the_database_keeps_a_parent_within_the_assembly(workshop: Workshop) -> None:
    here, there = workshop.assembly(), workshop.assembly()
    parent = workshop.position(there)
    row = {
        "id": "pos_raw",
        "author_shop_id": workshop.principal.shop_id,
        "version": 1,
        "created_at": now(),
        "updated_at": now(),
        "assembly_id": here.id,
        "name": "raw",
        "quantity": 1,
        "parent_id": parent.id,
        "maker_supply": "sold",
        "renewal_rule": "always",
        "is_safety_critical": False,
        "is_variant_bound": False,
    }
    with pytest.raises(IntegrityError), workshop.sessions.writing() as session:
        session.execute(insert(tables.positions).values(row))
    with workshop.sessions.writing() as session:
        session.execute(insert(tables.positions).values(row | {"assembly_id": there.id}))


def test_the_database_keeps_a_position_in_one_matched_set(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    a, b = workshop.position(assembly), workshop.position(assembly)
    workshop.position_set(assembly, a, b)
    second = workshop.position_set(assembly, a, b, kind=SetKind.RENEWED_TOGETHER)
    with pytest.raises(IntegrityError), workshop.sessions.writing() as session:
        session.execute(
            insert(tables.position_set_members).values(
                position_set_id=second.id,
                place=9,
                position_id=a.id,
                assembly_id=assembly.id,
                kind="matched",
            )
        )
