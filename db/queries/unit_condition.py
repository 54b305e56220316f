"""What the condition of one unit is told from."""

from typing import Any, TypeVar

from sqlalchemy import select
from sqlalchemy.orm import Session

from db.models.assemblies import characteristics, positions
from db.models.condition import findings
from db.queries import store
from db.queries.access import Principal
from db.queries.assemblies import CHARACTERISTICS, POSITION_SETS, positions_for
from db.queries.condition import FINDINGS, GAUGES, UNITS
from db.queries.mapping import Mapped, load
from db.queries.shop_settings import newest_settings
from shared.condition.unit_condition import ConditionRecords
from shared.decision.settings import DecisionRules

T = TypeVar("T")


def condition_records(session: Session, principal: Principal, unit_id: str) -> ConditionRecords:
    """Return what is on record of a unit, each kind in the order of its ids.

    While the shop has no settings the house's rule for readings counts. The number of statements
    does not depend on the number of records. Raises NotFound for an unknown unit.
    """
    unit = store.read(session, principal, UNITS, unit_id).record
    settings = newest_settings(session, principal)
    rules = DecisionRules() if settings is None else settings.rules

    def of_assembly(mapped: Mapped[T]) -> tuple[T, ...]:
        table = mapped.table
        statement = select(table).where(table.c.assembly_id == unit.assembly_id)
        return tuple(one.record for one in load(session, mapped, statement.order_by(table.c.id)))

    def where(mapped: Mapped[T], *conditions: Any) -> tuple[T, ...]:
        statement = store.visible(mapped, principal).where(*conditions)
        found = load(session, mapped, statement.order_by(mapped.table.c.id))
        return tuple(stored.record for stored in found)

    here = select(positions.c.id).where(positions.c.assembly_id == unit.assembly_id)
    return ConditionRecords(
        unit=unit,
        positions=of_assembly(positions_for(unit.serial_number)),
        characteristics=where(CHARACTERISTICS, characteristics.c.position_id.in_(here)),
        position_sets=of_assembly(POSITION_SETS),
        findings=where(FINDINGS, findings.c.unit_id == unit_id),
        gauges=where(GAUGES),
        rule=rules.conformity_rule,
        acceptance_probability=float(rules.conformity_probability),
    )
