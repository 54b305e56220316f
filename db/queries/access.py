"""Who is calling, the answers kept for repeated requests, the audit, the server's secrets."""

import hashlib
import secrets
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Final

from sqlalchemy import ColumnElement, bindparam, delete, func, insert, or_, select, update
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from db.engine import DatabaseBusy
from db.ids import new_id
from db.models.access import (
    audit_entries,
    audit_touches,
    changes,
    kept_answers,
    keys,
    server_secrets,
    shops,
)
from db.models.base import SHORT
from db.queries.insertion import insert_new
from db.types import UtcDateTime, fitting_key
from shared.errors import Conflict

ROLES: Final = ("admin", "reader")
KEPT_FOR: Final = timedelta(days=7)
_WAITED_TOO_LONG: Final = "55P03"
_SEQUENCE_LOCK: Final = 7_214_001
"""Held from a write's audit row to its commit; any number that no other lock has."""


@dataclass(frozen=True, slots=True)
class Principal:
    """A shop, the key it calls with, and what that key may do."""

    shop_id: str
    shop_name: str
    key_id: str
    role: str


@dataclass(frozen=True, slots=True)
class KeptAnswer:
    """An answer as it was first given, and the hash of the request that it answered."""

    request_hash: str
    status: int
    headers: dict[str, str]
    body: bytes


def now() -> datetime:
    """Return the moment of writing, in UTC."""
    return datetime.now(UTC)


# --- shops and keys --------------------------------------------------------------------------


def make_shop_and_key(
    session: Session, shop_name: str, role: str = "admin"
) -> tuple[Principal, str]:
    """Make a key, and its shop if there is none of that name; return it with its token.

    The token (256 random bits) is shown this once; only its SHA-256 is kept. Raises ValueError for
    a role that is none of ``ROLES`` or a blank name.
    """
    if role not in ROLES or not shop_name.strip():
        raise ValueError(f"wanted a name and one of the roles {', '.join(ROLES)}")
    shop_id, name = _shop(session, " ".join(shop_name.split()))
    key_id, token = new_id("key"), f"cw_{secrets.token_urlsafe(32)}"
    session.execute(
        insert(keys).values(
            id=key_id, shop_id=shop_id, role=role, token_hash=_hash(token), created_at=now()
        )
    )
    principal = Principal(shop_id, name, key_id, role)
    note_change(session, principal, "key", key_id, "create", f"role {role}")
    return principal, token


def _shop(session: Session, name: str) -> tuple[str, str]:
    name_key = fitting_key(name.casefold(), SHORT)
    insert_new(session, shops, id=new_id("shp"), name=name, name_key=name_key, created_at=now())
    found = session.execute(
        select(shops.c.id, shops.c.name).where(shops.c.name_key == name_key)
    ).one()
    return found.id, found.name


def find_principal(session: Session, token: str) -> Principal | None:
    """Return whose key this is; None if nobody's, or if it was revoked or has expired."""
    row = session.connection().execute(_WHOSE, {"token_hash": _hash(token), "now": now()}).first()
    return None if row is None else Principal(row.shop_id, row.name, row.id, row.role)


# Asked at every request: put together once.
_WHOSE: Final = (
    select(keys.c.id, keys.c.role, shops.c.id.label("shop_id"), shops.c.name)
    .join(shops, shops.c.id == keys.c.shop_id)
    .where(
        keys.c.token_hash == bindparam("token_hash"),
        keys.c.revoked_at.is_(None),
        or_(keys.c.expires_at.is_(None), keys.c.expires_at > bindparam("now", type_=UtcDateTime)),
    )
)


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()


# --- repeated requests -----------------------------------------------------------------------


def find_answer(session: Session, principal: Principal, route: str, key: str) -> KeptAnswer | None:
    """Return the answer kept under this shop, route and Idempotency-Key in the last seven days."""
    row = session.execute(
        select(
            kept_answers.c.request_hash,
            kept_answers.c.status,
            kept_answers.c.headers,
            kept_answers.c.body,
        ).where(*_same_request(principal, route, key), kept_answers.c.created_at > now() - KEPT_FOR)
    ).first()
    if row is None:
        return None
    return KeptAnswer(row.request_hash, row.status, dict(row.headers), bytes(row.body))


def claim_key(session: Session, principal: Principal, route: str, key: str) -> KeptAnswer | None:
    """Take an Idempotency-Key for this transaction; return the answer if one is kept under it.

    None means that the key is this transaction's: it does the work and then calls ``keep_answer``.
    An equal request that runs at this moment, in this process or another, is waited for, so that
    of many one alone does the work; raises Conflict ("idempotency-in-progress") where that takes
    too long (PostgreSQL; on SQLite all writers wait alike). An answer older than seven days gives
    way.
    """
    session.execute(
        delete(kept_answers).where(
            *_same_request(principal, route, key), kept_answers.c.created_at <= now() - KEPT_FOR
        )
    )
    try:
        is_ours = _claimed(session, principal, route, key)
    except DBAPIError as error:
        if getattr(error.orig, "sqlstate", None) != _WAITED_TOO_LONG:
            raise
        raise Conflict(
            "idempotency-in-progress",
            "The first request with this Idempotency-Key has not been answered yet.",
            "Send the same request again a little later.",
        ) from error
    if is_ours:
        return None
    kept = find_answer(session, principal, route, key)
    if kept is None:  # it went in between
        raise DatabaseBusy
    return kept


def _claimed(session: Session, principal: Principal, route: str, key: str) -> bool:
    return insert_new(
        session,
        kept_answers,
        shop_id=principal.shop_id,
        route=route,
        key=key,
        request_hash="",
        status=0,
        headers={},
        body=b"",
        created_at=now(),
    )


def keep_answer(
    session: Session, principal: Principal, route: str, key: str, answer: KeptAnswer
) -> None:
    """Keep an answer under a claimed key, in the transaction of its effect: both or neither."""
    session.execute(
        update(kept_answers)
        .where(*_same_request(principal, route, key))
        .values(
            request_hash=answer.request_hash,
            status=answer.status,
            headers=answer.headers,
            body=answer.body,
        )
    )


def _same_request(principal: Principal, route: str, key: str) -> tuple[ColumnElement[bool], ...]:
    return (
        kept_answers.c.shop_id == principal.shop_id,
        kept_answers.c.route == route,
        kept_answers.c.key == key,
    )


# --- audit -----------------------------------------------------------------------------------


Touch = tuple[str, str, str | None]
"""A record that a write changed besides its own: its kind's word, its id, what changed of it."""


@dataclass(frozen=True, slots=True)
class AuditEntry:
    """One write: who, when, to which record, what. ``key_id`` is None for another shop's.

    ``touched`` are the other records that it changed: kind, id, and what changed of them.
    """

    sequence: int
    noted_at: datetime
    kind: str
    record_id: str
    action: str
    detail: str | None
    shop_id: str
    key_id: str | None
    touched: tuple[Touch, ...] = ()


def note_change(
    session: Session,
    principal: Principal,
    kind: str,
    record_id: str,
    action: str,
    detail: str | None = None,
    touched: Iterable[Touch] = (),
    gone: Iterable[Touch] = (),
) -> None:
    """Write the audit row of one write, and that its records have changed.

    ``touched`` are other records whose version the write counted up too, ``gone`` those that went
    together with the record. It comes last in a transaction: from here to the commit no other
    writer gets a sequence, so that sequences become visible in their order and whoever reads on
    from one misses none.
    """
    touched, gone = tuple(touched), tuple(gone)
    _hold_sequences(session)
    sequence = session.execute(
        insert(audit_entries)
        .values(
            shop_id=principal.shop_id,
            key_id=principal.key_id,
            noted_at=now(),
            kind=kind,
            record_id=record_id,
            action=action,
            detail=detail,
        )
        .returning(audit_entries.c.sequence)
    ).scalar_one()
    _note_touches(session, sequence, (*touched, *gone))
    rows = {one: (word, False) for word, one, _ in touched}
    rows |= {one: (word, True) for word, one, _ in gone}
    rows[record_id] = (kind, action == "retire")
    session.execute(delete(changes).where(changes.c.record_id.in_(list(rows))))
    session.execute(
        insert(changes),
        [
            {
                "record_id": one,
                "kind": word,
                "shop_id": principal.shop_id,
                "sequence": sequence,
                "is_retired": is_retired,
            }
            for one, (word, is_retired) in rows.items()
        ],
    )


def note_creations(
    session: Session, principal: Principal, kind: str, record_ids: Sequence[str]
) -> None:
    """Write the audit rows of new records that touched no other, as ``note_change`` does of one.

    In the order given, in few statements: hundreds are recorded in one call.
    """
    if not record_ids:
        return
    _hold_sequences(session)
    moment = now()
    entries = [
        {
            "shop_id": principal.shop_id,
            "key_id": principal.key_id,
            "noted_at": moment,
            "kind": kind,
            "record_id": one,
            "action": "create",
        }
        for one in record_ids
    ]
    sequences = session.execute(
        insert(audit_entries).returning(audit_entries.c.sequence, sort_by_parameter_order=True),
        entries,
    ).scalars()
    session.execute(
        insert(changes),
        [
            {
                "record_id": one,
                "kind": kind,
                "shop_id": principal.shop_id,
                "sequence": sequence,
                "is_retired": False,
            }
            for one, sequence in zip(record_ids, sequences, strict=True)
        ],
    )


def _hold_sequences(session: Session) -> None:
    """Keep sequences to this transaction until it ends; on SQLite there is one writer anyway."""
    if session.connection().dialect.name == "postgresql":
        session.execute(select(func.pg_advisory_xact_lock(_SEQUENCE_LOCK)))


def _note_touches(session: Session, sequence: int, touches: Sequence[Touch]) -> None:
    if touches:
        rows = {
            record_id: {
                "sequence": sequence,
                "record_id": record_id,
                "kind": word,
                "detail": detail,
            }
            for word, record_id, detail in touches
        }
        session.execute(insert(audit_touches), list(rows.values()))


def changes_since(
    session: Session, kind: str, shop_id: str | None, after: tuple[int, str], limit: int
) -> list[tuple[str, int, bool]]:
    """Return id, sequence and "is retired" of a kind's records changed after a place, in order.

    ``shop_id`` narrows to one shop's records; ``after`` is a sequence and the id within it.
    """
    sequence, record_id = after
    table = changes
    statement = (
        select(table.c.record_id, table.c.sequence, table.c.is_retired)
        .where(
            table.c.kind == kind,
            table.c.sequence >= sequence,
            or_(table.c.sequence > sequence, table.c.record_id > record_id),
        )
        .order_by(table.c.sequence, table.c.record_id)
        .limit(limit)
    )
    if shop_id is not None:
        statement = statement.where(table.c.shop_id == shop_id)
    return [(row[0], row[1], row[2]) for row in session.execute(statement)]


def page_audit(
    session: Session,
    principal: Principal,
    record_id: str | None,
    catalogue_kinds: Sequence[str],
    after: int,
    limit: int,
) -> list[AuditEntry]:
    """Return audit entries by rising sequence: the shop's own, or all that changed one record.

    The history of a record of the catalogue is read by all shops, as the record is.
    """
    table, touches = audit_entries, audit_touches
    own = table.c.shop_id == principal.shop_id
    statement = select(table).where(table.c.sequence > after)
    if record_id is None:
        statement = statement.where(own)
    else:
        told = select(touches.c.sequence).where(
            touches.c.record_id == record_id, touches.c.sequence > after
        )
        if not _is_readable(session, principal, record_id, catalogue_kinds):
            return []
        statement = statement.where(
            or_(table.c.record_id == record_id, table.c.sequence.in_(told)),
            or_(own, table.c.kind.in_(catalogue_kinds)),
        )
    rows = session.execute(statement.order_by(table.c.sequence).limit(limit)).mappings().all()
    touched = _touched_by(session, [row["sequence"] for row in rows])
    return [
        AuditEntry(
            row["sequence"],
            row["noted_at"],
            row["kind"],
            row["record_id"],
            row["action"],
            row["detail"],
            row["shop_id"],
            row["key_id"] if row["shop_id"] == principal.shop_id else None,
            tuple(
                touch
                for touch in touched.get(row["sequence"], ())
                if row["shop_id"] == principal.shop_id or touch[0] in catalogue_kinds
            ),
        )
        for row in rows
    ]


def _is_readable(
    session: Session, principal: Principal, record_id: str, catalogue_kinds: Sequence[str]
) -> bool:
    """Return whether a shop may read what became of a record, whether or not it is still there."""
    table = changes
    found = session.execute(
        select(table.c.kind, table.c.shop_id).where(table.c.record_id == record_id)
    ).first()
    return found is not None and (
        found.shop_id == principal.shop_id or found.kind in catalogue_kinds
    )


def _touched_by(session: Session, sequences: Sequence[int]) -> dict[int, list[Touch]]:
    table = audit_touches
    found: dict[int, list[Touch]] = {}
    statement = (
        select(table)
        .where(table.c.sequence.in_(sequences))
        .order_by(table.c.sequence, table.c.record_id)
    )
    for row in session.execute(statement):
        found.setdefault(row.sequence, []).append((row.kind, row.record_id, row.detail))
    return found


def newest_sequence(session: Session) -> int:
    """Return the sequence of the newest write of all; 0 before the first."""
    return session.execute(select(func.max(audit_entries.c.sequence))).scalar() or 0


# --- secrets -----------------------------------------------------------------------------------


def server_secret(session: Session, name: str) -> bytes:
    """Return the secret of this name, 32 random bytes, made when it is first asked for.

    All processes on the database get the same.
    """
    statement = select(server_secrets.c.secret).where(server_secrets.c.name == name)
    found = session.execute(statement).scalar()
    if found is None:
        insert_new(
            session,
            server_secrets,
            name=name,
            secret=secrets.token_bytes(32),
            created_at=now(),
        )
        found = session.execute(statement).scalar_one()
    return bytes(found)
