"""A job's snapshot holds gauges of its findings, what is known of shims, what a rework takes."""

import json
from datetime import UTC, datetime

from db.queries.snapshot import load_snapshot
from shared.condition.shim_place import AssortmentLine, ShimSize
from shared.decision.check import check_snapshot
from shared.decision.codec import snapshot_from_bytes, to_bytes
from shared.decision.snapshot import Aim, Snapshot
from shared.interchange.model import KitLine
from shared.sourcing.model import OfferKind, ReworkKind, ReworkPart, ReworkTerms
from tests.db.workshop import Workshop, euro, mm

AS_OF = datetime(2031, 3, 5, 8, 0, tzinfo=UTC)


def taken(workshop: Workshop, job_id: str) -> Snapshot:
    with workshop.sessions.reading() as session:
        return load_snapshot(session, workshop.principal, job_id, AS_OF, Aim.PRICE)


def test_the_snapshot_holds_gauges_shims_and_what_is_bought_along(
    workshop: Workshop, neighbour: Workshop
) -> None:
    w = workshop
    w.settings()
    assembly = w.assembly()
    at_shims, at_seat = w.position(assembly), w.position(assembly)
    thin, thick, sleeve, unsold = (w.part() for _ in range(4))
    kit = w.part(kit_lines=(KitLine(thin.id, 10),))
    place = w.shim_place(
        at_shims,
        sizes=(ShimSize(mm("0.15"), thin.id), ShimSize(mm("0.20"), unsold.id), ShimSize(mm("1"))),
        assortment=(AssortmentLine(thick.id, 2),),
        disturbed_by_position_ids=(at_seat.id,),
    )
    away = w.assembly()
    w.shim_place(w.position(away), assortment=(AssortmentLine(w.part().id),))
    unit, other = w.unit(assembly), w.unit(assembly)
    used, idle = w.gauge(name="bore gauge 2"), w.gauge(name="bore gauge 3")
    neighbour.gauge(name="bore gauge 2")
    seat = w.characteristic(at_seat)
    finding = w.finding(unit, seat, measured=mm("20.010"), gauge_id=used.id)
    w.finding(other, seat, gauge_id=idle.id)
    packs = (
        w.shim_pack(unit, shim_place_id=place.id),
        w.shim_pack(unit),
    )
    w.shim_pack(other)
    supplier = w.supplier()
    goods = [
        w.offer(supplier, part_id=one.id, price=euro("2.00")) for one in (thin, thick, sleeve, kit)
    ]
    rework = ReworkTerms(ReworkKind.SLEEVE, (seat.id,), parts=(ReworkPart(sleeve.id),))
    service = w.offer(supplier, kind=OfferKind.SERVICE, position_id=at_seat.id, rework=rework)
    theirs = ReworkTerms(ReworkKind.SLEEVE, parts=(ReworkPart(w.part().id),))
    neighbour.offer(
        neighbour.supplier(), kind=OfferKind.SERVICE, position_id=at_seat.id, rework=theirs
    )
    found = taken(w, w.job(unit).id)
    assert found.gauges == (used,)
    assert found.findings == (finding,)
    assert found.shim_places == (place,)
    assert found.shim_packs == packs
    # What is bought along is there with its offers, and with the kits that hold it.
    assert [part.id for part in found.parts] == [
        one.id for one in (thin, thick, sleeve, unsold, kit)
    ]
    assert set(found.offers) == {*goods, service}
    check_snapshot(found)
    assert snapshot_from_bytes(to_bytes(found)) == found


def test_a_snapshot_stored_before_there_were_shims_and_gauges_is_still_read(
    workshop: Workshop,
) -> None:
    workshop.settings()
    assembly = workshop.assembly()
    workshop.position(assembly)
    found = taken(workshop, workshop.job(workshop.unit(assembly)).id)
    members = json.loads(to_bytes(found))
    for name in ("gauges", "shim_places", "shim_packs"):
        assert members.pop(name) == []
    for name in ("failure_mechanism", "cause_kind", "is_cause_removed"):
        del members["job"][name]
    del members["positions"][0]["duty"], members["settings"]["warranty"]["cause_chances"]
    del members["settings"]["rules"]["inspection_cap_hours"]
    assert snapshot_from_bytes(json.dumps(members).encode()) == found
