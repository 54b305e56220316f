"""Order terms, packs and price breaks, exchange rates, waiting, parting out, inspections.

Names are written out in full, so that this file says the same whatever the models become. Decimals
are whole millionths (rates: millionths of millionths), money whole minor units, times UTC.
"""

from datetime import UTC, datetime

import sqlalchemy as sa
from alembic import op

revision = "2026_11_25_sourcing"
down_revision = "2026_11_25_bench"
branch_labels = None
depends_on = None

KINDS = "open close renew refit harvest prove"
NEW_TABLES = ("exchange_rates", "offer_core_faults", "offer_price_breaks", "unit_part_worths")

# A step down forgets terms: the records read differently, or go with their table. Both are told: an
# audit entry for each, and a number among the changes that whoever keeps a copy has not read yet.
LESS_NOTE = "The schema went back to one that does not know all of the record."
GONE_NOTE = "The schema went back to one without such records."
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
# Rates of an earlier time went with their table; whoever asks what changed is told so.
GONE_BEFORE = "UPDATE changes SET is_retired = (1 = 1) WHERE kind = 'exchange-rate'"

WITH_TERMS = {
    "suppliers": (
        "supplier",
        "below_minimum <> 'top-up' OR minimum_order_minor IS NOT NULL"
        " OR free_freight_from_minor IS NOT NULL",
    ),
    "offers": (
        "offer",
        "pack_quantity <> 1 OR minimum_quantity <> 1 OR available_quantity IS NOT NULL"
        " OR core_refund_within_days IS NOT NULL"
        " OR id IN (SELECT offer_id FROM offer_price_breaks)"
        " OR id IN (SELECT offer_id FROM offer_core_faults)",
    ),
    "units": (
        "unit",
        "donor_freight_minor IS NOT NULL OR id IN (SELECT unit_id FROM unit_part_worths)",
    ),
    "jobs": (
        "job",
        "core_back_on IS NOT NULL OR waiting_kind IS NOT NULL"
        " OR standstill_cost_per_day_minor IS NOT NULL OR replacement_cost_minor IS NOT NULL"
        " OR hours_per_year IS NOT NULL",
    ),
}
"""By table the word of its kind, and which of its records know more than the schema before."""

INSPECTS = "SELECT id FROM labour_operations WHERE kind = 'inspect'"


def upgrade() -> None:
    operations(f"{KINDS} inspect", of_a_position=True)
    suppliers()
    offers()
    units()
    jobs()
    exchange_rates()
    op.execute(GONE_BEFORE)


def downgrade() -> None:
    last, at = last_sequence(), datetime.now(UTC)
    for table, (kind, only) in WITH_TERMS.items():
        op.get_bind().execute(timed(LESS.format(table=table, only=only)), {"moment": at})
        note(table, "shop_id", only, kind=kind, action="change", note=LESS_NOTE, moment=at)
    note("exchange_rates", "shop_id", "1 = 1", **gone("exchange-rate", at))
    forget_inspections(at)
    op.get_bind().execute(sa.text(NEW_NUMBERS), {"last": last})
    for table in NEW_TABLES:
        op.drop_table(table)
    operations(KINDS, of_a_position=False)
    narrow("jobs", JOB_COLUMNS, JOB_CHECKS)
    narrow("units", UNIT_COLUMNS, UNIT_CHECKS)
    narrow("offers", OFFER_COLUMNS, OFFER_CHECKS)
    narrow("suppliers", SUPPLIER_COLUMNS, SUPPLIER_CHECKS)


def forget_inspections(at: datetime) -> None:
    """Take out the operations that the schema before has no word for, and what is about them."""
    on_them = f"labour_operation_id IN ({INSPECTS})"
    tools = f"id IN (SELECT special_tool_id FROM special_tool_operations WHERE {on_them})"
    op.get_bind().execute(timed(LESS.format(table="special_tools", only=tools)), {"moment": at})
    note(
        "special_tools",
        "author_shop_id",
        tools,
        kind="special-tool",
        action="change",
        note=LESS_NOTE,
        moment=at,
    )
    note("cautions", "author_shop_id", on_them, **gone("caution", at))
    note("labour_operations", "author_shop_id", "kind = 'inspect'", **gone("labour-operation", at))
    op.execute(f"DELETE FROM special_tool_operations WHERE {on_them}")
    op.execute(f"DELETE FROM cautions WHERE {on_them}")
    op.execute("DELETE FROM labour_operations WHERE kind = 'inspect'")


def gone(kind: str, at: datetime) -> dict[str, object]:
    return {"kind": kind, "action": "retire", "note": GONE_NOTE, "moment": at}


def last_sequence() -> int:
    return op.get_bind().execute(sa.text("SELECT max(sequence) FROM audit_entries")).scalar() or 0


def note(table: str, owner: str, only: str, **entry: object) -> None:
    """Write an audit entry for each of some rows of a table."""
    statement = timed(ENTRY.format(table=table, owner=owner, only=only))
    op.get_bind().execute(statement, entry)


def timed(statement: str) -> sa.TextClause:
    return sa.text(statement).bindparams(sa.bindparam("moment", type_=moment()))


# --- what tables gain --------------------------------------------------------------------------


def operations(kinds: str, *, of_a_position: bool) -> None:
    """Hold the kinds of labour operations to a set of words."""
    with op.batch_alter_table("labour_operations") as batch:
        batch.drop_constraint(op.f("ck_labour_operations_kind"), type_="check")
        batch.create_check_constraint(op.f("ck_labour_operations_kind"), words("kind", kinds))
        name = op.f("ck_labour_operations_inspects_a_position")
        if of_a_position:
            batch.create_check_constraint(name, "kind <> 'inspect' OR position_id IS NOT NULL")
        else:
            batch.drop_constraint(name, type_="check")


def suppliers() -> None:
    widen("suppliers", SUPPLIER_COLUMNS, SUPPLIER_CHECKS, {"below_minimum": "'top-up'"})


def offers() -> None:
    widen(
        "offers",
        OFFER_COLUMNS,
        OFFER_CHECKS,
        {"pack_quantity": "1", "minimum_quantity": "1"},
    )
    op.create_table(
        "offer_price_breaks",
        sa.Column("offer_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("from_quantity", sa.Integer(), nullable=False),
        sa.Column("price_minor", sa.BigInteger(), nullable=False),
        sa.Column("price_currency", sa.String(3), nullable=False),
        sa.PrimaryKeyConstraint("offer_id", "place", name="pk_offer_price_breaks"),
        points("offer_price_breaks", "offer_id", "offers"),
        sa.UniqueConstraint(
            "offer_id", "from_quantity", name="uq_offer_price_breaks_offer_id_from_quantity"
        ),
        check("ck_offer_price_breaks_price", amount("price")),
        check("ck_offer_price_breaks_from_two_pieces", "from_quantity >= 2"),
    )
    op.create_table(
        "offer_core_faults",
        sa.Column("offer_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("fault", sa.String(40), nullable=False),
        sa.PrimaryKeyConstraint("offer_id", "place", name="pk_offer_core_faults"),
        points("offer_core_faults", "offer_id", "offers"),
        sa.UniqueConstraint("offer_id", "fault", name="uq_offer_core_faults_offer_id_fault"),
        check("ck_offer_core_faults_fault", words("fault", "cracked incomplete")),
    )


def units() -> None:
    widen("units", UNIT_COLUMNS, UNIT_CHECKS, {})
    op.create_table(
        "unit_part_worths",
        sa.Column("unit_id", ident(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("position_id", ident(), nullable=False),
        sa.Column("worth_minor", sa.BigInteger(), nullable=False),
        sa.Column("worth_currency", sa.String(3), nullable=False),
        sa.PrimaryKeyConstraint("unit_id", "place", name="pk_unit_part_worths"),
        points("unit_part_worths", "position_id", "positions"),
        points("unit_part_worths", "unit_id", "units"),
        sa.UniqueConstraint(
            "unit_id", "position_id", name="uq_unit_part_worths_unit_id_position_id"
        ),
        check("ck_unit_part_worths_worth", amount("worth")),
    )
    index("unit_part_worths", "position_id", "unit_id")


def jobs() -> None:
    widen("jobs", JOB_COLUMNS, JOB_CHECKS, {})


def exchange_rates() -> None:
    op.create_table(
        "exchange_rates",
        sa.Column("id", ident(), nullable=False),
        sa.Column("shop_id", ident(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", moment(), nullable=False),
        sa.Column("updated_at", moment(), nullable=False),
        sa.Column("currency", sa.String(3), nullable=False),
        sa.Column("in_currency", sa.String(3), nullable=False),
        sa.Column("rate", sa.BigInteger(), nullable=False),
        sa.Column("holds_from", sa.Date(), nullable=False),
        sa.Column("source", sa.String(2000), nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_exchange_rates"),
        points("exchange_rates", "shop_id", "shops"),
        sa.UniqueConstraint(
            "shop_id",
            "currency",
            "in_currency",
            "holds_from",
            name="uq_exchange_rates_shop_id_currency_in_currency_holds_from",
        ),
        check("ck_exchange_rates_rate_above_zero", "rate > 0"),
        check("ck_exchange_rates_currencies_differ", "currency <> in_currency"),
    )
    op.create_index(
        "ix_exchange_rates_shop_id_id", "exchange_rates", ["shop_id", "id"], unique=True
    )
    for column in ("created_at", "updated_at", "currency", "in_currency", "holds_from"):
        index("exchange_rates", "shop_id", column, "id")


def widen(
    table: str, columns: list[sa.Column], checks: dict[str, str], defaults: dict[str, str]
) -> None:
    """Add columns and truths to a table; what cannot be null stands at a default in old rows."""
    with op.batch_alter_table(table) as batch:
        for column in columns:
            batch.add_column(sa.Column(column.name, column.type))
    for name, value in defaults.items():
        op.execute(f"UPDATE {table} SET {name} = {value}")
    with op.batch_alter_table(table) as batch:
        for name in defaults:
            batch.alter_column(name, existing_type=kind_of(columns, name), nullable=False)
        for name, sql in checks.items():
            batch.create_check_constraint(op.f(f"ck_{table}_{name}"), sql)


def narrow(table: str, columns: list[sa.Column], checks: dict[str, str]) -> None:
    with op.batch_alter_table(table) as batch:
        for name in checks:
            batch.drop_constraint(op.f(f"ck_{table}_{name}"), type_="check")
        for column in columns:
            batch.drop_column(column.name)


def kind_of(columns: list[sa.Column], name: str) -> sa.types.TypeEngine:
    return next(column.type for column in columns if column.name == name)


def money(name: str) -> list[sa.Column]:
    return [
        sa.Column(f"{name}_minor", sa.BigInteger()),
        sa.Column(f"{name}_currency", sa.String(3)),
    ]


def amount(name: str) -> str:
    """An amount: both columns or neither, never below zero."""
    minor, currency = f"{name}_minor", f"{name}_currency"
    return f"({minor} IS NULL) = ({currency} IS NULL) AND ({minor} IS NULL OR {minor} >= 0)"


def words(column: str, allowed: str) -> str:
    listed = ", ".join(f"'{word}'" for word in allowed.split())
    return f"{column} IN ({listed})"


def one_currency(first: str, *others: str) -> str:
    return " AND ".join(
        f"({name}_currency IS NULL OR {name}_currency = {first}_currency)" for name in others
    )


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


SUPPLIER_COLUMNS = [
    *money("minimum_order"),
    sa.Column("below_minimum", sa.String(40)),
    *money("small_order_fee"),
    *money("free_freight_from"),
]
SUPPLIER_CHECKS = {
    "minimum_order": amount("minimum_order"),
    "below_minimum": words("below_minimum", "top-up fee refused"),
    "small_order_fee": amount("small_order_fee"),
    "free_freight_from": amount("free_freight_from"),
    "fee_is_what_below_minimum_says": (
        "(below_minimum = 'fee') = (small_order_fee_minor IS NOT NULL)"
    ),
    "below_minimum_has_minimum": "below_minimum = 'top-up' OR minimum_order_minor IS NOT NULL",
    "one_currency": one_currency(
        "freight", "minimum_order", "small_order_fee", "free_freight_from"
    ),
}
OFFER_COLUMNS = [
    sa.Column("pack_quantity", sa.Integer()),
    sa.Column("minimum_quantity", sa.Integer()),
    sa.Column("available_quantity", sa.Integer()),
    sa.Column("core_refund_within_days", sa.Integer()),
]
OFFER_CHECKS = {
    "core_refund_days_not_negative": "core_refund_within_days >= 0",
    "core_refund_within_deposit": "core_refund_minor <= core_deposit_minor",
    "pack_from_one": "pack_quantity >= 1",
    "minimum_from_one": "minimum_quantity >= 1",
    "available_not_negative": "available_quantity >= 0",
    "services_are_not_packed": (
        "kind <> 'service' OR"
        " (pack_quantity = 1 AND minimum_quantity = 1 AND available_quantity IS NULL)"
    ),
    "one_currency": one_currency(
        "price", "core_deposit", "core_refund", "core_return_freight", "residual_worth"
    ),
}
UNIT_COLUMNS = money("donor_freight")
UNIT_CHECKS = {"donor_freight": amount("donor_freight")}
JOB_COLUMNS = [
    sa.Column("core_back_on", sa.Date()),
    sa.Column("waiting_kind", sa.String(40)),
    *money("waiting_cost_per_day"),
    *money("waiting_price_per_day"),
    sa.Column("waiting_description", sa.String(2000)),
    *money("standstill_cost_per_day"),
    *money("replacement_cost"),
    sa.Column("hours_per_year", sa.BigInteger()),
]
JOB_CHECKS = {
    "waiting_kind": words("waiting_kind", "loan hire"),
    "waiting_cost_per_day": amount("waiting_cost_per_day"),
    "waiting_price_per_day": amount("waiting_price_per_day"),
    "standstill_cost_per_day": amount("standstill_cost_per_day"),
    "replacement_cost": amount("replacement_cost"),
    "waiting_is_whole": (
        "(waiting_kind IS NULL) = (waiting_cost_per_day_minor IS NULL)"
        " AND (waiting_kind IS NULL) = (waiting_price_per_day_minor IS NULL)"
        " AND (waiting_kind IS NOT NULL OR waiting_description IS NULL)"
    ),
    "hours_within_a_year": "hours_per_year > 0 AND hours_per_year <= 8784000000",
}
