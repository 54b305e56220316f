"""The bench: cautions, supersessions, special tools, stock, shim packs, deliveries, outcomes.

Names are written out in full, so that this file says the same whatever the models become. Decimals
are whole millionths, money whole minor units, times UTC.
"""

from datetime import UTC, datetime

import sqlalchemy as sa
from alembic import op

revision = "2026_11_25_bench"
down_revision = "2026_11_25_salvage"
branch_labels = None
depends_on = None

KINDS = (
    "caution",
    "delivery",
    "outcome",
    "shim-pack",
    "special-tool",
    "stock-item",
    "supersession",
)
# Records of an earlier time went with their tables; whoever asks what changed is told so.
GONE = sa.text("UPDATE changes SET is_retired = (1 = 1) WHERE kind IN :kinds").bindparams(
    sa.bindparam("kinds", KINDS, expanding=True)
)

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
    UPDATE changes SET is_retired = (1 = 1), sequence = (
        SELECT max(a.sequence) FROM audit_entries a WHERE a.record_id = changes.record_id
    )
    WHERE EXISTS (
        SELECT 1 FROM audit_entries a WHERE a.record_id = changes.record_id AND a.sequence > :last
    )
"""
OWNED = (
    ("cautions", "author_shop_id", "caution"),
    ("deliveries", "shop_id", "delivery"),
    ("outcomes", "shop_id", "outcome"),
    ("shim_packs", "shop_id", "shim-pack"),
    ("special_tools", "author_shop_id", "special-tool"),
    ("stock_items", "shop_id", "stock-item"),
    ("supersessions", "author_shop_id", "supersession"),
)
TABLES = (
    "outcome_comebacks",
    "outcomes",
    "delivery_lines",
    "deliveries",
    "shim_pack_shims",
    "shim_packs",
    "supersession_companion_lines",
    "supersession_later_lines",
    "supersessions",
    "cautions",
    "stock_items",
    "special_tool_features",
    "special_tool_operations",
    "special_tools",
)


def upgrade() -> None:
    tools_and_stock()
    cautions()
    supersessions()
    shim_packs()
    deliveries()
    outcomes()
    op.execute(GONE)


def downgrade() -> None:
    last, at = last_sequence(), datetime.now(UTC)
    for table, owner, kind in OWNED:
        note(table, owner, kind=kind, action="retire", note=GONE_NOTE, moment=at)
    op.get_bind().execute(sa.text(NEW_NUMBERS), {"last": last})
    for table in TABLES:
        op.drop_table(table)


def last_sequence() -> int:
    return op.get_bind().execute(sa.text("SELECT max(sequence) FROM audit_entries")).scalar() or 0


def note(table: str, owner: str, only: str = "", **entry: object) -> None:
    """Write an audit entry for each row of a table."""
    statement = sa.text(ENTRY.format(table=table, owner=owner, only=only))
    moment_type = sa.bindparam("moment", type_=moment())
    op.get_bind().execute(statement.bindparams(moment_type), entry)


def tools_and_stock() -> None:
    op.create_table(
        "special_tools",
        *head("special_tools", "author_shop_id"),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("function", sa.String(40), nullable=False),
        sa.Column("number", sa.String(200)),
        sa.Column("maker", sa.String(200)),
        sa.Column("assembly_id", ident()),
        sa.Column("position_id", ident()),
        *quantity("special_tools", "force"),
        *quantity("special_tools", "torque"),
        sa.Column("workpiece_material", sa.String(200)),
        sa.Column("note", sa.String(2000)),
        points("special_tools", "assembly_id", "assemblies"),
        sa.ForeignKeyConstraint(
            ["assembly_id", "position_id"],
            ["positions.assembly_id", "positions.id"],
            name="fk_special_tools_assembly_id_position_id",
        ),
        check("ck_special_tools_force_above_zero", "force_canonical > 0"),
        words(
            "special_tools",
            "function",
            "separate pull press-in hold-rotation turn align guide compress retain gauge",
        ),
        check(
            "ck_special_tools_position_within_assembly",
            "position_id IS NULL OR assembly_id IS NOT NULL",
        ),
        check("ck_special_tools_torque_above_zero", "torque_canonical > 0"),
    )
    index("special_tools", "assembly_id", "id")
    owned("special_tools", "author_shop_id")
    index("special_tools", "function", "id")
    index("special_tools", "maker", "id")
    index("special_tools", "name", "id")
    index("special_tools", "number", "id")
    index("special_tools", "position_id", "id")

    op.create_table(
        "special_tool_operations",
        sa.Column("special_tool_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("labour_operation_id", ident(), nullable=False),
        sa.PrimaryKeyConstraint("special_tool_id", "place", name="pk_special_tool_operations"),
        points("special_tool_operations", "labour_operation_id", "labour_operations"),
        points("special_tool_operations", "special_tool_id", "special_tools"),
        sa.UniqueConstraint(
            "special_tool_id",
            "labour_operation_id",
            name="uq_special_tool_operations_special_tool_id_labour_operation_id",
        ),
    )
    index("special_tool_operations", "labour_operation_id", "special_tool_id")

    op.create_table(
        "special_tool_features",
        sa.Column("special_tool_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("designation", sa.String(200)),
        *quantity("special_tool_features", "size"),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("special_tool_id", "place", name="pk_special_tool_features"),
        points("special_tool_features", "special_tool_id", "special_tools"),
        check("ck_special_tool_features_count_at_least_one", "count >= 1"),
        check(
            "ck_special_tool_features_designation_or_size",
            "designation IS NOT NULL OR size_value IS NOT NULL",
        ),
        words(
            "special_tool_features",
            "kind",
            "thread bore outside-diameter across-flats spacing pin-circle pin slot"
            " tooth-space plate-thickness depth chamfer reach travel",
        ),
        check("ck_special_tool_features_size_above_zero", "size_canonical > 0"),
    )

    op.create_table(
        "stock_items",
        *head("stock_items", "shop_id"),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("kind", sa.String(200), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("designation", sa.String(200)),
        sa.Column("part_id", ident()),
        *money("stock_items", "worth", optional=True),
        *quantity("stock_items", "size"),
        sa.Column("material", sa.String(200)),
        sa.Column("property_class", sa.String(200)),
        sa.Column("shelf", sa.String(200)),
        sa.Column("minimum_quantity", sa.Integer()),
        sa.Column("note", sa.String(2000)),
        points("stock_items", "part_id", "parts"),
        check("ck_stock_items_minimum_not_negative", "minimum_quantity >= 0"),
        check("ck_stock_items_quantity_not_negative", "quantity >= 0"),
        check("ck_stock_items_size_above_zero", "size_canonical > 0"),
    )
    index("stock_items", "shop_id", "designation", "id")
    owned("stock_items", "shop_id")
    index("stock_items", "shop_id", "kind", "id")
    index("stock_items", "shop_id", "name", "id")
    index("stock_items", "shop_id", "part_id", "id")
    index("stock_items", "shop_id", "quantity", "id")
    index("stock_items", "shop_id", "shelf", "id")


def cautions() -> None:
    op.create_table(
        "cautions",
        *head("cautions", "author_shop_id"),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("text", sa.String(2000), nullable=False),
        sa.Column("source", sa.String(2000), nullable=False),
        sa.Column("assembly_id", ident()),
        sa.Column("position_id", ident()),
        sa.Column("labour_operation_id", ident()),
        sa.Column("part_id", ident()),
        sa.Column("special_tool_id", ident()),
        points("cautions", "assembly_id", "assemblies"),
        points("cautions", "labour_operation_id", "labour_operations"),
        points("cautions", "part_id", "parts"),
        points("cautions", "position_id", "positions"),
        points("cautions", "special_tool_id", "special_tools"),
        check(
            "ck_cautions_bears_on_one_thing",
            "CASE WHEN assembly_id IS NULL THEN 0 ELSE 1 END + CASE WHEN position_id IS"
            " NULL THEN 0 ELSE 1 END + CASE WHEN labour_operation_id IS NULL THEN 0 ELSE 1"
            " END + CASE WHEN part_id IS NULL THEN 0 ELSE 1 END + CASE WHEN special_tool_id"
            " IS NULL THEN 0 ELSE 1 END = 1",
        ),
        words("cautions", "kind", "hazard handling legal"),
    )
    index("cautions", "assembly_id", "id")
    owned("cautions", "author_shop_id")
    index("cautions", "kind", "id")
    index("cautions", "labour_operation_id", "id")
    index("cautions", "part_id", "id")
    index("cautions", "position_id", "id")
    index("cautions", "special_tool_id", "id")


def supersessions() -> None:
    op.create_table(
        "supersessions",
        *head("supersessions", "author_shop_id"),
        sa.Column("earlier_part_id", ident(), nullable=False),
        sa.Column("evidence_kind", sa.String(40), nullable=False),
        sa.Column("evidence", sa.String(2000), nullable=False),
        sa.Column("assembly_id", ident()),
        sa.Column("serial_from", sa.String(200)),
        sa.Column("serial_to", sa.String(200)),
        sa.Column("effective_on", sa.Date()),
        sa.Column("may_go_back", sa.Boolean(), nullable=False),
        sa.Column("note", sa.String(2000)),
        points("supersessions", "assembly_id", "assemblies"),
        points("supersessions", "earlier_part_id", "parts"),
        sa.UniqueConstraint("id", "earlier_part_id", name="uq_supersessions_id_earlier_part_id"),
        words(
            "supersessions",
            "evidence_kind",
            "maker-bulletin published-cross-reference fitted-and-run measured-match told",
        ),
    )
    index("supersessions", "assembly_id", "id")
    owned("supersessions", "author_shop_id")
    index("supersessions", "earlier_part_id", "id")
    index("supersessions", "effective_on", "id")
    index("supersessions", "evidence_kind", "id")

    op.create_table(
        "supersession_later_lines",
        sa.Column("supersession_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("earlier_part_id", ident(), nullable=False),
        sa.Column("part_id", ident(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("supersession_id", "place", name="pk_supersession_later_lines"),
        points("supersession_later_lines", "part_id", "parts"),
        sa.ForeignKeyConstraint(
            ["supersession_id", "earlier_part_id"],
            ["supersessions.id", "supersessions.earlier_part_id"],
            name="fk_supersession_later_lines_supersession_id_earlier_part_id",
        ),
        sa.UniqueConstraint(
            "supersession_id", "part_id", name="uq_supersession_later_lines_supersession_id_part_id"
        ),
        check("ck_supersession_later_lines_part_is_another", "part_id <> earlier_part_id"),
        check("ck_supersession_later_lines_quantity_at_least_one", "quantity >= 1"),
    )
    index("supersession_later_lines", "part_id", "supersession_id")

    op.create_table(
        "supersession_companion_lines",
        sa.Column("supersession_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("earlier_part_id", ident(), nullable=False),
        sa.Column("part_id", ident(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("supersession_id", "place", name="pk_supersession_companion_lines"),
        points("supersession_companion_lines", "part_id", "parts"),
        sa.ForeignKeyConstraint(
            ["supersession_id", "earlier_part_id"],
            ["supersessions.id", "supersessions.earlier_part_id"],
            name="fk_supersession_companion_lines_supersession_id_earlier_part_id",
        ),
        sa.UniqueConstraint(
            "supersession_id",
            "part_id",
            name="uq_supersession_companion_lines_supersession_id_part_id",
        ),
        check("ck_supersession_companion_lines_part_is_another", "part_id <> earlier_part_id"),
        check("ck_supersession_companion_lines_quantity_at_least_one", "quantity >= 1"),
    )
    index("supersession_companion_lines", "part_id", "supersession_id")


def shim_packs() -> None:
    op.create_table(
        "shim_packs",
        *head("shim_packs", "shop_id"),
        sa.Column("unit_id", ident(), nullable=False),
        sa.Column("place", sa.String(200), nullable=False),
        sa.Column("sets", sa.String(200), nullable=False),
        sa.Column("effect", sa.String(40), nullable=False),
        sa.Column("stage", sa.String(40), nullable=False),
        sa.Column("recorded_by", sa.String(200), nullable=False),
        sa.Column("recorded_on", sa.Date(), nullable=False),
        sa.Column("position_id", ident()),
        sa.Column("job_id", ident()),
        sa.Column("note", sa.String(2000)),
        points("shim_packs", "position_id", "positions"),
        sa.ForeignKeyConstraint(
            ["shop_id", "job_id"],
            ["jobs.shop_id", "jobs.id"],
            name="fk_shim_packs_shop_id_job_id",
        ),
        sa.ForeignKeyConstraint(
            ["shop_id", "unit_id"],
            ["units.shop_id", "units.id"],
            name="fk_shim_packs_shop_id_unit_id",
        ),
        words("shim_packs", "effect", "more-shims-increase more-shims-decrease"),
        check("ck_shim_packs_fitted_in_a_job", "stage <> 'as-fitted' OR job_id IS NOT NULL"),
        words("shim_packs", "stage", "as-found as-fitted"),
    )
    owned("shim_packs", "shop_id")
    index("shim_packs", "shop_id", "job_id", "id")
    index("shim_packs", "shop_id", "position_id", "id")
    index("shim_packs", "shop_id", "recorded_on", "id")
    index("shim_packs", "shop_id", "stage", "id")
    index("shim_packs", "shop_id", "unit_id", "id")

    op.create_table(
        "shim_pack_shims",
        sa.Column("shim_pack_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        *quantity("shim_pack_shims", "thickness", optional=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("is_broken", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("shim_pack_id", "place", name="pk_shim_pack_shims"),
        points("shim_pack_shims", "shim_pack_id", "shim_packs"),
        check("ck_shim_pack_shims_quantity_at_least_one", "quantity >= 1"),
        check("ck_shim_pack_shims_thickness_above_zero", "thickness_canonical > 0"),
    )


def deliveries() -> None:
    op.create_table(
        "deliveries",
        *head("deliveries", "shop_id"),
        sa.Column("supplier_id", ident(), nullable=False),
        sa.Column("ordered_at", moment(), nullable=False),
        sa.Column("job_id", ident()),
        sa.Column("promised_on", sa.Date()),
        sa.Column("arrived_on", sa.Date()),
        *money("deliveries", "freight", optional=True),
        sa.Column("note", sa.String(2000)),
        sa.ForeignKeyConstraint(
            ["shop_id", "job_id"],
            ["jobs.shop_id", "jobs.id"],
            name="fk_deliveries_shop_id_job_id",
        ),
        sa.ForeignKeyConstraint(
            ["shop_id", "supplier_id"],
            ["suppliers.shop_id", "suppliers.id"],
            name="fk_deliveries_shop_id_supplier_id",
        ),
    )
    index("deliveries", "shop_id", "arrived_on", "id")
    owned("deliveries", "shop_id")
    index("deliveries", "shop_id", "job_id", "id")
    index("deliveries", "shop_id", "ordered_at", "id")
    index("deliveries", "shop_id", "promised_on", "id")
    index("deliveries", "shop_id", "supplier_id", "id")

    op.create_table(
        "delivery_lines",
        sa.Column("delivery_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("shop_id", ident(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("offer_id", ident()),
        sa.Column("part_id", ident()),
        sa.Column("description", sa.String(2000)),
        sa.PrimaryKeyConstraint("delivery_id", "place", name="pk_delivery_lines"),
        points("delivery_lines", "part_id", "parts"),
        sa.ForeignKeyConstraint(
            ["shop_id", "delivery_id"],
            ["deliveries.shop_id", "deliveries.id"],
            name="fk_delivery_lines_shop_id_delivery_id",
        ),
        sa.ForeignKeyConstraint(
            ["shop_id", "offer_id"],
            ["offers.shop_id", "offers.id"],
            name="fk_delivery_lines_shop_id_offer_id",
        ),
        check(
            "ck_delivery_lines_line_names_one_thing",
            "(offer_id IS NULL OR part_id IS NULL) AND (offer_id IS NOT NULL OR part_id IS"
            " NOT NULL OR description IS NOT NULL)",
        ),
        check("ck_delivery_lines_quantity_at_least_one", "quantity >= 1"),
    )
    index("delivery_lines", "offer_id", "delivery_id")
    index("delivery_lines", "part_id", "delivery_id")


def outcomes() -> None:
    op.create_table(
        "outcomes",
        *head("outcomes", "shop_id"),
        sa.Column("job_id", ident(), nullable=False),
        sa.Column("decision_id", ident()),
        sa.Column("handed_over_on", sa.Date()),
        *money("outcomes", "actual_cost", optional=True),
        *money("outcomes", "actual_price", optional=True),
        sa.Column("bench_hours", sa.BigInteger()),
        sa.Column("note", sa.String(2000)),
        sa.ForeignKeyConstraint(
            ["shop_id", "decision_id"],
            ["decisions.shop_id", "decisions.id"],
            name="fk_outcomes_shop_id_decision_id",
        ),
        sa.ForeignKeyConstraint(
            ["shop_id", "job_id"],
            ["jobs.shop_id", "jobs.id"],
            name="fk_outcomes_shop_id_job_id",
        ),
        sa.UniqueConstraint("shop_id", "job_id", name="uq_outcomes_shop_id_job_id"),
        check("ck_outcomes_bench_hours_not_negative", "bench_hours >= 0"),
    )
    index("outcomes", "shop_id", "decision_id", "id")
    index("outcomes", "shop_id", "handed_over_on", "id")
    owned("outcomes", "shop_id")

    op.create_table(
        "outcome_comebacks",
        sa.Column("outcome_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("came_back_on", sa.Date(), nullable=False),
        sa.Column("hours_run", sa.BigInteger()),
        sa.Column("position_id", ident()),
        sa.Column("cause", sa.String(2000)),
        *money("outcome_comebacks", "cost", optional=True),
        sa.PrimaryKeyConstraint("outcome_id", "place", name="pk_outcome_comebacks"),
        points("outcome_comebacks", "outcome_id", "outcomes"),
        points("outcome_comebacks", "position_id", "positions"),
        check("ck_outcome_comebacks_hours_run_not_negative", "hours_run >= 0"),
    )
    index("outcome_comebacks", "position_id", "outcome_id")


def ident() -> sa.String:
    """Ids sort by code point, on PostgreSQL too."""
    return sa.String(64).with_variant(sa.String(64, collation="C"), "postgresql")


def moment() -> sa.DateTime:
    return sa.DateTime(timezone=True)


def check(name: str, sql: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(sql, name=op.f(name))


def points(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    """Let a column name a record of another table."""
    return sa.ForeignKeyConstraint([column], [f"{target}.id"], name=f"fk_{table}_{column}")


def index(table: str, *columns: str) -> None:
    op.create_index(f"ix_{table}_{'_'.join(columns)}", table, list(columns))


def owned(table: str, owner: str) -> None:
    """Let other tables point at (owner, id); list records in the order of their times."""
    op.create_index(f"ix_{table}_{owner}_id", table, [owner, "id"], unique=True)
    before = ["shop_id"] if owner == "shop_id" else []
    for time in ("created_at", "updated_at"):
        index(table, *before, time, "id")


def words(table: str, column: str, allowed: str) -> sa.CheckConstraint:
    """Hold a column to a set of words."""
    listed = ", ".join(f"'{word}'" for word in allowed.split())
    return check(f"ck_{table}_{column}", f"{column} IN ({listed})")


def head(table: str, owner: str) -> list:
    """What every record has: identity, the shop it belongs to, version, times."""
    return [
        sa.Column("id", ident(), nullable=False),
        sa.Column(owner, ident(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", moment(), nullable=False),
        sa.Column("updated_at", moment(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=f"pk_{table}"),
        sa.ForeignKeyConstraint([owner], ["shops.id"], name=f"fk_{table}_{owner}"),
    ]


def money(table: str, name: str, optional: bool = False) -> list:
    """An amount: both columns or neither, never below zero."""
    minor, currency = f"{name}_minor", f"{name}_currency"
    return [
        sa.Column(minor, sa.BigInteger(), nullable=optional),
        sa.Column(currency, sa.String(3), nullable=optional),
        check(
            f"ck_{table}_{name}",
            f"({minor} IS NULL) = ({currency} IS NULL) AND ({minor} IS NULL OR {minor} >= 0)",
        ),
    ]


def quantity(table: str, name: str, optional: bool = True) -> list:
    """A quantity as entered, with at most one statement of doubt, and its canonical value."""
    standard, expanded = f"{name}_standard_uncertainty", f"{name}_expanded_uncertainty"
    factor, half_width = f"{name}_coverage_factor", f"{name}_plus_minus"
    return [
        sa.Column(f"{name}_value", sa.String(48), nullable=optional),
        sa.Column(f"{name}_unit", sa.String(16), nullable=optional),
        sa.Column(standard, sa.String(48)),
        sa.Column(expanded, sa.String(48)),
        sa.Column(factor, sa.String(48)),
        sa.Column(half_width, sa.String(48)),
        sa.Column(f"{name}_canonical", sa.BigInteger(), nullable=optional),
        check(
            f"ck_{table}_{name}_states_doubt_once",
            f"({standard} IS NULL OR {expanded} IS NULL)"
            f" AND ({standard} IS NULL OR {half_width} IS NULL)"
            f" AND ({expanded} IS NULL OR {half_width} IS NULL)"
            f" AND ({factor} IS NULL OR {expanded} IS NOT NULL)",
        ),
    ]
