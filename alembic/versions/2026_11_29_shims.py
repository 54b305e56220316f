"""Places for shims; duty of bearings; causes of failure; what a rework puts right.

Names are written out in full, so that this file says the same whatever the models become. Decimals
are whole millionths, money whole minor units, times UTC.
"""

from datetime import UTC, datetime

import sqlalchemy as sa
from alembic import op

revision = "2026_11_29_shims"
down_revision = "2026_11_29_condition"
branch_labels = None
depends_on = None

EFFECTS = "more-shims-increase more-shims-decrease"
AIMS = "middle lower upper"
ROUNDINGS = "nearest up down"
ROLLING = "ball roller"
REWORKS = "sleeve oversize-part plating welding grinding other"
MECHANISMS = (
    "wear fatigue corrosion erosion electrical-erosion plastic-deformation fracture overheating"
    " ageing leakage looseness other"
)
CAUSES = (
    "design manufacture installation operation maintenance contamination neighbouring-part"
    " expected-wear"
)

# A step down forgets what the schema before has no place for. Such records read differently, or go
# with their table. Both are told: an audit entry for each, and a number among the changes that
# whoever keeps a copy has not read yet.
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
OF_COMEBACKS = (
    "SELECT outcome_id FROM outcome_comebacks WHERE mechanism IS NOT NULL OR cause_kind IS NOT NULL"
)
CHANGED = (
    ("positions", "author_shop_id", "position", "duty_rolling IS NOT NULL"),
    ("offers", "shop_id", "offer", "rework_kind IS NOT NULL"),
    (
        "jobs",
        "shop_id",
        "job",
        "failure_mechanism IS NOT NULL OR cause_kind IS NOT NULL OR is_cause_removed IS NOT NULL",
    ),
    ("outcomes", "shop_id", "outcome", f"id IN ({OF_COMEBACKS})"),
    ("shim_packs", "shop_id", "shim-pack", "shim_place_id IS NOT NULL"),
)
"""Which records stay and know less: table, owner, word of the kind, condition."""
NEW_TABLES = (
    "shim_place_sizes",
    "shim_place_digits",
    "shim_place_assortment",
    "shim_place_disturbers",
    "shim_places",
    "offer_rework_rights",
    "offer_rework_parts",
)


def upgrade() -> None:
    shim_places()
    with op.batch_alter_table("shim_packs") as batch:
        batch.add_column(sa.Column("shim_place_id", ident()))
        batch.create_foreign_key(
            "fk_shim_packs_shim_place_id", "shim_places", ["shim_place_id"], ["id"]
        )
    index("shim_packs", "shop_id", "shim_place_id", "id")
    widen("positions", DUTY_COLUMNS, DUTY_CHECKS)
    widen("jobs", CAUSE_COLUMNS, CAUSE_CHECKS)
    widen("outcome_comebacks", COMEBACK_COLUMNS, COMEBACK_CHECKS)
    widen("offers", REWORK_COLUMNS, REWORK_CHECKS)
    reworks()


def downgrade() -> None:
    last, at = last_sequence(), datetime.now(UTC)
    for table, owner, kind, only in CHANGED:
        op.get_bind().execute(timed(LESS.format(table=table, only=only)), {"moment": at})
        note(table, owner, only, kind=kind, action="change", note=LESS_NOTE, moment=at)
    note(
        "shim_places",
        "author_shop_id",
        "1 = 1",
        kind="shim-place",
        action="retire",
        note=GONE_NOTE,
        moment=at,
    )
    op.get_bind().execute(sa.text(NEW_NUMBERS), {"last": last})
    op.drop_index("ix_shim_packs_shop_id_shim_place_id_id", "shim_packs")
    with op.batch_alter_table("shim_packs") as batch:
        batch.drop_constraint("fk_shim_packs_shim_place_id", type_="foreignkey")
        batch.drop_column("shim_place_id")
    for table in NEW_TABLES:
        op.drop_table(table)
    narrow("offers", REWORK_COLUMNS, REWORK_CHECKS)
    narrow("outcome_comebacks", COMEBACK_COLUMNS, COMEBACK_CHECKS)
    narrow("jobs", CAUSE_COLUMNS, CAUSE_CHECKS)
    narrow("positions", DUTY_COLUMNS, DUTY_CHECKS)


def last_sequence() -> int:
    return op.get_bind().execute(sa.text("SELECT max(sequence) FROM audit_entries")).scalar() or 0


def note(table: str, owner: str, only: str, **entry: object) -> None:
    """Write an audit entry for each of some rows of a table."""
    op.get_bind().execute(timed(ENTRY.format(table=table, owner=owner, only=only)), entry)


def timed(statement: str) -> sa.TextClause:
    moment = sa.bindparam("moment", type_=sa.DateTime(timezone=True))
    return sa.text(statement).bindparams(moment)


# --- new tables --------------------------------------------------------------------------------


def shim_places() -> None:
    table = "shim_places"
    op.create_table(
        table,
        sa.Column("id", ident(), nullable=False),
        sa.Column("author_shop_id", ident(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("updated_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("position_id", ident(), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("effect", sa.String(40), nullable=False),
        sa.Column("factor", sa.BigInteger(), nullable=False),
        sa.Column("sets_characteristic_id", ident()),
        sa.Column("rule_aim", sa.String(40)),
        sa.Column("rule_most_shims", sa.Integer()),
        *quantity("rule_step"),
        sa.Column("rule_rounding", sa.String(40)),
        *quantity("rule_digits_unit"),
        *quantity("rule_thicker_by"),
        *quantity("rule_thicker_at_most"),
        *quantity("rule_mean_cut_to"),
        sa.Column("rule_source", sa.String(2000)),
        sa.Column("seating", sa.String(2000)),
        sa.Column("source", sa.String(2000)),
        sa.PrimaryKeyConstraint("id", name="pk_shim_places"),
        points(table, "author_shop_id", "shops"),
        points(table, "position_id", "positions"),
        points(table, "sets_characteristic_id", "characteristics"),
        *checks(table, PLACE_CHECKS),
    )
    op.create_index(
        "ix_shim_places_author_shop_id_id", table, ["author_shop_id", "id"], unique=True
    )
    for column in ("created_at", "updated_at", "position_id", "sets_characteristic_id"):
        index(table, column, "id")
    of_a(
        "shim_place",
        "shim_place_sizes",
        *quantity("thickness", is_required=True),
        sa.Column("part_id", ident()),
        sa.Column("is_discontinued", sa.Boolean(), nullable=False),
        points("shim_place_sizes", "part_id", "parts"),
        sa.UniqueConstraint(
            "shim_place_id",
            "thickness_canonical",
            name="uq_shim_place_sizes_shim_place_id_thickness_canonical",
        ),
        *checks("shim_place_sizes", measured("thickness")),
    )
    of_a(
        "shim_place",
        "shim_place_digits",
        *(sa.Column(name, sa.Integer(), nullable=False) for name in ("first", "last", "to")),
        *checks("shim_place_digits", DIGIT_CHECKS),
    )
    of_a(
        "shim_place",
        "shim_place_assortment",
        sa.Column("part_id", ident(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        *once("shim_place", "shim_place_assortment", "part"),
        *checks("shim_place_assortment", {"quantity_at_least_one": "quantity >= 1"}),
    )
    of_a(
        "shim_place",
        "shim_place_disturbers",
        sa.Column("position_id", ident(), nullable=False),
        *once("shim_place", "shim_place_disturbers", "position"),
    )
    for name, column in (("sizes", "part"), ("assortment", "part"), ("disturbers", "position")):
        index(f"shim_place_{name}", f"{column}_id", "shim_place_id")


def reworks() -> None:
    of_a(
        "offer",
        "offer_rework_rights",
        sa.Column("characteristic_id", ident(), nullable=False),
        *once("offer", "offer_rework_rights", "characteristic"),
    )
    of_a(
        "offer",
        "offer_rework_parts",
        sa.Column("part_id", ident(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        *once("offer", "offer_rework_parts", "part"),
        *checks("offer_rework_parts", {"quantity_at_least_one": "quantity >= 1"}),
    )
    index("offer_rework_rights", "characteristic_id", "offer_id")
    index("offer_rework_parts", "part_id", "offer_id")


def of_a(owner: str, table: str, *items: sa.schema.SchemaItem) -> None:
    """Make a table whose rows are part of a record, in the order given."""
    op.create_table(
        table,
        sa.Column(f"{owner}_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        *items,
        sa.PrimaryKeyConstraint(f"{owner}_id", "place", name=f"pk_{table}"),
        points(table, f"{owner}_id", f"{owner}s"),
    )


def once(owner: str, table: str, named: str) -> list[sa.Constraint]:
    """Let rows name a record of another table, each once for one owner."""
    name = f"uq_{table}_{owner}_id_{named}_id"
    return [
        points(table, f"{named}_id", f"{named}s"),
        sa.UniqueConstraint(f"{owner}_id", f"{named}_id", name=name),
    ]


# --- what tables gain --------------------------------------------------------------------------


def widen(table: str, columns: list[sa.Column], truths: dict[str, str]) -> None:
    with op.batch_alter_table(table) as batch:
        for column in columns:
            batch.add_column(sa.Column(column.name, column.type))
    with op.batch_alter_table(table) as batch:
        for name, sql in truths.items():
            batch.create_check_constraint(op.f(f"ck_{table}_{name}"), sql)


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


def quantity(name: str, *, is_required: bool = False) -> list[sa.Column]:
    """A quantity: as entered, one statement of doubt, the value in the canonical unit."""
    doubts = ("standard_uncertainty", "expanded_uncertainty", "coverage_factor", "plus_minus")
    return [
        sa.Column(f"{name}_value", sa.String(48), nullable=not is_required),
        sa.Column(f"{name}_unit", sa.String(16), nullable=not is_required),
        *(sa.Column(f"{name}_{doubt}", sa.String(48)) for doubt in doubts),
        sa.Column(f"{name}_canonical", sa.BigInteger(), nullable=not is_required),
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


RULE_MEASURES = (
    "rule_step",
    "rule_digits_unit",
    "rule_thicker_by",
    "rule_thicker_at_most",
    "rule_mean_cut_to",
)
PLACE_CHECKS = {
    **measured(*RULE_MEASURES),
    "effect": words("effect", EFFECTS),
    "factor_not_negative": "factor >= 0",
    "factor_above_zero": "factor > 0",
    "rule_aim": words("rule_aim", AIMS),
    "rule_rounding": words("rule_rounding", ROUNDINGS),
    "rule_has_aim": (
        "rule_aim IS NOT NULL OR (rule_most_shims IS NULL AND rule_step_value IS NULL"
        " AND rule_rounding IS NULL AND rule_digits_unit_value IS NULL"
        " AND rule_thicker_by_value IS NULL AND rule_thicker_at_most_value IS NULL"
        " AND rule_mean_cut_to_value IS NULL AND rule_source IS NULL)"
    ),
    "rule_most_shims_at_least_one": "rule_most_shims >= 1",
    "rule_step_has_rounding": "(rule_step_value IS NULL) = (rule_rounding IS NULL)",
    "rule_thicker_is_whole": (
        "(rule_thicker_by_value IS NULL) = (rule_thicker_at_most_value IS NULL)"
    ),
}
DIGIT_CHECKS = {
    "digits_of_a_decade": (
        '"first" BETWEEN 0 AND 9 AND "last" BETWEEN 0 AND 9 AND "to" BETWEEN 0 AND 10'
        ' AND "first" <= "last"'
    ),
}
DUTY_COLUMNS = [
    sa.Column("duty_rolling", sa.String(40)),
    *quantity("duty_dynamic_rating"),
    *quantity("duty_equivalent_load"),
    *quantity("duty_speed"),
    sa.Column("duty_basis", sa.String(2000)),
]
DUTY_CHECKS = {
    "duty_rolling": words("duty_rolling", ROLLING),
    **measured("duty_dynamic_rating", "duty_equivalent_load", "duty_speed"),
    "duty_is_whole": (
        "(duty_rolling IS NULL) = (duty_dynamic_rating_value IS NULL)"
        " AND (duty_rolling IS NULL) = (duty_equivalent_load_value IS NULL)"
        " AND (duty_rolling IS NULL) = (duty_speed_value IS NULL)"
        " AND (duty_rolling IS NULL) = (duty_basis IS NULL)"
    ),
}
CAUSE_COLUMNS = [
    sa.Column("failure_mechanism", sa.String(40)),
    sa.Column("cause_kind", sa.String(40)),
    sa.Column("is_cause_removed", sa.Boolean()),
]
CAUSE_CHECKS = {
    "failure_mechanism": words("failure_mechanism", MECHANISMS),
    "cause_kind": words("cause_kind", CAUSES),
    "removed_cause_is_named": (
        "is_cause_removed IS NULL OR cause IS NOT NULL OR cause_kind IS NOT NULL"
    ),
}
COMEBACK_COLUMNS = [
    sa.Column("mechanism", sa.String(40)),
    sa.Column("cause_kind", sa.String(40)),
]
COMEBACK_CHECKS = {
    "mechanism": words("mechanism", MECHANISMS),
    "cause_kind": words("cause_kind", CAUSES),
}
REWORK_COLUMNS = [
    sa.Column("rework_kind", sa.String(40)),
    sa.Column("rework_p50_hours", sa.BigInteger()),
    sa.Column("rework_p90_hours", sa.BigInteger()),
]
REWORK_CHECKS = {
    "rework_kind": words("rework_kind", REWORKS),
    "rework_p50_hours_not_negative": "rework_p50_hours >= 0",
    "rework_p90_hours_not_negative": "rework_p90_hours >= 0",
    "rework_p90_hours_not_below_p50": "rework_p90_hours >= rework_p50_hours",
    "rework_is_whole": (
        "(rework_kind IS NULL) = (rework_p50_hours IS NULL)"
        " AND (rework_kind IS NULL) = (rework_p90_hours IS NULL)"
    ),
    "rework_at_a_position": (
        "rework_kind IS NULL OR (kind = 'service' AND position_id IS NOT NULL)"
    ),
}
