"""What donors of other assemblies could give: positions whose part may take a place here."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from db.models.assemblies import characteristics, position_set_members, positions
from db.models.condition import findings, units
from db.queries import store
from db.queries.access import Principal
from db.queries.assemblies import CHARACTERISTICS, POSITIONS, with_own_cautions
from db.queries.condition import FINDINGS, UNITS
from db.queries.mapping import in_steps, load
from shared.assemblies.model import Characteristic, Position, SetKind
from shared.condition.model import Finding, Unit, UnitKind
from shared.salvage.model import DonorGift

MOST_POSITIONS: Final = 500
"""Positions of other assemblies that one plan looks at."""
MOST_DONORS: Final = 200
"""Donors of other assemblies that one plan looks at, the newest on record."""
MOST_GIFTS: Final = 1_000
"""Positions of donors, each for a position here, that one plan takes in."""


@dataclass(frozen=True, slots=True)
class Afar:
    """Donors of other assemblies, what they could give, and what is known of that.

    ``left_out`` counts donors, positions and gifts beyond the number that one plan looks at, each
    such number at least by 1.
    """

    units: tuple[Unit, ...] = ()
    gifts: tuple[DonorGift, ...] = ()
    characteristics: tuple[Characteristic, ...] = ()
    findings: tuple[Finding, ...] = ()
    left_out: int = 0


@dataclass(frozen=True, slots=True)
class DonorsWith:
    """Donors and stock units of other assemblies, and their positions with some part."""

    units: tuple[Unit, ...] = ()
    positions: tuple[Position, ...] = ()
    left_out: int = 0


def donors_with(
    session: Session,
    principal: Principal,
    assembly_id: str,
    part_ids: Collection[str],
) -> DonorsWith:
    """Return the units of other assemblies that may have some parts."""
    found = _positions(session, principal, assembly_id, part_ids)
    kept = found[:MOST_POSITIONS]
    assembly_ids = sorted({position.assembly_id for position in kept})
    if not assembly_ids:
        return DonorsWith()
    statement = (
        _donors(store.visible(UNITS, principal), assembly_id)
        .where(units.c.assembly_id.in_(assembly_ids))
        .order_by(units.c.id.desc())
        .limit(MOST_DONORS + 1)
    )
    donors = [one.record for one in load(session, UNITS, statement)]
    return DonorsWith(
        tuple(sorted(donors[:MOST_DONORS], key=lambda unit: unit.id)),
        with_own_cautions(session, kept),
        len(found) - len(kept) + len(donors[MOST_DONORS:]),
    )


def gifts_of(
    session: Session,
    principal: Principal,
    found: DonorsWith,
    here: Iterable[Position],
    by_part: Mapping[str, frozenset[str]],
) -> Afar:
    """Return what some donors could give to positions here, as far as their part numbers tell.

    ``by_part``: by part called for the parts that may lead to one in its place.
    """
    if not found.units:
        return Afar(left_out=found.left_out)
    every = _gifts(session, found, here, by_part)
    gifts = every[:MOST_GIFTS]
    giving = {gift.unit_id for gift in gifts}
    given = sorted({gift.position.id for gift in gifts})
    of_given = select(characteristics).where(characteristics.c.position_id.in_(given))
    known = load(session, CHARACTERISTICS, of_given.order_by(characteristics.c.id))
    return Afar(
        tuple(donor for donor in found.units if donor.id in giving),
        tuple(gifts),
        tuple(stored.record for stored in known),
        _findings(session, principal, sorted(giving), given),
        found.left_out + len(every) - len(gifts),
    )


def _gifts(
    session: Session,
    found: DonorsWith,
    here: Iterable[Position],
    by_part: Mapping[str, frozenset[str]],
) -> list[DonorGift]:
    assembly_ids = {position.assembly_id for position in found.positions}
    inner = inner_positions(session, assembly_ids)
    paired = parted_from_mates(session, [position.id for position in found.positions], inner)
    of_assembly = defaultdict(list)
    for position in found.positions:
        of_assembly[position.assembly_id].append(position)
    places = [(place, by_part.get(place.part_id or "", frozenset())) for place in here]
    return [
        DonorGift(donor.id, position, place.id, inner.get(position.id, ()), position.id in paired)
        for donor in found.units
        for position in of_assembly[donor.assembly_id]
        for place, taken in places
        if position.part_id in taken
    ]


def parted_from_mates(
    session: Session, position_ids: Sequence[str], inner: Mapping[str, Sequence[str]]
) -> frozenset[str]:
    """Those of some positions that, or whose insides, are paired with what lies outside them."""
    own = {one: frozenset((one, *inner.get(one, ()))) for one in position_ids}
    every = sorted({position_id for ids in own.values() for position_id in ids})
    members = position_set_members
    mates: dict[str, frozenset[str]] = {}
    for some in in_steps(every):
        sets = select(members.c.position_set_id).where(
            members.c.position_id.in_(some), members.c.kind == SetKind.MATCHED.value
        )
        of_set = defaultdict(set)
        for row in session.execute(
            select(members.c.position_set_id, members.c.position_id).where(
                members.c.position_set_id.in_(sets)
            )
        ):
            of_set[row.position_set_id].add(row.position_id)
        for together in of_set.values():
            mates.update(dict.fromkeys(together, frozenset(together)))
    return frozenset(
        one for one, ids in own.items() if any(mates.get(each, ids) - ids for each in ids)
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
            .limit(MOST_POSITIONS + 1)
        )
        found += [stored.record for stored in load(session, POSITIONS, statement)]
    return tuple(found)


def inner_positions(session: Session, assembly_ids: Collection[str]) -> dict[str, tuple[str, ...]]:
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
