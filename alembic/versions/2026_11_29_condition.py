"""Gauges; findings in full: readings, intervals, hours run; derived characteristics.

Names are written out in full, so that this file says the same whatever the models become. Decimals
are whole millionths, times UTC.
"""

from datetime import UTC, datetime

import sqlalchemy as sa
from alembic import op

revision = "2026_11_29_condition"
down_revision = "2026_11_29_interchange"
branch_labels = None
depends_on = None

MECHANISMS = (
    "wear fatigue corrosion erosion electrical-erosion plastic-deformation fracture overheating"
    " ageing leakage looseness other"
)
COUNTED_BY = "greatest least mean"
DERIVED_BY = "sum out-of-round out-of-round-overall taper"
LIMIT_IS = "service discard"

# A step down forgets what the schema before has no place for. Such records read differently, or go:
# a finding by several readings or an interval says nothing there. What it superseded goes with it,
# or a reading that was put right would stand again. All of it is told: an audit entry for each, and
# a number among the changes that whoever keeps a copy has not read yet.
LESS_NOTE = "The schema went back to one that does not know all of the record."
GONE_NOTE = "The schema went back to one that has no place for what the record says."
ENTRY = """
    INSERT INTO audit_entries (shop_id, key_id, noted_at, kind, record_id, action, detail)
    SELECT r.{owner}, coalesce(
        (SELECT e.key_id FROM audit_entries e WHERE e.record_id = r.id
         ORDER BY e.sequence DESC LIMIT 1),
        (SELECT min(k.id) FROM keys k WHERE k.shop_id = r.{owner})
    ), :moment, :kind, r.id, :action, :note
    FROM {table} r WHERE {only} ORDER BY r.id
"""
LESS = "UPDATE {table} SET version = version + 1, updated_at = :moment WHERE {only}"
NEW_NUMBERS = """
    UPDATE changes SET sequence = (
        SELECT max(a.sequence) FROM audit_entries a WHERE a.record_id = changes.record_id
    ), is_retired = EXISTS (
        SELECT 1 FROM audit_entries a
        WHERE a.record_id = changes.record_id AND a.sequence > :last AND a.action = 'retire'
    )
    WHERE EXISTS (
        SELECT 1 FROM audit_entries a WHERE a.record_id = changes.record_id AND a.sequence > :last
    )
"""
GOING = """
    WITH RECURSIVE going (id, earlier) AS (
        SELECT id, supersedes_id FROM findings
        WHERE reading_count > 0 OR at_least_value IS NOT NULL OR at_most_value IS NOT NULL
        UNION
        SELECT f.id, f.supersedes_id FROM findings f JOIN going g ON f.id = g.earlier
    )
    SELECT id FROM going
"""
"""The findings that say nothing in the schema before, and those that they superseded."""
IS_GOING = f"id IN ({GOING})"
LESS_FINDING = (
    f"NOT ({IS_GOING}) AND (gauge_id IS NOT NULL OR gauge_calibrated_on IS NOT NULL"
    " OR unit_hours IS NOT NULL OR mechanism IS NOT NULL OR client_id IS NOT NULL"
    f" OR supersedes_id IN ({GOING}))"
)
LESS_CHARACTERISTIC = (
    "unit IS NOT NULL OR gauge_kind IS NOT NULL OR how IS NOT NULL OR counted_by IS NOT NULL"
    " OR minimum_readings <> 1 OR service_limit_is IS NOT NULL OR derivation_kind IS NOT NULL"
)
LESS_PART = (
    f"id IN (SELECT salvaged_part_id FROM salvaged_part_findings WHERE finding_id IN ({GOING}))"
)
CHANGED = (
    ("findings", "shop_id", "finding", LESS_FINDING),
    ("salvaged_parts", "shop_id", "salvaged-part", LESS_PART),
    ("characteristics", "author_shop_id", "characteristic", LESS_CHARACTERISTIC),
)
"""Which records stay and know less: table, owner, word of the kind, condition."""
GONE = (("findings", "finding", IS_GOING), ("gauges", "gauge", "1 = 1"))
"""Which records go: table, word of the kind, condition."""


def upgrade() -> None:
    gauges()
    findings()
    characteristics()


def downgrade() -> None:
    last, at = last_sequence(), datetime.now(UTC)
    for table, owner, kind, only in CHANGED:
        op.get_bind().execute(timed(LESS.format(table=table, only=only)), {"moment": at})
        note(table, owner, only, kind=kind, action="change", note=LESS_NOTE, moment=at)
    for table, kind, only in GONE:
        note(table, "shop_id", only, kind=kind, action="retire", note=GONE_NOTE, moment=at)
    op.get_bind().execute(sa.text(NEW_NUMBERS), {"last": last})
    let_go()
    op.drop_table("characteristic_terms")
    narrow("characteristics", CHARACTERISTIC_COLUMNS, CHARACTERISTIC_CHECKS)
    op.drop_table("finding_readings")
    for column in ("gauge_id", "mechanism"):
        op.drop_index(f"ix_findings_shop_id_{column}_id", "findings")
    with op.batch_alter_table("findings") as batch:
        batch.drop_constraint("fk_findings_shop_id_gauge_id", type_="foreignkey")
        batch.drop_constraint("uq_findings_shop_id_client_id", type_="unique")
    narrow("findings", FINDING_COLUMNS, FINDING_CHECKS)
    with op.batch_alter_table("findings") as batch:
        batch.create_check_constraint(
            op.f("ck_findings_measured_or_graded"), "(measured_value IS NULL) <> (grade IS NULL)"
        )
    op.drop_table("gauges")


def let_go() -> None:
    """Take out the findings that go, and what names them."""
    bind = op.get_bind()
    going = [{"id": row[0]} for row in bind.execute(sa.text(GOING))]
    if not going:
        return
    for statement in (
        "DELETE FROM finding_readings WHERE finding_id = :id",
        "DELETE FROM salvaged_part_findings WHERE finding_id = :id",
        "UPDATE findings SET supersedes_id = NULL WHERE supersedes_id = :id",
        "DELETE FROM findings WHERE id = :id",
    ):
        bind.execute(sa.text(statement), going)


def last_sequence() -> int:
    return op.get_bind().execute(sa.text("SELECT max(sequence) FROM audit_entries")).scalar() or 0


def note(table: str, owner: str, only: str, **entry: object) -> None:
    """Write an audit entry for each of some rows of a table."""
    # Inside the entry's own select the columns of the row are bare names of r.
    op.get_bind().execute(timed(ENTRY.format(table=table, owner=owner, only=only)), entry)


def timed(statement: str) -> sa.TextClause:
    moment = sa.bindparam("moment", type_=sa.DateTime(timezone=True))
    return sa.text(statement).bindparams(moment)


# --- what is new -------------------------------------------------------------------------------


def gauges() -> None:
    op.create_table(
        "gauges",
        sa.Column("id", ident(), nullable=False),
        sa.Column("shop_id", ident(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("updated_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("kind", sa.String(200)),
        sa.Column("serial_number", sa.String(200)),
        *quantity("standard_uncertainty"),
        *quantity("common_uncertainty"),
        sa.Column("master", sa.String(200)),
        sa.Column("calibrated_on", sa.Date()),
        sa.Column("calibration_months", sa.Integer()),
        sa.Column("note", sa.String(2000)),
        *quantity("reads_from"),
        *quantity("reads_up_to"),
        sa.Column("name_key", sa.String(1000), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_gauges"),
        points("gauges", "shop_id", "shops"),
        sa.UniqueConstraint("shop_id", "name_key", name="uq_gauges_shop_id_name_key"),
        *checks("gauges", GAUGE_CHECKS),
    )
    op.create_index("ix_gauges_shop_id_id", "gauges", ["shop_id", "id"], unique=True)
    for column in ("created_at", "updated_at", "kind"):
        index("gauges", "shop_id", column, "id")


def findings() -> None:
    with op.batch_alter_table("findings") as batch:
        batch.drop_constraint(op.f("ck_findings_measured_or_graded"), type_="check")
        for column in FINDING_COLUMNS:
            batch.add_column(sa.Column(column.name, column.type))
    op.execute("UPDATE findings SET reading_count = 0")
    with op.batch_alter_table("findings") as batch:
        batch.alter_column("reading_count", existing_type=sa.Integer(), nullable=False)
        for name, sql in FINDING_CHECKS.items():
            batch.create_check_constraint(op.f(f"ck_findings_{name}"), sql)
        batch.create_foreign_key(
            "fk_findings_shop_id_gauge_id", "gauges", ["shop_id", "gauge_id"], ["shop_id", "id"]
        )
        batch.create_unique_constraint("uq_findings_shop_id_client_id", ["shop_id", "client_id"])
    for column in ("gauge_id", "mechanism"):
        index("findings", "shop_id", column, "id")
    op.create_table(
        "finding_readings",
        sa.Column("finding_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        *quantity("size", optional=False),
        sa.Column("plane", sa.String(200)),
        sa.Column("direction", sa.String(200)),
        sa.PrimaryKeyConstraint("finding_id", "place", name="pk_finding_readings"),
        points("finding_readings", "finding_id", "findings"),
        *checks("finding_readings", doubt_once("size")),
    )


def characteristics() -> None:
    with op.batch_alter_table("characteristics") as batch:
        for column in CHARACTERISTIC_COLUMNS:
            batch.add_column(sa.Column(column.name, column.type))
    op.execute("UPDATE characteristics SET minimum_readings = 1")
    with op.batch_alter_table("characteristics") as batch:
        batch.alter_column("minimum_readings", existing_type=sa.Integer(), nullable=False)
        for name, sql in CHARACTERISTIC_CHECKS.items():
            batch.create_check_constraint(op.f(f"ck_characteristics_{name}"), sql)
    op.create_table(
        "characteristic_terms",
        sa.Column("derived_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("characteristic_id", ident(), nullable=False),
        sa.Column("factor", sa.BigInteger(), nullable=False),
        sa.Column("piece", sa.Integer()),
        sa.PrimaryKeyConstraint("derived_id", "place", name="pk_characteristic_terms"),
        points("characteristic_terms", "derived_id", "characteristics"),
        points("characteristic_terms", "characteristic_id", "characteristics"),
        *checks("characteristic_terms", TERM_CHECKS),
    )
    index("characteristic_terms", "characteristic_id", "derived_id")


# --- what tables are made of -------------------------------------------------------------------


def narrow(table: str, columns: list[sa.Column], truths: dict[str, str]) -> None:
    with op.batch_alter_table(table) as batch:
        for name in truths:
            batch.drop_constraint(op.f(f"ck_{table}_{name}"), type_="check")
        for column in columns:
            batch.drop_column(column.name)


def index(table: str, *columns: str) -> None:
    op.create_index("_".join(("ix", table, *columns)), table, list(columns))


def ident() -> sa.String:
    """Ids sort by code point, on PostgreSQL too."""
    return sa.String(64).with_variant(sa.String(64, collation="C"), "postgresql")


def points(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    """Let a column name a record of another table."""
    return sa.ForeignKeyConstraint([column], [f"{target}.id"], name=f"fk_{table}_{column}")


def checks(table: str, truths: dict[str, str]) -> list[sa.CheckConstraint]:
    return [
        sa.CheckConstraint(sql, name=op.f(f"ck_{table}_{name}")) for name, sql in truths.items()
    ]


def words(column: str, allowed: str) -> str:
    listed = ", ".join(f"'{word}'" for word in allowed.split())
    return f"{column} IN ({listed})"


def quantity(name: str, *, optional: bool = True) -> list[sa.Column]:
    """A quantity: as entered, one statement of doubt, the value in the canonical unit."""
    doubts = ("standard_uncertainty", "expanded_uncertainty", "coverage_factor", "plus_minus")
    return [
        sa.Column(f"{name}_value", sa.String(48), nullable=optional),
        sa.Column(f"{name}_unit", sa.String(16), nullable=optional),
        *(sa.Column(f"{name}_{doubt}", sa.String(48)) for doubt in doubts),
        sa.Column(f"{name}_canonical", sa.BigInteger(), nullable=optional),
    ]


def doubt_once(*names: str) -> dict[str, str]:
    """The truth of quantities that doubt is stated in one way."""
    truths = {}
    for name in names:
        standard, expanded = f"{name}_standard_uncertainty", f"{name}_expanded_uncertainty"
        half_width, factor = f"{name}_plus_minus", f"{name}_coverage_factor"
        truths[f"{name}_states_doubt_once"] = (
            f"({standard} IS NULL OR {expanded} IS NULL)"
            f" AND ({standard} IS NULL OR {half_width} IS NULL)"
            f" AND ({expanded} IS NULL OR {half_width} IS NULL)"
            f" AND ({factor} IS NULL OR {expanded} IS NOT NULL)"
        )
    return truths


GAUGE_CHECKS = {
    **doubt_once("standard_uncertainty", "common_uncertainty", "reads_from", "reads_up_to"),
    "reads_from_within": "reads_from_canonical <= reads_up_to_canonical",
    "standard_uncertainty_above_zero": "standard_uncertainty_canonical > 0",
    "common_uncertainty_above_zero": "common_uncertainty_canonical > 0",
    "common_within_standard": "common_uncertainty_canonical <= standard_uncertainty_canonical",
    "calibration_from_one_month": "calibration_months >= 1",
}
FINDING_COLUMNS = [
    sa.Column("reading_count", sa.Integer()),
    *quantity("at_least"),
    *quantity("at_most"),
    sa.Column("gauge_id", ident()),
    sa.Column("gauge_calibrated_on", sa.Date()),
    sa.Column("unit_hours", sa.BigInteger()),
    sa.Column("mechanism", sa.String(40)),
    sa.Column("client_id", sa.String(200)),
]
FINDING_CHECKS = {
    **doubt_once("at_least", "at_most"),
    "says_one_thing": (
        "CASE WHEN measured_value IS NOT NULL THEN 1 ELSE 0 END"
        " + CASE WHEN reading_count > 0 THEN 1 ELSE 0 END"
        " + CASE WHEN at_least_value IS NOT NULL OR at_most_value IS NOT NULL THEN 1 ELSE 0 END"
        " + CASE WHEN grade IS NOT NULL THEN 1 ELSE 0 END = 1"
    ),
    "unit_hours_not_negative": "unit_hours >= 0",
    "mechanism": words("mechanism", MECHANISMS),
    "at_most_not_below_lower": "at_least_canonical <= at_most_canonical",
    "reading_count_not_negative": "reading_count >= 0",
}
CHARACTERISTIC_COLUMNS = [
    sa.Column("unit", sa.String(16)),
    sa.Column("gauge_kind", sa.String(200)),
    sa.Column("how", sa.String(2000)),
    sa.Column("counted_by", sa.String(40)),
    sa.Column("minimum_readings", sa.Integer()),
    sa.Column("service_limit_is", sa.String(40)),
    sa.Column("derivation_kind", sa.String(40)),
    *quantity("derivation_offset"),
]
CHARACTERISTIC_CHECKS = {
    **doubt_once("derivation_offset"),
    "counted_by": words("counted_by", COUNTED_BY),
    "service_limit_is": words("service_limit_is", LIMIT_IS),
    "derivation_kind": words("derivation_kind", DERIVED_BY),
    "minimum_readings_from_one": "minimum_readings >= 1",
    "offset_of_a_derivation": "derivation_offset_value IS NULL OR derivation_kind = 'sum'",
}
TERM_CHECKS = {
    "term_is_another": "characteristic_id <> derived_id",
    "factor_not_zero": "factor <> 0",
    "piece_from_one": "piece >= 1",
}
