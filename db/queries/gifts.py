"""What donors of other assemblies could give: positions whose part may take a place here."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from db.models.assemblies import characteristics, positions
from db.models.condition import findings, units
from db.queries import store
from db.queries.access import Principal
from db.queries.assemblies import CHARACTERISTICS, POSITIONS, with_own_cautions
from db.queries.condition import FINDINGS, UNITS
from db.queries.mapping import in_steps, load
from shared.assemblies.model import Characteristic, Position
from shared.condition.model import Finding, Unit, UnitKind
from shared.salvage.model import DonorGift

MOST_POSITIONS: Final = 500
"""Positions of other assemblies that one plan looks at."""
MOST_DONORS: Final = 200
"""Donors of other assemblies that one plan looks at, the newest on record."""
MOST_GIFTS: Final = 1_000


@dataclass(frozen=True, slots=True)
class Afar:
    """Donors of other assemblies, what they could give, and what is known of that."""

    units: tuple[Unit, ...] = ()
    gifts: tuple[DonorGift, ...] = ()
    characteristics: tuple[Characteristic, ...] = ()
    findings: tuple[Finding, ...] = ()


def donors_with(
    session: Session,
    principal: Principal,
    assembly_id: str,
    part_ids: Collection[str],
) -> tuple[tuple[Unit, ...], tuple[Position, ...]]:
    """Return donors and stock units of other assemblies, and their positions with some part."""
    found = _positions(session, principal, assembly_id, part_ids)
    assembly_ids = sorted({position.assembly_id for position in found})
    if not assembly_ids:
        return (), ()
    statement = (
        _donors(store.visible(UNITS, principal), assembly_id)
        .where(units.c.assembly_id.in_(assembly_ids))
        .order_by(units.c.id.desc())
        .limit(MOST_DONORS)
    )
    donors = sorted((one.record for one in load(session, UNITS, statement)), key=lambda u: u.id)
    return tuple(donors), with_own_cautions(session, found)


def gifts_of(
    session: Session,
    principal: Principal,
    donors: Sequence[Unit],
    found: Sequence[Position],
    here: Iterable[Position],
    by_part: Mapping[str, frozenset[str]],
) -> Afar:
    """Return what some donors could give to positions here, as far as their part numbers tell.

    ``by_part``: by part called for the parts that may lead to one in its place.
    """
    inner = _inner(session, {position.assembly_id for position in found})
    of_assembly = defaultdict(list)
    for position in found:
        of_assembly[position.assembly_id].append(position)
    places = [(place, by_part.get(place.part_id or "", frozenset())) for place in here]
    gifts = [
        DonorGift(donor.id, position, place.id, inner.get(position.id, ()))
        for donor in donors
        for position in of_assembly[donor.assembly_id]
        for place, taken in places
        if position.part_id in taken
    ][:MOST_GIFTS]
    giving = {gift.unit_id for gift in gifts}
    given = sorted({gift.position.id for gift in gifts})
    return Afar(
        tuple(donor for donor in donors if donor.id in giving),
        tuple(gifts),
        tuple(
            stored.record
            for stored in load(
                session,
                CHARACTERISTICS,
                select(characteristics)
                .where(characteristics.c.position_id.in_(given))
                .order_by(characteristics.c.id),
            )
        ),
        _findings(session, principal, sorted(giving), given),
    )


def _donors(statement: Select[Any], assembly_id: str) -> Select[Any]:
    gives = [UnitKind.DONOR.value, UnitKind.STOCK.value]
    return statement.where(units.c.kind.in_(gives), units.c.assembly_id != assembly_id)


def _positions(
    session: Session, principal: Principal, assembly_id: str, part_ids: Collection[str]
) -> tuple[Position, ...]:
    own = select(units.c.assembly_id).where(units.c.shop_id == principal.shop_id)
    found: list[Position] = []
    for some in in_steps(sorted(part_ids)):
        statement = (
            select(positions)
            .where(
                positions.c.part_id.in_(some),
                positions.c.assembly_id.in_(_donors(own, assembly_id)),
            )
            .order_by(positions.c.id)
            .limit(MOST_POSITIONS)
        )
        found += [stored.record for stored in load(session, POSITIONS, statement)]
    return tuple(found[:MOST_POSITIONS])


def _inner(session: Session, assembly_ids: Collection[str]) -> dict[str, tuple[str, ...]]:
    """Return by position what lies inside it, at any depth, by rising id."""
    statement = (
        select(positions.c.id, positions.c.parent_id)
        .where(positions.c.assembly_id.in_(sorted(assembly_ids)))
        .order_by(positions.c.id)
    )
    parents = {row.id: row.parent_id for row in session.execute(statement)}
    inner: dict[str, list[str]] = defaultdict(list)
    for position_id, outer in parents.items():
        holder = outer
        while holder is not None:
            inner[holder].append(position_id)
            holder = parents[holder]
    return {holder: tuple(ids) for holder, ids in inner.items()}


def _findings(
    session: Session, principal: Principal, unit_ids: Sequence[str], position_ids: Sequence[str]
) -> tuple[Finding, ...]:
    table = findings
    statement = (
        store.visible(FINDINGS, principal)
        .where(table.c.unit_id.in_(unit_ids), table.c.position_id.in_(position_ids))
        .order_by(table.c.id)
    )
    return tuple(stored.record for stored in load(session, FINDINGS, statement))
