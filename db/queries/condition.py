"""Units, gauges, findings and shim packs: mapping, and the checks of units and packs."""

from collections.abc import Sequence
from typing import Any, Final

from sqlalchemy import ColumnElement, and_, func, or_, select
from sqlalchemy.orm import Session

from db.models import condition as tables
from db.models.assemblies import assemblies, positions
from db.models.decision import jobs
from db.models.salvage import salvaged_parts
from db.queries import access
from db.queries.access import Principal
from db.queries.assemblies import identity
from db.queries.currency import check_currency
from db.queries.findings import (
    check_finding,
    check_gauge,
    check_gauge_change,
    check_new_finding,
)
from db.queries.interchange_edges import walked
from db.queries.job_units import busy_with
from db.queries.mapping import Children, Mapped, in_steps
from db.queries.measures import check_measure
from db.queries.references import check_distinct, known, position_of
from db.queries.shim_places import check_pack_place
from db.queries.shop_settings import newest_settings
from shared.condition.model import Finding, Gauge, ShimPack, ShimStage, Unit, UnitKind
from shared.errors import Conflict, InvalidInput
from shared.interchange.rules import InterchangeRules
from shared.salvage.states import check_day_has_come


def _check_unit(session: Session, principal: Principal, unit: Unit) -> None:
    known(session, principal, assemblies, unit.assembly_id, "/assembly_id", "assembly")
    _check_customers_own(unit)
    _check_part_worths(session, unit)
    check_currency(session, principal, unit)


def _check_part_worths(session: Session, unit: Unit) -> None:
    """Check that parts have a worth once each, sit in the unit, and are not more than the rest."""
    if unit.donor is None or not unit.donor.part_worths:
        return
    worths = unit.donor.part_worths
    ids = [one.position_id for one in worths]
    check_distinct(ids, "/donor/part_worths", "position")
    statement = select(positions.c.id).where(positions.c.assembly_id == unit.assembly_id)
    here = set(session.execute(statement).scalars())
    for place, position_id in enumerate(ids):
        if position_id not in here:
            raise InvalidInput(
                f"/donor/part_worths/{place}/position_id",
                f"No position of the unit's assembly has the id '{position_id}'.",
                f"Give a position of the assembly '{unit.assembly_id}'.",
                "reference-unknown",
            )
    rest = unit.donor.remainder_worth
    if rest is None or sum(one.worth.minor for one in worths) > rest.minor:
        raise InvalidInput(
            "/donor/part_worths",
            "The parts count for more than the rest of the donor fetches.",
            "Give remainder_worth of at least the sum of part_worths.",
            "worth-above-remainder",
        )


def _check_customers_own(unit: Unit) -> None:
    """A release is of the owner it was had from: it ends when a customer owns the unit."""
    if unit.kind is UnitKind.CUSTOMER and unit.released_on is not None:
        raise InvalidInput(
            "/released_on",
            f"A customer's unit is not released, and released_on is {unit.released_on}.",
            "Give null; once it is bought or released in writing, give the day with the new kind.",
            "release-misplaced",
        )


def _check_unit_change(session: Session, principal: Principal, before: Unit, after: Unit) -> None:
    """Check that a unit becomes the shop's, a donor or a customer's only as it may."""
    _check_still_a_donor(session, after)
    _check_release(before, after)
    if after.kind is before.kind:
        return
    if UnitKind.CUSTOMER in (before.kind, after.kind) or after.kind is UnitKind.DONOR:
        _check_no_open_job(session, principal, before, after)


def _check_release(before: Unit, after: Unit) -> None:
    """A customer's unit becomes the shop's by a release that has been; what is released stays."""
    if after.kind is UnitKind.CUSTOMER:
        return
    was_customers = before.kind is UnitKind.CUSTOMER
    if after.released_on is None and (was_customers or before.released_on is not None):
        raise InvalidInput(
            "/released_on",
            "The unit was a customer's or a donor, and has no date on which it was bought or"
            " released in writing.",
            "Give released_on; until there is one the unit stays the customer's.",
            "donor-not-released",
        )
    if after.released_on != before.released_on:
        check_day_has_come(after.released_on, access.now(), "/released_on")


def _check_no_open_job(session: Session, principal: Principal, before: Unit, after: Unit) -> None:
    """A unit on which work is open, or promised as a core, does not change hands under it.

    A stock unit may be sold to a customer while the work on it goes on.
    """
    open_jobs = busy_with(session, principal, [after.id])[after.id]
    if after.kind is UnitKind.CUSTOMER:
        open_jobs = [job for job in open_jobs if job["unit_id"] != after.id]
    if open_jobs:
        raise Conflict(
            "state-conflict",
            f"The job {open_jobs[0]['id']} on this unit, or with it as core, is not closed.",
            f"Close the job first, or give it another core, then record it as {after.kind}.",
            allowed_states=[before.kind.value],
        )


def _check_still_a_donor(session: Session, unit: Unit) -> None:
    """A unit that parts were taken from stays the shop's, released before the first was taken."""
    table = salvaged_parts
    first = session.execute(
        select(func.min(table.c.removed_on)).where(table.c.donor_unit_id == unit.id)
    ).scalar()
    if first is None:
        return
    if unit.kind is UnitKind.CUSTOMER:
        raise Conflict(
            "state-conflict",
            f"Parts were taken from the unit, the first on {first}; it is no customer's any more.",
            "Leave it a donor or stock; a customer who gets it back gets another unit on record.",
            allowed_states=[UnitKind.DONOR.value, UnitKind.STOCK.value],
        )
    if unit.released_on is None or unit.released_on > first:
        raise InvalidInput(
            "/released_on",
            f"The first part was taken from the unit on {first}, before it would be released.",
            f"Give released_on of {first} or earlier.",
            "donor-not-released",
        )


def taken_positions(session: Session, unit_ids: Sequence[str]) -> dict[str, dict[str, Any]]:
    """Return per unit of which positions a piece has left it, as its field."""
    table = salvaged_parts
    taken: dict[str, list[str]] = {unit_id: [] for unit_id in unit_ids}
    for some in in_steps(unit_ids):
        statement = (
            select(table.c.donor_unit_id, table.c.position_id)
            .distinct()
            .where(table.c.donor_unit_id.in_(some))
            .order_by(table.c.donor_unit_id, table.c.position_id)
        )
        for unit_id, position_id in session.execute(statement):
            taken[unit_id].append(position_id)
    return {unit_id: {"taken_position_ids": tuple(ids)} for unit_id, ids in taken.items()}


def _check_shim_pack(session: Session, principal: Principal, pack: ShimPack) -> None:
    unit = known(session, principal, tables.units, pack.unit_id, "/unit_id", "unit")
    if pack.position_id is not None:
        position_of(session, principal, pack.position_id, unit["assembly_id"], "/position_id")
    check_pack_place(session, principal, pack, unit["assembly_id"])
    if pack.job_id is not None:
        _check_shimmed_in(session, principal, pack, pack.job_id)
    elif pack.stage is ShimStage.AS_FITTED:
        raise InvalidInput(
            "/job_id",
            "The pack was fitted, and the job is not given.",
            "Give job_id: the job in which it was fitted.",
            "job-missing",
        )
    check_day_has_come(pack.recorded_on, access.now(), "/recorded_on")
    for place, shim in enumerate(pack.shims):
        check_measure(shim.thickness, "length", f"/shims/{place}/thickness")


def _check_shimmed_in(session: Session, principal: Principal, pack: ShimPack, job_id: str) -> None:
    """Shims stay with their unit: the job is one on that unit."""
    job = known(session, principal, jobs, job_id, "/job_id", "job")
    if job["unit_id"] != pack.unit_id:
        raise InvalidInput(
            "/job_id",
            f"The job '{job_id}' is on another unit.",
            f"Give a job on the unit '{pack.unit_id}'.",
            "other-unit",
        )


def _giving_position(
    session: Session, principal: Principal, position_id: str
) -> ColumnElement[bool]:
    """Return the condition that a donor may have a part for a position, as part numbers tell.

    One of the same assembly, or of one that calls for the same part, or for one that steps of the
    catalogue lead to. What becomes of it for one unit is another question.
    """
    pointer = "/gives_position_id"
    position = known(session, principal, positions, position_id, pointer, "position")
    settings = newest_settings(session, principal)
    rules = InterchangeRules() if settings is None else settings.interchange
    of_kind = tables.units.c.kind == UnitKind.DONOR.value
    is_of_assembly = tables.units.c.assembly_id == position["assembly_id"]
    if position["part_id"] is None:
        return and_(of_kind, is_of_assembly)
    start = [position["part_id"]]
    walk = walked(session, principal, start, rules.most_steps, most_equals=0)
    own = select(tables.units.c.assembly_id).where(tables.units.c.shop_id == principal.shop_id)
    others = {
        assembly_id
        for some in in_steps(sorted(walk.reached(start)))
        for assembly_id in session.execute(
            select(positions.c.assembly_id)
            .distinct()
            .where(positions.c.part_id.in_(some), positions.c.assembly_id.in_(own))
        ).scalars()
    }
    some_assembly = tables.units.c.assembly_id.in_(sorted(others))
    return and_(of_kind, or_(is_of_assembly, some_assembly))


UNITS: Final = Mapped(
    Unit,
    "unit",
    tables.units,
    filters=("kind", "assembly_id", "serial_number", "hand", "generation", "reason_retired"),
    selections={"gives_position_id": _giving_position},
    ranges=("lower_hours", "upper_hours"),
    children=(Children("donor.part_worths", tables.unit_part_worths, "unit_id"),),
    elsewhere=frozenset({"taken_position_ids"}),
    complete=taken_positions,
    keys=lambda unit: {"serial_key": identity(unit.serial_number) if unit.serial_number else None},
    unique=(("shop_id", "assembly_id", "serial_key"),),
    check=_check_unit,
    check_change=_check_unit_change,
    fixed={"assembly_id": "Record the unit anew under its assembly and retire this one."},
)
GAUGES: Final = Mapped(
    Gauge,
    "gauge",
    tables.gauges,
    filters=("kind",),
    keys=lambda gauge: {"name_key": identity(gauge.name)},
    unique=(("shop_id", "name_key"),),
    check=check_gauge,
    check_change=check_gauge_change,
)
FINDINGS: Final = Mapped(
    Finding,
    "finding",
    tables.findings,
    filters=("unit_id", "position_id", "characteristic_id", "gauge_id", "mechanism"),
    children=(Children("readings", tables.finding_readings, "finding_id"),),
    ranges=("found_at",),
    sorts=("found_at",),
    is_kept=True,
    keys=lambda finding: {"reading_count": len(finding.readings)},
    unique=(("supersedes_id",),),
    check=check_finding,
    check_new=check_new_finding,
)
SHIM_PACKS: Final = Mapped(
    ShimPack,
    "shim-pack",
    tables.shim_packs,
    filters=("unit_id", "stage", "position_id", "job_id", "shim_place_id"),
    children=(Children("shims", tables.shim_pack_shims, "shim_pack_id"),),
    ranges=("recorded_on",),
    sorts=("recorded_on",),
    check=_check_shim_pack,
    fixed={"unit_id": "Shims belong to one unit: record the pack of the other, retire this one."},
)
MAPPED: Final[tuple[Mapped[Any], ...]] = (UNITS, GAUGES, FINDINGS, SHIM_PACKS)
