"""Numbers of several kinds and how they are found; claims and units told in full.

Names are written out in full, so that this file says the same whatever the models become. Decimals
are whole millionths, money whole minor units, times UTC. The keys of numbers are worked out from
what is stored: nothing that was recorded is changed, so no record gets a new version.
"""

from collections.abc import Callable
from datetime import UTC, datetime
from hashlib import sha256

import sqlalchemy as sa
from alembic import op

from shared.interchange.part_numbers.normal import (
    book_form,
    folded_form,
    maker_key,
    normal_form,
)

revision = "2026_11_29_interchange"
down_revision = "2026_11_29_substitutes"
branch_labels = None
depends_on = None

KINDS = "maker trade casting book-position"
SAYS = "fits does-not-fit"
HANDS = "left right"
SAMENESS = "same differs not-told"
ASPECTS = "load speed material clearance sealing duty-cycle form other"
LONGEST = 400
STEP = 1_000

# A step down forgets what the schema before has no place for. Such records read differently, or go:
# a claim without the condition under which it was made would say more than anybody did. Both are
# told: an audit entry for each, and a number among the changes that whoever keeps a copy has not
# read yet.
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
BUILT = "built_from_on IS NOT NULL OR built_to_on IS NOT NULL"
GOING_CLAIMS = (
    f"says <> 'fits' OR {BUILT} OR hand IS NOT NULL OR ratio IS NOT NULL"
    " OR generation IS NOT NULL OR part_quantity <> 1 OR stand_in_quantity <> 1"
    " OR id IN (SELECT claim_id FROM claim_companion_lines)"
)
GONE = (
    ("number_rules", "number-rule", "1 = 1"),
    ("interchange_claims", "interchange-claim", GOING_CLAIMS),
    ("supersessions", "supersession", BUILT),
)
"""Which records of the catalogue go: table, word of the kind, condition."""
TRIED = f"claim_id IN (SELECT id FROM interchange_claims WHERE {GOING_CLAIMS})"
CHANGED = (
    ("parts", "author_shop_id", "part", "id IN (SELECT part_id FROM part_other_numbers)"),
    (
        "units",
        "shop_id",
        "unit",
        "built_on IS NOT NULL OR hand IS NOT NULL OR ratio IS NOT NULL OR generation IS NOT NULL",
    ),
    (
        "interchange_claims",
        "author_shop_id",
        "interchange-claim",
        f"NOT ({GOING_CLAIMS}) AND (stated_on IS NOT NULL OR form <> 'not-told'"
        " OR fit <> 'not-told' OR function <> 'not-told'"
        " OR id IN (SELECT claim_id FROM claim_checks)"
        " OR id IN (SELECT claim_id FROM claim_differences))",
    ),
    ("fitments", "shop_id", "fitment", TRIED),
)
"""Which records stay and know less: table, owner, word of the kind, condition."""
NEW_TABLES = (
    "part_other_numbers",
    "number_rules",
    "claim_companion_lines",
    "claim_checks",
    "claim_differences",
)


def upgrade() -> None:
    part_numbers()
    number_rules()
    claims()
    widen("supersessions", BUILT_COLUMNS, BUILT_CHECKS)
    widen("units", UNIT_COLUMNS, UNIT_CHECKS)
    for column in UNITS_BY:
        index("units", "shop_id", column, "id")
    for table in ("supersession_later_lines", "supersession_companion_lines"):
        index(table, "earlier_part_id", "supersession_id")
    widen("positions", [sa.Column("reference_key", search_key())], {})
    key("positions", "reference", lambda reference: {"reference_key": line_key(reference)})
    index("positions", "reference_key", "id")


def downgrade() -> None:
    last, at = last_sequence(), datetime.now(UTC)
    for table, owner, kind, only in CHANGED:
        op.get_bind().execute(timed(LESS.format(table=table, only=only)), {"moment": at})
        note(table, owner, only, kind=kind, action="change", note=LESS_NOTE, moment=at)
    for table, kind, only in GONE:
        note(
            table,
            "author_shop_id",
            only,
            kind=kind,
            action="retire",
            note=GONE_NOTE,
            moment=at,
        )
    op.get_bind().execute(sa.text(NEW_NUMBERS), {"last": last})
    let_go()
    for table in NEW_TABLES:
        op.drop_table(table)
    op.drop_index("ix_positions_reference_key_id", "positions")
    narrow("positions", [sa.Column("reference_key", search_key())], {})
    for table in ("supersession_later_lines", "supersession_companion_lines"):
        op.drop_index(f"ix_{table}_earlier_part_id_supersession_id", table)
    for column in UNITS_BY:
        op.drop_index(f"ix_units_shop_id_{column}_id", "units")
    narrow("units", UNIT_COLUMNS, UNIT_CHECKS)
    narrow("supersessions", BUILT_COLUMNS, BUILT_CHECKS)
    for columns in CLAIM_INDEXES:
        op.drop_index("_".join(("ix_interchange_claims", *columns)), "interchange_claims")
    with op.batch_alter_table("interchange_claims") as batch:
        batch.drop_constraint(CLAIM_WITH_PARTS, type_="unique")
    narrow("interchange_claims", CLAIM_COLUMNS, CLAIM_CHECKS)
    for columns in PART_INDEXES:
        op.drop_index("_".join(("ix_parts", *columns)), "parts")
    narrow("parts", PART_COLUMNS, {})


def let_go() -> None:
    """Take out the records that go, and what is theirs or names them."""
    op.execute(f"UPDATE fitments SET claim_id = NULL WHERE {TRIED}")
    bind = op.get_bind()
    going = f"SELECT id FROM interchange_claims WHERE {GOING_CLAIMS}"
    # Read before their companions go, by which some of them are known.
    claim_ids = [{"id": row[0]} for row in bind.execute(sa.text(going))]
    for table in ("claim_companion_lines", "claim_checks", "claim_differences"):
        op.execute(f"DELETE FROM {table}")
    if claim_ids:
        bind.execute(sa.text("DELETE FROM interchange_claims WHERE id = :id"), claim_ids)
    for table in ("supersession_later_lines", "supersession_companion_lines"):
        built = f"SELECT id FROM supersessions WHERE {BUILT}"
        op.execute(f"DELETE FROM {table} WHERE supersession_id IN ({built})")
    op.execute(f"DELETE FROM supersessions WHERE {BUILT}")


def last_sequence() -> int:
    return op.get_bind().execute(sa.text("SELECT max(sequence) FROM audit_entries")).scalar() or 0


def note(table: str, owner: str, only: str, **entry: object) -> None:
    """Write an audit entry for each of some rows of a table."""
    op.get_bind().execute(timed(ENTRY.format(table=table, owner=owner, only=only)), entry)


def timed(statement: str) -> sa.TextClause:
    moment = sa.bindparam("moment", type_=sa.DateTime(timezone=True))
    return sa.text(statement).bindparams(moment)


# --- numbers -----------------------------------------------------------------------------------


def part_numbers() -> None:
    widen("parts", PART_COLUMNS, {})
    key("parts", "number", number_keys)
    key("parts", "maker", lambda maker: {"maker_key": fitting(maker_key(maker))})
    never_null("parts", PART_COLUMNS)
    for columns in PART_INDEXES:
        index("parts", *columns)
    op.create_table(
        "part_other_numbers",
        sa.Column("part_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("text", sa.String(200), nullable=False),
        sa.Column("source", sa.String(200)),
        sa.Column("number_key", search_key(), nullable=False),
        sa.Column("folded_key", search_key(), nullable=False),
        sa.Column("reference_key", search_key()),
        sa.PrimaryKeyConstraint("part_id", "place", name="pk_part_other_numbers"),
        points("part_other_numbers", "part_id", "parts"),
        check("part_other_numbers", "kind", words("kind", KINDS)),
        check("part_other_numbers", "kind_is_another", "kind <> 'maker'"),
    )
    for column in ("number_key", "folded_key", "reference_key"):
        index("part_other_numbers", column, "part_id")


def number_rules() -> None:
    op.create_table(
        "number_rules",
        sa.Column("id", ident(), nullable=False),
        sa.Column("author_shop_id", ident(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("updated_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("maker", sa.String(200), nullable=False),
        sa.Column("source", sa.String(2000), nullable=False),
        sa.Column("base_length", sa.Integer()),
        sa.Column("default_suffix", sa.String(200)),
        sa.Column("last_letter_is_optional", sa.Boolean(), nullable=False),
        sa.Column("kept_separators", sa.String(200)),
        sa.Column("note", sa.String(2000)),
        sa.Column("maker_key", search_key(), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_number_rules"),
        points("number_rules", "author_shop_id", "shops"),
        sa.UniqueConstraint("maker_key", name="uq_number_rules_maker_key"),
        check("number_rules", "base_length_at_least_one", "base_length >= 1"),
        check(
            "number_rules",
            "suffix_and_length_together",
            "(base_length IS NULL) = (default_suffix IS NULL)",
        ),
    )
    op.create_index(
        "ix_number_rules_author_shop_id_id", "number_rules", ["author_shop_id", "id"], unique=True
    )
    for column in ("created_at", "updated_at", "maker"):
        index("number_rules", column, "id")


def number_keys(number: str) -> dict[str, str]:
    normal = normal_form(number)
    return {"number_key": fitting(normal), "folded_key": fitting(folded_form(normal))}


def line_key(reference: str) -> str | None:
    form = book_form(reference)
    return None if form is None else fitting(form)


def fitting(text: str) -> str:
    return text if len(text) <= LONGEST else f"sha256:{sha256(text.encode()).hexdigest()}"


def key(table: str, column: str, keys_of: Callable[[str], dict[str, str | None]]) -> None:
    """Work out the keys of every row from one of its columns, some rows at a time."""
    bind, last = op.get_bind(), ""
    while True:
        found = bind.execute(
            sa.text(
                f"SELECT id, {column} FROM {table}"
                f" WHERE {column} IS NOT NULL AND id > :last ORDER BY id LIMIT :step"
            ),
            {"last": last, "step": STEP},
        ).all()
        if not found:
            return
        rows = [{"id": row[0], **keys_of(row[1])} for row in found]
        told = ", ".join(f"{name} = :{name}" for name in rows[0] if name != "id")
        bind.execute(sa.text(f"UPDATE {table} SET {told} WHERE id = :id"), rows)
        last = found[-1][0]


# --- claims ------------------------------------------------------------------------------------


def claims() -> None:
    widen("interchange_claims", CLAIM_COLUMNS, {})
    op.execute(
        "UPDATE interchange_claims SET says = 'fits', part_quantity = 1, stand_in_quantity = 1,"
        " form = 'not-told', fit = 'not-told', function = 'not-told'"
    )
    never_null("interchange_claims", [one for one in CLAIM_COLUMNS if one.name in ALWAYS_STATED])
    with op.batch_alter_table("interchange_claims") as batch:
        for name, sql in CLAIM_CHECKS.items():
            batch.create_check_constraint(op.f(f"ck_interchange_claims_{name}"), sql)
        batch.create_unique_constraint(CLAIM_WITH_PARTS, ["id", "part_id", "stand_in_part_id"])
    for columns in CLAIM_INDEXES:
        index("interchange_claims", *columns)
    op.create_table(
        "claim_companion_lines",
        sa.Column("claim_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("called_for_id", ident(), nullable=False),
        sa.Column("stand_in_id", ident(), nullable=False),
        sa.Column("part_id", ident(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("claim_id", "place", name="pk_claim_companion_lines"),
        sa.ForeignKeyConstraint(
            ["claim_id", "called_for_id", "stand_in_id"],
            [f"interchange_claims.{one}" for one in ("id", "part_id", "stand_in_part_id")],
            name="fk_claim_companion_lines_claim_id_called_for_id_stand_in_id",
        ),
        points("claim_companion_lines", "part_id", "parts"),
        sa.UniqueConstraint(
            "claim_id", "part_id", name="uq_claim_companion_lines_claim_id_part_id"
        ),
        check(
            "claim_companion_lines",
            "part_is_another",
            "part_id <> called_for_id AND part_id <> stand_in_id",
        ),
        check("claim_companion_lines", "quantity_at_least_one", "quantity >= 1"),
    )
    index("claim_companion_lines", "part_id", "claim_id")
    of_a_claim("claim_checks", sa.Column("text", sa.String(2000), nullable=False))
    of_a_claim(
        "claim_differences",
        sa.Column("aspect", sa.String(40), nullable=False),
        sa.Column("difference", sa.String(2000), nullable=False),
        sa.Column("effect", sa.String(2000), nullable=False),
        check("claim_differences", "aspect", words("aspect", ASPECTS)),
    )


def of_a_claim(table: str, *items: sa.schema.SchemaItem) -> None:
    """Make a table whose rows are part of a claim, in the order given."""
    op.create_table(
        table,
        sa.Column("claim_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        *items,
        sa.PrimaryKeyConstraint("claim_id", "place", name=f"pk_{table}"),
        points(table, "claim_id", "interchange_claims"),
    )


# --- what tables gain --------------------------------------------------------------------------


def widen(table: str, columns: list[sa.Column], checks: dict[str, str]) -> None:
    with op.batch_alter_table(table) as batch:
        for column in columns:
            batch.add_column(sa.Column(column.name, column.type))
    if checks:
        with op.batch_alter_table(table) as batch:
            for name, sql in checks.items():
                batch.create_check_constraint(op.f(f"ck_{table}_{name}"), sql)


def never_null(table: str, columns: list[sa.Column]) -> None:
    with op.batch_alter_table(table) as batch:
        for column in columns:
            batch.alter_column(column.name, existing_type=column.type, nullable=False)


def narrow(table: str, columns: list[sa.Column], checks: dict[str, str]) -> None:
    with op.batch_alter_table(table) as batch:
        for name in checks:
            batch.drop_constraint(op.f(f"ck_{table}_{name}"), type_="check")
        for column in columns:
            batch.drop_column(column.name)


def index(table: str, *columns: str) -> None:
    op.create_index("_".join(("ix", table, *columns)), table, list(columns))


def ident() -> sa.String:
    """Ids sort by code point, on PostgreSQL too."""
    return sa.String(64).with_variant(sa.String(64, collation="C"), "postgresql")


def search_key() -> sa.String:
    """Keys that are searched by their beginning sort by code point too."""
    return sa.String(LONGEST).with_variant(sa.String(LONGEST, collation="C"), "postgresql")


def points(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    """Let a column name a record of another table."""
    return sa.ForeignKeyConstraint([column], [f"{target}.id"], name=f"fk_{table}_{column}")


def check(table: str, name: str, sql: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(sql, name=op.f(f"ck_{table}_{name}"))


def words(column: str, allowed: str) -> str:
    listed = ", ".join(f"'{word}'" for word in allowed.split())
    return f"{column} IN ({listed})"


CLAIM_WITH_PARTS = "uq_interchange_claims_id_part_id_stand_in_part_id"
CLAIM_INDEXES = (("part_id", "says", "id"),)
PART_COLUMNS = [
    sa.Column("number_key", search_key()),
    sa.Column("folded_key", search_key()),
    sa.Column("maker_key", search_key()),
]
PART_INDEXES = (("number_key", "id"), ("folded_key", "id"), ("maker_key", "number_key", "id"))
BUILT_COLUMNS = [sa.Column("built_from_on", sa.Date()), sa.Column("built_to_on", sa.Date())]
BUILT_CHECKS = {"built_to_on_not_below_lower": "built_from_on <= built_to_on"}
UNIT_COLUMNS = [
    sa.Column("built_on", sa.Date()),
    sa.Column("hand", sa.String(40)),
    sa.Column("ratio", sa.String(48)),
    sa.Column("generation", sa.String(200)),
]
UNITS_BY = ("hand", "generation", "reason_retired")
UNIT_CHECKS = {"hand": words("hand", HANDS), "ratio_above_zero": "CAST(ratio AS NUMERIC) > 0"}
ALWAYS_STATED = ("says", "part_quantity", "stand_in_quantity", "form", "fit", "function")
CLAIM_COLUMNS = [
    sa.Column("says", sa.String(40)),
    *BUILT_COLUMNS,
    sa.Column("hand", sa.String(40)),
    sa.Column("ratio", sa.String(48)),
    sa.Column("generation", sa.String(200)),
    sa.Column("part_quantity", sa.Integer()),
    sa.Column("stand_in_quantity", sa.Integer()),
    sa.Column("form", sa.String(40)),
    sa.Column("fit", sa.String(40)),
    sa.Column("function", sa.String(40)),
    sa.Column("stated_on", sa.Date()),
]
CLAIM_CHECKS = {
    **BUILT_CHECKS,
    **UNIT_CHECKS,
    "says": words("says", SAYS),
    **{name: words(name, SAMENESS) for name in ("form", "fit", "function")},
    "quantities_at_least_one": "part_quantity >= 1 AND stand_in_quantity >= 1",
}
