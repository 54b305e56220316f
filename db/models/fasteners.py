"""Special tools with what they must fit; common hardware that a shop has in stock."""

from sqlalchemy import Boolean, Column, ForeignKey, Index, Integer, Table, UniqueConstraint

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
from shared.designations.model import Hand
from shared.fasteners.model import (
    FeatureKind,
    ItemForm,
    ScrewTip,
    TightRing,
    ToolFunction,
    ToolUse,
)


def _measure(name: str, *, inside: str | None = None) -> Items:
    """Make the columns of a quantity that is more than zero; ``inside`` a nested value."""
    column, pointer = (name, f"/{name}") if inside is None else _nested(inside, name)
    return [
        *quantity(column, pointer=pointer),
        truth(
            f"{column}_above_zero",
            f"{column}_canonical > 0",
            pointer,
            f"{name} is not more than zero.",
            f"Give {name} of more than zero, or leave it out.",
        ),
    ]


def _nested(inside: str, name: str) -> tuple[str, str]:
    return f"{inside}_{name}", f"/{inside}/{name}"


def _press_fit() -> Items:
    """Make the columns of a press fit by ISO 286: it is stated whole, or not at all."""
    whole = ("diameter_value", "length_value", "hole_class", "shaft_class")
    others = ("hub_outside_value", "shaft_bore_value", "hub_material", "shaft_material")
    first = f"press_fit_{whole[0]}"
    return [
        *(
            item
            for name in ("diameter", "length", "hub_outside", "shaft_bore")
            for item in _measure(name, inside="press_fit")
        ),
        *(
            text(f"press_fit_{name}", optional=True)
            for name in ("hole_class", "shaft_class", "hub_material", "shaft_material")
        ),
        truth(
            "press_fit_is_whole",
            " AND ".join(
                (
                    *(f"({first} IS NULL) = (press_fit_{name} IS NULL)" for name in whole[1:]),
                    *(f"({first} IS NOT NULL OR press_fit_{name} IS NULL)" for name in others),
                )
            ),
            "/press_fit",
            "The press fit lacks its diameter, its length or one of its classes.",
            "Give diameter, length, hole_class and shaft_class, or leave press_fit out.",
        ),
    ]


def _features(owner: str, of: str) -> Table:
    """Make the table of what a tool must fit, or of the sizes of a piece."""
    return Table(
        f"{owner}_features",
        metadata,
        *flat(
            (
                Column(f"{owner}_id", ident(), ForeignKey(f"{of}.id"), primary_key=True),
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
    reference("part_id", "parts", optional=True),
    _measure("force_highest"),
    _measure("torque_highest"),
    _measure("sealed_area"),
    text("sealant", optional=True),
    _press_fit(),
    text("workpiece_hardness", optional=True),
    text("pushed_material", optional=True),
    word("thread_hand", Hand, optional=True),
    word("tight_ring", TightRing, optional=True),
    Column("is_symmetric", Boolean),
    # Whether somebody said what hangs on the work; the uses themselves lie in their own table.
    Column("uses_are_stated", Boolean, nullable=False),
    text("in_the_way", LONG, optional=True),
    text("lubrication", optional=True),
    _measure("tolerance"),
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
    Index(None, "part_id", "id"),
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

special_tool_features = _features("special_tool", "special_tools")

special_tool_uses = Table(
    "special_tool_uses",
    metadata,
    *flat(
        (
            Column("special_tool_id", ident(), ForeignKey("special_tools.id"), primary_key=True),
            Column("place", Integer, primary_key=True, autoincrement=False),
            word("use", ToolUse, pointer="/uses"),
            UniqueConstraint("special_tool_id", "use"),
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
    word("form", ItemForm, optional=True),
    text("hardness", optional=True),
    word("tip", ScrewTip, optional=True),
    text("certificate", optional=True),
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

stock_item_features = _features("stock_item", "stock_items")
