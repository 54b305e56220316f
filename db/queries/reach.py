"""Which parts of the catalogue may fill the positions of one job.

The parts called for; those that a claim lets stand in for them (one step); those of equal generic
designation and the kits that hold any of them, as far as this shop has an offer for them: what
nobody offers can be no source, and a catalogue may hold thousands.

Every shop writes in the catalogue. What another one claims, well or badly, is no reason for this
shop to be without an answer: it counts only where this shop could buy the part, in this shop's
currency and within measure, and what is left out is counted. What a kit inside a kit holds does not
matter here.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import ROUND_FLOOR, Decimal
from typing import Any, Final

from sqlalchemy import Column, ColumnElement, Select, and_, func, or_, select
from sqlalchemy.orm import Session

from db.models.interchange import interchange_claims, kit_lines, parts
from db.models.sourcing import offers
from db.queries.access import Principal
from db.queries.interchange import CLAIMS, PARTS
from db.queries.mapping import in_steps, load
from shared.interchange.equals import equal_by_designation
from shared.interchange.model import InterchangeClaim, Part

MOST_OF_A_PAIR: Final = 10
"""Claims by other shops on the same two parts that are read; the others add nothing."""
MOST_BY_OTHERS: Final = 1_000
"""Claims by other shops that one plan takes in."""
MOST_REWORK_HOURS: Final = 1_000
"""Hours of rework at one position that another shop's claim may ask for."""
MOST_REWORK_MINOR: Final = 10**9
"""Cost of rework at one position that another shop's claim may ask for, in minor units."""


@dataclass(frozen=True, slots=True)
class Reach:
    """Parts and claims by rising id; ``sourced_ids`` are the parts whose offers count.

    ``parts`` holds besides them what the kits contain, as single parts. ``claims_left_out`` counts
    claims by other shops on parts that this shop could buy, which it cannot reckon with.
    """

    parts: tuple[Part, ...]
    claims: tuple[InterchangeClaim, ...]
    sourced_ids: tuple[str, ...]
    claims_left_out: int


def reachable(
    session: Session, principal: Principal, called_for: Mapping[str, int], currency: str
) -> Reach:
    """Return what may take the places of the parts called for.

    ``called_for``: by part id the most pieces that one position holds. ``currency`` is that of the
    shop's settings.
    """
    claims = _own_claims(session, principal, called_for)
    others, left_out = _claims_of_others(session, principal, called_for, currency)
    claims = tuple(sorted((*claims, *others), key=lambda claim: claim.id))
    reached = {*called_for, *(claim.stand_in_part_id for claim in claims)}
    reached |= _equals(session, principal, reached)
    reached |= _kits(session, principal, reached)
    contents = _where(session, kit_lines.c.part_id, kit_lines.c.kit_id, reached)
    found = tuple(
        part if part.id in reached else replace(part, kit_lines=())
        for part in _parts(session, reached | contents)
    )
    return Reach(found, claims, tuple(sorted(reached)), left_out)


# --- claims ----------------------------------------------------------------------------------


def _own_claims(
    session: Session, principal: Principal, called_for: Iterable[str]
) -> tuple[InterchangeClaim, ...]:
    table = interchange_claims
    is_own = table.c.author_shop_id == principal.shop_id
    return tuple(
        stored.record
        for some in in_steps(sorted(called_for))
        for stored in load(session, CLAIMS, select(table).where(table.c.part_id.in_(some), is_own))
    )


def _claims_of_others(
    session: Session, principal: Principal, called_for: Mapping[str, int], currency: str
) -> tuple[list[InterchangeClaim], int]:
    """Return the claims by other shops that can be reckoned with, and how many cannot.

    Neither their number nor what they say can make the answer slow or impossible.
    """
    table = interchange_claims
    if not called_for:
        return [], 0
    is_of_use = and_(
        table.c.part_id.in_(sorted(called_for)),
        table.c.author_shop_id != principal.shop_id,
        table.c.stand_in_part_id.in_(_within_own_offers(principal)),
    )
    place = func.row_number().over(
        partition_by=(table.c.part_id, table.c.stand_in_part_id), order_by=table.c.id
    )
    ranked = (
        select(table.c.id, place.label("place"))
        .where(is_of_use, _is_within_measure(called_for, currency))
        .subquery()
    )
    first = (
        select(ranked.c.id)
        .where(ranked.c.place <= MOST_OF_A_PAIR)
        .order_by(ranked.c.id)
        .limit(MOST_BY_OTHERS)
    )
    found = load(session, CLAIMS, select(table).where(table.c.id.in_(first)))
    count = session.execute(select(func.count()).select_from(table).where(is_of_use)).scalar_one()
    return [stored.record for stored in found], count - len(found)


def _within_own_offers(principal: Principal) -> Select[Any]:
    """Return the select of the parts that the shop can buy: singly, or in a kit."""
    own = _own_offers(principal)
    in_a_kit = select(kit_lines.c.part_id).where(kit_lines.c.kit_id.in_(own))
    return select(parts.c.id).where(or_(parts.c.id.in_(own), parts.c.id.in_(in_a_kit)))


def _is_within_measure(called_for: Mapping[str, int], currency: str) -> ColumnElement[bool]:
    """Return the condition that the rework of all pieces can be planned with, in the currency."""
    table = interchange_claims
    ids_by_pieces: dict[int, list[str]] = {}
    for part_id, pieces in sorted(called_for.items()):
        ids_by_pieces.setdefault(pieces, []).append(part_id)
    is_small = (
        and_(
            table.c.part_id.in_(ids),
            table.c.rework_p90_hours <= _share(MOST_REWORK_HOURS, pieces),
            or_(
                table.c.rework_cost_minor.is_(None),
                table.c.rework_cost_minor <= MOST_REWORK_MINOR // pieces,
            ),
        )
        for pieces, ids in ids_by_pieces.items()
    )
    is_in_currency = or_(
        table.c.rework_cost_currency.is_(None), table.c.rework_cost_currency == currency
    )
    return and_(is_in_currency, or_(*is_small))


def _share(whole: int, pieces: int) -> Decimal:
    return (Decimal(whole) / pieces).quantize(Decimal("0.000001"), ROUND_FLOOR)


# --- parts -----------------------------------------------------------------------------------


def _equals(session: Session, principal: Principal, reached: set[str]) -> set[str]:
    """Return the offered parts of the size that the designation of a part reached names.

    The key is coarse (all screws of one thread): whoever shares it is compared by its name.
    """
    designation = parts.c.generic_designation
    wanted = _pairs(session, parts.c.designation_key, parts.c.id, reached, designation.is_not(None))
    names = {name for _, name in wanted}
    is_offered = parts.c.id.in_(_own_offers(principal))
    alike = _pairs(
        session, parts.c.id, parts.c.designation_key, {key for key, _ in wanted}, is_offered
    )
    return {
        part_id
        for part_id, offered in alike
        if any(equal_by_designation(name, offered) is not None for name in names)
    }


def _pairs(
    session: Session, wanted: Column[Any], column: Column[Any], values: Iterable[str], *more: Any
) -> list[tuple[str, str]]:
    """Return a column and the generic designation of the parts where another is among some."""
    return [
        (first, designation)
        for some in in_steps(sorted(values))
        for first, designation in session.execute(
            select(wanted, parts.c.generic_designation).where(column.in_(some), *more)
        )
    ]


def _kits(session: Session, principal: Principal, reached: set[str]) -> set[str]:
    """Return the offered kits that hold a part reached."""
    return _offered(session, principal, kit_lines.c.kit_id, kit_lines.c.part_id, reached)


def _offered(
    session: Session,
    principal: Principal,
    wanted: Column[Any],
    column: Column[Any],
    values: Iterable[str],
) -> set[str]:
    return _where(session, wanted, column, values, wanted.in_(_own_offers(principal)))


def _own_offers(principal: Principal) -> Select[Any]:
    return select(offers.c.part_id).where(
        offers.c.shop_id == principal.shop_id, offers.c.part_id.is_not(None)
    )


def _where(
    session: Session, wanted: Column[Any], column: Column[Any], values: Iterable[str], *more: Any
) -> set[str]:
    """Return the different values of one column where another is among some."""
    return {
        value
        for some in in_steps(sorted(values))
        for value in session.execute(
            select(wanted).distinct().where(column.in_(some), *more)
        ).scalars()
    }


def _parts(session: Session, part_ids: set[str]) -> tuple[Part, ...]:
    return tuple(
        stored.record
        for some in in_steps(sorted(part_ids))
        for stored in load(
            session, PARTS, select(parts).where(parts.c.id.in_(some)).order_by(parts.c.id)
        )
    )
