"""What the wear of one unit is told from."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from db.models.assemblies import characteristics, positions
from db.models.condition import findings
from db.queries import store
from db.queries.access import Principal
from db.queries.assemblies import CHARACTERISTICS, POSITIONS
from db.queries.condition import FINDINGS, GAUGES, UNITS
from db.queries.mapping import load
from db.queries.shop_settings import newest_settings
from shared.condition.wear.unit_wear import WearRecords


def wear_records(session: Session, principal: Principal, unit_id: str) -> WearRecords:
    """Return the unit, its findings and gauges, and what they are about, each by rising id.

    The number of statements does not depend on the number of records. Raises NotFound for an
    unknown unit.
    """
    unit = store.read(session, principal, UNITS, unit_id).record
    settings = newest_settings(session, principal)
    of_unit = store.visible(FINDINGS, principal).where(findings.c.unit_id == unit_id)
    of_design = select(positions).where(positions.c.assembly_id == unit.assembly_id)
    here = select(positions.c.id).where(positions.c.assembly_id == unit.assembly_id)
    looked_at = select(characteristics).where(characteristics.c.position_id.in_(here))
    return WearRecords(
        unit,
        tuple(one.record for one in load(session, POSITIONS, of_design.order_by(positions.c.id))),
        tuple(
            one.record
            for one in load(session, CHARACTERISTICS, looked_at.order_by(characteristics.c.id))
        ),
        tuple(one.record for one in load(session, FINDINGS, of_unit.order_by(findings.c.id))),
        tuple(one.record for one in load(session, GAUGES, store.visible(GAUGES, principal))),
        None if settings is None else settings.rules.inspection_cap_hours,
    )
