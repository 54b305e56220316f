"""Findings and the gauges they were made with: what they must keep to."""

from datetime import UTC, datetime, timedelta
from typing import Any, Final

from sqlalchemy import Select, and_, bindparam, exists, or_, select
from sqlalchemy.orm import Session

from db.models import condition as tables
from db.models.assemblies import characteristics
from db.queries import access
from db.queries.access import Principal
from db.queries.characteristics import OF_READINGS, measured_in
from db.queries.references import Row, known, position_of
from shared.condition.model import Finding, Gauge
from shared.errors import Conflict, InvalidInput
from shared.quantities import Quantity, check_quantity, kind_of, same_dimension
from shared.quantities.units import difference_unit

_CLOCKS_APART: Final = timedelta(minutes=5)
"""By how much a caller's clock may be ahead of the server's."""
MOST_READINGS: Final = 100


def _telling_other_hours() -> Select[Any]:
    """Make the look-up of a unit's standing findings whose hours run backwards of one's.

    Made once: findings have many columns, and hundreds are recorded in one call.
    """
    table, later = tables.findings, tables.findings.alias()
    at = bindparam("at", type_=table.c.found_at.type)
    hours = bindparam("hours", type_=table.c.unit_hours.type)
    return (
        select(table.c.id, table.c.found_at, table.c.unit_hours)
        .where(
            table.c.unit_id == bindparam("unit_id"),
            # What a correction takes the place of counts no more.
            table.c.id != bindparam("superseded"),
            or_(
                and_(table.c.found_at < at, table.c.unit_hours > hours),
                and_(table.c.found_at > at, table.c.unit_hours < hours),
            ),
            ~exists().where(later.c.supersedes_id == table.c.id),
        )
        .order_by(table.c.found_at, table.c.id)
        .limit(1)
    )


_OTHER_HOURS: Final = _telling_other_hours()


# --- findings --------------------------------------------------------------------------------


def check_finding(session: Session, principal: Principal, finding: Finding) -> None:
    """Check what a finding points at, and that it speaks of it in its own kind of quantity.

    Raises InvalidInput; Conflict ("duplicate") where what it supersedes is superseded already.
    """
    # Whoever tells hours waits for others who do, or two could each run backwards of the other.
    counts = finding.unit_hours is not None
    unit = known(session, principal, tables.units, finding.unit_id, "/unit_id", "unit", lock=counts)
    # In the order in which a change of the characteristic takes them.
    characteristic = known(
        session,
        principal,
        characteristics,
        finding.characteristic_id,
        "/characteristic_id",
        "characteristic",
        steady=True,
    )
    position = position_of(
        session, principal, finding.position_id, unit["assembly_id"], "/position_id", steady=True
    )
    _check_characteristic(finding, position, characteristic)
    if finding.gauge_id is not None:
        _check_gauge_used(session, principal, finding, finding.gauge_id)
    if finding.supersedes_id is not None:
        _check_superseded(session, principal, finding, finding.supersedes_id)


def check_new_finding(session: Session, principal: Principal, finding: Finding) -> None:
    """Check a finding against the clock, and its hours against those told before and after it.

    Raises InvalidInput.
    """
    moment = access.now()
    if finding.found_at > moment + _CLOCKS_APART:
        raise InvalidInput(
            "/found_at",
            f"found_at is {_told(finding.found_at)}, and by the server's clock it is"
            f" {_told(moment)}.",
            "Record what was found once it is found; look at the clock of the device.",
            "out-of-range",
        )
    if finding.unit_hours is not None:
        _check_hours(session, finding)


def _check_characteristic(finding: Finding, position: Row, characteristic: Row) -> None:
    if characteristic["position_id"] != finding.position_id:
        raise InvalidInput(
            "/characteristic_id",
            f"The characteristic '{finding.characteristic_id}' belongs to another position.",
            f"Give a characteristic of the position '{finding.position_id}'.",
            "other-position",
        )
    if finding.piece is not None and finding.piece > position["quantity"]:
        raise InvalidInput(
            "/piece",
            f"piece is {finding.piece}; the position holds {position['quantity']}.",
            "Count the pieces from 1 to what the position holds.",
            "out-of-range",
        )
    if finding.part_temperature is not None:
        check_quantity(finding.part_temperature, "temperature", "/part_temperature")
    if characteristic["is_crack"] or characteristic["worst_acceptable_grade"] is not None:
        _check_graded(finding)
    else:
        _check_measured(finding, characteristic)


def _check_graded(finding: Finding) -> None:
    if finding.grade is None:
        raise InvalidInput(
            "/grade",
            "The characteristic is judged by a grade, and the finding has none.",
            "Give grade: none, light, moderate or heavy.",
            "grade-missing",
        )


def _check_measured(finding: Finding, characteristic: Row) -> None:
    unit = measured_in(characteristic)
    if unit is None:
        return
    sizes = _sizes(finding)
    if not sizes:
        raise InvalidInput(
            "/measured",
            "The characteristic is measured, and the finding has no size.",
            f"Give measured in {unit} or another unit of {kind_of(unit)}; or readings, or an"
            " interval.",
            "measured-missing",
        )
    for pointer, size in sizes:
        check_quantity(size, kind_of(unit), pointer)
    if len(finding.readings) > MOST_READINGS:
        raise InvalidInput(
            "/readings",
            f"Got {len(finding.readings)} readings; wanted at most {MOST_READINGS}.",
            f"Send at most {MOST_READINGS}.",
            "too-many",
        )
    if finding.readings and characteristic["derivation_kind"] in OF_READINGS:
        raise InvalidInput(
            "/readings",
            f"The characteristic is {characteristic['derivation_kind']}: it follows from the"
            " readings of another, and has none of its own.",
            "Record the readings under the size that it is derived from; or give measured, where"
            " it was measured as such.",
            "derived-not-read",
        )


def _sizes(finding: Finding) -> list[tuple[str, Quantity]]:
    """Return every size that a finding tells, with its pointer."""
    told = [
        ("/measured", finding.measured),
        ("/at_least", finding.at_least),
        ("/at_most", finding.at_most),
        *((f"/readings/{place}/size", one.size) for place, one in enumerate(finding.readings)),
    ]
    return [(pointer, size) for pointer, size in told if size is not None]


def _check_gauge_used(
    session: Session, principal: Principal, finding: Finding, gauge_id: str
) -> None:
    """Check that a gauge is the shop's, and reads what the finding tells."""
    gauge = known(session, principal, tables.gauges, gauge_id, "/gauge_id", "gauge", steady=True)
    unit = gauge["standard_uncertainty_unit"] or gauge["common_uncertainty_unit"]
    for _, size in _sizes(finding):
        read_in = kind_of(difference_unit(size.unit))
        if unit is not None and not same_dimension(kind_of(unit), read_in):
            raise InvalidInput(
                "/gauge_id",
                f"The gauge '{gauge['name']}' reads in {unit}, the finding is in {size.unit}.",
                "Name the gauge it was measured with.",
                "unit-wrong-dimension",
            )


# --- corrections -----------------------------------------------------------------------------


def _check_superseded(
    session: Session, principal: Principal, finding: Finding, supersedes_id: str
) -> None:
    earlier = known(session, principal, tables.findings, supersedes_id, "/supersedes_id", "finding")
    if (earlier["unit_id"], earlier["characteristic_id"]) != (
        finding.unit_id,
        finding.characteristic_id,
    ):
        raise InvalidInput(
            "/supersedes_id",
            f"The finding '{supersedes_id}' is of another unit or characteristic.",
            "Supersede a finding of the same characteristic of the same unit.",
            "other-unit",
        )
    standing = _standing(session, supersedes_id)
    if standing not in (supersedes_id, finding.id):
        raise Conflict(
            "duplicate",
            f"The finding {supersedes_id} is superseded already; {standing} stands in its place.",
            f"Read {standing}, and supersede that one if it is wrong too.",
            existing_id=standing,
        )


def _standing(session: Session, finding_id: str) -> str:
    """Return the finding that stands at the end of a chain of corrections."""
    table = tables.findings
    while True:
        later = session.execute(
            select(table.c.id).where(table.c.supersedes_id == finding_id)
        ).scalar()
        if later is None:
            return finding_id
        finding_id = later


# --- hours -----------------------------------------------------------------------------------


def _check_hours(session: Session, finding: Finding) -> None:
    """Check that hours do not run backwards: against the unit's findings that stand."""
    told = {
        "unit_id": finding.unit_id,
        "superseded": finding.supersedes_id or "",
        "at": finding.found_at,
        "hours": finding.unit_hours,
    }
    other = session.execute(_OTHER_HOURS, told).first()
    if other is None:
        return
    is_before = other.found_at < finding.found_at
    raise InvalidInput(
        "/unit_hours",
        f"unit_hours is {finding.unit_hours:f}; the finding {other.id}, made"
        f" {'before' if is_before else 'after'} it on {other.found_at.date()}, tells"
        f" {other.unit_hours:f}.",
        f"Give {other.unit_hours:f} or {'more' if is_before else 'less'}; or supersede that"
        " finding first, if its hours are wrong.",
        "hours-backwards",
    )


def _told(moment: datetime) -> str:
    return moment.astimezone(UTC).isoformat(timespec="minutes").replace("+00:00", "Z")


# --- gauges ----------------------------------------------------------------------------------


def check_gauge(session: Session, principal: Principal, gauge: Gauge) -> None:
    """Check that the uncertainties of a gauge are of one kind of quantity; raises InvalidInput."""
    for name in ("standard_uncertainty", "common_uncertainty"):
        given: Quantity | None = getattr(gauge, name)
        if given is not None:
            check_quantity(given, _kind_read(gauge) or kind_of(given.unit), f"/{name}")


def check_gauge_change(session: Session, principal: Principal, before: Gauge, after: Gauge) -> None:
    """Keep to what findings say: a gauge goes on to read the same kind of quantity."""
    was, will = _kind_read(before), _kind_read(after)
    if will is None or was == will:
        return
    used = session.execute(
        select(tables.findings.c.id)
        .where(
            tables.findings.c.shop_id == principal.shop_id,
            tables.findings.c.gauge_id == after.id,
        )
        .order_by(tables.findings.c.id)
    ).scalars()
    finding_id = used.first()
    if finding_id is not None and (was is not None or not _all_read_in(session, after, will)):
        raise InvalidInput(
            "/standard_uncertainty",
            f"The finding {finding_id} was made with it, in another kind of quantity than {will}.",
            "Record a new gauge; this one keeps its findings.",
            "fixed-member",
        )


def _all_read_in(session: Session, gauge: Gauge, kind: str) -> bool:
    """Whether all that was found with a gauge is of one kind of quantity."""
    found, read = tables.findings, tables.finding_readings
    by_gauge = found.c.gauge_id == gauge.id
    columns = (found.c.measured_unit, found.c.at_least_unit, found.c.at_most_unit)
    units = {
        unit
        for column in columns
        for unit in session.execute(select(column).distinct().where(by_gauge)).scalars()
    }
    units |= set(
        session.execute(
            select(read.c.size_unit)
            .distinct()
            .join(found, found.c.id == read.c.finding_id)
            .where(by_gauge)
        ).scalars()
    )
    return all(
        same_dimension(kind_of(difference_unit(unit)), kind) for unit in units if unit is not None
    )


def _kind_read(gauge: Gauge) -> str | None:
    given = gauge.standard_uncertainty or gauge.common_uncertainty
    return None if given is None else kind_of(given.unit)
