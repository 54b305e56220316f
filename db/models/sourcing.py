"""Suppliers and what they offer to one shop."""

from sqlalchemy import Column, Date, Index, Integer, String, Table

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
from db.types import UtcDateTime, ident
from shared.sourcing.model import DeliveryMode, GoodsCondition, OfferKind, WarrantyCover

suppliers = private(
    "suppliers",
    text("name"),
    money("freight"),
    word("delivery", DeliveryMode),
    Column("order_cutoff", String(5)),
    text("notes", LONG, optional=True),
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
    not_above("valid_from", "valid_until", "/valid_until"),
    Index(None, "shop_id", "supplier_id", "id"),
    Index(None, "shop_id", "kind", "id"),
    Index(None, "shop_id", "part_id", "id"),
    Index(None, "shop_id", "assembly_id", "id"),
    Index(None, "shop_id", "position_id", "id"),
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
