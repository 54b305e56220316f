"""Assemblies and what they are made of: mapping, checks, and the ruling that is in force."""

import functools
import json
from collections.abc import Sequence
from typing import Any, Final

from sqlalchemy import func, insert, select, update
from sqlalchemy.orm import Session

from db.ids import new_id
from db.models import assemblies as tables
from db.models.base import SHORT
from db.models.interchange import parts
from db.queries.access import Principal, now
from db.queries.broken import explained
from db.queries.mapping import Children, Mapped, in_steps, row_of
from db.queries.references import (
    check_branch,
    check_distinct,
    group_of,
    known,
    own_assembly,
    own_position,
    position_of,
)
from db.types import fitting_key
from shared.assemblies.model import (
    AccessGroup,
    Assembly,
    Characteristic,
    LabourOperation,
    Position,
    PositionSet,
    Ruling,
    Serviceability,
    ServiceabilityRuling,
    SetKind,
)
from shared.errors import InvalidInput
from shared.interchange.candidates import serial_in_range

MOST_POSITIONS: Final = 500
_STRICTNESS: Final = (Ruling.SERVICEABLE, Ruling.INSPECT_ONLY, Ruling.REPLACE_AS_ASSEMBLY)


def identity(*names: str | None) -> str:
    """Return one key of several names, without regard to case and runs of blanks.

    >>> identity("Oak  Hollow", "LF-2", None)
    '["oak hollow", "lf-2", ""]'
    """
    folded = [" ".join((name or "").casefold().split()) for name in names]
    return fitting_key(json.dumps(folded), 5 * SHORT)


# --- checks ----------------------------------------------------------------------------------


def _check_assembly(session: Session, principal: Principal, assembly: Assembly) -> None:
    if assembly.part_id is not None:
        known(session, principal, parts, assembly.part_id, "/part_id", "part")


def _check_position(session: Session, principal: Principal, position: Position) -> None:
    own_assembly(session, principal, position.assembly_id, "/assembly_id")
    if position.part_id is not None:
        known(session, principal, parts, position.part_id, "/part_id", "part")
    if position.access_group_id is not None:
        group_of(
            session,
            principal,
            position.access_group_id,
            position.assembly_id,
            "/access_group_id",
        )
    outer_of = _outer_of(session, tables.positions, "parent_id", position.assembly_id)
    if len(outer_of) >= MOST_POSITIONS:
        raise InvalidInput(
            "/assembly_id",
            f"The assembly has {MOST_POSITIONS} positions, which is all it can have.",
            "Record an inner assembly as one of its own.",
            "too-many",
        )
    check_branch(outer_of, position.id, position.parent_id, "/parent_id")
    if position.parent_id is not None:
        position_of(session, principal, position.parent_id, position.assembly_id, "/parent_id")


def _check_access_group(session: Session, principal: Principal, group: AccessGroup) -> None:
    own_assembly(session, principal, group.assembly_id, "/assembly_id")
    outer_of = _outer_of(session, tables.access_groups, "outer_group_id", group.assembly_id)
    check_branch(outer_of, group.id, group.outer_group_id, "/outer_group_id")
    if group.outer_group_id is not None:
        group_of(session, principal, group.outer_group_id, group.assembly_id, "/outer_group_id")


def _outer_of(session: Session, table: Any, column: str, assembly_id: str) -> dict[str, str | None]:
    rows = session.execute(
        select(table.c.id, table.c[column]).where(table.c.assembly_id == assembly_id)
    )
    return {row.id: row[1] for row in rows}


def _check_position_set(session: Session, principal: Principal, group: PositionSet) -> None:
    own_assembly(session, principal, group.assembly_id, "/assembly_id")
    if len(group.position_ids) < 2:
        raise InvalidInput(
            "/position_ids",
            "A set has fewer than two positions.",
            "Name the positions that belong together.",
            "too-few",
        )
    check_distinct(group.position_ids, "/position_ids", "position")
    for place, position_id in enumerate(group.position_ids):
        pointer = f"/position_ids/{place}"
        position_of(session, principal, position_id, group.assembly_id, pointer)
        if group.kind is SetKind.MATCHED:
            _check_not_matched_yet(session, position_id, pointer)


def _check_not_matched_yet(session: Session, position_id: str, pointer: str) -> None:
    members = tables.position_set_members
    other = session.execute(
        select(members.c.position_set_id).where(
            members.c.position_id == position_id, members.c.kind == SetKind.MATCHED.value
        )
    ).scalar()
    if other is not None:
        raise InvalidInput(
            pointer,
            f"The position '{position_id}' is in the matched set '{other}' already.",
            "Put all positions that were paired into one matched set.",
            "matched-twice",
        )


def _check_operation(session: Session, principal: Principal, operation: LabourOperation) -> None:
    own_assembly(session, principal, operation.assembly_id, "/assembly_id")
    if operation.position_id is not None:
        position_of(
            session, principal, operation.position_id, operation.assembly_id, "/position_id"
        )
    if operation.access_group_id is not None:
        group_of(
            session,
            principal,
            operation.access_group_id,
            operation.assembly_id,
            "/access_group_id",
        )


def _check_characteristic(
    session: Session, principal: Principal, characteristic: Characteristic
) -> None:
    own_position(session, principal, characteristic.position_id, "/position_id")


# --- rulings ---------------------------------------------------------------------------------


def _check_ruling(session: Session, principal: Principal, ruling: ServiceabilityRuling) -> None:
    own_position(session, principal, ruling.position_id, "/position_id")


def _ruling_version(session: Session, principal: Principal, ruling: ServiceabilityRuling) -> int:
    rulings = tables.serviceability_rulings
    count = session.execute(
        select(func.count()).where(rulings.c.position_id == ruling.position_id)
    ).scalar_one()
    return count + 1


def _touch_position(session: Session, principal: Principal, ruling: ServiceabilityRuling) -> None:
    """Count the position's version up: what is read of it has changed."""
    table = tables.positions
    session.execute(
        update(table)
        .where(table.c.id == ruling.position_id)
        .values(version=table.c.version + 1, updated_at=now())
    )


def _first_ruling(session: Session, principal: Principal, position: Position) -> None:
    """Write the ruling that a position is created with as the first of its rulings."""
    stated = position.serviceability
    ruling = ServiceabilityRuling(
        new_id("rul"), position.id, stated.ruling, stated.reason, stated.evidence
    )
    moment = now()
    try:
        row = row_of(RULINGS, ruling)
    except InvalidInput as error:
        raise error.below("/serviceability") from None
    row |= {
        "author_shop_id": principal.shop_id,
        "version": 1,
        "created_at": moment,
        "updated_at": moment,
    }
    with explained("/serviceability"):
        session.execute(insert(tables.serviceability_rulings).values(row))


def serviceability(
    session: Session,
    position_ids: Sequence[str],
    *,
    serial: str | None = None,
    has_unit: bool = False,
) -> dict[str, dict[str, Any]]:
    """Return per position the ruling in force, as its field ``serviceability``.

    Without a unit: the newest ruling that holds for all serial numbers. With one: the newest that
    holds for its serial number; where it cannot be told whether a newer one holds, the strictest
    of those in question, since a false "serviceable" is what must not happen.
    """
    table = tables.serviceability_rulings
    newest_first: dict[str, list[ServiceabilityRuling]] = {one: [] for one in position_ids}
    for some in in_steps(position_ids):
        statement = (
            select(table)
            .where(table.c.position_id.in_(some))
            .order_by(table.c.position_id, table.c.version.desc())
        )
        for row in session.execute(statement):
            newest_first[row.position_id].append(
                ServiceabilityRuling(
                    row.id,
                    row.position_id,
                    Ruling(row.ruling),
                    row.reason,
                    row.evidence,
                    row.serial_from,
                    row.serial_to,
                )
            )
    return {
        position_id: {"serviceability": _in_force(rulings, serial, has_unit)}
        for position_id, rulings in newest_first.items()
    }


def _in_force(
    newest_first: Sequence[ServiceabilityRuling], serial: str | None, has_unit: bool
) -> Serviceability:
    possible: list[ServiceabilityRuling] = []
    for ruling in newest_first:
        is_limited = ruling.serial_from is not None or ruling.serial_to is not None
        if is_limited and not has_unit:
            continue
        holds = serial_in_range(serial, ruling.serial_from, ruling.serial_to)
        if holds is not False:
            possible.append(ruling)
        if holds:
            break
    governing = max(possible, key=lambda one: _STRICTNESS.index(one.ruling))
    return Serviceability(governing.ruling, governing.reason, governing.evidence)


# --- how each kind is kept -------------------------------------------------------------------

ASSEMBLIES: Final = Mapped(
    Assembly,
    "assembly",
    tables.assemblies,
    filters=("maker", "model", "kind", "part_id"),
    children=(Children("cautions", tables.assembly_cautions, "assembly_id"),),
    keys=lambda a: {"identity_key": identity(a.maker, a.model, a.serial_from, a.serial_to)},
    unique=(("author_shop_id", "identity_key"),),
    check=_check_assembly,
)
POSITIONS: Final = Mapped(
    Position,
    "position",
    tables.positions,
    filters=("assembly_id", "parent_id", "part_id", "access_group_id"),
    children=(Children("cautions", tables.position_cautions, "position_id"),),
    elsewhere=frozenset({"serviceability"}),
    complete=serviceability,
    check=_check_position,
    after=_first_ruling,
)
RULINGS: Final = Mapped(
    ServiceabilityRuling,
    "serviceability-ruling",
    tables.serviceability_rulings,
    filters=("position_id",),
    check=_check_ruling,
    version=_ruling_version,
    after=_touch_position,
)
ACCESS_GROUPS: Final = Mapped(
    AccessGroup,
    "access-group",
    tables.access_groups,
    filters=("assembly_id", "outer_group_id"),
    check=_check_access_group,
)
POSITION_SETS: Final = Mapped(
    PositionSet,
    "position-set",
    tables.position_sets,
    filters=("assembly_id", "kind"),
    children=(
        Children(
            "position_ids",
            tables.position_set_members,
            "position_set_id",
            column="position_id",
            shared=("assembly_id", "kind"),
        ),
    ),
    check=_check_position_set,
)
OPERATIONS: Final = Mapped(
    LabourOperation,
    "labour-operation",
    tables.labour_operations,
    filters=("assembly_id", "kind", "position_id", "access_group_id"),
    check=_check_operation,
)
CHARACTERISTICS: Final = Mapped(
    Characteristic,
    "characteristic",
    tables.characteristics,
    filters=("position_id",),
    check=_check_characteristic,
)
MAPPED: Final[tuple[Mapped[Any], ...]] = (
    ASSEMBLIES,
    POSITIONS,
    RULINGS,
    ACCESS_GROUPS,
    POSITION_SETS,
    OPERATIONS,
    CHARACTERISTICS,
)


def positions_for(serial: str | None) -> Mapped[Position]:
    """Return how positions are read for one unit: with the ruling in force for its serial."""
    return Mapped(
        Position,
        POSITIONS.word,
        POSITIONS.table,
        children=POSITIONS.children,
        elsewhere=POSITIONS.elsewhere,
        complete=functools.partial(serviceability, serial=serial, has_unit=True),
    )
