"""Places for shims: kept as told, and only such as can be worked with; packs keep to them."""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from db.queries import records
from db.queries.mapping import Stored
from shared.assemblies.model import BearingDuty, RollingKind
from shared.condition.model import ShimEffect
from shared.condition.shim_place import (
    AssortmentLine,
    RoundingStep,
    ShimAim,
    ShimPlace,
    ShimRounding,
    ShimRule,
    ShimSize,
)
from shared.decision.outcome import Comeback
from shared.errors import InvalidInput
from shared.evidence import CauseKind, FailureMechanism
from shared.quantities import Quantity
from shared.sourcing.model import OfferKind, ReworkKind, ReworkPart, ReworkTerms
from tests.db.test_round_trip import assert_kept
from tests.db.workshop import REMOVED_ON, Workshop, mm

MORE, LESS = ShimEffect.MORE_SHIMS_INCREASE, ShimEffect.MORE_SHIMS_DECREASE
FLOAT = {"service_upper": None, "new_lower": mm("0.05"), "new_upper": mm("0.10")}


def refused(make: Callable[[], Any], pointer: str, code: str = "reference-unknown") -> None:
    with pytest.raises(InvalidInput) as caught:
        make()
    assert (caught.value.pointer, caught.value.code) == (pointer, code)


def changed(workshop: Workshop, record: Any, **fields: Any) -> Any:
    def edit(stored: Stored[Any]) -> Any:
        return replace(stored.record, **fields)

    version = workshop.read(type(record), record.id).version
    with workshop.sessions.writing() as session:
        return records.change(session, workshop.principal, type(record), record.id, {version}, edit)


def test_a_place_for_shims_sparse_and_full(workshop: Workshop) -> None:
    assembly, part = workshop.assembly(), workshop.part()
    position, other = workshop.position(assembly), workshop.position(assembly)
    assert_kept(workshop, workshop.shim_place(position))
    full = workshop.shim_place(
        position,
        effect=LESS,
        factor=Decimal("0.5"),
        sets_characteristic_id=workshop.characteristic(other, **FLOAT).id,
        sizes=(
            ShimSize(Quantity(Decimal("0.0020"), "in"), part.id),
            ShimSize(mm("0.05"), is_discontinued=True),
        ),
        rule=ShimRule(
            ShimAim.UPPER,
            most_shims=3,
            digits=(RoundingStep(0, 4, 0), RoundingStep(5, 9, 10)),
            digits_unit=mm("0.01"),
            thicker_by=mm("0.05"),
            thicker_at_most=mm("0.10"),
            mean_cut_to=mm("0.01"),
            source="Maker's book, page 41",
        ),
        assortment=(AssortmentLine(part.id, 2),),
        disturbed_by_position_ids=(other.id, position.id),
        seating="Turn it both ways.",
        source="Maker's book, page 40",
    )
    assert_kept(workshop, full)
    step = ShimRule(step=mm("0.05"), rounding=ShimRounding.DOWN)
    assert_kept(workshop, workshop.shim_place(position, rule=step))
    assert workshop.page(ShimPlace, sets_characteristic_id=full.sets_characteristic_id) == [full]
    # A rule that only says where to aim is one, and is told apart from none.
    assert_kept(workshop, workshop.shim_place(position, rule=ShimRule()))


def test_a_place_names_only_what_is_there_and_of_its_assembly(
    workshop: Workshop, neighbour: Workshop
) -> None:
    assembly = workshop.assembly()
    position = workshop.position(assembly)
    away = workshop.position(workshop.assembly())

    def place(**fields: Any) -> Callable[[], ShimPlace]:
        return lambda: workshop.shim_place(position, **fields)

    refused(lambda: neighbour.shim_place(position), "/position_id", "not-the-author")
    at = "/sets_characteristic_id"
    refused(place(sets_characteristic_id="none"), at)
    there = workshop.characteristic(away, **FLOAT)
    refused(place(sets_characteristic_id=there.id), at, "other-assembly")
    graded = workshop.attribute(position)
    refused(place(sets_characteristic_id=graded.id), at, "not-a-length")
    turning = Quantity(Decimal(2), "N·m")
    torque = workshop.characteristic(position, service_upper=turning)
    refused(place(sets_characteristic_id=torque.id), at, "not-a-length")
    refused(
        place(disturbed_by_position_ids=(position.id, away.id)),
        "/disturbed_by_position_ids/1",
        "other-assembly",
    )
    refused(place(sizes=(ShimSize(mm("0.1"), "none"),)), "/sizes/0/part_id")
    refused(place(assortment=(AssortmentLine("none"),)), "/assortment/0/part_id")
    refused(place(sizes=(ShimSize(mm("0")),)), "/sizes/0/thickness/value", "out-of-range")


def test_the_places_of_an_assembly_have_no_more_sizes_than_a_plan_takes_in(
    workshop: Workshop,
) -> None:
    position = workshop.position(workshop.assembly())
    many = tuple(ShimSize(mm(f"0.{number:03d}")) for number in range(1, 201))
    for _ in range(5):
        last = workshop.shim_place(position, sizes=many)
    refused(lambda: workshop.shim_place(position, sizes=many[:1]), "/sizes", "too-many")
    assert workshop.shim_place(position)
    assert changed(workshop, last, sizes=many[1:])
    elsewhere = workshop.position(workshop.assembly())
    assert workshop.shim_place(elsewhere, sizes=many)


def test_what_shims_set_stays_a_length_with_limits(workshop: Workshop) -> None:
    position = workshop.position(workshop.assembly())
    end_float = workshop.characteristic(position, **FLOAT)
    workshop.shim_place(position, sets_characteristic_id=end_float.id)
    assert changed(workshop, end_float, new_upper=mm("0.12"))
    bar = Quantity(Decimal(2), "N·m")
    refused(
        lambda: changed(workshop, end_float, new_lower=None, new_upper=bar),
        "/new_lower",
        "fixed-member",
    )
    refused(
        lambda: changed(workshop, end_float, new_lower=None, new_upper=None, unit="mm"),
        "/new_lower",
        "fixed-member",
    )


def test_a_pack_at_a_place_does_what_shims_do_there(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    position, other = workshop.position(assembly), workshop.position(assembly)
    unit, place = workshop.unit(assembly), workshop.shim_place(position)
    pack = workshop.shim_pack(
        unit, shim_place_id=place.id, position_id=position.id, place="in the case"
    )
    assert_kept(workshop, pack)
    at = "/shim_place_id"
    elsewhere = workshop.unit(workshop.assembly())
    refused(lambda: workshop.shim_pack(elsewhere, shim_place_id=place.id), at, "other-assembly")
    refused(lambda: workshop.shim_pack(unit, shim_place_id="none"), at)
    refused(
        lambda: workshop.shim_pack(unit, shim_place_id=place.id, effect=LESS),
        "/effect",
        "effect-contradicts",
    )
    refused(
        lambda: workshop.shim_pack(unit, shim_place_id=place.id, position_id=other.id),
        "/position_id",
        "other-position",
    )
    refused(lambda: changed(workshop, place, effect=LESS), "/effect", "fixed-member")
    assert changed(workshop, workshop.shim_place(position), effect=LESS)


def test_a_duty_is_kept_and_is_of_forces_and_a_speed(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    duty = BearingDuty(
        RollingKind.ROLLER,
        Quantity(Decimal("14.0"), "kN"),
        Quantity(Decimal(1200), "N", plus_minus=Decimal(100)),
        Quantity(Decimal(1450), "1/min"),
        "Name plate and gear forces",
    )
    assert_kept(workshop, workshop.position(assembly, duty=duty))
    still = replace(duty, speed=Quantity(Decimal(0), "1/min"))
    refused(lambda: workshop.position(assembly, duty=still), "/duty/speed/value", "out-of-range")
    heavy = replace(duty, equivalent_load=Quantity(Decimal(120), "kg"))
    with pytest.raises(InvalidInput) as caught:
        workshop.position(assembly, duty=heavy)
    assert caught.value.pointer.startswith("/duty/equivalent_load")


def test_a_rework_is_kept_and_puts_right_what_its_position_has(workshop: Workshop) -> None:
    assembly, part = workshop.assembly(), workshop.part()
    housing = workshop.position(assembly)
    inner = workshop.position(assembly, parent_id=housing.id)
    seats = [workshop.characteristic(one) for one in (housing, inner)]
    supplier = workshop.supplier()

    def offer(**terms: Any) -> Any:
        rework = ReworkTerms(ReworkKind.SLEEVE, **terms)
        return workshop.offer(
            supplier, kind=OfferKind.SERVICE, position_id=housing.id, rework=rework
        )

    assert_kept(workshop, offer())
    full = offer(
        puts_right=(seats[1].id, seats[0].id),
        p50_hours=Decimal("0.5"),
        p90_hours=Decimal("0.75"),
        parts=(ReworkPart(part.id, 2), ReworkPart(workshop.part().id)),
    )
    assert_kept(workshop, full)
    beside = workshop.characteristic(workshop.position(assembly))
    at = "/rework/puts_right/0"
    refused(lambda: offer(puts_right=(beside.id,)), at, "other-position")
    refused(lambda: offer(puts_right=("none",)), at)
    refused(lambda: offer(parts=(ReworkPart("none"),)), "/rework/parts/0/part_id")
    refused(lambda: offer(p50_hours=Decimal(1)), "/rework/p90_hours", "p90-below-p50")
    goods = {"part_id": part.id, "rework": ReworkTerms(ReworkKind.OTHER)}
    refused(lambda: workshop.offer(supplier, **goods), "/rework", "rework-misplaced")


def test_causes_are_kept_and_only_a_cause_is_put_right(workshop: Workshop) -> None:
    unit = workshop.unit(workshop.assembly())
    told = {
        "failure_mechanism": FailureMechanism.FATIGUE,
        "cause_kind": CauseKind.CONTAMINATION,
        "is_cause_removed": False,
    }
    job = workshop.job(unit, **told)
    assert_kept(workshop, job)
    assert_kept(workshop, workshop.job(unit, failure_mechanism=FailureMechanism.WEAR))
    refused(lambda: workshop.job(unit, is_cause_removed=True), "/is_cause_removed", "cause-missing")
    back = Comeback(
        REMOVED_ON, mechanism=FailureMechanism.LEAKAGE, cause_kind=CauseKind.INSTALLATION
    )
    assert_kept(workshop, workshop.outcome(job, comebacks=(back, Comeback(REMOVED_ON))))
