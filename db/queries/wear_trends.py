"""What the wear of one unit is told from."""

from sqlalchemy.orm import Session

from db.queries.access import Principal
from db.queries.assemblies import POSITIONS
from db.queries.unit_records import UnitRecords
from shared.condition.wear.unit_wear import WearRecords


def wear_records(session: Session, principal: Principal, unit_id: str) -> WearRecords:
    """Return the unit, its findings and gauges, and what they are about, each by rising id.

    The number of statements does not depend on the number of records. Raises NotFound for an
    unknown unit.
    """
    found = UnitRecords(session, principal, unit_id)
    return WearRecords(
        found.unit,
        found.of_assembly(POSITIONS),
        found.characteristics(),
        found.findings(),
        found.gauges(),
        found.rules.inspection_cap_hours,
    )
