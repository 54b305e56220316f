"""Assemblies and what they are made of: mapping, checks, and the ruling that is in force."""

import functools
import json
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

from sqlalchemy import (
    ColumnElement,
    and_,
    case,
    func,
    insert,
    not_,
    or_,
    select,
    union_all,
    update,
)
from sqlalchemy.orm import Session

from db.ids import new_id
from db.models import assemblies as tables
from db.models.base import SHORT
from db.models.condition import findings
from db.models.fasteners import special_tools
from db.models.interchange import parts
from db.models.salvage import fitments, salvaged_parts
from db.queries.access import Principal, now
from db.queries.broken import explained
from db.queries.characteristics import (
    check_characteristic_change,
    check_derivation,
    check_pieces_of_terms,
)
from db.queries.mapping import Children, Mapped, Touched, in_steps, load, row_of
from db.queries.number_keys import reference_key
from db.queries.references import (
    check_branch,
    check_distinct,
    group_of,
    known,
    own_assembly,
    own_position,
    position_of,
)
from db.queries.shim_places import check_still_set
from db.types import fitting_key
from shared.assemblies.duty import check_duty
from shared.assemblies.model import (
    AccessGroup,
    Assembly,
    CautionNote,
    Characteristic,
    LabourOperation,
    Position,
    PositionSet,
    Ruling,
    Serviceability,
    ServiceabilityRuling,
    SetKind,
)
from shared.assemblies.serials import serial_in_range
from shared.errors import InvalidInput
from shared.evidence import Caution, CautionKind

MOST_POSITIONS: Final = 500
MOST_GROUPS: Final = 500
MOST_SETS: Final = 500
MOST_OPERATIONS: Final = 2_000
MOST_CHARACTERISTICS: Final = 2_000
"""What an assembly may have of each: as many as a snapshot takes in."""
MOST_HOURS: Final = 100_000
"""Hours of all labour operations of an assembly together: a plan reckons in fewer minutes."""
MOST_CAUTIONS: Final = 50
"""Cautions that one shop may record about one thing."""
MOST_CAUTIONS_BY_OTHERS: Final = 200
"""Cautions by other shops about the parts called for that one answer lists."""
_NEW_ONE: Final = "Record a new one there and retire this one."
_SPEAK_OF_PIECES: Final = (
    (findings, "finding"),
    (salvaged_parts, "salvaged part"),
    (fitments, "fitment"),
)
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
    if position.duty is not None:
        try:
            check_duty(position.duty)
        except InvalidInput as error:
            raise error.below("/duty") from None
    outer_of = _outer_of(session, tables.positions, "parent_id", position.assembly_id)
    _check_room(len(outer_of.keys() - {position.id}), MOST_POSITIONS, "positions", "/assembly_id")
    check_branch(outer_of, position.id, position.parent_id, "/parent_id")
    if position.parent_id is not None:
        position_of(session, principal, position.parent_id, position.assembly_id, "/parent_id")


def _check_access_group(session: Session, principal: Principal, group: AccessGroup) -> None:
    own_assembly(session, principal, group.assembly_id, "/assembly_id")
    outer_of = _outer_of(session, tables.access_groups, "outer_group_id", group.assembly_id)
    _check_room(len(outer_of.keys() - {group.id}), MOST_GROUPS, "access groups", "/assembly_id")
    check_branch(outer_of, group.id, group.outer_group_id, "/outer_group_id")
    if group.outer_group_id is not None:
        group_of(session, principal, group.outer_group_id, group.assembly_id, "/outer_group_id")


def _check_room(others: int, most: int, word: str, pointer: str) -> None:
    """Check that an assembly may have one more of something besides the others it has."""
    if others >= most:
        raise InvalidInput(
            pointer,
            f"The assembly has {most} {word}, which is all it can have.",
            "Record an inner assembly as one of its own.",
            "too-many",
        )


def _count_others(session: Session, table: Any, assembly_id: str, own_id: str) -> int:
    return session.execute(
        select(func.count()).where(table.c.assembly_id == assembly_id, table.c.id != own_id)
    ).scalar_one()


def _outer_of(session: Session, table: Any, column: str, assembly_id: str) -> dict[str, str | None]:
    rows = session.execute(
        select(table.c.id, table.c[column]).where(table.c.assembly_id == assembly_id)
    )
    return {row.id: row[1] for row in rows}


def _check_position_set(session: Session, principal: Principal, group: PositionSet) -> None:
    own_assembly(session, principal, group.assembly_id, "/assembly_id")
    others = _count_others(session, tables.position_sets, group.assembly_id, group.id)
    _check_room(others, MOST_SETS, "sets", "/assembly_id")
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
            _check_not_matched_yet(session, group.id, position_id, pointer)


def _check_not_matched_yet(session: Session, own_id: str, position_id: str, pointer: str) -> None:
    members = tables.position_set_members
    other = session.execute(
        select(members.c.position_set_id).where(
            members.c.position_id == position_id,
            members.c.kind == SetKind.MATCHED.value,
            members.c.position_set_id != own_id,
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
    _check_work(session, operation)


def _check_work(session: Session, operation: LabourOperation) -> None:
    """Check that the work at an assembly stays what a plan can reckon with."""
    table = tables.labour_operations
    others, hours = session.execute(
        select(func.count(), func.sum(table.c.p90_hours)).where(
            table.c.assembly_id == operation.assembly_id, table.c.id != operation.id
        )
    ).one()
    _check_room(others, MOST_OPERATIONS, "labour operations", "/assembly_id")
    total = (hours or 0) + operation.p90_hours
    if total > MOST_HOURS:
        raise InvalidInput(
            "/p90_hours",
            f"The operations of the assembly would take {total:f} h together.",
            f"Give hours with which they take {MOST_HOURS} h at most.",
            "out-of-range",
        )


def _check_characteristic(
    session: Session, principal: Principal, characteristic: Characteristic
) -> None:
    row = own_position(session, principal, characteristic.position_id, "/position_id")
    table = tables.characteristics
    here = select(tables.positions.c.id).where(tables.positions.c.assembly_id == row["assembly_id"])
    others = session.execute(
        select(func.count()).where(table.c.position_id.in_(here), table.c.id != characteristic.id)
    ).scalar_one()
    _check_room(others, MOST_CHARACTERISTICS, "characteristics", "/position_id")
    check_derivation(session, principal, characteristic, row["assembly_id"])


# --- cautions --------------------------------------------------------------------------------


def _check_caution(session: Session, principal: Principal, note: CautionNote) -> None:
    """Check what a caution is about: one thing, and the shop's own to speak of.

    It is told with every answer on that assembly, so its author alone adds to it. Of a part every
    shop may warn.
    """
    _bearer(note)
    if note.assembly_id is not None:
        own_assembly(session, principal, note.assembly_id, "/assembly_id")
    if note.position_id is not None:
        own_position(session, principal, note.position_id, "/position_id")
    if note.labour_operation_id is not None:
        pointer = "/labour_operation_id"
        row = known(
            session,
            principal,
            tables.labour_operations,
            note.labour_operation_id,
            pointer,
            "labour operation",
        )
        own_assembly(session, principal, row["assembly_id"], pointer)
    if note.special_tool_id is not None:
        _check_own_tool(session, principal, note.special_tool_id, "/special_tool_id")
    if note.part_id is not None:
        known(session, principal, parts, note.part_id, "/part_id", "part", lock=True)
    _check_few_cautions(session, principal, note)


def _bearer(note: CautionNote) -> str:
    """Return the field that says what a caution is about; raises InvalidInput unless it is one."""
    given = [name for name in tables.CAUTION_BEARERS if getattr(note, name) is not None]
    if len(given) != 1:
        raise InvalidInput(
            f"/{given[1]}" if given else "",
            f"The caution is about {' and '.join(given) or 'nothing'}; wanted exactly one thing.",
            f"Give exactly one of {', '.join(tables.CAUTION_BEARERS)}.",
            "caution-target",
        )
    return given[0]


def _check_own_tool(session: Session, principal: Principal, tool_id: str, pointer: str) -> None:
    row = known(session, principal, special_tools, tool_id, pointer, "special tool", lock=True)
    if row["author_shop_id"] != principal.shop_id:
        raise InvalidInput(
            pointer,
            f"The special tool '{tool_id}' was recorded by another shop, which alone changes it.",
            "Record the tool as your own shop knows it, and use that.",
            "not-the-author",
        )


def _check_few_cautions(session: Session, principal: Principal, note: CautionNote) -> None:
    """Check that an answer can carry all cautions: so many of one shop about one thing."""
    table = tables.cautions
    column = _bearer(note)
    count = session.execute(
        select(func.count()).where(
            table.c[column] == getattr(note, column),
            table.c.author_shop_id == principal.shop_id,
            table.c.id != note.id,
        )
    ).scalar_one()
    if count >= MOST_CAUTIONS:
        raise InvalidInput(
            f"/{column}",
            f"The shop has {MOST_CAUTIONS} cautions about it, which is all it can have.",
            "Retire those that no longer hold, or put several into one.",
            "too-many",
        )


def with_cautions(
    session: Session, principal: Principal, assembly: Assembly, positions: Sequence[Position]
) -> tuple[Assembly, tuple[Position, ...]]:
    """Return an assembly and its positions with the cautions recorded by themselves.

    To the assembly's come those of the part as which it is sold, of its labour operations and
    special tools, to a position's those of the part called for there, at the first position that
    calls for it. Own ones first, then by id; none twice. What other shops say of the parts is
    listed up to a number, hazards first; that there is more is a caution itself.
    """
    first_at: dict[str, str] = {}
    for position in positions:
        if position.part_id is not None:
            first_at.setdefault(position.part_id, position.id)
    called_for = {*first_at, assembly.part_id} - {None}
    notes, unlisted = _cautions_about(session, principal, assembly, called_for)
    of_assembly = [note for note in notes if _bears_on_all(note, assembly)]
    told = _merged(assembly.cautions, of_assembly)
    return (
        replace(assembly, cautions=(*told, *_unlisted(unlisted))),
        tuple(
            replace(
                position,
                cautions=_merged(position.cautions, _bearing_on(position, notes, first_at)),
            )
            for position in positions
        ),
    )


def with_own_cautions(session: Session, positions: Sequence[Position]) -> tuple[Position, ...]:
    """Return positions with the cautions that are recorded about them, whatever their assembly."""
    table = tables.cautions
    ids = [position.id for position in positions]
    statement = select(table).where(table.c.position_id.in_(ids)).order_by(table.c.id)
    notes = [stored.record for stored in load(session, CAUTIONS, statement)]
    return tuple(
        replace(position, cautions=_merged(position.cautions, _bearing_on(position, notes, {})))
        for position in positions
    )


def _unlisted(count: int) -> tuple[Caution, ...]:
    if not count:
        return ()
    cautions, are = ("caution", "is") if count == 1 else ("cautions", "are")
    text = (
        f"{count} more {cautions} by other shops about parts called for here {are} not listed: "
        "read the cautions of the parts themselves."
    )
    return (Caution(CautionKind.HAZARD, text),)


def _bears_on_all(note: CautionNote, assembly: Assembly) -> bool:
    if note.part_id is not None:
        return note.part_id == assembly.part_id
    return note.position_id is None


def _bearing_on(
    position: Position, notes: Sequence[CautionNote], first_at: Mapping[str, str]
) -> list[CautionNote]:
    return [
        note
        for note in notes
        if note.position_id == position.id
        or (note.part_id is not None and first_at.get(note.part_id) == position.id)
    ]


def _merged(own: tuple[Caution, ...], notes: Sequence[CautionNote]) -> tuple[Caution, ...]:
    recorded = (Caution(note.kind, note.text) for note in notes)
    return tuple(dict.fromkeys((*own, *recorded)))


def _cautions_about(
    session: Session, principal: Principal, assembly: Assembly, part_ids: Collection[str | None]
) -> tuple[list[CautionNote], int]:
    """Return the cautions on an assembly, what is in it, and parts, by id; and how many more."""
    table = tables.cautions
    of_parts, is_own = table.c.part_id.in_(part_ids), table.c.author_shop_id == principal.shop_id
    about = [table.c.assembly_id == assembly.id, and_(of_parts, is_own)]
    about += [
        column.in_(select(inside.c.id).where(inside.c.assembly_id == assembly.id))
        for column, inside in (
            (table.c.position_id, tables.positions),
            (table.c.labour_operation_id, tables.labour_operations),
            (table.c.special_tool_id, special_tools),
        )
    ]
    # One search for each: an OR over several columns would leave their indexes unused.
    ids = union_all(*(select(table.c.id).where(condition) for condition in about))
    by_others, unlisted = _cautions_by_others(session, and_(of_parts, not_(is_own)))
    wanted = or_(table.c.id.in_(ids), table.c.id.in_(by_others))
    found = load(session, CAUTIONS, select(table).where(wanted).order_by(table.c.id))
    return [stored.record for stored in found], unlisted


def _cautions_by_others(
    session: Session, condition: ColumnElement[bool]
) -> tuple[Sequence[str], int]:
    """Return the ids of the cautions that are listed, and how many are not: a part may have any."""
    table = tables.cautions
    is_hazard = case((table.c.kind == CautionKind.HAZARD.value, 0), else_=1)
    listed = (
        session.execute(
            select(table.c.id)
            .where(condition)
            .order_by(is_hazard, table.c.id)
            .limit(MOST_CAUTIONS_BY_OTHERS)
        )
        .scalars()
        .all()
    )
    if len(listed) < MOST_CAUTIONS_BY_OTHERS:
        return listed, 0
    count = select(func.count()).select_from(table).where(condition)
    return listed, session.execute(count).scalar_one() - len(listed)


# --- changes ---------------------------------------------------------------------------------


def _check_position_change(
    session: Session, principal: Principal, before: Position, after: Position
) -> None:
    """Keep to what is on record: no piece of the position is taken away that it speaks of."""
    if after.quantity >= before.quantity:
        return
    check_pieces_of_terms(session, after)
    for table, word in _SPEAK_OF_PIECES:
        beyond = select(func.max(table.c.piece)).where(
            table.c.position_id == after.id, table.c.piece > after.quantity
        )
        own = session.execute(beyond.where(table.c.shop_id == principal.shop_id)).scalar()
        if own is not None:
            raise InvalidInput(
                "/quantity",
                f"quantity is {after.quantity}; a {word} speaks of piece {own}.",
                f"Give quantity of {own} or more.",
                "out-of-range",
            )
        if session.execute(beyond).scalar() is not None:
            raise InvalidInput(
                "/quantity",
                f"quantity is {after.quantity}; records of other shops speak of more pieces.",
                f"Give quantity of {before.quantity} or more.",
                "out-of-range",
            )


def _check_characteristic_change(
    session: Session, principal: Principal, before: Characteristic, after: Characteristic
) -> None:
    """Keep to what findings and shims say of it, and to what is derived from it."""
    check_still_set(session, after)
    check_characteristic_change(session, principal, before, after)


# --- rulings ---------------------------------------------------------------------------------


def _check_ruling(session: Session, principal: Principal, ruling: ServiceabilityRuling) -> None:
    own_position(session, principal, ruling.position_id, "/position_id")


def _ruling_version(session: Session, principal: Principal, ruling: ServiceabilityRuling) -> int:
    rulings = tables.serviceability_rulings
    count = session.execute(
        select(func.count()).where(rulings.c.position_id == ruling.position_id)
    ).scalar_one()
    return count + 1


def _touch_position(
    session: Session, principal: Principal, ruling: ServiceabilityRuling
) -> tuple[Touched, ...]:
    """Count the position's version up: what is read of it has changed."""
    table = tables.positions
    session.execute(
        update(table)
        .where(table.c.id == ruling.position_id)
        .values(version=table.c.version + 1, updated_at=now())
    )
    return (Touched(POSITIONS.word, ruling.position_id),)


def _first_ruling(
    session: Session, principal: Principal, position: Position
) -> tuple[Touched, ...]:
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
    return (Touched(RULINGS.word, ruling.id),)


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
    keys=lambda position: {"reference_key": reference_key(position.reference)},
    check=_check_position,
    check_change=_check_position_change,
    fixed={
        "assembly_id": _NEW_ONE,
        "serviceability": "Record a ruling on the position: POST /v1/serviceability-rulings.",
    },
    after=_first_ruling,
    owns=((tables.serviceability_rulings, "position_id"),),
)
RULINGS: Final = Mapped(
    ServiceabilityRuling,
    "serviceability-ruling",
    tables.serviceability_rulings,
    filters=("position_id",),
    check=_check_ruling,
    is_kept=True,
    version=_ruling_version,
    after=_touch_position,
)
ACCESS_GROUPS: Final = Mapped(
    AccessGroup,
    "access-group",
    tables.access_groups,
    filters=("assembly_id", "outer_group_id"),
    check=_check_access_group,
    fixed={"assembly_id": _NEW_ONE},
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
    fixed={"assembly_id": _NEW_ONE},
)
OPERATIONS: Final = Mapped(
    LabourOperation,
    "labour-operation",
    tables.labour_operations,
    filters=("assembly_id", "kind", "position_id", "access_group_id"),
    check=_check_operation,
    fixed={"assembly_id": _NEW_ONE},
)
CHARACTERISTICS: Final = Mapped(
    Characteristic,
    "characteristic",
    tables.characteristics,
    filters=("position_id",),
    children=(Children("derivation.terms", tables.characteristic_terms, "derived_id"),),
    check=_check_characteristic,
    check_change=_check_characteristic_change,
    fixed={"position_id": _NEW_ONE},
)
CAUTIONS: Final = Mapped(
    CautionNote,
    "caution",
    tables.cautions,
    filters=("kind", *tables.CAUTION_BEARERS),
    check=_check_caution,
)
MAPPED: Final[tuple[Mapped[Any], ...]] = (
    ASSEMBLIES,
    POSITIONS,
    RULINGS,
    ACCESS_GROUPS,
    POSITION_SETS,
    OPERATIONS,
    CHARACTERISTICS,
    CAUTIONS,
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
