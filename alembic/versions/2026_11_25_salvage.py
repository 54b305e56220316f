"""Salvaged parts, for whom they are held, and what was fitted where."""

import hashlib
import json
from datetime import UTC, datetime

import sqlalchemy as sa
from alembic import op

revision = "2026_11_25_salvage"
down_revision = "2026_11_25_changes"
branch_labels = None
depends_on = None

HELD = sa.text("state = 'held'")
INDEXES = (
    ("salvaged_parts", "donor_unit_id", "position_id"),
    *(
        ("salvaged_parts", "shop_id", column, "id")
        for column in (
            *("created_at", "updated_at", "donor_unit_id", "label", "part_id", "position_id"),
            *("removed_on", "state"),
        )
    ),
    *(
        ("reservations", "shop_id", column, "id")
        for column in ("created_at", "updated_at", "expires_at", "job_id", "salvaged_part_id")
    ),
    *(
        ("fitments", "shop_id", column, "id")
        for column in (
            *("created_at", "updated_at", "claim_id", "fitted_on", "job_id", "part_id"),
            *("position_id", "result", "salvaged_part_id"),
        )
    ),
)
TABLES = ("fitments", "reservations", "salvaged_part_findings", "salvaged_parts")
KINDS = {"fitments": "fitment", "reservations": "reservation", "salvaged_parts": "salvaged-part"}
SERIAL_INDEX = "ix_units_shop_id_assembly_id_serial_key"

# What goes with its table is told: an audit entry for each record, and a number among the changes
# that whoever keeps a copy has not read yet.
GONE_NOTE = "The schema went back to one without such records."
ENTRY = """
    INSERT INTO audit_entries (shop_id, key_id, noted_at, kind, record_id, action, detail)
    SELECT r.{owner}, coalesce(
        (SELECT e.key_id FROM audit_entries e WHERE e.record_id = r.id
         ORDER BY e.sequence DESC LIMIT 1),
        (SELECT min(k.id) FROM keys k WHERE k.shop_id = r.{owner})
    ), :moment, :kind, r.id, :action, :note
    FROM {table} r {only} ORDER BY r.id
"""
NEW_NUMBERS = """
    UPDATE changes SET is_retired = (kind <> 'unit'), sequence = (
        SELECT max(a.sequence) FROM audit_entries a WHERE a.record_id = changes.record_id
    )
    WHERE EXISTS (
        SELECT 1 FROM audit_entries a WHERE a.record_id = changes.record_id AND a.sequence > :last
    )
"""
# A step down forgets what was taken from donors: they seem whole again, and read differently.
TAKEN_FROM = "WHERE r.id IN (SELECT s.donor_unit_id FROM salvaged_parts s)"
TAKEN_NOTE = "The schema went back to one that does not know what was taken from the unit."
WHOLE_AGAIN = """
    UPDATE units SET version = version + 1, updated_at = :moment
    WHERE id IN (SELECT s.donor_unit_id FROM salvaged_parts s)
"""


def upgrade() -> None:
    serial_keys()
    salvaged_parts()
    reservations()
    fitments()
    for table, *columns in INDEXES:
        op.create_index("_".join(("ix", table, *columns)), table, columns)
    op.create_index(
        "ix_reservations_one_held",
        "reservations",
        ["salvaged_part_id"],
        unique=True,
        sqlite_where=HELD,
        postgresql_where=HELD,
    )
    op.create_index(
        "ix_reservations_held_until",
        "reservations",
        ["shop_id", "expires_at"],
        sqlite_where=HELD,
        postgresql_where=HELD,
    )


def downgrade() -> None:
    tell_what_goes()
    for table in TABLES:
        op.drop_table(table)
    op.drop_index(SERIAL_INDEX, "units")
    op.drop_column("units", "serial_key")


def tell_what_goes() -> None:
    """Count donors that seem whole again up, and give all that changes a new number."""
    last, at = last_sequence(), datetime.now(UTC)
    moment_type = sa.bindparam("moment", type_=moment())
    op.get_bind().execute(sa.text(WHOLE_AGAIN).bindparams(moment_type), {"moment": at})
    told = {"action": "change", "note": TAKEN_NOTE}
    note("units", "shop_id", TAKEN_FROM, kind="unit", moment=at, **told)
    for table, kind in KINDS.items():
        note(table, "shop_id", kind=kind, action="retire", note=GONE_NOTE, moment=at)
    op.get_bind().execute(sa.text(NEW_NUMBERS), {"last": last})


def last_sequence() -> int:
    return op.get_bind().execute(sa.text("SELECT max(sequence) FROM audit_entries")).scalar() or 0


def note(table: str, owner: str, only: str = "", **entry: object) -> None:
    """Write an audit entry for each row of a table."""
    statement = sa.text(ENTRY.format(table=table, owner=owner, only=only))
    moment_type = sa.bindparam("moment", type_=moment())
    op.get_bind().execute(statement.bindparams(moment_type), entry)


def serial_keys() -> None:
    """Give each unit its serial number without regard to case and runs of blanks, as labels have.

    Units whose serial numbers are equal so far only in this form stay as they are: the later ones
    get no key, and are told as duplicates of the first when they are next changed.
    """
    op.add_column("units", sa.Column("serial_key", sa.String(1000)))
    units = sa.table(
        "units",
        *(sa.column(name) for name in ("id", "shop_id", "assembly_id", "serial_number")),
        sa.column("serial_key"),
    )
    seen: set[tuple[str, str, str]] = set()
    found = op.get_bind().execute(
        sa.select(units.c.id, units.c.shop_id, units.c.assembly_id, units.c.serial_number)
        .where(units.c.serial_number.is_not(None))
        .order_by(units.c.id)
    )
    rows = []
    for unit_id, shop_id, assembly_id, serial_number in found.all():
        key = folded(serial_number)
        if (shop_id, assembly_id, key) not in seen:
            seen.add((shop_id, assembly_id, key))
            rows.append({"unit_id": unit_id, "key": key})
    if rows:
        statement = sa.update(units).where(units.c.id == sa.bindparam("unit_id"))
        op.get_bind().execute(statement.values(serial_key=sa.bindparam("key")), rows)
    op.create_index(SERIAL_INDEX, "units", ["shop_id", "assembly_id", "serial_key"], unique=True)


def folded(text: str) -> str:
    key = json.dumps([" ".join(text.casefold().split())])
    return key if len(key) <= 1000 else f"sha256:{hashlib.sha256(key.encode()).hexdigest()}"


def salvaged_parts() -> None:
    op.create_table(
        "salvaged_parts",
        *head("salvaged_parts"),
        sa.Column("donor_unit_id", ident(), nullable=False),
        sa.Column("position_id", ident(), nullable=False),
        sa.Column("piece", sa.Integer(), nullable=False),
        sa.Column("part_id", ident()),
        sa.Column("removed_on", sa.Date(), nullable=False),
        sa.Column("removed_by", sa.String(200), nullable=False),
        sa.Column("lower_hours", sa.BigInteger()),
        sa.Column("upper_hours", sa.BigInteger()),
        sa.Column("variant", sa.String(200)),
        sa.Column("state", sa.String(40), nullable=False),
        sa.Column("inspected_by", sa.String(200)),
        sa.Column("inspected_on", sa.Date()),
        sa.Column("label", sa.String(200), nullable=False),
        sa.Column("label_key", sa.String(1000), nullable=False),
        sa.Column("shelf", sa.String(200)),
        sa.Column("worth_minor", sa.BigInteger()),
        sa.Column("worth_currency", sa.String(3)),
        sa.Column("note", sa.String(2000)),
        points("salvaged_parts", "units", shop_id="shop_id", donor_unit_id="id"),
        points("salvaged_parts", "positions", position_id="id"),
        points("salvaged_parts", "parts", part_id="id"),
        sa.UniqueConstraint(
            "shop_id",
            "donor_unit_id",
            "position_id",
            "piece",
            name="uq_salvaged_parts_shop_id_donor_unit_id_position_id_piece",
        ),
        sa.UniqueConstraint("shop_id", "label_key", name="uq_salvaged_parts_shop_id_label_key"),
        check("salvaged_parts", "piece_from_one", "piece >= 1"),
        check("salvaged_parts", "lower_hours_not_negative", "lower_hours >= 0"),
        check("salvaged_parts", "upper_hours_not_negative", "upper_hours >= 0"),
        check("salvaged_parts", "upper_hours_not_below_lower", "lower_hours <= upper_hours"),
        check(
            "salvaged_parts", "state", "state IN ('uninspected', 'shelved', 'fitted', 'discarded')"
        ),
        check(
            "salvaged_parts",
            "worth",
            "(worth_minor IS NULL) = (worth_currency IS NULL)"
            " AND (worth_minor IS NULL OR worth_minor >= 0)",
        ),
        check(
            "salvaged_parts",
            "inspected_by_somebody",
            "(inspected_by IS NULL) = (inspected_on IS NULL)",
        ),
        check(
            "salvaged_parts",
            "shelved_is_inspected",
            "state NOT IN ('shelved', 'fitted') OR inspected_on IS NOT NULL",
        ),
        check(
            "salvaged_parts",
            "uninspected_is_not_inspected",
            "state <> 'uninspected' OR inspected_on IS NULL",
        ),
        check("salvaged_parts", "inspected_once_removed", "inspected_on >= removed_on"),
    )
    owned("salvaged_parts")
    op.create_table(
        "salvaged_part_findings",
        sa.Column("shop_id", ident(), nullable=False),
        sa.Column("salvaged_part_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("finding_id", ident(), nullable=False),
        sa.PrimaryKeyConstraint("salvaged_part_id", "place", name="pk_salvaged_part_findings"),
        points(
            "salvaged_part_findings", "salvaged_parts", shop_id="shop_id", salvaged_part_id="id"
        ),
        points("salvaged_part_findings", "findings", shop_id="shop_id", finding_id="id"),
        sa.UniqueConstraint(
            "salvaged_part_id",
            "finding_id",
            name="uq_salvaged_part_findings_salvaged_part_id_finding_id",
        ),
    )


def reservations() -> None:
    op.create_table(
        "reservations",
        *head("reservations"),
        sa.Column("salvaged_part_id", ident(), nullable=False),
        sa.Column("job_id", ident(), nullable=False),
        sa.Column("reserved_by", sa.String(200), nullable=False),
        sa.Column("expires_at", moment(), nullable=False),
        sa.Column("state", sa.String(40), nullable=False),
        sa.Column("note", sa.String(2000)),
        points("reservations", "salvaged_parts", shop_id="shop_id", salvaged_part_id="id"),
        points("reservations", "jobs", shop_id="shop_id", job_id="id"),
        check("reservations", "state", "state IN ('held', 'released', 'taken', 'expired')"),
    )
    owned("reservations")


def fitments() -> None:
    op.create_table(
        "fitments",
        *head("fitments"),
        sa.Column("job_id", ident(), nullable=False),
        sa.Column("position_id", ident(), nullable=False),
        sa.Column("piece", sa.Integer(), nullable=False),
        sa.Column("part_id", ident()),
        sa.Column("salvaged_part_id", ident()),
        sa.Column("claim_id", ident()),
        sa.Column("fitted_on", sa.Date(), nullable=False),
        sa.Column("fitted_by", sa.String(200), nullable=False),
        sa.Column("result", sa.String(40), nullable=False),
        sa.Column("result_on", sa.Date()),
        sa.Column("hours_run", sa.BigInteger()),
        sa.Column("note", sa.String(2000)),
        points("fitments", "jobs", shop_id="shop_id", job_id="id"),
        points("fitments", "positions", position_id="id"),
        points("fitments", "parts", part_id="id"),
        points("fitments", "salvaged_parts", shop_id="shop_id", salvaged_part_id="id"),
        points("fitments", "interchange_claims", claim_id="id"),
        check("fitments", "piece_from_one", "piece >= 1"),
        check("fitments", "hours_run_not_negative", "hours_run >= 0"),
        check(
            "fitments",
            "result",
            "result IN ('running', 'ran-out-the-warranty', 'failed', 'did-not-fit')",
        ),
        check("fitments", "fits_one_thing", "(part_id IS NULL) <> (salvaged_part_id IS NULL)"),
        check("fitments", "running_has_no_result_day", "result <> 'running' OR result_on IS NULL"),
        check("fitments", "result_once_fitted", "result_on >= fitted_on"),
        check("fitments", "misfit_has_not_run", "result <> 'did-not-fit' OR hours_run IS NULL"),
    )
    owned("fitments")


def ident() -> sa.types.TypeEngine[str]:
    return sa.String(64).with_variant(sa.String(64, collation="C"), "postgresql")


def moment() -> sa.DateTime:
    return sa.DateTime(timezone=True)


def check(table: str, name: str, sql: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(sql, name=op.f(f"ck_{table}_{name}"))


def points(table: str, target: str, **columns: str) -> sa.ForeignKeyConstraint:
    """Let columns name a record of another table: own column = column of the other."""
    return sa.ForeignKeyConstraint(
        list(columns),
        [f"{target}.{other}" for other in columns.values()],
        name="_".join(("fk", table, *columns)),
    )


def head(table: str) -> list[sa.schema.SchemaItem]:
    """What every record has: identity, the shop it belongs to, version, times."""
    return [
        sa.Column("id", ident(), nullable=False),
        sa.Column("shop_id", ident(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", moment(), nullable=False),
        sa.Column("updated_at", moment(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=f"pk_{table}"),
        points(table, "shops", shop_id="id"),
    ]


def owned(table: str) -> None:
    """Let other tables point at (shop_id, id), so that they stay within one shop."""
    op.create_index(f"ix_{table}_shop_id_id", table, ["shop_id", "id"], unique=True)
