"""What a step down forgets, whoever keeps a copy is told after the step up."""

from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import replace
from decimal import Decimal

import pytest
from sqlalchemy import select

from db.engine import Sessions, make_engine
from db.migrate import downgrade, upgrade
from db.models.access import audit_entries, changes
from db.queries.access import changes_since, make_shop_and_key, newest_sequence
from db.queries.mapping import Stored
from shared.assemblies.model import (
    BearingDuty,
    Derivation,
    DerivationKind,
    DerivationTerm,
    OperationKind,
    RollingKind,
)
from shared.condition.model import DonorTerms, Finding, PartWorth, Reading, Unit
from shared.condition.shim_place import (
    AssortmentLine,
    RoundingStep,
    ShimPlace,
    ShimRule,
    ShimSize,
)
from shared.decision.outcome import Comeback
from shared.errors import NotFound
from shared.evidence import CauseKind
from shared.fasteners.model import FeatureKind, ItemForm, ToolFeature, ToolUse
from shared.quantities import Quantity
from shared.sourcing.model import (
    OfferKind,
    PriceBreak,
    ReworkKind,
    ReworkPart,
    ReworkTerms,
    Supplier,
)
from tests.db.test_migrations import FIRST
from tests.db.workshop import REMOVED_ON, Workshop, euro, mm

STEPS = (FIRST, "2026_11_25_changes")
BEFORE_TERMS = "2026_11_25_bench"
BEFORE_SUBSTITUTES = "2026_11_28_generic_equals"
BEFORE_CONDITION = "2026_11_29_interchange"
BEFORE_SHIMS = "2026_11_29_condition"


@pytest.fixture
def mill(new_url: Callable[[], str]) -> Iterator[tuple[str, Workshop]]:
    url = new_url()
    upgrade(url)
    with closing(Sessions(make_engine(url))) as sessions:
        with sessions.writing() as session:
            principal = make_shop_and_key(session, "Mill")[0]
        yield url, Workshop(sessions, principal)


def told_since(workshop: Workshop, kind: str, after: int) -> list[tuple[str, bool]]:
    with workshop.sessions.reading() as session:
        found = changes_since(session, kind, workshop.principal.shop_id, (after + 1, ""), 100)
    return [(record_id, is_retired) for record_id, _, is_retired in found]


@pytest.mark.parametrize("down_to", STEPS)
def test_a_donor_that_seems_whole_again_is_told_as_changed(
    mill: tuple[str, Workshop], down_to: str
) -> None:
    url, workshop = mill
    assembly = workshop.assembly()
    donor, other = (workshop.donor(assembly, released_on=REMOVED_ON) for _ in range(2))
    position = workshop.position(assembly)
    part = workshop.salvaged_part(donor, position)
    before: Stored[Unit] = workshop.read(Unit, donor.id)
    untouched = workshop.read(Unit, other.id)
    assert before.record.taken_position_ids == (position.id,)
    with workshop.sessions.reading() as session:
        last = newest_sequence(session)
    downgrade(url, down_to)
    upgrade(url)
    after = workshop.read(Unit, donor.id)
    assert after.record.taken_position_ids == ()
    assert after.version == before.version + 1
    assert after.updated_at > before.updated_at
    assert workshop.read(Unit, other.id) == untouched
    assert told_since(workshop, "unit", last) == [(donor.id, False)]
    assert told_since(workshop, "salvaged-part", last) == [(part.id, True)]


@pytest.mark.parametrize("down_to", STEPS)
def test_records_that_go_with_their_table_are_told_as_retired(
    mill: tuple[str, Workshop], down_to: str
) -> None:
    url, workshop = mill
    note = workshop.caution(part_id=workshop.part().id)
    item = workshop.stock_item(worth=euro("2.00"))
    with workshop.sessions.reading() as session:
        last = newest_sequence(session)
    downgrade(url, down_to)
    upgrade(url)
    assert told_since(workshop, "caution", last) == [(note.id, True)]
    assert told_since(workshop, "stock-item", last) == [(item.id, True)]
    with workshop.sessions.reading() as session:
        entries = session.execute(
            select(audit_entries.c.record_id, audit_entries.c.action, audit_entries.c.key_id)
            .where(audit_entries.c.sequence > last)
            .order_by(audit_entries.c.sequence)
        ).all()
        numbers = session.execute(select(changes.c.sequence)).scalars().all()
    assert [tuple(entry)[:2] for entry in entries] == [(note.id, "retire"), (item.id, "retire")]
    assert {entry.key_id for entry in entries} == {workshop.principal.key_id}
    assert len(numbers) == len(set(numbers))


def test_what_a_step_down_forgets_of_a_record_is_told_as_changed(
    mill: tuple[str, Workshop],
) -> None:
    url, workshop = mill
    assembly, part = workshop.assembly(), workshop.part()
    position = workshop.position(assembly)
    plain = workshop.supplier()
    supplier = workshop.supplier(free_freight_from=euro("150.00"))
    offer = workshop.offer(supplier, part_id=part.id, price_breaks=(PriceBreak(10, euro("17.00")),))
    worths = (PartWorth(position.id, euro("5.00")),)
    terms = DonorTerms(True, remainder_worth=euro("5.00"), part_worths=worths)
    donor = workshop.donor(assembly, donor=terms)
    job = workshop.job(workshop.unit(assembly), hours_per_year=Decimal(600))
    rate = workshop.rate()
    look = workshop.operation(assembly, kind=OperationKind.INSPECT, position_id=position.id)
    caution = workshop.caution(labour_operation_id=look.id)
    tool = workshop.tool(assembly_id=assembly.id, labour_operation_ids=(look.id,))
    untouched = workshop.read(Supplier, plain.id)
    with workshop.sessions.reading() as session:
        last = newest_sequence(session)
    downgrade(url, BEFORE_TERMS)
    upgrade(url)
    for kind, record, without in (
        ("supplier", supplier, {"free_freight_from": None}),
        ("offer", offer, {"price_breaks": ()}),
        ("unit", donor, {"donor": replace(terms, part_worths=())}),
        ("job", job, {"hours_per_year": None}),
        ("special-tool", tool, {"labour_operation_ids": ()}),
    ):
        after = workshop.read(type(record), record.id)
        assert after.record == replace(record, **without)
        assert after.version == 2, kind
        assert told_since(workshop, kind, last) == [(record.id, False)]
    assert workshop.read(Supplier, plain.id) == untouched
    for kind, gone in (
        ("exchange-rate", rate), ("labour-operation", look), ("caution", caution),
    ):  # fmt: skip
        assert told_since(workshop, kind, last) == [(gone.id, True)]
        with pytest.raises(NotFound):
            workshop.read(type(gone), gone.id)


def test_a_step_down_forgets_what_a_tool_has_to_do_and_what_a_piece_is(
    mill: tuple[str, Workshop],
) -> None:
    url, workshop = mill
    bore, wall = (ToolFeature(kind, size=mm("8")) for kind in (FeatureKind.BORE, FeatureKind.WALL))
    plain, bare = workshop.tool(features=(bore,)), workshop.stock_item(size=mm("60"))
    known = [
        (workshop.tool(features=(wall, bore)), {"features": (bore,)}),
        (workshop.tool(uses=()), {"uses": None}),
        (workshop.tool(uses=(ToolUse.IMPACT,)), {"uses": None}),
        (workshop.tool(force=Quantity(Decimal(1), "kN"), is_symmetric=False),
         {"is_symmetric": None}),
        (workshop.stock_item(form=ItemForm.NUT), {"form": None}),
        (workshop.stock_item(features=(bore,)), {"features": ()}),
    ]  # fmt: skip
    untouched = [(one, workshop.read(type(one), one.id)) for one in (plain, bare)]
    with workshop.sessions.reading() as session:
        last = newest_sequence(session)
    downgrade(url, BEFORE_SUBSTITUTES)
    upgrade(url)
    for record, without in known:
        after = workshop.read(type(record), record.id)
        assert (after.record, after.version) == (replace(record, **without), 2)
    for record, before in untouched:
        assert workshop.read(type(record), record.id) == before
    for kind, prefix in (("special-tool", "stl"), ("stock-item", "stk")):
        told = [(one.id, False) for one, _ in known if one.id.startswith(prefix)]
        assert sorted(told_since(workshop, kind, last)) == sorted(told)


def test_a_step_down_forgets_places_for_shims_duties_causes_and_reworks(
    mill: tuple[str, Workshop],
) -> None:
    url, workshop = mill
    assembly, part = workshop.assembly(), workshop.part()
    position, supplier = workshop.position(assembly), workshop.supplier()
    unit = workshop.unit(assembly)
    place = workshop.shim_place(
        position,
        sizes=(ShimSize(mm("0.15"), part.id),),
        rule=ShimRule(digits=(RoundingStep(0, 9, 0),), digits_unit=mm("0.01")),
        assortment=(AssortmentLine(part.id),),
        disturbed_by_position_ids=(position.id,),
    )
    load, speed = Quantity(Decimal(1), "kN"), Quantity(Decimal(900), "1/min")
    duty = BearingDuty(RollingKind.BALL, load, load, speed, "Name plate")
    seat = workshop.characteristic(position)
    terms = ReworkTerms(ReworkKind.SLEEVE, (seat.id,), parts=(ReworkPart(part.id),))
    at = {"kind": OfferKind.SERVICE, "position_id": position.id}
    job = workshop.job(unit, cause_kind=CauseKind.DESIGN, is_cause_removed=True)
    back = Comeback(REMOVED_ON, cause_kind=CauseKind.DESIGN)
    plain = [workshop.job(unit), workshop.shim_pack(unit), workshop.offer(supplier, **at)]
    known = [
        ("position", workshop.position(assembly, duty=duty), {"duty": None}),
        ("offer", workshop.offer(supplier, rework=terms, **at), {"rework": None}),
        ("job", job, {"cause_kind": None, "is_cause_removed": None}),
        ("outcome", workshop.outcome(job, comebacks=(back,)),
         {"comebacks": (replace(back, cause_kind=None),)}),
        ("shim-pack", workshop.shim_pack(unit, shim_place_id=place.id), {"shim_place_id": None}),
    ]  # fmt: skip
    untouched = [(one, workshop.read(type(one), one.id)) for one in plain]
    with workshop.sessions.reading() as session:
        last = newest_sequence(session)
    downgrade(url, BEFORE_SHIMS)
    upgrade(url)
    for kind, record, without in known:
        after = workshop.read(type(record), record.id)
        assert (after.record, after.version) == (replace(record, **without), 2), kind
        assert told_since(workshop, kind, last) == [(record.id, False)]
    for record, before in untouched:
        assert workshop.read(type(record), record.id) == before
    assert told_since(workshop, "shim-place", last) == [(place.id, True)]
    with pytest.raises(NotFound):
        workshop.read(ShimPlace, place.id)


def test_a_step_down_forgets_how_it_was_measured_and_lets_go_what_it_cannot_say(
    mill: tuple[str, Workshop],
) -> None:
    url, workshop = mill
    assembly = workshop.assembly()
    position = workshop.position(assembly)
    bore, gauge = workshop.characteristic(position), workshop.gauge()
    terms = (DerivationTerm(bore.id),)
    taper = workshop.characteristic(position, derivation=Derivation(DerivationKind.TAPER, terms))
    unit, donor = workshop.unit(assembly), workshop.donor(assembly, released_on=REMOVED_ON)
    plain = workshop.finding(unit, bore)
    told = workshop.finding(unit, bore, gauge_id=gauge.id, unit_hours=Decimal(900), client_id="a/1")
    # A reading that was put right by an interval must not stand again once the interval is gone.
    wrong = workshop.finding(donor, bore)
    between = workshop.finding(
        donor, bore, measured=None, at_most=mm("20.00"), supersedes_id=wrong.id
    )
    after = workshop.finding(donor, bore, supersedes_id=between.id)
    read = workshop.finding(unit, bore, measured=None, readings=(Reading(mm("20.01")),))
    part = workshop.salvaged_part(donor, position, finding_ids=(after.id, between.id))
    untouched = workshop.read(Finding, plain.id)
    with workshop.sessions.reading() as session:
        last = newest_sequence(session)
    downgrade(url, BEFORE_CONDITION)
    upgrade(url)
    for record, without in (
        (told, {"gauge_id": None, "unit_hours": None, "client_id": None}),
        (after, {"supersedes_id": None}),
        (taper, {"derivation": None}),
        (part, {"finding_ids": (after.id,)}),
    ):
        stored = workshop.read(type(record), record.id)
        assert (stored.record, stored.version) == (replace(record, **without), 2)
    assert workshop.read(Finding, plain.id) == untouched
    for gone in (wrong, between, read, gauge):
        with pytest.raises(NotFound):
            workshop.read(type(gone), gone.id)
    assert sorted(told_since(workshop, "finding", last)) == sorted(
        [(told.id, False), (after.id, False), (wrong.id, True), (between.id, True), (read.id, True)]
    )
    assert told_since(workshop, "gauge", last) == [(gauge.id, True)]
    assert told_since(workshop, "characteristic", last) == [(taper.id, False)]
    assert told_since(workshop, "salvaged-part", last) == [(part.id, False)]
