"""What a decision would see of one position, asked without a job: for a unit, or one described."""

from datetime import datetime
from typing import Final

from sqlalchemy.orm import Session

from db.models.condition import units
from db.queries import store
from db.queries.access import Principal
from db.queries.assemblies import POSITIONS
from db.queries.condition import UNITS
from db.queries.references import known
from db.queries.snapshot import snapshot_of
from shared.assemblies.traits import Traits
from shared.condition.model import Unit, UnitKind
from shared.decision.snapshot import Aim, Asked, Job, Snapshot
from shared.errors import InvalidInput

ASKED: Final = "ask"
"""The id of a job, and of a unit, that is asked about and not on record: no id looks so."""


def place_snapshot(
    session: Session,
    principal: Principal,
    position_id: str,
    unit_id: str | None,
    traits: Traits,
    as_of: datetime,
) -> Snapshot:
    """Return the snapshot of a job that is asked about, on a unit with this position.

    Without ``unit_id`` the unit is a customer's of the position's assembly with ``traits``, which
    count for nothing beside a unit on record. Nothing is stored. Raises NotFound for an unknown
    position, InvalidInput ("/unit_id") for a unit that is unknown or of another assembly, Conflict
    ("state-conflict") while the shop has no settings.
    """
    position = store.read(session, principal, POSITIONS, position_id).record
    if unit_id is None:
        unit = _described(position.assembly_id, traits)
    else:
        known(session, principal, units, unit_id, "/unit_id", "unit")
        unit = store.read(session, principal, UNITS, unit_id).record
    if unit.assembly_id != position.assembly_id:
        raise InvalidInput(
            "/unit_id",
            f"The unit '{unit.id}' is of another assembly than the position '{position_id}'.",
            f"Give a unit of the assembly '{position.assembly_id}'.",
            "other-assembly",
        )
    job = Job(ASKED, unit.id, f"Asked about the position {position.name}"[:200])
    return snapshot_of(session, principal, job, unit, as_of, Aim.PRICE, Asked())


def _described(assembly_id: str, traits: Traits) -> Unit:
    return Unit(
        ASKED,
        assembly_id,
        UnitKind.CUSTOMER,
        serial_number=traits.serial_number,
        variant=traits.variant,
        built_on=traits.built_on,
        hand=traits.hand,
        ratio=traits.ratio,
        generation=traits.generation,
    )
