"""What a special tool has to do, told in full; what a piece of common hardware is, and its sizes.

Names are written out in full, so that this file says the same whatever the models become. Decimals
are whole millionths, money whole minor units, times UTC.
"""

from datetime import UTC, datetime

import sqlalchemy as sa
from alembic import op

revision = "2026_11_29_substitutes"
down_revision = "2026_11_28_generic_equals"
branch_labels = None
depends_on = None

KINDS = (
    "thread bore outside-diameter across-flats spacing pin-circle pin slot tooth-space"
    " plate-thickness depth chamfer reach travel"
)
MORE_KINDS = (
    "wall face-inside face-outside pitch-diameter lip clear-height clear-diameter length width"
    " thickness thread-length"
)
FORMS = (
    "screw threaded-rod nut washer tube bar plate strip pin socket ring sleeve hook-spanner"
    " measured-piece"
)
TIPS = "flat chamfered rounded dog cone cup mushroomed"
USES = (
    "lifting suspending work-under-load holding-pressure stays-in-brakes stays-in-steering"
    " stays-in-suspension stays-in-restraint stays-in-rotating-part stored-energy"
    " electrical-isolation impact"
)

# A step down forgets what the schema before has no place for: such records read differently. It is
# told: an audit entry for each, and a number among the changes that whoever keeps a copy has not
# read yet.
LESS_NOTE = "The schema went back to one that does not know all of the record."
ENTRY = """
    INSERT INTO audit_entries (shop_id, key_id, noted_at, kind, record_id, action, detail)
    SELECT r.{owner}, coalesce(
        (SELECT e.key_id FROM audit_entries e WHERE e.record_id = r.id
         ORDER BY e.sequence DESC LIMIT 1),
        (SELECT min(k.id) FROM keys k WHERE k.shop_id = r.{owner})
    ), :moment, :kind, r.id, 'change', :note
    FROM {table} r WHERE {only} ORDER BY r.id
"""
LESS = "UPDATE {table} SET version = version + 1, updated_at = :moment WHERE {only}"
NEW_NUMBERS = """
    UPDATE changes SET sequence = (
        SELECT max(a.sequence) FROM audit_entries a WHERE a.record_id = changes.record_id
    )
    WHERE EXISTS (
        SELECT 1 FROM audit_entries a WHERE a.record_id = changes.record_id AND a.sequence > :last
    )
"""


def upgrade() -> None:
    hold_kinds(f"{KINDS} {MORE_KINDS}")
    widen("special_tools", TOOL_COLUMNS, TOOL_CHECKS)
    op.execute("UPDATE special_tools SET uses_are_stated = (1 = 0)")
    with op.batch_alter_table("special_tools") as batch:
        batch.alter_column("uses_are_stated", existing_type=sa.Boolean(), nullable=False)
        batch.create_foreign_key("fk_special_tools_part_id", "parts", ["part_id"], ["id"])
    op.create_index("ix_special_tools_part_id_id", "special_tools", ["part_id", "id"])
    op.create_table(
        "special_tool_uses",
        sa.Column("special_tool_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("use", sa.String(40), nullable=False),
        sa.PrimaryKeyConstraint("special_tool_id", "place", name="pk_special_tool_uses"),
        points("special_tool_uses", "special_tool_id", "special_tools"),
        sa.UniqueConstraint(
            "special_tool_id", "use", name="uq_special_tool_uses_special_tool_id_use"
        ),
        sa.CheckConstraint(words("use", USES), name=op.f("ck_special_tool_uses_use")),
    )
    widen("stock_items", ITEM_COLUMNS, ITEM_CHECKS)
    op.create_table(
        "stock_item_features",
        sa.Column("stock_item_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("designation", sa.String(200)),
        *quantity("size"),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("stock_item_id", "place", name="pk_stock_item_features"),
        points("stock_item_features", "stock_item_id", "stock_items"),
        *(
            sa.CheckConstraint(sql, name=op.f(f"ck_stock_item_features_{name}"))
            for name, sql in FEATURE_CHECKS.items()
        ),
    )


def downgrade() -> None:
    last, at = last_sequence(), datetime.now(UTC)
    tell("special_tools", "author_shop_id", "special-tool", with_more("tool", TOOL_COLUMNS), at)
    tell("stock_items", "shop_id", "stock-item", with_more("item", ITEM_COLUMNS), at)
    op.get_bind().execute(sa.text(NEW_NUMBERS), {"last": last})
    op.drop_table("stock_item_features")
    op.drop_table("special_tool_uses")
    op.execute(f"DELETE FROM special_tool_features WHERE {words('kind', MORE_KINDS)}")
    hold_kinds(KINDS)
    narrow("stock_items", ITEM_COLUMNS, ITEM_CHECKS)
    op.drop_index("ix_special_tools_part_id_id", "special_tools")
    with op.batch_alter_table("special_tools") as batch:
        batch.drop_constraint("fk_special_tools_part_id", type_="foreignkey")
    narrow("special_tools", TOOL_COLUMNS, TOOL_CHECKS)


def with_more(what: str, columns: list[sa.Column]) -> str:
    """Say which records know more than the schema before has a place for."""
    stated = [f"{one.name} IS NOT NULL" for one in columns if one.name != "uses_are_stated"]
    if what == "item":
        return " OR ".join((*stated, "id IN (SELECT stock_item_id FROM stock_item_features)"))
    of_more = f"SELECT special_tool_id FROM special_tool_features WHERE {words('kind', MORE_KINDS)}"
    return " OR ".join((*stated, "uses_are_stated", f"id IN ({of_more})"))


def tell(table: str, owner: str, kind: str, only: str, at: datetime) -> None:
    """Count the versions of some records up, and write an audit entry for each."""
    op.get_bind().execute(timed(LESS.format(table=table, only=only)), {"moment": at})
    statement = timed(ENTRY.format(table=table, owner=owner, only=only))
    op.get_bind().execute(statement, {"kind": kind, "note": LESS_NOTE, "moment": at})


def last_sequence() -> int:
    return op.get_bind().execute(sa.text("SELECT max(sequence) FROM audit_entries")).scalar() or 0


def timed(statement: str) -> sa.TextClause:
    moment = sa.bindparam("moment", type_=sa.DateTime(timezone=True))
    return sa.text(statement).bindparams(moment)


# --- what tables gain --------------------------------------------------------------------------


def hold_kinds(kinds: str) -> None:
    """Hold the kinds of a tool's features to a set of words."""
    with op.batch_alter_table("special_tool_features") as batch:
        batch.drop_constraint(op.f("ck_special_tool_features_kind"), type_="check")
        batch.create_check_constraint(op.f("ck_special_tool_features_kind"), words("kind", kinds))


def widen(table: str, columns: list[sa.Column], checks: dict[str, str]) -> None:
    with op.batch_alter_table(table) as batch:
        for column in columns:
            batch.add_column(sa.Column(column.name, column.type))
    with op.batch_alter_table(table) as batch:
        for name, sql in checks.items():
            batch.create_check_constraint(op.f(f"ck_{table}_{name}"), sql)


def narrow(table: str, columns: list[sa.Column], checks: dict[str, str]) -> None:
    with op.batch_alter_table(table) as batch:
        for name in checks:
            batch.drop_constraint(op.f(f"ck_{table}_{name}"), type_="check")
        for column in columns:
            batch.drop_column(column.name)


def ident() -> sa.String:
    """Ids sort by code point, on PostgreSQL too."""
    return sa.String(64).with_variant(sa.String(64, collation="C"), "postgresql")


def points(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    """Let a column name a record of another table."""
    return sa.ForeignKeyConstraint([column], [f"{target}.id"], name=f"fk_{table}_{column}")


def words(column: str, allowed: str) -> str:
    listed = ", ".join(f"'{word}'" for word in allowed.split())
    return f"{column} IN ({listed})"


def quantity(name: str) -> list[sa.Column]:
    """A quantity: as entered, one statement of doubt, the value in the canonical unit."""
    doubts = ("standard_uncertainty", "expanded_uncertainty", "coverage_factor", "plus_minus")
    return [
        sa.Column(f"{name}_value", sa.String(48)),
        sa.Column(f"{name}_unit", sa.String(16)),
        *(sa.Column(f"{name}_{doubt}", sa.String(48)) for doubt in doubts),
        sa.Column(f"{name}_canonical", sa.BigInteger()),
    ]


def measured(*names: str) -> dict[str, str]:
    """The truths of quantities: doubt in one way, and more than zero."""
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
        truths[f"{name}_above_zero"] = f"{name}_canonical > 0"
    return truths


TOOL_COLUMNS = [
    sa.Column("part_id", ident()),
    *quantity("force_highest"),
    *quantity("torque_highest"),
    *quantity("sealed_area"),
    sa.Column("sealant", sa.String(200)),
    *quantity("press_fit_diameter"),
    *quantity("press_fit_length"),
    *quantity("press_fit_hub_outside"),
    *quantity("press_fit_shaft_bore"),
    sa.Column("press_fit_hole_class", sa.String(200)),
    sa.Column("press_fit_shaft_class", sa.String(200)),
    sa.Column("press_fit_hub_material", sa.String(200)),
    sa.Column("press_fit_shaft_material", sa.String(200)),
    sa.Column("workpiece_hardness", sa.String(200)),
    sa.Column("pushed_material", sa.String(200)),
    sa.Column("thread_hand", sa.String(40)),
    sa.Column("tight_ring", sa.String(40)),
    sa.Column("is_symmetric", sa.Boolean()),
    sa.Column("uses_are_stated", sa.Boolean()),
    sa.Column("in_the_way", sa.String(2000)),
    sa.Column("lubrication", sa.String(200)),
    *quantity("tolerance"),
]
TOOL_CHECKS = {
    **measured(
        "force_highest",
        "torque_highest",
        "sealed_area",
        "press_fit_diameter",
        "press_fit_length",
        "press_fit_hub_outside",
        "press_fit_shaft_bore",
        "tolerance",
    ),
    "press_fit_is_whole": (
        "(press_fit_diameter_value IS NULL) = (press_fit_length_value IS NULL)"
        " AND (press_fit_diameter_value IS NULL) = (press_fit_hole_class IS NULL)"
        " AND (press_fit_diameter_value IS NULL) = (press_fit_shaft_class IS NULL)"
        " AND (press_fit_diameter_value IS NOT NULL OR press_fit_hub_outside_value IS NULL)"
        " AND (press_fit_diameter_value IS NOT NULL OR press_fit_shaft_bore_value IS NULL)"
        " AND (press_fit_diameter_value IS NOT NULL OR press_fit_hub_material IS NULL)"
        " AND (press_fit_diameter_value IS NOT NULL OR press_fit_shaft_material IS NULL)"
    ),
    "thread_hand": words("thread_hand", "right left"),
    "tight_ring": words("tight_ring", "inner outer both no-bearing"),
}
ITEM_COLUMNS = [
    sa.Column("form", sa.String(40)),
    sa.Column("hardness", sa.String(200)),
    sa.Column("tip", sa.String(40)),
    sa.Column("certificate", sa.String(200)),
]
ITEM_CHECKS = {"form": words("form", FORMS), "tip": words("tip", TIPS)}
FEATURE_CHECKS = {
    **measured("size"),
    "kind": words("kind", f"{KINDS} {MORE_KINDS}"),
    "designation_or_size": "designation IS NOT NULL OR size_value IS NOT NULL",
    "count_at_least_one": "count >= 1",
}
