"""Where a part is called for, as a look-up needs it: the place, the shop's rules, the cautions."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from sqlalchemy import case, select
from sqlalchemy.orm import Session

from db.models import assemblies as tables
from db.models.condition import units
from db.queries import store
from db.queries.access import Principal
from db.queries.assemblies import ASSEMBLIES, CAUTIONS, POSITIONS, with_cautions
from db.queries.condition import UNITS
from db.queries.interchange import PARTS
from db.queries.interchange_walk import records_by_id
from db.queries.mapping import in_steps, load
from db.queries.references import known, position_of
from db.queries.shop_settings import newest_settings
from shared.assemblies.traits import Traits
from shared.decision.settings import Policy
from shared.errors import Conflict, InvalidInput
from shared.evidence import Caution, CautionKind, EvidenceKind
from shared.interchange.found import Place
from shared.interchange.model import Part
from shared.interchange.rules import InterchangeRules
from shared.sourcing.calendar import local_time
from shared.sourcing.model import WorkCalendar

MOST_CAUTIONS: Final = 200
"""Cautions about the parts of one answer: other shops may record any number."""


@dataclass(frozen=True, slots=True)
class ShopRules:
    """By which rules a shop looks for what may take a place; the house's while it has none.

    ``today`` is the day of the moment asked for, by the shop's calendar.
    """

    today: date
    interchange: InterchangeRules
    accepted: tuple[EvidenceKind, ...]


def rules_of(session: Session, principal: Principal, moment: datetime) -> ShopRules:
    """Return the rules by which this shop looks, at a moment."""
    settings = newest_settings(session, principal)
    if settings is None:
        today = local_time(moment, WorkCalendar()).date()
        return ShopRules(today, InterchangeRules(), Policy().accepted_evidence)
    return ShopRules(
        local_time(moment, settings.calendar).date(),
        settings.interchange,
        settings.policy.accepted_evidence,
    )


@dataclass(frozen=True, slots=True)
class Described:
    """A unit that a look-up is asked for: one on record, or what is said of it."""

    unit_id: str | None
    traits: Traits


def place_of_position(
    session: Session, principal: Principal, position_id: str, unit: Described, today: date
) -> tuple[Place, tuple[Caution, ...]]:
    """Return the place that a position is for a unit, and the cautions about it.

    Raises NotFound for an unknown position, InvalidInput ("/unit_id") for a unit that is unknown or
    of another assembly, Conflict ("state-conflict") for a position without a part on record.
    """
    position = store.read(session, principal, POSITIONS, position_id).record
    if position.part_id is None:
        raise Conflict(
            "state-conflict",
            f"No part is on record for the position '{position_id}': nothing can take its place.",
            "Give the position its part_id, or ask for the candidates of a part.",
        )
    traits, _ = _traits_of(session, principal, unit, position.assembly_id)
    assembly = store.read(session, principal, ASSEMBLIES, position.assembly_id).record
    assembly, (told,) = with_cautions(session, principal, assembly, (position,))
    cautions = tuple(dict.fromkeys((*told.cautions, *assembly.cautions)))
    return Place(position.part_id, today, position.assembly_id, position_id, traits), cautions


def place_of_part(
    session: Session,
    principal: Principal,
    part_id: str,
    unit: Described,
    today: date,
    *,
    assembly_id: str | None = None,
    position_id: str | None = None,
) -> Place:
    """Return the place where a part is called for, as far as it is said.

    Raises NotFound for an unknown part, InvalidInput for an assembly, position or unit that is
    unknown, or of another assembly than the others.
    """
    store.read(session, principal, PARTS, part_id)
    if assembly_id is not None:
        known(session, principal, tables.assemblies, assembly_id, "/assembly_id", "assembly")
    if position_id is not None:
        assembly_id = _assembly_of(session, principal, position_id, assembly_id)
    traits, assembly_id = _traits_of(session, principal, unit, assembly_id)
    return Place(part_id, today, assembly_id, position_id, traits)


def _assembly_of(
    session: Session, principal: Principal, position_id: str, assembly_id: str | None
) -> str:
    at = "/position_id"
    if assembly_id is not None:
        position_of(session, principal, position_id, assembly_id, at)
        return assembly_id
    return str(
        known(session, principal, tables.positions, position_id, at, "position")["assembly_id"]
    )


def _traits_of(
    session: Session, principal: Principal, unit: Described, assembly_id: str | None
) -> tuple[Traits, str | None]:
    """Return what tells the unit apart, and its assembly: the one said, if none is on record."""
    if unit.unit_id is None:
        return unit.traits, assembly_id
    known(session, principal, units, unit.unit_id, "/unit_id", "unit")
    found = store.read(session, principal, UNITS, unit.unit_id).record
    if assembly_id not in (None, found.assembly_id):
        raise InvalidInput(
            "/unit_id",
            f"The unit '{unit.unit_id}' is of another assembly.",
            f"Give a unit of the assembly '{assembly_id}', or describe the unit.",
            "other-assembly",
        )
    return found.traits, found.assembly_id


def parts_by_id(session: Session, part_ids: Sequence[str]) -> dict[str, Part]:
    """Return parts by their ids; those that are not there are left out."""
    return {part.id: part for part in records_by_id(session, PARTS, part_ids)}


def cautions_of_parts(
    session: Session, principal: Principal, part_ids: Sequence[str]
) -> dict[str, tuple[Caution, ...]]:
    """Return the cautions about parts, by part: this shop's own first, then hazards, then by id.

    Of a thousand cautions about one part the first are listed; a caution says that there are more.
    """
    found: dict[str, list[Caution]] = {}
    table = tables.cautions
    is_own = case((table.c.author_shop_id == principal.shop_id, 0), else_=1)
    is_hazard = case((table.c.kind == CautionKind.HAZARD.value, 0), else_=1)
    for some in in_steps(part_ids):
        listed = (
            select(table)
            .where(table.c.part_id.in_(some))
            .order_by(is_own, is_hazard, table.c.id)
            .limit(MOST_CAUTIONS + 1)
        )
        notes = [stored.record for stored in load(session, CAUTIONS, listed)]
        for note in notes[:MOST_CAUTIONS]:
            if note.part_id is not None:
                found.setdefault(note.part_id, []).append(Caution(note.kind, note.text))
        if len(notes) > MOST_CAUTIONS:
            for part_id in some:
                found.setdefault(part_id, []).append(_MORE)
    return {part_id: tuple(dict.fromkeys(cautions)) for part_id, cautions in found.items()}


_MORE: Final = Caution(
    CautionKind.HAZARD,
    "There are more cautions about the parts of this answer than are listed: read those of the part"
    " itself.",
)
