"""Slices of the catalogue for a look-up: what may take a part's place, and its newest numbers."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any, Final, TypeVar

from sqlalchemy import Select, and_, case, func, or_, select
from sqlalchemy.orm import Session

from db.models.fasteners import stock_items
from db.models.interchange import (
    parts,
    supersession_later_lines,
    supersessions,
)
from db.models.salvage import fitments, reservations, salvaged_parts
from db.models.sourcing import offers
from db.queries import access
from db.queries.access import Principal
from db.queries.interchange import CLAIMS, PARTS, SUPERSESSIONS
from db.queries.interchange_edges import Edge, Kind, walked
from db.queries.mapping import Mapped, in_steps, load
from db.queries.shop_settings import newest_settings
from shared.evidence import EvidenceKind
from shared.interchange.found import Catalogue
from shared.interchange.model import (
    FitmentCount,
    FitmentResult,
    InterchangeClaim,
    Part,
    Supersession,
)
from shared.interchange.rules import InterchangeRules
from shared.interchange.supersession import MOST_RECORDS
from shared.salvage.model import ReservationState, SalvagedPartState

T = TypeVar("T")

MOST_STEPS: Final = 1_000
"""Steps that one look-up reads: their records are read too, and shown."""


def catalogue_slice(
    session: Session,
    principal: Principal,
    part_ids: Collection[str],
    rules: InterchangeRules,
    accepted: Sequence[EvidenceKind],
) -> Catalogue:
    """Return what may take the places of some parts within the steps that the rules allow.

    Parts that a designation's size alone brings in are those that the shop deals in and a number of
    others; at most 1,000 steps are read, of claims by other shops those on what the shop deals in
    first. What is left out is counted.
    """
    walk = walked(session, principal, part_ids, rules.most_steps, most_edges=MOST_STEPS)
    claims = claims_of(session, walk.edges)
    successions = supersessions_of(session, walk.edges)
    return Catalogue(
        parts_named(session, walk.part_ids, claims, successions),
        claims,
        successions,
        fitment_counts(session, principal, claims, _warranty_hours(session, principal)),
        rules,
        tuple(accepted),
        walk.left_out,
    )


def _warranty_hours(session: Session, principal: Principal) -> Decimal | None:
    settings = newest_settings(session, principal)
    return None if settings is None else settings.warranty.warranty_hours


# --- records ---------------------------------------------------------------------------------


def claims_of(session: Session, edges: Iterable[Edge]) -> tuple[InterchangeClaim, ...]:
    """Return the claims that steps stand on, or that forbid some, by rising id."""
    kinds = (Kind.DENIAL, Kind.OWN_CLAIM, Kind.CLAIM)
    return records_by_id(session, CLAIMS, {edge.record_id for edge in edges if edge.kind in kinds})


def supersessions_of(session: Session, edges: Iterable[Edge]) -> tuple[Supersession, ...]:
    """Return the supersessions that steps stand on, by rising id."""
    ids = {edge.record_id for edge in edges if edge.is_supersession}
    return records_by_id(session, SUPERSESSIONS, ids)


def parts_named(
    session: Session,
    part_ids: Iterable[str],
    claims: Iterable[InterchangeClaim],
    successions: Iterable[Supersession],
) -> tuple[Part, ...]:
    """Return some parts and all that records name, by rising id."""
    wanted = set(part_ids)
    for claim in claims:
        wanted |= {claim.part_id, claim.stand_in_part_id}
        wanted |= {line.part_id for line in claim.companion_lines}
    for one in successions:
        wanted.add(one.earlier_part_id)
        wanted |= {line.part_id for line in (*one.later_lines, *one.companion_lines)}
    return records_by_id(session, PARTS, wanted)


def records_by_id(session: Session, mapped: Mapped[T], ids: Iterable[str]) -> tuple[T, ...]:
    """Return those of some records that there are, by rising id."""
    table = mapped.table
    return tuple(
        stored.record
        for some in in_steps(sorted(ids))
        for stored in load(
            session, mapped, select(table).where(table.c.id.in_(some)).order_by(table.c.id)
        )
    )


# --- experience ------------------------------------------------------------------------------


def fitment_counts(
    session: Session,
    principal: Principal,
    claims: Sequence[InterchangeClaim],
    warranty_hours: Decimal | None,
) -> tuple[FitmentCount, ...]:
    """Return how this shop's fitments that tried some claims turned out, by rising id of these.

    One that failed counts against the claim, unless it is known to have outlived the warranty
    (running hours; None: no warranty is stated, so none is known to).
    """
    counts: list[FitmentCount] = []
    for some in in_steps([claim.id for claim in claims]):
        for row in session.execute(_counted(principal, some, warranty_hours)):
            counts.append(FitmentCount(row.claim_id, row.served, row.against, row.running))
    return tuple(counts)


def _counted(
    principal: Principal, claim_ids: Sequence[str], warranty_hours: Decimal | None
) -> Select[Any]:
    table = fitments
    failed = table.c.result == FitmentResult.FAILED.value
    outlived = table.c.result == FitmentResult.RAN_OUT_THE_WARRANTY.value
    misfits = table.c.result == FitmentResult.DID_NOT_FIT.value
    against = or_(misfits, failed)
    if warranty_hours is not None:
        is_late = and_(table.c.hours_run.is_not(None), table.c.hours_run > warranty_hours)
        outlived = or_(outlived, and_(failed, is_late))
        against = or_(misfits, and_(failed, ~is_late))
    runs = table.c.result == FitmentResult.RUNNING.value
    return (
        select(
            table.c.claim_id,
            *(
                func.sum(case((condition, 1), else_=0)).label(name)
                for name, condition in (("served", outlived), ("against", against),
                                        ("running", runs))
            ),
        )
        .where(table.c.shop_id == principal.shop_id, table.c.claim_id.in_(claim_ids))
        .group_by(table.c.claim_id)
        .order_by(table.c.claim_id)
    )  # fmt: skip


# --- what is there to be had -------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class AtHand:
    """What this shop has of a part: pieces on the shelf that nobody holds, in stock; offers."""

    shelved: int = 0
    stock: int = 0
    offers: int = 0


def at_hand(
    session: Session, principal: Principal, part_ids: Collection[str], today: date
) -> dict[str, AtHand]:
    """Return by part what this shop has of it at this moment, and its offers that hold today."""
    found = {part_id: AtHand() for part_id in part_ids}
    for some in in_steps(sorted(part_ids)):
        for name, statement in (
            ("shelved", _shelved(principal)),
            ("stock", _stocked(principal)),
            ("offers", _offered(principal, today)),
        ):
            part_id = statement.selected_columns[0]
            grouped = statement.where(part_id.in_(some)).group_by(part_id)
            for one, count in session.execute(grouped):
                found[one] = replace(found[one], **{name: int(count)})
    return found


def _shelved(principal: Principal) -> Select[Any]:
    table = salvaged_parts
    held = select(reservations.c.salvaged_part_id).where(
        reservations.c.shop_id == principal.shop_id,
        reservations.c.state == ReservationState.HELD.value,
        reservations.c.expires_at > access.now(),
    )
    return select(table.c.part_id, func.count()).where(
        table.c.shop_id == principal.shop_id,
        table.c.state == SalvagedPartState.SHELVED.value,
        table.c.id.not_in(held),
    )


def _stocked(principal: Principal) -> Select[Any]:
    table = stock_items
    return select(table.c.part_id, func.sum(table.c.quantity)).where(
        table.c.shop_id == principal.shop_id
    )


def _offered(principal: Principal, today: date) -> Select[Any]:
    table = offers
    return select(table.c.part_id, func.count()).where(
        table.c.shop_id == principal.shop_id,
        or_(table.c.valid_from.is_(None), table.c.valid_from <= today),
        or_(table.c.valid_until.is_(None), table.c.valid_until >= today),
    )


# --- the newest numbers ------------------------------------------------------------------------


def newest_slice(
    session: Session, principal: Principal, part_id: str, today: date
) -> tuple[tuple[Supersession, ...], frozenset[str], frozenset[str]]:
    """Return the supersessions that lead on from a part, or back to it, and what can be had.

    Those that lead back come with all that speak of the same earlier part. At most some 2,000 are
    read. Second: the ids of those parts named for which this shop has an offer that holds today, or
    a piece on the shelf. Third: of those of which not all supersessions were read.
    """
    lines = supersession_later_lines
    start = select(parts.c.id.label("id")).where(parts.c.id == part_id)
    chain = start.cte("chain", recursive=True)
    chain = chain.union(select(lines.c.part_id).where(lines.c.earlier_part_id == chain.c.id))
    chained = {part_id, *session.execute(select(chain.c.id).limit(MOST_RECORDS)).scalars()}
    back = (
        select(lines.c.earlier_part_id)
        .join(supersessions, supersessions.c.id == lines.c.supersession_id)
        .where(lines.c.part_id == part_id, supersessions.c.may_go_back)
        .order_by(lines.c.supersession_id)
        .limit(MOST_RECORDS)
    )
    earlier = chained | set(session.execute(back).scalars())
    own, own_cut = _of_earlier(session, [part_id])
    others, cut = _of_earlier(session, sorted(earlier - {part_id}))
    records = tuple(sorted((*own, *others), key=lambda one: one.id))
    led_on = (one for one in records if one.earlier_part_id in chained)
    later = {line.part_id for one in led_on for line in one.later_lines}
    unread = frozenset(own_cut | cut | (later - chained))
    named = {part_id} | {
        line.part_id for one in records for line in (*one.later_lines, *one.companion_lines)
    }
    named |= {one.earlier_part_id for one in records}
    having = at_hand(session, principal, named, today)
    orderable = {one for one, what in having.items() if what.offers or what.shelved or what.stock}
    return records, frozenset(orderable), unread


def _of_earlier(
    session: Session, earlier_ids: Sequence[str]
) -> tuple[list[Supersession], set[str]]:
    """Return the supersessions of some parts, and the parts of which not all were read."""
    table = supersessions
    found: list[Supersession] = []
    cut: set[str] = set()
    for some in in_steps(earlier_ids):
        statement = (
            select(table)
            .where(table.c.earlier_part_id.in_(some))
            .order_by(table.c.earlier_part_id, table.c.id)
            .limit(2 * MOST_RECORDS + 1)
        )
        read = [stored.record for stored in load(session, SUPERSESSIONS, statement)]
        if len(read) > 2 * MOST_RECORDS:
            # Of two rules that rival each other one alone would be taken for sure.
            last = read[-1].earlier_part_id
            cut |= {one for one in some if one >= last}
        found += [one for one in read if one.earlier_part_id not in cut]
    return found, cut
