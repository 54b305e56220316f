"""Which parts of the catalogue may fill the positions of one job.

The parts called for; those that a claim lets stand in for them (one step); those of equal generic
designation and the kits that hold any of them, as far as this shop has an offer for them: what
nobody offers can be no source, and a catalogue may hold thousands.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Column, select
from sqlalchemy.orm import Session

from db.models.interchange import interchange_claims, kit_lines, parts
from db.models.sourcing import offers
from db.queries.access import Principal
from db.queries.interchange import CLAIMS, PARTS
from db.queries.mapping import in_steps, load
from shared.interchange.model import InterchangeClaim, Part


@dataclass(frozen=True, slots=True)
class Reach:
    """Parts and claims by rising id; ``sourced_ids`` are the parts whose offers count.

    ``parts`` holds besides them what the kits contain.
    """

    parts: tuple[Part, ...]
    claims: tuple[InterchangeClaim, ...]
    sourced_ids: tuple[str, ...]


def reachable(session: Session, principal: Principal, called_for: Sequence[str]) -> Reach:
    """Return what may take the places of the parts called for."""
    claims = _claims(session, called_for)
    reached = {*called_for, *(claim.stand_in_part_id for claim in claims)}
    reached |= _equals(session, principal, reached)
    reached |= _kits(session, principal, reached)
    contents = _where(session, kit_lines.c.part_id, kit_lines.c.kit_id, reached)
    return Reach(_parts(session, reached | contents), claims, tuple(sorted(reached)))


def _claims(session: Session, called_for: Sequence[str]) -> tuple[InterchangeClaim, ...]:
    return tuple(
        stored.record
        for some in in_steps(called_for)
        for stored in load(
            session,
            CLAIMS,
            select(interchange_claims)
            .where(interchange_claims.c.part_id.in_(some))
            .order_by(interchange_claims.c.id),
        )
    )


def _equals(session: Session, principal: Principal, reached: set[str]) -> set[str]:
    """Return the offered parts whose generic designation is that of a part reached."""
    keys = _where(session, parts.c.designation_key, parts.c.id, reached) - {None}
    return _offered(session, principal, parts.c.id, parts.c.designation_key, keys)


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
    own = (
        select(offers.c.part_id)
        .where(offers.c.shop_id == principal.shop_id, offers.c.part_id.is_not(None))
        .scalar_subquery()
    )
    return _where(session, wanted, column, values, wanted.in_(own))


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
