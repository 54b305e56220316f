"""Special tools and stock items: mapping and checks."""

from typing import Any, Final

from sqlalchemy.orm import Session

from db.models import fasteners as tables
from db.models.assemblies import labour_operations
from db.models.interchange import parts
from db.queries.access import Principal
from db.queries.currency import check_currency
from db.queries.mapping import Children, Mapped
from db.queries.measures import check_measure
from db.queries.references import check_distinct, known, own_assembly, position_of
from shared.errors import InvalidInput
from shared.fasteners.model import SpecialTool, StockItem


def _check_tool(session: Session, principal: Principal, tool: SpecialTool) -> None:
    _check_place(session, principal, tool)
    check_measure(tool.force, "force", "/force")
    check_measure(tool.torque, "torque", "/torque")
    for place, feature in enumerate(tool.features):
        check_measure(feature.size, "length", f"/features/{place}/size")


def _check_place(session: Session, principal: Principal, tool: SpecialTool) -> None:
    """Check where the tool is used: all of it lies in one assembly, this shop's to change."""
    if tool.assembly_id is None:
        if tool.position_id is not None or tool.labour_operation_ids:
            raise InvalidInput(
                "/assembly_id",
                "The tool is for a position or a labour operation, its assembly is not given.",
                "Give the assembly_id that they belong to.",
                "assembly-missing",
            )
        return
    own_assembly(session, principal, tool.assembly_id, "/assembly_id")
    if tool.position_id is not None:
        position_of(session, principal, tool.position_id, tool.assembly_id, "/position_id")
    check_distinct(tool.labour_operation_ids, "/labour_operation_ids", "labour operation")
    for place, operation_id in enumerate(tool.labour_operation_ids):
        _check_operation(
            session, principal, operation_id, tool.assembly_id, f"/labour_operation_ids/{place}"
        )


def _check_operation(
    session: Session, principal: Principal, operation_id: str, assembly_id: str, pointer: str
) -> None:
    row = known(session, principal, labour_operations, operation_id, pointer, "labour operation")
    if row["assembly_id"] != assembly_id:
        raise InvalidInput(
            pointer,
            f"The labour operation '{operation_id}' belongs to another assembly.",
            f"Give a labour operation of the assembly '{assembly_id}'.",
            "other-assembly",
        )


def _check_stock_item(session: Session, principal: Principal, item: StockItem) -> None:
    if item.part_id is not None:
        known(session, principal, parts, item.part_id, "/part_id", "part")
    check_measure(item.size, "length", "/size")
    check_currency(session, principal, item)


TOOLS: Final = Mapped(
    SpecialTool,
    "special-tool",
    tables.special_tools,
    filters=("name", "function", "number", "maker", "assembly_id", "position_id"),
    children=(
        Children(
            "labour_operation_ids",
            tables.special_tool_operations,
            "special_tool_id",
            column="labour_operation_id",
        ),
        Children("features", tables.special_tool_features, "special_tool_id"),
    ),
    check=_check_tool,
)
STOCK_ITEMS: Final = Mapped(
    StockItem,
    "stock-item",
    tables.stock_items,
    filters=("name", "kind", "designation", "part_id", "shelf"),
    ranges=("quantity",),
    sorts=("quantity",),
    check=_check_stock_item,
)
MAPPED: Final[tuple[Mapped[Any], ...]] = (TOOLS, STOCK_ITEMS)
