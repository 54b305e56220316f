"""Salvaged parts, for whom they are held, and what was fitted where."""

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


def upgrade() -> None:
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


def downgrade() -> None:
    for table in TABLES:
        op.drop_table(table)


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
