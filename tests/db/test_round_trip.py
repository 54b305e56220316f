"""Every kind of record is read as it was created, sparse and full."""

from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from sqlalchemy import text

from db.ids import new_id
from db.queries import records
from db.queries.decision import page_decisions, read_decision, store_decision
from db.queries.listing import Place
from shared.assemblies.model import (
    AccessGroup,
    Assembly,
    CautionNote,
    Characteristic,
    Derivation,
    DerivationKind,
    DerivationTerm,
    Grade,
    InspectionMethod,
    LabourOperation,
    MakerSupply,
    OperationKind,
    Position,
    PositionSet,
    ReadingsCount,
    RenewalRule,
    Ruling,
    Serviceability,
    ServiceabilityRuling,
    ServiceLimitKind,
    SetKind,
)
from shared.assemblies.traits import Hand
from shared.condition.model import (
    DonorTerms,
    Finding,
    Gauge,
    PartWorth,
    Reading,
    ShimPack,
    Unit,
    UnitKind,
)
from shared.condition.shim_place import ShimPlace
from shared.decision.frozen import FrozenDecision
from shared.decision.job_states import JobState
from shared.decision.outcome import Outcome
from shared.decision.settings import (
    DecisionRules,
    MarkupBand,
    Policy,
    PricingRules,
    ShopSettings,
    SourceKind,
    WarrantyTerms,
)
from shared.decision.snapshot import Job, Waiting, WaitingKind
from shared.errors import InvalidInput, NotFound
from shared.evidence import (
    Caution,
    CautionKind,
    EvidenceKind,
    FailureMechanism,
    ReasonRetired,
)
from shared.fasteners.model import SpecialTool, StockItem
from shared.interchange.model import (
    ClaimSays,
    DutyAspect,
    DutyDifference,
    Fitment,
    FitmentResult,
    InterchangeClaim,
    KitLine,
    NumberKind,
    NumberRule,
    OtherNumber,
    Part,
    PartLine,
    Sameness,
    Supersession,
)
from shared.life.model import ComebackExperience, ExperienceKind, InspectionExperience, LifeRecord
from shared.money import Money
from shared.quantities import Quantity
from shared.salvage.model import (
    Reservation,
    SalvagedPart,
    SalvagedPartState,
    SalvageExperience,
)
from shared.sourcing.model import (
    ArrivalDependence,
    BelowMinimum,
    CoreFault,
    CoreTerms,
    Delivery,
    DeliveryMode,
    ExchangeRate,
    GoodsCondition,
    Offer,
    OfferKind,
    PriceBreak,
    Supplier,
    WarrantyCover,
    WorkCalendar,
)
from tests.db.workshop import FOUND_AT, REMOVED_ON, Workshop, euro, mm

CAUTIONS = (
    Caution(CautionKind.HAZARD, "The spring is under load."),
    Caution(CautionKind.LEGAL, "Old parts are offered back."),
)


def assert_kept(workshop: Workshop, record: object) -> None:
    stored = workshop.read(type(record), record.id)
    assert stored.record == record
    assert stored.version == 1
    assert stored.author_shop_id == workshop.principal.shop_id
    assert stored.created_at == stored.updated_at
    assert stored.created_at.tzinfo is UTC
    assert record in workshop.page(type(record))


def test_an_assembly(workshop: Workshop) -> None:
    assert_kept(workshop, workshop.assembly())
    full = workshop.assembly(
        serial_from="10001",
        serial_to="14999",
        part_id=workshop.part().id,
        notes="Oil: 0,9 L\nŁódź",
        cautions=CAUTIONS,
    )
    assert_kept(workshop, full)


def test_a_position(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    parent = workshop.position(assembly)
    assert_kept(workshop, parent)
    full = workshop.position(
        assembly,
        parent_id=parent.id,
        reference="17",
        quantity=4,
        part_id=workshop.part().id,
        maker_supply=MakerSupply.WHOLE_ONLY,
        maker_supply_source="Parts book, plate 4",
        serviceability=Serviceability(Ruling.INSPECT_ONLY, "Preload set with a rig.", "Plate 4"),
        renewal_rule=RenewalRule.ALWAYS,
        access_group_id=workshop.group(assembly).id,
        is_safety_critical=True,
        is_variant_bound=True,
        cautions=CAUTIONS,
    )
    assert_kept(workshop, full)


def test_an_access_group(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    outer = workshop.group(assembly)
    assert_kept(workshop, outer)
    assert_kept(workshop, workshop.group(assembly, outer_group_id=outer.id))


def test_a_position_set_in_the_order_given(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    three = [workshop.position(assembly) for _ in range(3)]
    made = workshop.position_set(assembly, *reversed(three), kind=SetKind.RENEWED_TOGETHER)
    assert_kept(workshop, made)
    assert made.position_ids[0] == three[2].id


def test_a_labour_operation(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    assert_kept(workshop, workshop.operation(assembly))
    renew = workshop.operation(
        assembly, kind=OperationKind.RENEW, position_id=workshop.position(assembly).id
    )
    assert_kept(workshop, renew)
    opening = workshop.operation(
        assembly, kind=OperationKind.OPEN, access_group_id=workshop.group(assembly).id
    )
    assert_kept(workshop, opening)
    look = workshop.operation(
        assembly, kind=OperationKind.INSPECT, position_id=workshop.position(assembly).id
    )
    assert_kept(workshop, look)


def test_a_characteristic(workshop: Workshop) -> None:
    position = workshop.position(workshop.assembly())
    full = workshop.characteristic(
        position,
        new_lower=mm("20.000"),
        new_upper=mm("20.013"),
        service_lower=mm("19.9950"),
        service_upper=Quantity(Decimal("0.7882"), "in"),
        limits_source="Shop's own record",
    )
    assert_kept(workshop, full)
    assert str(workshop.read(Characteristic, full.id).record.service_lower.value) == "19.9950"
    attribute = workshop.attribute(
        position, is_crack=True, settling_method=InspectionMethod.PENETRANT
    )
    assert_kept(workshop, attribute)


def test_a_part_and_a_kit(workshop: Workshop) -> None:
    seal, ring = workshop.part(generic_designation="25x47x7"), workshop.part()
    assert_kept(workshop, seal)
    kit = workshop.part(name="Seal kit", kit_lines=(KitLine(ring.id, 2), KitLine(seal.id)))
    assert_kept(workshop, kit)
    numbered = workshop.part(
        other_numbers=(
            OtherNumber(NumberKind.CASTING, "716 804"),
            OtherNumber(NumberKind.BOOK_POSITION, "03-11-28", "Book of 1974"),
            OtherNumber(NumberKind.TRADE, "716804"),
        )
    )
    assert_kept(workshop, numbered)


def test_a_rule_for_numbers(workshop: Workshop) -> None:
    assert_kept(workshop, workshop.number_rule("Oakhollow Drives"))
    full = workshop.number_rule(
        "Millrace",
        base_length=8,
        default_suffix="001",
        last_letter_is_optional=True,
        kept_separators="-.",
        note="Since 1981.",
    )
    assert_kept(workshop, full)


def test_an_interchange_claim(workshop: Workshop) -> None:
    one, other = workshop.part(), workshop.part()
    assert_kept(workshop, workshop.claim(one, other))
    assembly = workshop.assembly()
    full = workshop.claim(
        one,
        other,
        evidence_kind=EvidenceKind.MAKER_BULLETIN,
        assembly_id=assembly.id,
        position_id=workshop.position(assembly).id,
        serial_from="100",
        serial_to="200",
        rework_note="Bush the bore.",
        rework_p50_hours=Decimal("0.5"),
        rework_p90_hours=Decimal("0.75"),
        rework_cost=euro("12.50"),
        built_from_on=date(1990, 1, 1),
        built_to_on=date(1990, 1, 1),
        hand=Hand.LEFT,
        ratio=Decimal("3.727"),
        generation="second",
        part_quantity=2,
        stand_in_quantity=3,
        companion_lines=(PartLine(workshop.part().id, 2), PartLine(workshop.part().id)),
        to_check=("End float", "Lip's side"),
        form=Sameness.SAME,
        fit=Sameness.DIFFERS,
        function=Sameness.SAME,
        differences=(DutyDifference(DutyAspect.LOAD, "one row less", "shorter life"),),
        stated_on=date(2026, 2, 18),
    )
    assert_kept(workshop, full)
    assert_kept(workshop, workshop.claim(one, other, says=ClaimSays.DOES_NOT_FIT))


def test_a_unit(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    assert_kept(workshop, workshop.unit(assembly))
    donor = workshop.donor(
        assembly,
        serial_number="12873",
        lower_hours=Decimal(800),
        upper_hours=Decimal("1400.5"),
        variant="ratio 12.4",
        built_on=date(1990, 1, 1),
        hand=Hand.RIGHT,
        ratio=Decimal("3.73"),
        generation="B",
        provenance="Stood in the wet.",
        reason_retired=ReasonRetired.FLOOD,
        released_on=date(2031, 2, 11),
        donor=DonorTerms(
            is_owned=False,
            price=euro("180.00"),
            undisturbed_worth=euro("90.00"),
            remainder_worth=euro("0.00"),
            strip_p50_hours=Decimal("1.5"),
            strip_p90_hours=Decimal("2.5"),
            p50_days=Decimal(2),
            p90_days=Decimal(3),
        ),
    )
    assert_kept(workshop, donor)
    assert_kept(workshop, workshop.donor(assembly, kind=UnitKind.STOCK, released_on=None))


def test_a_finding(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    position = workshop.position(assembly, quantity=4)
    unit = workshop.unit(assembly)
    bore = workshop.characteristic(position)
    first = workshop.finding(unit, bore)
    assert_kept(workshop, first)
    full = workshop.finding(
        unit,
        bore,
        found_at=datetime(2026, 3, 4, 9, 15, 30, 123456, tzinfo=UTC),
        measured=mm("20.0100", expanded_uncertainty="0.004", coverage_factor="2"),
        gauge="micrometer",
        part_temperature=Quantity(Decimal("71.5"), "°F", plus_minus=Decimal("1.0")),
        is_cleaned=False,
        location="seal track",
        piece=4,
        note="Blued on one side.",
        supersedes_id=first.id,
    )
    assert_kept(workshop, full)
    gauge = workshop.gauge()
    read = workshop.finding(
        unit,
        bore,
        measured=None,
        readings=(Reading(mm("20.0100", plus_minus="0.002"), "A", "X"), Reading(mm("20.02"))),
        gauge_id=gauge.id,
        gauge_calibrated_on=date(2026, 1, 12),
        unit_hours=Decimal("1480.5"),
        mechanism=FailureMechanism.ELECTRICAL_EROSION,
        client_id="tablet-3/118",
    )
    assert_kept(workshop, read)
    between = workshop.finding(unit, bore, measured=None, at_least=mm("20.00"), at_most=mm("20.05"))
    assert_kept(workshop, between)
    assert_kept(workshop, workshop.finding(unit, bore, measured=None, at_least=mm("20.00")))
    assert workshop.page(Finding, gauge_id=gauge.id) == [read]
    assert workshop.page(Finding, mechanism="electrical-erosion") == [read]
    seen = workshop.finding(
        unit,
        workshop.attribute(position),
        measured=None,
        grade=Grade.MODERATE,
        method=InspectionMethod.BY_EYE,
    )
    assert_kept(workshop, seen)


def test_a_gauge(workshop: Workshop) -> None:
    assert_kept(workshop, workshop.gauge())
    full = workshop.gauge(
        kind="bore-gauge",
        serial_number="7731",
        standard_uncertainty=mm("0.0040"),
        common_uncertainty=Quantity(Decimal("2.0"), "µm"),
        master="Setting ring 40 mm",
        calibrated_on=date(2026, 1, 12),
        calibration_months=12,
        note="Reads from 35 mm on.",
        reads_from=mm("35"),
        reads_up_to=Quantity(Decimal("2.4"), "in"),
    )
    assert_kept(workshop, full)
    assert workshop.page(Gauge, kind="bore-gauge") == [full]


def test_a_derived_characteristic(workshop: Workshop) -> None:
    position = workshop.position(workshop.assembly(), quantity=2)
    bore, journal = (workshop.characteristic(position, name=name) for name in ("Bore", "Journal"))
    sized = workshop.characteristic(
        position,
        service_upper=None,
        unit="mm",
        gauge_kind="outside-micrometer",
        how="In two planes.",
        counted_by=ReadingsCount.LEAST,
        minimum_readings=4,
    )
    assert_kept(workshop, sized)
    terms = (
        DerivationTerm(bore.id, piece=2),
        DerivationTerm(journal.id, Decimal("-0.5")),
    )
    clearance = workshop.characteristic(
        position,
        derivation=Derivation(DerivationKind.SUM, terms, mm("12.50", plus_minus="0.01")),
        service_limit_is=ServiceLimitKind.DISCARD,
    )
    assert_kept(workshop, clearance)
    taper = Derivation(DerivationKind.TAPER, (DerivationTerm(sized.id),))
    assert_kept(workshop, workshop.characteristic(position, derivation=taper))


def test_a_supplier_and_offers(workshop: Workshop) -> None:
    supplier = workshop.supplier(
        delivery=DeliveryMode.SEPARATE, order_cutoff="14:30", notes="Ring first."
    )
    assert_kept(workshop, supplier)
    assembly = workshop.assembly()
    goods = workshop.offer(
        supplier,
        assembly_id=assembly.id,
        condition=GoodsCondition.REBUILT,
        valid_from=date(2031, 1, 1),
        valid_until=date(2031, 12, 31),
        warranty_cover=WarrantyCover.PART_AND_LABOUR,
        reject_probability=Decimal("0.02"),
        core=CoreTerms(euro("150.00"), Decimal("0.85"), euro("140.00"), euro("22.00"), 30),
        residual_worth=euro("60.00"),
    )
    assert_kept(workshop, goods)
    assert_kept(workshop, workshop.offer(supplier, part_id=workshop.part().id))
    sparse_core = workshop.offer(
        supplier, assembly_id=assembly.id, core=CoreTerms(euro("150.00"), Decimal(1))
    )
    assert_kept(workshop, sparse_core)
    sleeve = workshop.offer(
        supplier, kind=OfferKind.SERVICE, position_id=workshop.position(assembly).id
    )
    assert_kept(workshop, sleeve)


def test_the_terms_of_an_order_packs_and_breaks(workshop: Workshop) -> None:
    supplier = workshop.supplier(
        minimum_order=euro("50.00"),
        below_minimum=BelowMinimum.FEE,
        small_order_fee=euro("8.00"),
        free_freight_from=euro("150.00"),
    )
    assert_kept(workshop, supplier)
    part = workshop.part()
    packed = workshop.offer(
        supplier,
        part_id=part.id,
        price_breaks=(PriceBreak(10, euro("17.10")), PriceBreak(40, euro("15.00"))),
        pack_quantity=5,
        minimum_quantity=10,
        available_quantity=0,
    )
    assert_kept(workshop, packed)
    exchange = workshop.offer(
        supplier,
        assembly_id=workshop.assembly().id,
        core=CoreTerms(
            euro("150.00"),
            Decimal("0.85"),
            refund_within_days=14,
            refused_when=(CoreFault.INCOMPLETE, CoreFault.CRACKED),
        ),
    )
    assert_kept(workshop, exchange)


def test_an_exchange_rate_to_twelve_places(workshop: Workshop) -> None:
    assert_kept(workshop, workshop.rate())
    assert_kept(workshop, workshop.rate(currency="IDR", rate=Decimal("0.000054123456")))
    assert_kept(workshop, workshop.rate(currency="KWD", rate=Decimal("999999.999999")))
    with pytest.raises(InvalidInput) as caught:
        workshop.rate(currency="JPY", rate=Decimal(1_000_000))
    assert (caught.value.pointer, caught.value.code) == ("/rate", "number-size")


def test_what_a_donors_parts_count_for(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    positions = [workshop.position(assembly) for _ in range(2)]
    terms = DonorTerms(
        is_owned=False,
        price=euro("120.00"),
        remainder_worth=euro("60.00"),
        freight=euro("48.00"),
        part_worths=tuple(PartWorth(one.id, euro("30.00")) for one in reversed(positions)),
    )
    assert_kept(workshop, workshop.donor(assembly, donor=terms))


def test_amounts_keep_the_digits_of_their_currency(workshop: Workshop) -> None:
    for amount in (Money(Decimal("1850"), "JPY"), Money(Decimal("9.875"), "KWD")):
        supplier = workshop.supplier(freight=amount)
        assert workshop.read(Supplier, supplier.id).record.freight == amount


def full_settings() -> ShopSettings:
    return ShopSettings(
        new_id("set"),
        "EUR",
        PricingRules(
            euro("78.00"),
            euro("41.00"),
            (
                MarkupBand(Decimal("35")),
                MarkupBand(Decimal("22.5"), cost_from=euro("100.00"), part_kind="bearing"),
            ),
            disposal=euro("6.50"),
            tax_percent=Decimal("19"),
        ),
        WarrantyTerms(Decimal(500), euro("80.00"), Decimal("0.02"), Decimal("0.1")),
        WorkCalendar("Europe/Berlin", "DE", "BW", closed_on=(date(2031, 12, 24),)),
        DecisionRules(
            promise_confidence=Decimal("0.85"),
            arrival_dependence=ArrivalDependence.ANY,
            interest_percent_per_year=Decimal("4.5"),
        ),
        Policy(
            shelf_worth_percent=Decimal(20),
            safety_critical_sources=(SourceKind.NEW,),
            barred_donor_reasons=(ReasonRetired.FIRE, ReasonRetired.FLOOD),
        ),
        (ComebackExperience(ExperienceKind.NEW, Decimal("0.01"), Decimal(50), 1, 80, "bearing"),),
        (SalvageExperience(Decimal("0.7"), Decimal(10), basis="our yard"),),
        (LifeRecord("bearing", Decimal("1.5"), Decimal(9000), "maker's figure"),),
        (InspectionExperience(Decimal("0.8"), Decimal(10), 18, 22, "bearing", "bench book"),),
    )


def test_settings_of_a_shop(workshop: Workshop) -> None:
    assert_kept(workshop, workshop.keep(full_settings()))


def test_each_settings_counts_one_version_further(workshop: Workshop) -> None:
    workshop.settings()
    second = workshop.settings()
    assert workshop.read(ShopSettings, second.id).version == 2


def test_a_job(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    groups = [workshop.group(assembly) for _ in range(2)]
    unit = workshop.unit(assembly)
    assert_kept(workshop, workshop.job(unit))
    full = workshop.job(
        unit,
        state=JobState.MEASURED,
        cause="Ran dry.",
        horizon_hours=Decimal(1200),
        required_by_on=date(2031, 3, 17),
        confidence=Decimal("0.9"),
        spending_limit=euro("900.00"),
        opened_group_ids=(groups[1].id, groups[0].id),
        inspection_price=euro("95.00"),
        core_unit_id=unit.id,
        notes="Cutting contract starts on the 17th.",
        core_back_on=date(2031, 3, 21),
        waiting=Waiting(WaitingKind.HIRE, euro("31.00"), euro("40.00"), "Hired drive"),
        standstill_cost_per_day=euro("85.00"),
        replacement_cost=euro("2400.00"),
        hours_per_year=Decimal("612.5"),
    )
    assert_kept(workshop, full)


def test_a_salvaged_part_its_reservation_and_its_fitment(workshop: Workshop) -> None:
    assembly, part = workshop.assembly(), workshop.part()
    position = workshop.position(assembly, quantity=2, part_id=part.id)
    donor = workshop.donor(assembly, released_on=REMOVED_ON)
    found = [workshop.finding(donor, workshop.characteristic(position)) for _ in range(2)]
    sparse = workshop.salvaged_part(
        donor,
        position,
        state=SalvagedPartState.UNINSPECTED,
        inspected_by=None,
        inspected_on=None,
    )
    assert_kept(workshop, sparse)
    full = workshop.salvaged_part(
        donor,
        position,
        piece=2,
        part_id=part.id,
        lower_hours=Decimal("800"),
        upper_hours=Decimal("1400.5"),
        variant="ratio 12.4",
        finding_ids=(found[1].id, found[0].id),
        shelf="rack 3, bin 7",
        worth=euro("35.00"),
        note="Faint blueing on one side.",
    )
    assert_kept(workshop, full)
    job = workshop.job(workshop.unit(assembly))
    assert_kept(workshop, workshop.reservation(full, job, note="Until the customer calls back."))
    assert_kept(workshop, workshop.fitment(job, position, salvaged_part_id=full.id))
    called_for, stand_in = part, workshop.part()
    tried = workshop.fitment(
        job,
        position,
        piece=2,
        part_id=stand_in.id,
        claim_id=workshop.claim(called_for, stand_in).id,
        result=FitmentResult.FAILED,
        result_on=date(2026, 9, 1),
        hours_run=Decimal("420.5"),
        note="Pressed in warm.",
    )
    assert_kept(workshop, tried)


def decision_on(job: Job, **fields) -> FrozenDecision:
    plain = FrozenDecision(
        new_id("dec"), job.id, FOUND_AT, "plan-1", "plan-1", False, "counter", None, "0.1.0",
        "f" * 64, '{"a":"é"}', "{}",
    )  # fmt: skip
    return replace(plain, **fields)


def test_a_decision(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    jobs = [workshop.job(workshop.unit(assembly)) for _ in range(2)]
    decisions = [decision_on(job) for job in jobs]
    with workshop.sessions.writing() as session:
        for decision in decisions:
            store_decision(session, workshop.principal, decision)
    of_second = Place({"job_id": jobs[1].id})
    end = Place(after=(decisions[1].id, decisions[1].id))
    with workshop.sessions.reading() as session:
        me = workshop.principal
        assert read_decision(session, me, decisions[0].id).record == decisions[0]
        assert [s.record for s in page_decisions(session, me, Place())] == decisions
        assert [s.record for s in page_decisions(session, me, of_second)] == decisions[1:]
        assert page_decisions(session, me, end) == []


def test_another_choice_than_the_recommended_needs_a_reason(workshop: Workshop) -> None:
    job = workshop.job(workshop.unit(workshop.assembly()))
    override = decision_on(job, plan_id="plan-2", is_override=True)
    with pytest.raises(InvalidInput) as caught:
        workshop.keep(override)
    assert caught.value.pointer == "/reason"
    workshop.keep(replace(override, reason="The customer waits for the new one."))


def test_each_kind_of_record_can_be_kept() -> None:
    tested = {
        Assembly, Position, ServiceabilityRuling, AccessGroup, PositionSet, LabourOperation,
        Characteristic, Part, InterchangeClaim, Unit, Finding, Supplier, Offer, ShopSettings,
        Job, FrozenDecision, SalvagedPart, Reservation, Fitment,
        CautionNote, Supersession, SpecialTool, StockItem, ShimPack, Delivery, Outcome,
        ExchangeRate, NumberRule, Gauge, ShimPlace,
    }  # fmt: skip
    assert set(records.KINDS) == tested


# --- whose records they are ------------------------------------------------------------------


def test_another_shops_own_records_are_not_found(workshop: Workshop, neighbour: Workshop) -> None:
    assembly = workshop.assembly()
    unit = workshop.unit(assembly)
    finding = workshop.finding(unit, workshop.characteristic(workshop.position(assembly)))
    supplier = workshop.supplier()
    offer = workshop.offer(supplier, assembly_id=assembly.id)
    job = workshop.job(unit)
    decision = workshop.keep(decision_on(job))
    for record in (unit, finding, supplier, offer, workshop.settings(), job, decision):
        with pytest.raises(NotFound):
            neighbour.read(type(record), record.id)
        assert neighbour.page(type(record)) == []


def test_the_catalogue_is_read_by_all_shops(workshop: Workshop, neighbour: Workshop) -> None:
    assembly = workshop.assembly()
    position, part = workshop.position(assembly), workshop.part()
    for record in (assembly, position, part):
        stored = neighbour.read(type(record), record.id)
        assert stored.record == record
        assert stored.author_shop_id == workshop.principal.shop_id


def test_only_the_author_adds_to_an_assembly(workshop: Workshop, neighbour: Workshop) -> None:
    assembly = workshop.assembly()
    position = workshop.position(assembly)
    for add in (
        lambda: neighbour.position(assembly),
        lambda: neighbour.group(assembly),
        lambda: neighbour.operation(assembly),
        lambda: neighbour.characteristic(position),
        lambda: neighbour.ruling(position, Ruling.SERVICEABLE),
    ):
        with pytest.raises(InvalidInput) as caught:
            add()
        assert caught.value.code == "not-the-author"


def test_two_shops_may_each_keep_the_same_design(workshop: Workshop, neighbour: Workshop) -> None:
    workshop.assembly(model="LF-2")
    neighbour.assembly(model="LF-2")
    assert len(neighbour.page(Assembly, model="LF-2")) == 2


def test_an_unknown_record_is_not_found(workshop: Workshop) -> None:
    with pytest.raises(NotFound) as caught:
        workshop.read(Unit, "unt_none")
    assert (caught.value.kind, caught.value.record_id) == ("unit", "unt_none")


def test_a_limit_has_its_value_in_the_canonical_unit(workshop: Workshop) -> None:
    position = workshop.position(workshop.assembly())
    workshop.characteristic(position, service_upper=Quantity(Decimal("0.7882"), "in"))
    with workshop.sessions.reading() as session:
        micro = session.execute(
            text("SELECT service_upper_canonical FROM characteristics")
        ).scalar()
    assert micro == 20_020_280  # 0.7882 in x 25.4 mm/in = 20.02028 mm
