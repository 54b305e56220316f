"""The snapshot that gathers all that one job depends on."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Any, TypeVar

from sqlalchemy import Select, and_, or_, select
from sqlalchemy.orm import Session

from db.models.assemblies import characteristics, positions
from db.models.condition import findings, gauges, shim_packs, units
from db.models.salvage import salvaged_parts
from db.models.shims import shim_places
from db.models.sourcing import offer_rework_parts, offers, suppliers
from db.queries import access, store
from db.queries.access import Principal
from db.queries.assemblies import (
    ACCESS_GROUPS,
    ASSEMBLIES,
    CHARACTERISTICS,
    OPERATIONS,
    POSITION_SETS,
    positions_for,
    with_cautions,
)
from db.queries.condition import FINDINGS, GAUGES, SHIM_PACKS, UNITS
from db.queries.decision import JOBS
from db.queries.fitted_parts import emptied_positions
from db.queries.gifts import (
    Afar,
    donors_with,
    gifts_of,
    inner_positions,
    parted_from_mates,
)
from db.queries.job_units import busy_with
from db.queries.mapping import Mapped, in_steps, load
from db.queries.other_jobs import demands, held_for_others
from db.queries.reach import Reach, reachable
from db.queries.salvage import SALVAGED_PARTS
from db.queries.shim_places import SHIM_PLACES
from db.queries.shop_settings import settings_in_force
from db.queries.sourcing import OFFERS, SUPPLIERS, newest_rates
from shared.assemblies.model import Assembly, Position
from shared.condition.model import Finding, Gauge, ShimPack, Unit, UnitKind
from shared.condition.shim_place import ShimPlace
from shared.decision.snapshot import Aim, Asked, HeldPart, Job, Snapshot
from shared.salvage.model import SalvagedPartState, ShelvedPart
from shared.sourcing.calendar import local_time
from shared.sourcing.model import ExchangeRate, Offer, Supplier

T = TypeVar("T")


def load_snapshot(
    session: Session,
    principal: Principal,
    job_id: str,
    as_of: datetime,
    aim: Aim,
    asked: Asked | None = None,
) -> Snapshot:
    """Return everything that one job's decision can depend on, each kind in the order of its ids.

    The shop's own units, findings, suppliers, offers and parts on the shelf; of the catalogue the
    job's assembly with all that belongs to it, and the parts that may fill its positions (see
    ``reach``); what donors of other assemblies could give (see ``gifts``). ``as_of`` is the clock
    by which reservations of shelved parts lapse. What other jobs want and hold is that of now;
    exchange rates are the newest that hold on the day of ``as_of``. The number of statements
    does not depend on the number of records. Raises NotFound for an unknown job, Conflict
    ("state-conflict") while the shop has no settings.
    """
    job = store.read(session, principal, JOBS, job_id).record
    unit = store.read(session, principal, UNITS, job.unit_id).record
    return snapshot_of(session, principal, job, unit, as_of, aim, asked or Asked())


def snapshot_of(
    session: Session,
    principal: Principal,
    job: Job,
    unit: Unit,
    as_of: datetime,
    aim: Aim,
    asked: Asked,
) -> Snapshot:
    """Return the snapshot of a job on a unit, neither of which has to be on record.

    Raises Conflict ("state-conflict") while the shop has no settings.
    """
    settings = settings_in_force(session, principal)
    design = _design(session, principal, unit)
    today = local_time(as_of, settings.calendar).date()
    here = design["assembly"].id
    near = {one.id: one for one in _units(session, principal, unit, job.core_unit_id)}
    near.setdefault(unit.id, unit)
    named = {one: near[one] for one in (job.unit_id, job.core_unit_id) if one in near}
    giving = {one.id: one for one in _giving(session, principal, tuple(near.values()), today)}
    units_found = giving | named
    called_for = _called_for(design["assembly"], design["positions"])
    along = _bought_along(session, principal, here, design["shim_places"])
    reach = reachable(session, principal, called_for, settings, here, along)
    offers_found = _offers(session, principal, here, reach)
    suppliers_found = _suppliers(session, principal, offers_found)
    shelf, held = _shelf(session, principal, job, design["positions"], reach, as_of, today)
    afar = _afar(session, principal, design, reach, units_found, today)
    from_afar = _donors_afar(session, principal, shelf, units_found, today)
    present = units_found | {one.id: one for one in (*afar.units, *from_afar)}
    design["characteristics"] = _joined(design["characteristics"], afar.characteristics)
    found = _joined(_of_units(session, principal, list(units_found)), afar.findings)
    return Snapshot(
        as_of=as_of,
        job=job,
        settings=settings,
        units=_joined(present.values()),
        parts=reach.parts,
        claims=reach.claims,
        claims_left_out=reach.claims_left_out + afar.left_out,
        findings=found,
        suppliers=suppliers_found,
        offers=offers_found,
        salvaged_parts=tuple(part for part in shelf if part.donor_unit_id in present),
        aim=aim,
        exchange_rates=_rates(
            session, principal, settings.currency, suppliers_found, offers_found, today
        ),
        demands=demands(session, principal, job.id, here),
        held_parts=held,
        asked=asked,
        supersessions=reach.supersessions,
        fitment_counts=reach.fitment_counts,
        gifts=afar.gifts,
        gauges=_gauges(session, principal, found),
        shim_packs=_shim_packs(session, principal, unit.id),
        **design,
    )


def _joined(*groups: Iterable[T]) -> tuple[T, ...]:
    """Return the records of some groups, each once, by rising id."""
    by_id: dict[str, T] = {}
    for group in groups:
        by_id |= {_id(one): one for one in group}
    return tuple(by_id[one] for one in sorted(by_id))


def _id(record: Any) -> str:
    found: str = record.id
    return found


def _afar(
    session: Session,
    principal: Principal,
    design: Mapping[str, Any],
    reach: Reach,
    near: Mapping[str, Unit],
    today: date,
) -> Afar:
    """Return what donors of other assemblies could give here."""
    wanted = reach.for_places(design["positions"])
    found = donors_with(session, principal, design["assembly"].id, wanted)
    giving = _giving(session, principal, found.units, today)
    others = tuple(one for one in giving if one.id not in near)
    found = replace(found, units=others)
    return gifts_of(session, principal, found, design["positions"], reach.by_part)


def _called_for(assembly: Assembly, positions_found: Sequence[Position]) -> dict[str, int]:
    """Return the parts called for, each with the most pieces that one position holds."""
    pieces = {assembly.part_id: 1} if assembly.part_id else {}
    for position in positions_found:
        if position.part_id:
            pieces[position.part_id] = max(position.quantity, pieces.get(position.part_id, 1))
    return pieces


def _giving(
    session: Session, principal: Principal, found: Sequence[Unit], today: date
) -> Iterator[Unit]:
    """Those of the units that are the shop's by now and that no open job works on or gives back.

    Out of them too is what a salvaged part was fitted into and has left again. A stock unit that
    parts have left stays, for it is not fitted whole: parts on the shelf are told with the unit
    that they came from.
    """
    unit_ids = [unit.id for unit in found]
    busy, emptied = busy_with(session, principal, unit_ids), emptied_positions(session, unit_ids)
    for one in found:
        taken = emptied[one.id].union(one.taken_position_ids)
        unit = replace(one, taken_position_ids=tuple(sorted(taken)))
        is_parts_only = unit.kind is UnitKind.STOCK and bool(unit.taken_position_ids)
        if _may_give(unit, today) and (is_parts_only or not busy[unit.id]):
            yield unit


def _may_give(unit: Unit, today: date) -> bool:
    """Return whether a unit is the shop's to use: nothing is before the day of its release.

    Without a day a stock unit is the shop's own, as the shop recorded it.
    """
    if unit.released_on is None:
        return unit.kind is UnitKind.STOCK
    return unit.kind is not UnitKind.CUSTOMER and unit.released_on <= today


def _records(session: Session, mapped: Mapped[T], statement: Select[Any]) -> tuple[T, ...]:
    ordered = statement.order_by(mapped.table.c.id)
    return tuple(stored.record for stored in load(session, mapped, ordered))


def _design(session: Session, principal: Principal, unit: Unit) -> dict[str, Any]:
    """Return the assembly and all that belongs to it, rulings as they hold for this unit."""

    def of_assembly(mapped: Mapped[T]) -> tuple[T, ...]:
        table = mapped.table
        statement = select(table).where(table.c.assembly_id == unit.assembly_id)
        return _records(session, mapped, statement)

    positions_here = select(positions.c.id).where(positions.c.assembly_id == unit.assembly_id)
    assembly, positions_found = with_cautions(
        session,
        principal,
        store.read(session, principal, ASSEMBLIES, unit.assembly_id).record,
        of_assembly(positions_for(unit.serial_number)),
    )
    return {
        "assembly": assembly,
        "positions": positions_found,
        "access_groups": of_assembly(ACCESS_GROUPS),
        "position_sets": of_assembly(POSITION_SETS),
        "operations": of_assembly(OPERATIONS),
        "characteristics": _records(
            session,
            CHARACTERISTICS,
            select(characteristics).where(characteristics.c.position_id.in_(positions_here)),
        ),
        "shim_places": _records(
            session,
            SHIM_PLACES,
            select(shim_places).where(shim_places.c.position_id.in_(positions_here)),
        ),
    }


def _units(
    session: Session, principal: Principal, unit: Unit, core_unit_id: str | None
) -> tuple[Unit, ...]:
    """Return the job's own unit, the one that goes back as core, the donors and stock units."""
    gives = units.c.kind.in_([UnitKind.DONOR.value, UnitKind.STOCK.value])
    named = units.c.id.in_([unit.id, core_unit_id or unit.id])
    statement = store.visible(UNITS, principal).where(
        or_(named, and_(units.c.assembly_id == unit.assembly_id, gives))
    )
    return _records(session, UNITS, statement)


def _of_units(
    session: Session, principal: Principal, unit_ids: Sequence[str]
) -> tuple[Finding, ...]:
    statement = store.visible(FINDINGS, principal)
    return tuple(
        finding
        for some in in_steps(unit_ids)
        for finding in _records(session, FINDINGS, statement.where(findings.c.unit_id.in_(some)))
    )


def _gauges(
    session: Session, principal: Principal, findings_found: Sequence[Finding]
) -> tuple[Gauge, ...]:
    """Return the gauges that findings were made with."""
    named = sorted({one.gauge_id for one in findings_found if one.gauge_id is not None})
    statement = store.visible(GAUGES, principal)
    return tuple(
        gauge
        for some in in_steps(named)
        for gauge in _records(session, GAUGES, statement.where(gauges.c.id.in_(some)))
    )


def _shim_packs(session: Session, principal: Principal, unit_id: str) -> tuple[ShimPack, ...]:
    """Return the shims recorded of the job's unit: they stay with it."""
    statement = store.visible(SHIM_PACKS, principal).where(shim_packs.c.unit_id == unit_id)
    return _records(session, SHIM_PACKS, statement)


def _bought_along(
    session: Session, principal: Principal, assembly_id: str, places: Sequence[ShimPlace]
) -> set[str]:
    """Return the parts that a rework here takes, and those that belong to places for shims."""
    positions_here = select(positions.c.id).where(positions.c.assembly_id == assembly_id)
    for_rework = (
        select(offer_rework_parts.c.part_id)
        .distinct()
        .join(offers, offers.c.id == offer_rework_parts.c.offer_id)
        .where(offers.c.shop_id == principal.shop_id, offers.c.position_id.in_(positions_here))
    )
    found = set(session.execute(for_rework).scalars())
    for place in places:
        found.update(size.part_id for size in place.sizes if size.part_id is not None)
        found.update(line.part_id for line in place.assortment)
    return found


def _shelf(
    session: Session,
    principal: Principal,
    job: Job,
    here: Sequence[Position],
    reach: Reach,
    as_of: datetime,
    today: date,
) -> tuple[tuple[ShelvedPart, ...], tuple[HeldPart, ...]]:
    """Return the parts on the shelf that sat in a position, or may go into one, by rising id.

    One that another job holds, at this moment or at the one asked about, is not there to be
    planned with: it is among the second.
    """
    moment = min(as_of, access.now())
    table = salvaged_parts
    statement = store.visible(SALVAGED_PARTS, principal).where(
        table.c.state == SalvagedPartState.SHELVED.value, table.c.inspected_on <= today
    )
    wanted = reach.for_places(here)
    found = _joined(
        *(
            _records(session, SALVAGED_PARTS, statement.where(column.in_(some)))
            for column, ids in (
                (table.c.position_id, [position.id for position in here]),
                (table.c.part_id, sorted(wanted)),
            )
            for some in in_steps(ids)
        )
    )
    held = held_for_others(session, principal, job.id, moment, found, here, reach.by_part)
    held_ids = {part.id for part in held}
    free = [part for part in found if part.id not in held_ids]
    paired = _paired(session, sorted({part.position_id for part in free}))
    return tuple(
        ShelvedPart.of(part, is_of_matched_set=part.position_id in paired) for part in free
    ), held


def _paired(session: Session, position_ids: Sequence[str]) -> frozenset[str]:
    """Those of some positions that are parted from their mates when they are taken singly."""
    if not position_ids:
        return frozenset()
    of_them = select(positions.c.assembly_id).where(positions.c.id.in_(position_ids))
    assembly_ids = set(session.execute(of_them).scalars())
    return parted_from_mates(session, position_ids, inner_positions(session, assembly_ids))


def _rates(
    session: Session,
    principal: Principal,
    currency: str,
    suppliers_found: Sequence[Supplier],
    offers_found: Sequence[Offer],
    today: date,
) -> tuple[ExchangeRate, ...]:
    """Return the rates into the shop's currency out of those that suppliers and offers are in."""
    sold_in = {one.freight.currency for one in suppliers_found}
    sold_in |= {one.price.currency for one in offers_found}
    return newest_rates(session, principal, sold_in - {currency}, currency, today)


def _donors_afar(
    session: Session,
    principal: Principal,
    shelf: Sequence[ShelvedPart],
    near: Collection[str],
    today: date,
) -> tuple[Unit, ...]:
    """Return the donors of other assemblies that parts on the shelf came from.

    They give nothing more to this job, and their findings are not of this assembly's positions.
    """
    wanted = sorted({part.donor_unit_id for part in shelf} - set(near))
    statement = store.visible(UNITS, principal)
    found = [
        unit
        for some in in_steps(wanted)
        for unit in _records(session, UNITS, statement.where(units.c.id.in_(some)))
    ]
    return tuple(_giving(session, principal, found, today))


def _offers(
    session: Session, principal: Principal, assembly_id: str, reach: Reach
) -> tuple[Offer, ...]:
    """Return the shop's offers for the assembly, for its positions, and for the parts reached."""
    positions_here = select(positions.c.id).where(positions.c.assembly_id == assembly_id)
    own = store.visible(OFFERS, principal)
    for_assembly = own.where(
        or_(offers.c.assembly_id == assembly_id, offers.c.position_id.in_(positions_here))
    )
    found = {offer.id: offer for offer in _records(session, OFFERS, for_assembly)}
    for some in in_steps(reach.sourced_ids):
        for offer in _records(session, OFFERS, own.where(offers.c.part_id.in_(some))):
            found[offer.id] = offer
    return tuple(found[offer_id] for offer_id in sorted(found))


def _suppliers(
    session: Session, principal: Principal, offers_found: Sequence[Offer]
) -> tuple[Supplier, ...]:
    supplier_ids = sorted({offer.supplier_id for offer in offers_found})
    statement = store.visible(SUPPLIERS, principal)
    return tuple(
        supplier
        for some in in_steps(supplier_ids)
        for supplier in _records(session, SUPPLIERS, statement.where(suppliers.c.id.in_(some)))
    )
