"""Special tools with what they must fit; common hardware that a shop has in stock."""

from sqlalchemy import Column, ForeignKey, Index, Integer, Table, UniqueConstraint

from db.models.base import (
    LONG,
    Items,
    catalogue,
    flat,
    ident_column,
    metadata,
    money,
    private,
    quantity,
    reference,
    text,
    together,
    truth,
    word,
)
from db.types import ident
from shared.fasteners.model import FeatureKind, ToolFunction


def _measure(name: str) -> Items:
    """Make the columns of a quantity that is more than zero."""
    return [
        *quantity(name),
        truth(
            f"{name}_above_zero",
            f"{name}_canonical > 0",
            f"/{name}",
            f"{name} is not more than zero.",
            f"Give {name} of more than zero, or leave it out.",
        ),
    ]


special_tools = catalogue(
    "special_tools",
    text("name"),
    word("function", ToolFunction),
    text("number", optional=True),
    text("maker", optional=True),
    reference("assembly_id", "assemblies", optional=True),
    ident_column("position_id", optional=True),
    _measure("force"),
    _measure("torque"),
    text("workpiece_material", optional=True),
    text("note", LONG, optional=True),
    together("positions", assembly_id="assembly_id", position_id="id"),
    truth(
        "position_within_assembly",
        "position_id IS NULL OR assembly_id IS NOT NULL",
        "/assembly_id",
        "The tool is for a position, and its assembly is not given.",
        "Give the assembly_id of the position.",
    ),
    Index(None, "name", "id"),
    Index(None, "function", "id"),
    Index(None, "number", "id"),
    Index(None, "maker", "id"),
    Index(None, "assembly_id", "id"),
    Index(None, "position_id", "id"),
)

special_tool_operations = Table(
    "special_tool_operations",
    metadata,
    Column("special_tool_id", ident(), ForeignKey("special_tools.id"), primary_key=True),
    Column("place", Integer, primary_key=True, autoincrement=False),
    reference("labour_operation_id", "labour_operations"),
    UniqueConstraint("special_tool_id", "labour_operation_id"),
    Index(None, "labour_operation_id", "special_tool_id"),
)

special_tool_features = Table(
    "special_tool_features",
    metadata,
    *flat(
        (
            Column("special_tool_id", ident(), ForeignKey("special_tools.id"), primary_key=True),
            Column("place", Integer, primary_key=True, autoincrement=False),
            word("kind", FeatureKind),
            text("designation", optional=True),
            _measure("size"),
            Column("count", Integer, nullable=False),
            truth(
                "designation_or_size",
                "designation IS NOT NULL OR size_value IS NOT NULL",
                "/features",
                "A feature has neither a designation nor a size.",
                "Give its designation, such as M8x1.25, or its size.",
            ),
            truth(
                "count_at_least_one",
                "count >= 1",
                "/features",
                "A feature's count is less than 1.",
                "Give how many there are, 1 or more.",
            ),
        )
    ),
)

stock_items = private(
    "stock_items",
    text("name"),
    text("kind"),
    Column("quantity", Integer, nullable=False),
    text("designation", optional=True),
    reference("part_id", "parts", optional=True),
    money("worth", optional=True),
    _measure("size"),
    text("material", optional=True),
    text("property_class", optional=True),
    text("shelf", optional=True),
    Column("minimum_quantity", Integer),
    text("note", LONG, optional=True),
    truth(
        "quantity_not_negative",
        "quantity >= 0",
        "/quantity",
        "quantity is below zero.",
        "Give how many there are, 0 or more.",
    ),
    truth(
        "minimum_not_negative",
        "minimum_quantity >= 0",
        "/minimum_quantity",
        "minimum_quantity is below zero.",
        "Give how many should be there, 0 or more, or leave it out.",
    ),
    Index(None, "shop_id", "name", "id"),
    Index(None, "shop_id", "kind", "id"),
    Index(None, "shop_id", "quantity", "id"),
    Index(None, "shop_id", "designation", "id"),
    Index(None, "shop_id", "part_id", "id"),
    Index(None, "shop_id", "shelf", "id"),
)
