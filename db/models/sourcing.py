"""Suppliers and what they offer to one shop."""

from sqlalchemy import (
    CheckConstraint,
    Column,
    Date,
    ForeignKey,
    Index,
    Integer,
    String,
    Table,
    UniqueConstraint,
)

from db.models.base import (
    LONG,
    flat,
    ident_column,
    metadata,
    money,
    not_above,
    private,
    probability,
    reference,
    spread,
    text,
    together,
    truth,
    word,
)
from db.types import RateDecimal, UtcDateTime, ident
from shared.sourcing.model import (
    BelowMinimum,
    CoreFault,
    DeliveryMode,
    GoodsCondition,
    OfferKind,
    ReworkKind,
    WarrantyCover,
)


def _one_currency(first: str, *others: str) -> CheckConstraint:
    """Make the truth that amounts of a record are in one currency, where there are any."""
    same = " AND ".join(
        f"({name}_currency IS NULL OR {name}_currency = {first}_currency)" for name in others
    )
    return truth(
        "one_currency",
        same,
        f"/{first}/currency",
        "The amounts are in more than one currency.",
        f"Give all of them in the currency of {first}.",
    )


suppliers = private(
    "suppliers",
    text("name"),
    money("freight"),
    word("delivery", DeliveryMode),
    Column("order_cutoff", String(5)),
    text("notes", LONG, optional=True),
    money("minimum_order", optional=True),
    word("below_minimum", BelowMinimum),
    money("small_order_fee", optional=True),
    money("free_freight_from", optional=True),
    truth(
        "fee_is_what_below_minimum_says",
        "(below_minimum = 'fee') = (small_order_fee_minor IS NOT NULL)",
        "/small_order_fee",
        "Orders below the minimum are taken for a fee that is not given, or the fee is given and"
        " they are not.",
        "Give small_order_fee with below_minimum fee, and only with it.",
    ),
    truth(
        "below_minimum_has_minimum",
        "below_minimum = 'top-up' OR minimum_order_minor IS NOT NULL",
        "/minimum_order",
        "It is said what happens below the minimum, and there is no minimum.",
        "Give minimum_order, or leave below_minimum out.",
    ),
    _one_currency("freight", "minimum_order", "small_order_fee", "free_freight_from"),
    Index(None, "shop_id", "name", "id"),
)

offers = private(
    "offers",
    ident_column("supplier_id"),
    word("kind", OfferKind),
    text("description", LONG),
    money("price"),
    spread("p50_days", "p90_days"),
    reference("part_id", "parts", optional=True),
    reference("assembly_id", "assemblies", optional=True),
    reference("position_id", "positions", optional=True),
    word("condition", GoodsCondition, optional=True),
    Column("valid_from", Date),
    Column("valid_until", Date),
    word("warranty_cover", WarrantyCover),
    probability("reject_probability"),
    money("core_deposit", optional=True, pointer="/core/deposit"),
    probability(
        "core_acceptance_probability", optional=True, pointer="/core/acceptance_probability"
    ),
    money("core_refund", optional=True, pointer="/core/refund"),
    money("core_return_freight", optional=True, pointer="/core/return_freight"),
    Column("core_return_within_days", Integer),
    money("residual_worth", optional=True),
    Column("pack_quantity", Integer, nullable=False),
    Column("minimum_quantity", Integer, nullable=False),
    Column("available_quantity", Integer),
    Column("core_refund_within_days", Integer),
    word("rework_kind", ReworkKind, optional=True, pointer="/rework/kind"),
    spread("p50_hours", "p90_hours", prefix="rework_", pointer="/rework"),
    truth(
        "rework_is_whole",
        "(rework_kind IS NULL) = (rework_p50_hours IS NULL)"
        " AND (rework_kind IS NULL) = (rework_p90_hours IS NULL)",
        "/rework",
        "The rework lacks its kind or its hours.",
        "Give kind, p50_hours and p90_hours.",
    ),
    truth(
        "rework_at_a_position",
        "rework_kind IS NULL OR (kind = 'service' AND position_id IS NOT NULL)",
        "/rework",
        "Rework is told of what is no service at one position.",
        "Leave rework out, or give a service with position_id.",
    ),
    together("suppliers", shop_id="shop_id", supplier_id="id"),
    truth(
        "goods_name_one_thing",
        "kind <> 'goods' OR (position_id IS NULL AND (part_id IS NULL) <> (assembly_id IS NULL))",
        "/part_id",
        "Goods name a part or a whole assembly: exactly one of them, and no position.",
        "Give part_id or assembly_id, and nothing else.",
    ),
    truth(
        "service_names_one_thing",
        "kind <> 'service' OR (part_id IS NULL AND (position_id IS NULL) <> (assembly_id IS NULL))",
        "/position_id",
        "A service names a position or a whole assembly: exactly one of them, and no part.",
        "Give position_id or assembly_id, and nothing else.",
    ),
    truth(
        "core_terms_are_whole",
        "(core_deposit_minor IS NULL) = (core_acceptance_probability IS NULL)",
        "/core",
        "Core terms lack the deposit or the chance of acceptance.",
        "Give deposit and acceptance_probability.",
    ),
    truth(
        "core_days_not_negative",
        "core_return_within_days >= 0",
        "/core/return_within_days",
        "return_within_days is below zero.",
        "Give the days within which the core must be back.",
    ),
    truth(
        "core_refund_days_not_negative",
        "core_refund_within_days >= 0",
        "/core/refund_within_days",
        "refund_within_days is below zero.",
        "Give the days within which the refund comes.",
    ),
    truth(
        "core_refund_within_deposit",
        "core_refund_minor <= core_deposit_minor",
        "/core/refund",
        "More would come back than was paid.",
        "Give a refund of at most the deposit.",
    ),
    truth(
        "pack_from_one",
        "pack_quantity >= 1",
        "/pack_quantity",
        "A pack holds no piece.",
        "Give how many pieces are in a pack, 1 or more.",
    ),
    truth(
        "minimum_from_one",
        "minimum_quantity >= 1",
        "/minimum_quantity",
        "The least quantity sold is less than one piece.",
        "Give 1 or more.",
    ),
    truth(
        "available_not_negative",
        "available_quantity >= 0",
        "/available_quantity",
        "Fewer than no pieces are available.",
        "Give how many there are; 0 if they are sold out.",
    ),
    truth(
        "services_are_not_packed",
        "kind <> 'service' OR"
        " (pack_quantity = 1 AND minimum_quantity = 1 AND available_quantity IS NULL)",
        "/pack_quantity",
        "A service is sold in packs or in a least or greatest quantity.",
        "Leave pack_quantity, minimum_quantity and available_quantity out.",
    ),
    _one_currency("price", "core_deposit", "core_refund", "core_return_freight", "residual_worth"),
    not_above("valid_from", "valid_until", "/valid_until"),
    Index(None, "shop_id", "supplier_id", "id"),
    Index(None, "shop_id", "kind", "id"),
    Index(None, "shop_id", "part_id", "id"),
    Index(None, "shop_id", "assembly_id", "id"),
    Index(None, "shop_id", "position_id", "id"),
)

offer_price_breaks = Table(
    "offer_price_breaks",
    metadata,
    *flat(
        (
            Column("offer_id", ident(), ForeignKey("offers.id"), primary_key=True),
            Column("place", Integer, primary_key=True, autoincrement=False),
            Column("from_quantity", Integer, nullable=False),
            money("price", pointer="/price_breaks"),
            UniqueConstraint("offer_id", "from_quantity"),
            truth(
                "from_two_pieces",
                "from_quantity >= 2",
                "/price_breaks",
                "A price break begins with less than two pieces.",
                "Give the price of the first piece as price, breaks from 2 pieces on.",
            ),
        )
    ),
)

offer_core_faults = Table(
    "offer_core_faults",
    metadata,
    *flat(
        (
            Column("offer_id", ident(), ForeignKey("offers.id"), primary_key=True),
            Column("place", Integer, primary_key=True, autoincrement=False),
            word("fault", CoreFault, pointer="/core/refused_when"),
            UniqueConstraint("offer_id", "fault"),
        )
    ),
)

offer_rework_rights = Table(
    "offer_rework_rights",
    metadata,
    Column("offer_id", ident(), ForeignKey("offers.id"), primary_key=True),
    Column("place", Integer, primary_key=True, autoincrement=False),
    reference("characteristic_id", "characteristics"),
    UniqueConstraint("offer_id", "characteristic_id"),
    Index(None, "characteristic_id", "offer_id"),
)

offer_rework_parts = Table(
    "offer_rework_parts",
    metadata,
    Column("offer_id", ident(), ForeignKey("offers.id"), primary_key=True),
    Column("place", Integer, primary_key=True, autoincrement=False),
    reference("part_id", "parts"),
    Column("quantity", Integer, nullable=False),
    UniqueConstraint("offer_id", "part_id"),
    Index(None, "part_id", "offer_id"),
    truth(
        "quantity_at_least_one",
        "quantity >= 1",
        "/rework/parts",
        "A part of the rework is needed less than once.",
        "Give how many pieces a rework takes, 1 or more.",
    ),
)

# Only ever added: a later day's rate follows an earlier one.
exchange_rates = private(
    "exchange_rates",
    Column("currency", String(3), nullable=False),
    Column("in_currency", String(3), nullable=False),
    Column("rate", RateDecimal, nullable=False),
    Column("holds_from", Date, nullable=False),
    text("source", LONG),
    UniqueConstraint("shop_id", "currency", "in_currency", "holds_from"),
    truth(
        "rate_above_zero",
        "rate > 0",
        "/rate",
        "The rate is zero or less.",
        "Give how many units of in_currency one unit of currency is worth.",
    ),
    truth(
        "currencies_differ",
        "currency <> in_currency",
        "/in_currency",
        "A currency is given in itself.",
        "Give the rate between two currencies.",
    ),
    Index(None, "shop_id", "currency", "id"),
    Index(None, "shop_id", "in_currency", "id"),
    Index(None, "shop_id", "holds_from", "id"),
)

deliveries = private(
    "deliveries",
    ident_column("supplier_id"),
    Column("ordered_at", UtcDateTime, nullable=False),
    ident_column("job_id", optional=True),
    Column("promised_on", Date),
    Column("arrived_on", Date),
    money("freight", optional=True),
    text("note", LONG, optional=True),
    together("suppliers", shop_id="shop_id", supplier_id="id"),
    together("jobs", shop_id="shop_id", job_id="id"),
    Index(None, "shop_id", "supplier_id", "id"),
    Index(None, "shop_id", "job_id", "id"),
    Index(None, "shop_id", "ordered_at", "id"),
    Index(None, "shop_id", "promised_on", "id"),
    Index(None, "shop_id", "arrived_on", "id"),
)

delivery_lines = Table(
    "delivery_lines",
    metadata,
    *flat(
        (
            Column("delivery_id", ident(), primary_key=True),
            Column("place", Integer, primary_key=True, autoincrement=False),
            # The delivery's own shop again: an offer is that shop's too.
            ident_column("shop_id"),
            Column("quantity", Integer, nullable=False),
            ident_column("offer_id", optional=True),
            reference("part_id", "parts", optional=True),
            text("description", LONG, optional=True),
            together("deliveries", shop_id="shop_id", delivery_id="id"),
            together("offers", shop_id="shop_id", offer_id="id"),
            Index(None, "offer_id", "delivery_id"),
            Index(None, "part_id", "delivery_id"),
            truth(
                "line_names_one_thing",
                "(offer_id IS NULL OR part_id IS NULL) AND"
                " (offer_id IS NOT NULL OR part_id IS NOT NULL OR description IS NOT NULL)",
                "/lines",
                "A line names nothing, or an offer and a part.",
                "Give offer_id or part_id, or say in description what comes.",
            ),
            truth(
                "quantity_at_least_one",
                "quantity >= 1",
                "/lines",
                "A line's quantity is less than 1.",
                "Give how many were ordered, 1 or more.",
            ),
        )
    ),
)
