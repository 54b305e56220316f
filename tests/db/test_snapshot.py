"""A job's snapshot holds all that its decision can depend on, and nothing else."""

from contextlib import contextmanager
from datetime import UTC, datetime
from decimal import Decimal

import pytest
from sqlalchemy import event

from db.queries.snapshot import load_snapshot
from shared.assemblies.model import OperationKind, Ruling, SetKind
from shared.condition.model import DonorTerms, Unit, UnitKind
from shared.decision.codec import snapshot_from_bytes, snapshot_hash, to_bytes
from shared.decision.snapshot import Aim, Snapshot
from shared.errors import Conflict, NotFound
from shared.evidence import Caution, CautionKind
from shared.interchange.model import KitLine
from shared.salvage.model import ShelvedPart
from shared.sourcing.model import OfferKind
from tests.db.workshop import REMOVED_ON, Workshop, euro, mm

AS_OF = datetime(2031, 3, 5, 8, 0, tzinfo=UTC)


def taken(workshop: Workshop, job_id: str, aim: Aim = Aim.PRICE) -> Snapshot:
    with workshop.sessions.reading() as session:
        return load_snapshot(session, workshop.principal, job_id, AS_OF, aim)


def written_by_hand(w: Workshop, other: Workshop) -> Snapshot:
    """Record a small job amid what does not belong to it; return its snapshot as it must be."""
    whole = w.part(name="Drive, whole")
    caution = Caution(CautionKind.HAZARD, "The spring is under load.")
    assembly = w.assembly(part_id=whole.id, cautions=(caution,))
    cover = w.group(assembly)
    inner = w.group(assembly, outer_group_id=cover.id)
    bearing = w.part(generic_designation="6204-2RS")
    seal = w.part()
    at_bearing = w.position(assembly, part_id=bearing.id, access_group_id=inner.id)
    at_seal = w.position(assembly, part_id=seal.id, cautions=(caution,), parent_id=at_bearing.id)
    pair = w.position_set(assembly, at_bearing, at_seal, kind=SetKind.RENEWED_TOGETHER)
    opening = w.operation(assembly, kind=OperationKind.OPEN, access_group_id=cover.id)
    bore = w.characteristic(at_bearing, service_lower=mm("19.990"))
    stand_in = w.part()
    equal = w.part(maker="Millrace Bearings", generic_designation="6204 2rs")
    ring = w.part(name="Ring, only in the kit")
    kit = w.part(kit_lines=(KitLine(ring.id), KitLine(seal.id, 2)))
    claim = w.claim(bearing, stand_in, rework_cost=euro("5.00"))
    settings_before = w.settings()
    settings = w.settings(salvage_experience=())
    unit = w.unit(assembly, serial_number="150")
    donor = w.donor(assembly, released_on=REMOVED_ON)
    stock = w.donor(assembly, kind=UnitKind.STOCK, released_on=None)
    core = w.unit(assembly, kind=UnitKind.STOCK, donor=DonorTerms(is_owned=True))
    supplier, reworker = w.supplier(), w.supplier()
    offers = (
        w.offer(supplier, assembly_id=assembly.id),
        w.offer(supplier, part_id=stand_in.id),
        w.offer(supplier, part_id=equal.id),
        w.offer(supplier, part_id=kit.id),
        w.offer(reworker, kind=OfferKind.SERVICE, position_id=at_bearing.id),
    )
    findings = (w.finding(unit, bore), w.finding(donor, bore, measured=mm("19.99")))
    job = w.job(unit, opened_group_ids=(cover.id,), core_unit_id=core.id)
    on_the_shelf = w.salvaged_part(donor, at_seal, worth=euro("4.00"))
    donor = w.read(Unit, donor.id).record
    _noise(w, other, ring, seal)
    assert settings_before.id != settings.id
    return Snapshot(
        as_of=AS_OF,
        job=job,
        settings=settings,
        assembly=assembly,
        units=(unit, donor, stock, core),
        positions=(at_bearing, at_seal),
        access_groups=(cover, inner),
        position_sets=(pair,),
        operations=(opening,),
        characteristics=(bore,),
        parts=(whole, bearing, seal, stand_in, equal, ring, kit),
        claims=(claim,),
        findings=findings,
        suppliers=(supplier, reworker),
        offers=offers,
        salvaged_parts=(ShelvedPart.of(on_the_shelf),),
    )


def _noise(w: Workshop, other: Workshop, ring, seal) -> None:
    """Record what the job cannot reach: another assembly's, another shop's, nobody's offer."""
    elsewhere = w.assembly()
    position = w.position(elsewhere, part_id=ring.id)
    w.offer(w.supplier(), part_id=ring.id)
    w.claim(ring, w.part())
    w.finding(w.donor(elsewhere), w.characteristic(position))
    w.salvaged_part(w.donor(elsewhere, released_on=REMOVED_ON), position, part_id=ring.id)
    w.part(generic_designation="6204-2RS")
    w.part(kit_lines=(KitLine(seal.id),))
    other.settings()
    other.offer(other.supplier(), part_id=seal.id)


def test_the_snapshot_of_a_stored_job_is_the_one_written_by_hand(
    workshop: Workshop, neighbour: Workshop
) -> None:
    expected = written_by_hand(workshop, neighbour)
    snapshot = taken(workshop, expected.job.id)
    for name in Snapshot.__dataclass_fields__:
        assert getattr(snapshot, name) == getattr(expected, name), name
    assert to_bytes(snapshot) == to_bytes(expected)
    assert snapshot_from_bytes(to_bytes(snapshot)) == expected


def test_the_same_records_give_the_same_hash_and_the_aim_is_kept(
    workshop: Workshop, neighbour: Workshop
) -> None:
    job = written_by_hand(workshop, neighbour).job
    assert snapshot_hash(taken(workshop, job.id)) == snapshot_hash(taken(workshop, job.id))
    assert taken(workshop, job.id, Aim.COST).aim is Aim.COST


def test_donors_of_the_neighbour_are_his_own(workshop: Workshop, neighbour: Workshop) -> None:
    assembly = workshop.assembly()
    neighbour.donor(assembly)
    workshop.settings()
    job = workshop.job(workshop.unit(assembly))
    assert [unit.id for unit in taken(workshop, job.id).units] == [job.unit_id]


def test_the_ruling_in_force_is_that_of_the_units_serial_number(workshop: Workshop) -> None:
    assembly = workshop.assembly()
    position = workshop.position(assembly)
    workshop.ruling(position, Ruling.INSPECT_ONLY, serial_from="100", serial_to="200")
    workshop.settings()
    ruled = {
        serial: taken(workshop, workshop.job(workshop.unit(assembly, serial_number=serial)).id)
        .positions[0]
        .serviceability.ruling
        for serial in ("150", "250")
    }
    assert ruled == {"150": Ruling.INSPECT_ONLY, "250": Ruling.SERVICEABLE}


def test_without_settings_there_is_no_snapshot_but_a_mend(workshop: Workshop) -> None:
    job = workshop.job(workshop.unit(workshop.assembly()))
    with pytest.raises(Conflict) as caught:
        taken(workshop, job.id)
    assert caught.value.code == "state-conflict"
    assert "settings" in caught.value.fix


def test_another_shops_job_is_not_found(workshop: Workshop, neighbour: Workshop) -> None:
    job = workshop.job(workshop.unit(workshop.assembly()))
    with pytest.raises(NotFound):
        taken(neighbour, job.id)


def test_the_number_of_statements_does_not_grow_with_the_records(
    workshop: Workshop, neighbour: Workshop
) -> None:
    expected = written_by_hand(workshop, neighbour)
    small = _statements(workshop, expected.job.id)
    supplier = workshop.supplier()
    for _ in range(12):
        part = workshop.part(generic_designation="6204-2RS")
        position = workshop.position(expected.assembly, part_id=part.id)
        workshop.finding(expected.units[0], workshop.characteristic(position))
        workshop.offer(supplier, part_id=part.id, price=euro("1.00"), p90_days=Decimal(9))
        workshop.salvaged_part(expected.units[1], position)
    assert _statements(workshop, expected.job.id) == small
    assert small <= 75  # some four for each further step that the catalogue offers


def _statements(workshop: Workshop, job_id: str) -> int:
    with _counted(workshop.sessions.engine) as seen:
        taken(workshop, job_id)
    return len(seen)


@contextmanager
def _counted(engine):
    seen: list[str] = []

    def count(connection, cursor, statement, *_):
        if statement.startswith("SELECT"):
            seen.append(statement)

    event.listen(engine, "before_cursor_execute", count)
    yield seen
    event.remove(engine, "before_cursor_execute", count)
