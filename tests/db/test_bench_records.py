"""What the bench records: kept as it was made, held to what is true, changed and retired."""

from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from sqlalchemy import insert
from sqlalchemy.exc import IntegrityError

from db.engine import Sessions, make_engine
from db.migrate import downgrade, upgrade
from db.models.fasteners import special_tools
from db.queries import records
from db.queries.access import make_shop_and_key
from db.queries.assemblies import MOST_CAUTIONS
from db.queries.snapshot import load_snapshot
from shared.assemblies.model import Assembly, CautionNote
from shared.condition.model import Shim, ShimEffect, ShimPack, ShimStage, Unit
from shared.decision.outcome import Comeback, Outcome
from shared.decision.snapshot import Aim, Job
from shared.designations.model import Hand
from shared.errors import Conflict, InvalidInput, NotFound, NotTheAuthor
from shared.evidence import Caution, CautionKind, EvidenceKind
from shared.fasteners.model import (
    FeatureKind,
    ItemForm,
    PressFitAsked,
    ScrewTip,
    SpecialTool,
    StockItem,
    TightRing,
    ToolFeature,
    ToolFunction,
    ToolUse,
)
from shared.interchange.model import Part, PartLine, Supersession
from shared.quantities import Quantity
from shared.sourcing.model import Delivery, DeliveryLine, WorkCalendar
from tests.db.test_round_trip import assert_kept, decision_on
from tests.db.workshop import FOUND_AT, Workshop, euro, mm

Make = Callable[[], object]


def refused(make: Make, pointer: str, code: str | None = None) -> InvalidInput:
    with pytest.raises(InvalidInput) as caught:
        make()
    assert caught.value.pointer == pointer
    assert code in (None, caught.value.code)
    return caught.value


def changed(workshop: Workshop, record, **fields):
    """Change a record in a transaction of its own."""
    version = workshop.read(type(record), record.id).version
    with workshop.sessions.writing() as session:
        return records.change(
            session,
            workshop.principal,
            type(record),
            record.id,
            (version,),
            lambda stored: replace(stored.record, **fields),
        )


def retired(workshop: Workshop, record) -> None:
    version = workshop.read(type(record), record.id).version
    with workshop.sessions.writing() as session:
        records.retire(session, workshop.principal, type(record), record.id, (version,))


def force(value: str, unit: str = "kN") -> Quantity:
    return Quantity(Decimal(value), unit)


# --- cautions --------------------------------------------------------------------------------


def bearers(workshop: Workshop) -> dict[str, str]:
    """Everything that a caution can be about, in one assembly."""
    assembly = workshop.assembly()
    return {
        "assembly_id": assembly.id,
        "position_id": workshop.position(assembly).id,
        "labour_operation_id": workshop.operation(assembly).id,
        "part_id": workshop.part().id,
        "special_tool_id": workshop.tool(assembly_id=assembly.id).id,
    }


def test_a_caution_about_each_thing(workshop: Workshop) -> None:
    for name, record_id in bearers(workshop).items():
        note = workshop.caution(kind=CautionKind.LEGAL, source="Job 118", **{name: record_id})
        assert_kept(workshop, note)
        assert workshop.page(CautionNote, **{name: record_id}) == [note]


def test_a_caution_is_about_exactly_one_thing(workshop: Workshop) -> None:
    about = bearers(workshop)
    refused(workshop.caution, "", "caution-target")
    for name in about.keys() - {"assembly_id"}:
        two = {"assembly_id": about["assembly_id"], name: about[name]}
        refused(lambda two=two: workshop.caution(**two), f"/{name}", "caution-target")


def test_a_caution_names_something_that_exists(workshop: Workshop) -> None:
    for name in bearers(workshop):
        refused(
            lambda name=name: workshop.caution(**{name: "none"}), f"/{name}", "reference-unknown"
        )


def test_of_anothers_assembly_only_its_author_warns_of_a_part_every_shop(
    workshop: Workshop, neighbour: Workshop
) -> None:
    about = bearers(workshop)
    assert_kept(neighbour, neighbour.caution(part_id=about.pop("part_id")))
    for name, record_id in about.items():
        refused(
            lambda given={name: record_id}: neighbour.caution(**given),
            f"/{name}",
            "not-the-author",
        )


def test_a_caution_is_changed_and_retired_by_its_author_alone(
    workshop: Workshop, neighbour: Workshop
) -> None:
    note = workshop.caution(part_id=workshop.part().id)
    for forbidden in (
        lambda: changed(neighbour, note, text="No."),
        lambda: retired(neighbour, note),
    ):
        with pytest.raises(NotTheAuthor):
            forbidden()
    other_part = workshop.part()
    stored = changed(workshop, note, text="Very hot oil.", part_id=other_part.id)
    assert (stored.version, stored.record.text) == (2, "Very hot oil.")
    with pytest.raises(Conflict) as caught:
        retired(workshop, other_part)
    assert caught.value.facts["used_by"] == [{"kind": "caution", "id": note.id}]
    retired(workshop, note)
    with pytest.raises(NotFound):
        workshop.read(CautionNote, note.id)
    retired(workshop, other_part)


def test_a_shop_has_so_many_cautions_about_one_thing(
    workshop: Workshop, neighbour: Workshop
) -> None:
    part = workshop.part()
    notes = [workshop.caution(part_id=part.id) for _ in range(MOST_CAUTIONS)]
    refused(lambda: workshop.caution(part_id=part.id), "/part_id", "too-many")
    changed(workshop, notes[0], text="Changed all the same.")
    neighbour.caution(part_id=part.id)


def test_what_is_warned_of_is_in_the_snapshot_own_ones_first_then_by_id(
    workshop: Workshop, neighbour: Workshop
) -> None:
    whole, seal = workshop.part(), workshop.part()
    own = Caution(CautionKind.LEGAL, "Old parts are offered back.")
    assembly = workshop.assembly(part_id=whole.id, cautions=(own,))
    at_seal = workshop.position(assembly, part_id=seal.id, cautions=(own,))
    bare = workshop.position(assembly)
    other = workshop.assembly()
    workshop.settings()
    job = workshop.job(workshop.unit(assembly))
    about_all = [
        workshop.caution(text=text, **about)
        for text, about in (
            ("Tool.", {"special_tool_id": workshop.tool(assembly_id=assembly.id).id}),
            ("Work.", {"labour_operation_id": workshop.operation(assembly).id}),
            ("Drive.", {"assembly_id": assembly.id}),
            ("Whole.", {"part_id": whole.id}),
        )
    ]
    about_seal = [
        neighbour.caution(text="Part.", part_id=seal.id),
        workshop.caution(text="Place.", position_id=at_seal.id),
    ]
    workshop.caution(kind=own.kind, text=own.text, position_id=at_seal.id)
    for about in (
        {"assembly_id": other.id},
        {"position_id": workshop.position(other).id},
        {"labour_operation_id": workshop.operation(other).id},
        {"special_tool_id": workshop.tool(assembly_id=other.id).id},
        {"special_tool_id": workshop.tool().id},
        {"part_id": workshop.part().id},
    ):
        workshop.caution(text="Of something else.", **about)
    with workshop.sessions.reading() as session:
        found = load_snapshot(session, workshop.principal, job.id, FOUND_AT, Aim.PRICE)
    told = [Caution(note.kind, note.text) for note in about_all]
    assert found.assembly.cautions == (own, *told)
    cautions = {position.id: position.cautions for position in found.positions}
    told = [Caution(note.kind, note.text) for note in about_seal]
    assert cautions == {at_seal.id: (own, *told), bare.id: ()}


# --- supersessions ---------------------------------------------------------------------------


def test_a_supersession(workshop: Workshop) -> None:
    earlier, later, other, ring = (workshop.part() for _ in range(4))
    assert_kept(workshop, workshop.supersession(earlier, later))
    full = workshop.supersession(
        earlier,
        later_lines=(PartLine(other.id, 2), PartLine(later.id)),
        companion_lines=(PartLine(ring.id, 3),),
        assembly_id=workshop.assembly().id,
        serial_from="12500",
        serial_to="14999",
        effective_on=date(2029, 4, 1),
        may_go_back=True,
        note="Stronger cage.",
        evidence_kind=EvidenceKind.TOLD,
    )
    assert_kept(workshop, full)


def test_a_dead_end_is_a_supersession_without_successor(workshop: Workshop) -> None:
    part = workshop.part()
    end = workshop.supersession(part)
    assert_kept(workshop, end)
    refused(lambda: workshop.supersession(part, may_go_back=True), "/may_go_back")


def test_a_loop_entered_by_mistake_is_kept(workshop: Workshop) -> None:
    one, two, three = (workshop.part() for _ in range(3))
    loop = [workshop.supersession(a, b) for a, b in ((one, two), (two, three), (three, one))]
    for record in loop:
        assert_kept(workshop, record)
    assert workshop.page(Supersession, earlier_part_id=three.id) == [loop[2]]


def test_a_part_does_not_succeed_itself(workshop: Workshop) -> None:
    part, later = workshop.part(), workshop.part()
    refused(lambda: workshop.supersession(part, later, part), "/later_lines/1/part_id", "cycle")
    companion = (PartLine(part.id),)
    refused(
        lambda: workshop.supersession(part, later, companion_lines=companion),
        "/companion_lines/0/part_id",
        "cycle",
    )


def test_the_lines_of_a_supersession_name_known_parts_once(workshop: Workshop) -> None:
    part, later = workshop.part(), workshop.part()
    refused(lambda: workshop.supersession(part, later, later), "/later_lines/1")
    twice = {"companion_lines": (PartLine(later.id),)}
    refused(lambda: workshop.supersession(part, later, **twice), "/companion_lines/0/part_id")
    unknown = (PartLine("prt_none"),)
    refused(
        lambda: workshop.supersession(part, later_lines=unknown),
        "/later_lines/0/part_id",
        "reference-unknown",
    )
    for name in ("earlier_part_id", "assembly_id"):
        fields = {name: "none"}
        refused(
            lambda fields=fields: workshop.supersession(part, later, **fields),
            f"/{name}",
            "reference-unknown",
        )
    nothing = (PartLine(later.id, 0),)
    refused(lambda: workshop.supersession(part, later_lines=nothing), "/later_lines", "not-true")


def test_a_supersession_is_changed_and_retired(workshop: Workshop, neighbour: Workshop) -> None:
    earlier, later, better = (workshop.part() for _ in range(3))
    record = workshop.supersession(earlier, later)
    lines = (PartLine(better.id),)
    assert changed(workshop, record, later_lines=lines).record.later_lines == lines
    retired(workshop, later)
    with pytest.raises(Conflict):
        retired(workshop, better)
    refused(
        lambda: changed(workshop, record, earlier_part_id=better.id),
        "/earlier_part_id",
        "fixed-member",
    )
    with pytest.raises(NotTheAuthor):
        retired(neighbour, record)
    retired(workshop, record)
    retired(workshop, better)


# --- special tools ---------------------------------------------------------------------------


def test_a_special_tool(workshop: Workshop) -> None:
    assert_kept(workshop, workshop.tool())
    assembly = workshop.assembly()
    full = workshop.tool(
        number="OH-T-17",
        maker="Oakhollow Drives",
        assembly_id=assembly.id,
        position_id=workshop.position(assembly).id,
        labour_operation_ids=tuple(workshop.operation(assembly).id for _ in range(2))[::-1],
        features=(
            ToolFeature(FeatureKind.THREAD, "M8x1.25", count=2),
            ToolFeature(FeatureKind.SPACING, size=mm("84.0", plus_minus="0.2")),
            ToolFeature(FeatureKind.PLATE_THICKNESS, size=Quantity(Decimal("0.5"), "in")),
        ),
        force=force("12"),
        torque=Quantity(Decimal(90), "N·m"),
        workpiece_material="cast aluminium",
        note="Turn both screws evenly.",
        part_id=workshop.part().id,
        force_highest=force("15"),
        torque_highest=Quantity(Decimal(110), "N·m"),
        sealed_area=Quantity(Decimal("42.50"), "cm2"),
        sealant="silicone",
        press_fit=PressFitAsked(mm("40"), mm("18"), "H7", "p6", shaft_bore=mm("12")),
        workpiece_hardness="180 HBW",
        pushed_material="S355",
        thread_hand=Hand.LEFT,
        tight_ring=TightRing.OUTER,
        is_symmetric=False,
        uses=(ToolUse.STORED_ENERGY, ToolUse.IMPACT),
        in_the_way="The pump stays on.",
        lubrication="oiled",
        tolerance=mm("0.05"),
    )
    assert_kept(workshop, full)
    assert workshop.page(SpecialTool, function="separate", assembly_id=assembly.id) == [full]
    assert workshop.page(SpecialTool, part_id=full.part_id) == [full]


@pytest.mark.parametrize("uses", [None, (), (ToolUse.IMPACT,)])
def test_nobody_said_and_nothing_hangs_on_it_are_kept_apart(
    workshop: Workshop, uses: tuple[ToolUse, ...] | None
) -> None:
    tool = workshop.tool(uses=uses)
    assert_kept(workshop, tool)
    for other in ((ToolUse.LIFTING,), None, ()):
        assert changed(workshop, tool, uses=other).record.uses == other
        assert workshop.read(SpecialTool, tool.id).record.uses == other


def test_a_press_fit_is_stated_whole(workshop: Workshop) -> None:
    bare = PressFitAsked(mm("40"), mm("18"), "H7", "p6")
    assert_kept(workshop, workshop.tool(press_fit=bare))
    for name in ("diameter", "length", "hub_outside", "shaft_bore"):
        none = replace(bare, **{name: mm("0")})
        pointer = f"/press_fit/{name}/value"
        refused(lambda n=none: workshop.tool(press_fit=n), pointer, "out-of-range")
    with workshop.sessions.writing() as session, pytest.raises(IntegrityError):
        session.execute(
            insert(special_tools).values(
                id="stl_half",
                author_shop_id=workshop.principal.shop_id,
                version=1,
                created_at=FOUND_AT,
                updated_at=FOUND_AT,
                name="Puller",
                function="pull",
                uses_are_stated=False,
                press_fit_hole_class="H7",
            )
        )


@pytest.mark.parametrize("function", ToolFunction)
def test_each_function_of_a_tool_can_be_kept(workshop: Workshop, function: ToolFunction) -> None:
    assert_kept(workshop, workshop.tool(function=function))


def test_each_kind_of_feature_can_be_kept(workshop: Workshop) -> None:
    features = tuple(ToolFeature(kind, size=mm("8")) for kind in FeatureKind)
    assert_kept(workshop, workshop.tool(features=features))


def test_what_a_tool_needs_is_of_the_right_kind_and_more_than_nothing(workshop: Workshop) -> None:
    torque, zero = Quantity(Decimal(90), "N·m"), Quantity(Decimal(0), "kN")
    refused(lambda: workshop.tool(force=torque), "/force/unit", "unit-wrong-dimension")
    refused(lambda: workshop.tool(torque=force("1")), "/torque/unit", "unit-wrong-dimension")
    refused(lambda: workshop.tool(force=zero), "/force/value", "out-of-range")
    feature = ToolFeature(FeatureKind.BORE, size=mm("-8"))
    refused(lambda: workshop.tool(features=(feature,)), "/features/0/size/value", "out-of-range")
    bare = ToolFeature(FeatureKind.BORE)
    refused(lambda: workshop.tool(features=(bare,)), "/features", "not-true")
    none = ToolFeature(FeatureKind.BORE, size=mm("8"), count=0)
    refused(lambda: workshop.tool(features=(none,)), "/features", "not-true")


def test_all_that_a_tool_is_for_lies_in_one_assembly(workshop: Workshop) -> None:
    here, there = workshop.assembly(), workshop.assembly()
    position, operation = workshop.position(there), workshop.operation(there)
    for fields, pointer, code in (
        ({"position_id": position.id}, "/position_id", "other-assembly"),
        ({"labour_operation_ids": (operation.id,)}, "/labour_operation_ids/0", "other-assembly"),
        ({"position_id": "none"}, "/position_id", "reference-unknown"),
        ({"labour_operation_ids": ("none",)}, "/labour_operation_ids/0", "reference-unknown"),
    ):
        refused(lambda f=fields: workshop.tool(assembly_id=here.id, **f), pointer, code)
        refused(lambda f=fields: workshop.tool(**f), "/assembly_id", "assembly-missing")
    twice = (operation.id, operation.id)
    refused(
        lambda: workshop.tool(assembly_id=there.id, labour_operation_ids=twice),
        "/labour_operation_ids/1",
        "duplicate-item",
    )


def test_a_tool_for_anothers_assembly_is_its_authors_to_record(
    workshop: Workshop, neighbour: Workshop
) -> None:
    assembly = workshop.assembly()
    refused(lambda: neighbour.tool(assembly_id=assembly.id), "/assembly_id", "not-the-author")
    tool = workshop.tool(assembly_id=assembly.id)
    assert neighbour.read(SpecialTool, tool.id).record == tool


def test_a_special_tool_is_changed_and_retired(workshop: Workshop, neighbour: Workshop) -> None:
    assembly = workshop.assembly()
    operation = workshop.operation(assembly)
    tool = workshop.tool(assembly_id=assembly.id, labour_operation_ids=(operation.id,))
    features = (ToolFeature(FeatureKind.THREAD, "M8x1.25"),)
    stored = changed(workshop, tool, features=features, force=force("8"))
    assert (stored.record.features, stored.record.force) == (features, force("8"))
    assert stored.version == 2
    with pytest.raises(Conflict) as caught:
        retired(workshop, operation)
    assert caught.value.facts["used_by"] == [{"kind": "special-tool", "id": tool.id}]
    note = workshop.caution(special_tool_id=tool.id)
    with pytest.raises(Conflict):
        retired(workshop, tool)
    retired(workshop, note)
    with pytest.raises(NotTheAuthor):
        retired(neighbour, tool)
    retired(workshop, tool)
    retired(workshop, operation)


# --- stock items -----------------------------------------------------------------------------


def test_a_stock_item(workshop: Workshop) -> None:
    assert_kept(workshop, workshop.stock_item())
    full = workshop.stock_item(
        quantity=0,
        designation="M8x1.25x60",
        part_id=workshop.part().id,
        worth=euro("0.45"),
        size=mm("0.150", plus_minus="0.005"),
        material="steel",
        property_class="8.8",
        shelf="drawer 4",
        minimum_quantity=10,
        note="Tips ground flat.",
        form=ItemForm.SCREW,
        features=(
            ToolFeature(FeatureKind.LENGTH, size=mm("60")),
            ToolFeature(FeatureKind.THREAD, "M8x1.25"),
        ),
        hardness="320 HV",
        tip=ScrewTip.FLAT,
        certificate="Calibration 118",
    )
    assert_kept(workshop, full)
    for name in ("kind", "designation", "part_id", "shelf"):
        assert full in workshop.page(StockItem, **{name: getattr(full, name)})


def test_stock_is_never_less_than_nothing(workshop: Workshop) -> None:
    refused(lambda: workshop.stock_item(quantity=-1), "/quantity", "not-true")
    refused(lambda: workshop.stock_item(minimum_quantity=-1), "/minimum_quantity", "not-true")
    refused(lambda: workshop.stock_item(size=mm("0")), "/size/value", "out-of-range")
    refused(lambda: workshop.stock_item(size=force("1")), "/size/unit", "unit-wrong-dimension")
    refused(lambda: workshop.stock_item(part_id="none"), "/part_id", "reference-unknown")
    refused(lambda: workshop.stock_item(hardness="95"), "/hardness", "hardness")
    feature = ToolFeature(FeatureKind.BORE, size=mm("-8"))
    at = "/features/0/size/value"
    refused(lambda: workshop.stock_item(features=(feature,)), at, "out-of-range")


def test_stock_is_worth_an_amount_in_the_shops_currency(workshop: Workshop) -> None:
    workshop.settings()
    foreign = replace(euro("1.00"), currency="USD")
    refused(lambda: workshop.stock_item(worth=foreign), "/worth/currency", "currency-other")


def test_a_stock_item_is_changed_and_retired(workshop: Workshop, neighbour: Workshop) -> None:
    item = workshop.stock_item()
    assert changed(workshop, item, quantity=10).record.quantity == 10
    with pytest.raises(NotFound):
        retired(neighbour, item)
    retired(workshop, item)


# --- shim packs ------------------------------------------------------------------------------


def test_a_shim_pack(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    unit = workshop.unit(assembly)
    found = workshop.shim_pack(unit)
    assert_kept(workshop, found)
    fitted = workshop.shim_pack(
        unit,
        effect=ShimEffect.MORE_SHIMS_DECREASE,
        stage=ShimStage.AS_FITTED,
        shims=(Shim(mm("0.148", plus_minus="0.002"), 1, is_broken=True), Shim(mm("0.40"), 3)),
        position_id=workshop.position(assembly).id,
        job_id=workshop.job(unit).id,
        note="One shim torn at the edge.",
    )
    assert_kept(workshop, fitted)
    assert workshop.page(ShimPack, unit_id=unit.id, stage="as-fitted") == [fitted]


def test_that_no_shims_sat_there_can_be_said(workshop: Workshop) -> None:
    assert_kept(workshop, workshop.shim_pack(workshop.unit(workshop.assembly()), shims=()))


def test_a_pack_as_fitted_names_the_job_on_its_unit(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    unit = workshop.unit(assembly)
    refused(lambda: workshop.shim_pack(unit, stage=ShimStage.AS_FITTED), "/job_id", "job-missing")
    others = workshop.job(workshop.unit(assembly))
    for stage in ShimStage:
        refused(
            lambda stage=stage: workshop.shim_pack(unit, stage=stage, job_id=others.id),
            "/job_id",
            "other-unit",
        )


def test_a_shim_pack_keeps_to_its_unit(workshop: Workshop, neighbour: Workshop) -> None:
    assembly = workshop.assembly()
    unit = workshop.unit(assembly)
    elsewhere = workshop.position(workshop.assembly())
    refused(
        lambda: workshop.shim_pack(unit, position_id=elsewhere.id),
        "/position_id",
        "other-assembly",
    )
    refused(lambda: neighbour.shim_pack(unit), "/unit_id", "reference-unknown")
    pack = workshop.shim_pack(unit)
    with pytest.raises(NotFound):
        neighbour.read(ShimPack, pack.id)
    another = workshop.unit(assembly)
    refused(lambda: changed(workshop, pack, unit_id=another.id), "/unit_id", "fixed-member")


def test_a_shim_is_a_length_of_more_than_nothing(workshop: Workshop) -> None:
    unit = workshop.unit(workshop.assembly())
    for shim, pointer in (
        (Shim(mm("0")), "/shims/0/thickness/value"),
        (Shim(force("1")), "/shims/0/thickness/unit"),
        (Shim(mm("0.1"), 0), "/shims"),
    ):
        refused(lambda shim=shim: workshop.shim_pack(unit, shims=(shim,)), pointer)


def test_a_shim_pack_is_changed_and_retired(workshop: Workshop) -> None:
    unit = workshop.unit(workshop.assembly())
    pack = workshop.shim_pack(unit)
    shims = (*pack.shims, Shim(mm("0.05")))
    assert changed(workshop, pack, shims=shims).record.shims == shims
    job = workshop.job(unit)
    fitted = changed(workshop, pack, stage=ShimStage.AS_FITTED, job_id=job.id)
    assert fitted.version == 3
    for used in (unit, job):
        with pytest.raises(Conflict):
            retired(workshop, used)
    retired(workshop, pack)
    retired(workshop, job)
    retired(workshop, unit)


# --- deliveries ------------------------------------------------------------------------------


def test_a_delivery(workshop: Workshop) -> None:
    supplier = workshop.supplier()
    assert_kept(workshop, workshop.delivery(supplier))
    part = workshop.part()
    offer = workshop.offer(supplier, part_id=part.id)
    job = workshop.job(workshop.unit(workshop.assembly()))
    full = workshop.delivery(
        supplier,
        ordered_at=datetime(2031, 3, 4, 23, 30, 0, 125, tzinfo=UTC),
        lines=(
            DeliveryLine(1, offer_id=offer.id),
            DeliveryLine(4, part_id=part.id, description="from the old stock"),
        ),
        job_id=job.id,
        promised_on=date(2031, 3, 4),
        arrived_on=date(2031, 3, 7),
        freight=euro("9.50"),
        note="One line came later.",
    )
    assert_kept(workshop, full)
    assert workshop.page(Delivery, job_id=job.id) == [full]
    assert workshop.page(Delivery, **{"arrived_on.gte": "2031-03-07"}) == [full]


def test_a_line_names_one_thing(workshop: Workshop) -> None:
    supplier = workshop.supplier()
    part = workshop.part()
    offer = workshop.offer(supplier, part_id=part.id)
    for line in (
        DeliveryLine(1),
        DeliveryLine(1, offer_id=offer.id, part_id=part.id),
        DeliveryLine(0, description="Grease"),
    ):
        refused(lambda line=line: workshop.delivery(supplier, lines=(line,)), "/lines", "not-true")
    refused(lambda: workshop.delivery(supplier, lines=()), "/lines", "too-few")


def test_a_line_takes_an_offer_of_its_supplier(workshop: Workshop, neighbour: Workshop) -> None:
    supplier, other = workshop.supplier(), workshop.supplier()
    part = workshop.part()
    for offer, code in (
        (workshop.offer(other, part_id=part.id), "other-supplier"),
        (neighbour.offer(neighbour.supplier(), part_id=part.id), "reference-unknown"),
    ):
        line = DeliveryLine(1, offer_id=offer.id)
        refused(
            lambda line=line: workshop.delivery(supplier, lines=(line,)),
            "/lines/0/offer_id",
            code,
        )
    refused(lambda: neighbour.delivery(supplier), "/supplier_id", "reference-unknown")
    offer = workshop.offer(supplier, part_id=part.id)
    refused(lambda: changed(workshop, offer, supplier_id=other.id), "/supplier_id", "fixed-member")
    line = DeliveryLine(1, part_id="none")
    refused(lambda: workshop.delivery(supplier, lines=(line,)), "/lines/0/part_id")


def test_nothing_arrives_before_it_is_ordered_by_the_shops_own_calendar(
    workshop: Workshop,
) -> None:
    supplier = workshop.supplier()
    before, same = date(2031, 3, 3), FOUND_AT.date()
    for name in ("arrived_on", "promised_on"):
        early = {name: before}
        refused(lambda early=early: workshop.delivery(supplier, **early), f"/{name}")
        workshop.delivery(supplier, **{name: same})
    # Ten at night in Honolulu is the next day already in UTC: it may still come the same day.
    night = datetime(2031, 3, 5, 8, 0, tzinfo=UTC)
    late = {"ordered_at": night, "arrived_on": date(2031, 3, 4)}
    refused(lambda: workshop.delivery(supplier, **late), "/arrived_on", "range-reversed")
    workshop.settings(calendar=WorkCalendar(timezone="Pacific/Honolulu"))
    assert_kept(workshop, workshop.delivery(supplier, **late))


def test_freight_is_in_the_shops_currency(workshop: Workshop) -> None:
    supplier = workshop.supplier()
    workshop.settings()
    foreign = replace(euro("1.00"), currency="USD")
    refused(
        lambda: workshop.delivery(supplier, freight=foreign), "/freight/currency", "currency-other"
    )


def test_a_delivery_is_changed_and_retired(workshop: Workshop, neighbour: Workshop) -> None:
    supplier = workshop.supplier()
    part = workshop.part()
    offer = workshop.offer(supplier, part_id=part.id)
    delivery = workshop.delivery(supplier, lines=(DeliveryLine(1, offer_id=offer.id),))
    arrived = changed(workshop, delivery, arrived_on=date(2031, 3, 7))
    assert (arrived.version, arrived.record.arrived_on) == (2, date(2031, 3, 7))
    for used in (offer, supplier):
        with pytest.raises(Conflict):
            retired(workshop, used)
    with pytest.raises(NotFound):
        retired(neighbour, delivery)
    retired(workshop, delivery)
    retired(workshop, offer)
    retired(workshop, supplier)


# --- outcomes --------------------------------------------------------------------------------


def a_job(workshop: Workshop) -> tuple[Assembly, Unit, Job]:
    assembly = workshop.assembly()
    unit = workshop.unit(assembly)
    return assembly, unit, workshop.job(unit)


def test_an_outcome(workshop: Workshop) -> None:
    assembly, unit, job = a_job(workshop)
    assert_kept(workshop, workshop.outcome(workshop.job(unit)))
    full = workshop.outcome(
        job,
        decision_id=workshop.keep(decision_on(job)).id,
        handed_over_on=date(2031, 3, 14),
        actual_cost=euro("402.10"),
        actual_price=euro("690.00"),
        bench_hours=Decimal("5.5"),
        comebacks=(
            Comeback(date(2031, 8, 19)),
            Comeback(
                date(2031, 9, 2),
                Decimal(310),
                workshop.position(assembly).id,
                "Seal lip cut at fitting.",
                euro("140.00"),
            ),
        ),
        note="Ran quiet on the stand.",
    )
    assert_kept(workshop, full)
    assert workshop.page(Outcome, job_id=job.id) == [full]


def test_a_job_has_one_outcome(workshop: Workshop) -> None:
    _, _, job = a_job(workshop)
    first = workshop.outcome(job)
    with pytest.raises(Conflict) as caught:
        workshop.outcome(job)
    assert caught.value.code == "duplicate"
    assert caught.value.facts["existing_id"] == first.id


def test_an_outcome_keeps_to_its_job(workshop: Workshop, neighbour: Workshop) -> None:
    _, unit, job = a_job(workshop)
    others = workshop.keep(decision_on(workshop.job(unit)))
    refused(lambda: workshop.outcome(job, decision_id=others.id), "/decision_id", "other-job")
    refused(lambda: workshop.outcome(job, decision_id="none"), "/decision_id")
    refused(lambda: neighbour.outcome(job), "/job_id", "reference-unknown")
    elsewhere = Comeback(date(2031, 8, 19), position_id=workshop.position(workshop.assembly()).id)
    refused(
        lambda: workshop.outcome(job, comebacks=(elsewhere,)),
        "/comebacks/0/position_id",
        "other-assembly",
    )
    outcome = workshop.outcome(job)
    another = workshop.job(unit)
    refused(lambda: changed(workshop, outcome, job_id=another.id), "/job_id", "fixed-member")


def test_a_job_comes_back_after_it_was_handed_over(workshop: Workshop) -> None:
    _, _, job = a_job(workshop)
    early = (Comeback(date(2031, 3, 13)),)
    refused(
        lambda: workshop.outcome(job, handed_over_on=date(2031, 3, 14), comebacks=early),
        "/comebacks/0/came_back_on",
        "range-reversed",
    )


def test_what_a_job_cost_is_in_the_shops_currency_and_not_below_zero(workshop: Workshop) -> None:
    _, _, job = a_job(workshop)
    workshop.settings()
    foreign = replace(euro("1.00"), currency="USD")
    for fields, pointer in (
        ({"actual_cost": foreign}, "/actual_cost/currency"),
        ({"comebacks": (Comeback(date(2031, 8, 19), cost=foreign),)}, "/comebacks/0/cost/currency"),
        ({"actual_price": euro("-1.00")}, "/actual_price"),
        ({"bench_hours": Decimal(-1)}, "/bench_hours"),
        ({"comebacks": (Comeback(date(2031, 8, 19), Decimal(-1)),)}, "/comebacks"),
    ):
        refused(lambda fields=fields: workshop.outcome(job, **fields), pointer)


def test_an_outcome_is_changed_and_retired(workshop: Workshop, neighbour: Workshop) -> None:
    _, _, job = a_job(workshop)
    outcome = workshop.outcome(job, handed_over_on=date(2031, 3, 14))
    comebacks = (Comeback(date(2031, 8, 19), cost=euro("140.00")),)
    stored = changed(workshop, outcome, comebacks=comebacks)
    assert (stored.version, stored.record.comebacks) == (2, comebacks)
    with pytest.raises(Conflict):
        retired(workshop, job)
    with pytest.raises(NotFound):
        neighbour.read(Outcome, outcome.id)
    retired(workshop, outcome)
    retired(workshop, job)


# --- whose they are --------------------------------------------------------------------------


def test_the_bench_of_a_shop_is_its_own(workshop: Workshop, neighbour: Workshop) -> None:
    _, unit, job = a_job(workshop)
    for record in (
        workshop.stock_item(),
        workshop.shim_pack(unit),
        workshop.delivery(workshop.supplier()),
        workshop.outcome(job),
    ):
        with pytest.raises(NotFound):
            neighbour.read(type(record), record.id)
        assert neighbour.page(type(record)) == []


def test_the_catalogue_of_tools_and_numbers_is_read_by_all(
    workshop: Workshop, neighbour: Workshop
) -> None:
    part: Part = workshop.part()
    for record in (
        workshop.tool(),
        workshop.supersession(part, workshop.part()),
        workshop.caution(part_id=part.id),
    ):
        assert neighbour.read(type(record), record.id).record == record


def test_another_shops_own_use_of_a_part_keeps_it_and_is_not_named(
    workshop: Workshop, neighbour: Workshop
) -> None:
    stocked, ordered = workshop.part(), workshop.part()
    neighbour.stock_item(part_id=stocked.id)
    neighbour.delivery(neighbour.supplier(), lines=(DeliveryLine(1, part_id=ordered.id),))
    for part in (stocked, ordered):
        with pytest.raises(Conflict) as caught:
            retired(workshop, part)
        assert caught.value.facts["used_by"] == []


# --- migration -------------------------------------------------------------------------------


def test_records_that_went_with_an_earlier_schema_are_told_as_retired(
    new_url: Callable[[], str],
) -> None:
    url = new_url()
    upgrade(url)
    with closing(Sessions(make_engine(url))) as sessions:
        with sessions.writing() as session:
            principal, _ = make_shop_and_key(session, "Mill")
        workshop = Workshop(sessions, principal)
        part = workshop.part()
        note = workshop.caution(part_id=part.id)
        _, unit, _ = a_job(workshop)
        workshop.shim_pack(unit)

        def told(kind: type) -> list[tuple[str, bool]]:
            with sessions.reading() as session:
                found = records.changed_since(session, principal, kind, (0, ""), 10).records
            return [(record_id, record is None) for record_id, _, record in found]

        assert told(CautionNote) == [(note.id, False)]
        downgrade(url, "2026_11_25_salvage")
        upgrade(url)
        assert told(CautionNote) == [(note.id, True)]
        assert told(Part) == [(part.id, False)]
        retired(workshop, part)
