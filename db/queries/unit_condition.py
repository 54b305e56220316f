"""What the condition of one unit is told from."""

from sqlalchemy.orm import Session

from db.queries.access import Principal
from db.queries.assemblies import POSITION_SETS, positions_for
from db.queries.unit_records import UnitRecords
from shared.condition.unit_condition import ConditionRecords


def condition_records(session: Session, principal: Principal, unit_id: str) -> ConditionRecords:
    """Return what is on record of a unit, each kind in the order of its ids.

    The number of statements does not depend on the number of records. Raises NotFound for an
    unknown unit.
    """
    found = UnitRecords(session, principal, unit_id)
    return ConditionRecords(
        unit=found.unit,
        positions=found.of_assembly(positions_for(found.unit.serial_number)),
        characteristics=found.characteristics(),
        position_sets=found.of_assembly(POSITION_SETS),
        findings=found.findings(),
        gauges=found.gauges(),
        rule=found.rules.conformity_rule,
        acceptance_probability=float(found.rules.conformity_probability),
    )
