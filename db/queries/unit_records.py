"""What is on record of one unit and its design, as every answer about its condition reads it."""

from functools import cached_property
from typing import Any, TypeVar

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from db.models.assemblies import characteristics, positions
from db.models.condition import findings
from db.queries import store
from db.queries.access import Principal
from db.queries.assemblies import CHARACTERISTICS
from db.queries.condition import FINDINGS, GAUGES, UNITS
from db.queries.mapping import Mapped, load
from db.queries.shop_settings import newest_settings
from shared.assemblies.model import Characteristic
from shared.condition.model import Finding, Gauge
from shared.decision.settings import DecisionRules

T = TypeVar("T")


class UnitRecords:
    """Reads what is on record of a unit, each kind by rising id, when it is asked for.

    Each kind takes the same number of statements however many records there are. While the shop has
    no settings the house's rules count. Raises NotFound for an unknown unit.
    """

    def __init__(self, session: Session, principal: Principal, unit_id: str) -> None:
        self._session, self._principal = session, principal
        self.unit = store.read(session, principal, UNITS, unit_id).record
        self.settings = newest_settings(session, principal)
        self.rules = DecisionRules() if self.settings is None else self.settings.rules

    @cached_property
    def position_ids(self) -> Select[tuple[str]]:
        """Return the statement that selects the positions of the design."""
        return select(positions.c.id).where(positions.c.assembly_id == self.unit.assembly_id)

    def of_assembly(self, mapped: Mapped[T]) -> tuple[T, ...]:
        """Return the records of a kind that belong to the unit's design."""
        table = mapped.table
        statement = select(table).where(table.c.assembly_id == self.unit.assembly_id)
        return self._read(mapped, statement)

    def where(self, mapped: Mapped[T], *conditions: Any) -> tuple[T, ...]:
        """Return the records of a kind that the shop may see and that meet the conditions."""
        return self._read(mapped, store.visible(mapped, self._principal).where(*conditions))

    def characteristics(self) -> tuple[Characteristic, ...]:
        """Return what the design is inspected for."""
        return self.where(CHARACTERISTICS, characteristics.c.position_id.in_(self.position_ids))

    def findings(self) -> tuple[Finding, ...]:
        """Return what was found on the unit."""
        return self.where(FINDINGS, findings.c.unit_id == self.unit.id)

    def gauges(self) -> tuple[Gauge, ...]:
        """Return the shop's gauges."""
        return self.where(GAUGES)

    def _read(self, mapped: Mapped[T], statement: Select[Any]) -> tuple[T, ...]:
        found = load(self._session, mapped, statement.order_by(mapped.table.c.id))
        return tuple(stored.record for stored in found)
