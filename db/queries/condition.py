"""Units and findings: mapping and checks."""

from typing import Any, Final

from sqlalchemy.orm import Session

from db.models import condition as tables
from db.models.assemblies import assemblies, characteristics
from db.queries.access import Principal
from db.queries.currency import check_currency
from db.queries.mapping import Mapped
from db.queries.references import Row, known, position_of
from shared.condition.model import Finding, Unit
from shared.errors import InvalidInput
from shared.quantities import check_quantity, kind_of

_LIMITS: Final = ("new_lower", "new_upper", "service_lower", "service_upper")


def _check_unit(session: Session, principal: Principal, unit: Unit) -> None:
    known(session, principal, assemblies, unit.assembly_id, "/assembly_id", "assembly")
    check_currency(session, principal, unit)


def _check_finding(session: Session, principal: Principal, finding: Finding) -> None:
    unit = known(session, principal, tables.units, finding.unit_id, "/unit_id", "unit")
    position = position_of(
        session, principal, finding.position_id, unit["assembly_id"], "/position_id"
    )
    characteristic = known(
        session,
        principal,
        characteristics,
        finding.characteristic_id,
        "/characteristic_id",
        "characteristic",
    )
    _check_characteristic(finding, position, characteristic)
    if finding.supersedes_id is not None:
        _check_superseded(session, principal, finding)


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
    units = [unit for name in _LIMITS if (unit := characteristic[f"{name}_unit"]) is not None]
    if not units:
        return
    if finding.measured is None:
        raise InvalidInput(
            "/measured",
            "The characteristic has limits, and the finding has no measured value.",
            f"Give measured in {units[0]} or another unit of {kind_of(units[0])}.",
            "measured-missing",
        )
    check_quantity(finding.measured, kind_of(units[0]), "/measured")


def _check_superseded(session: Session, principal: Principal, finding: Finding) -> None:
    assert finding.supersedes_id is not None
    earlier = known(
        session, principal, tables.findings, finding.supersedes_id, "/supersedes_id", "finding"
    )
    if (earlier["unit_id"], earlier["characteristic_id"]) != (
        finding.unit_id,
        finding.characteristic_id,
    ):
        raise InvalidInput(
            "/supersedes_id",
            f"The finding '{finding.supersedes_id}' is of another unit or characteristic.",
            "Supersede a finding of the same characteristic of the same unit.",
            "other-unit",
        )


UNITS: Final = Mapped(
    Unit,
    "unit",
    tables.units,
    filters=("kind", "assembly_id", "serial_number"),
    unique=(("shop_id", "assembly_id", "serial_number"),),
    check=_check_unit,
)
FINDINGS: Final = Mapped(
    Finding,
    "finding",
    tables.findings,
    filters=("unit_id", "position_id", "characteristic_id"),
    unique=(("supersedes_id",),),
    check=_check_finding,
)
MAPPED: Final[tuple[Mapped[Any], ...]] = (UNITS, FINDINGS)
