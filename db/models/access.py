"""Shops, their keys, the answers kept for repeated requests, the audit, the server's secrets."""

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
)

from db.models.base import SHORT, metadata, reference, text, truth
from db.types import UtcDateTime, document, ident, sequence

shops = Table(
    "shops",
    metadata,
    Column("id", ident(), primary_key=True),
    text("name"),
    # The name without regard to case: made in Python, since the databases differ in lower().
    Column("name_key", String(SHORT), nullable=False, unique=True),
    Column("created_at", UtcDateTime, nullable=False),
)

keys = Table(
    "keys",
    metadata,
    Column("id", ident(), primary_key=True),
    reference("shop_id", "shops"),
    Column("role", String(40), nullable=False),
    Column("token_hash", String(64), nullable=False, unique=True),
    Column("created_at", UtcDateTime, nullable=False),
    Column("expires_at", UtcDateTime),
    Column("revoked_at", UtcDateTime),
    truth(
        "role",
        "role IN ('admin', 'reader')",
        "/role",
        "role is none of admin, reader.",
        "Give one of admin, reader.",
    ),
    Index(None, "shop_id"),
)

kept_answers = Table(
    "kept_answers",
    metadata,
    Column("shop_id", ident(), ForeignKey("shops.id"), nullable=False),
    Column("route", String(SHORT), nullable=False),
    Column("key", String(SHORT), nullable=False),
    Column("request_hash", String(64), nullable=False),
    Column("status", Integer, nullable=False),
    Column("headers", document(), nullable=False),
    Column("body", LargeBinary, nullable=False),
    Column("created_at", UtcDateTime, nullable=False),
    PrimaryKeyConstraint("shop_id", "route", "key"),
    Index(None, "created_at"),
)

audit_entries = Table(
    "audit_entries",
    metadata,
    Column("sequence", sequence(), primary_key=True, autoincrement=True),
    reference("shop_id", "shops"),
    reference("key_id", "keys"),
    Column("noted_at", UtcDateTime, nullable=False),
    Column("kind", String(40), nullable=False),
    Column("record_id", ident(), nullable=False),
    Column("action", String(40), nullable=False),
    Column("detail", Text),
    Index(None, "shop_id", "sequence"),
    Index(None, "record_id", "sequence"),
)

# The newest change of every record, retired ones included: what ``updated_since`` reads. The
# sequence is that of the audit entry; one write may touch several records.
changes = Table(
    "changes",
    metadata,
    Column("record_id", ident(), primary_key=True),
    Column("kind", String(40), nullable=False),
    reference("shop_id", "shops"),
    Column("sequence", BigInteger, nullable=False),
    Column("is_retired", Boolean, nullable=False),
    Index(None, "kind", "sequence", "record_id"),
    Index(None, "shop_id", "kind", "sequence", "record_id"),
)

# What a write did to other records besides its own: a ruling to its position, a fitment to the
# part that it took from the shelf.
audit_touches = Table(
    "audit_touches",
    metadata,
    Column("sequence", BigInteger, ForeignKey("audit_entries.sequence"), primary_key=True),
    Column("record_id", ident(), primary_key=True),
    Column("kind", String(40), nullable=False),
    Column("detail", Text),
    Index(None, "record_id", "sequence"),
)

# What all processes on this database must agree on and nobody else may know.
server_secrets = Table(
    "server_secrets",
    metadata,
    Column("name", String(40), primary_key=True),
    Column("secret", LargeBinary, nullable=False),
    Column("created_at", UtcDateTime, nullable=False),
)
