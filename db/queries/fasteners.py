"""Special tools and stock items: mapping and checks; a tool with all that may stand in for it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from db.models import fasteners as tables
from db.models.assemblies import labour_operations
from db.models.interchange import parts
from db.models.sourcing import offers, suppliers
from db.queries.access import Principal
from db.queries.currency import check_currency
from db.queries.mapping import Children, Mapped, in_steps, load
from db.queries.measures import check_measure
from db.queries.references import check_distinct, known, own_assembly, position_of
from db.queries.sourcing import OFFERS, shop_day
from db.queries.store import read
from shared.errors import InvalidInput
from shared.fasteners.model import PressFitAsked, SpecialTool, StockItem, ToolFeature
from shared.fasteners.substitutes.hardness_text import read_hardness
from shared.quantities import Quantity, canonical
from shared.sourcing.model import Offer, OfferKind

MOST_STOCK_ITEMS: Final = 5_000
"""Stock items that one question looks at: those beyond are counted and told."""

MOST_OFFERS: Final = 100


def _check_tool(session: Session, principal: Principal, tool: SpecialTool) -> None:
    _check_place(session, principal, tool)
    if tool.part_id is not None:
        known(session, principal, parts, tool.part_id, "/part_id", "part")
    for name in ("force", "torque"):
        _check_range(getattr(tool, name), getattr(tool, f"{name}_highest"), name)
    check_measure(tool.sealed_area, "area", "/sealed_area")
    check_measure(tool.tolerance, "length", "/tolerance")
    if tool.press_fit is not None:
        _check_press_fit(tool.press_fit)
    check_distinct(tool.uses or (), "/uses", "use")
    if tool.workpiece_hardness is not None:
        read_hardness(tool.workpiece_hardness, highest=False, pointer="/workpiece_hardness")
    _check_features(tool.features)


def _check_range(lower: Quantity | None, upper: Quantity | None, name: str) -> None:
    """Check what the work asks of the tool: from one value to another, in that order."""
    pointer = f"/{name}_highest"
    check_measure(lower, name, f"/{name}")
    check_measure(upper, name, pointer)
    if upper is None:
        return
    if lower is None:
        raise InvalidInput(
            f"/{name}",
            f"{name}_highest is given without {name}.",
            f"Give {name} too: what the work asks at the least.",
            "range-open",
        )
    if canonical(upper, name) < canonical(lower, name):
        raise InvalidInput(
            pointer,
            f"{name}_highest is less than {name}.",
            "Exchange the two, or mend the wrong one.",
            "range-reversed",
        )


def _check_press_fit(press_fit: PressFitAsked) -> None:
    for name in ("diameter", "length", "hub_outside", "shaft_bore"):
        check_measure(getattr(press_fit, name), "length", f"/press_fit/{name}")


def _check_features(features: tuple[ToolFeature, ...]) -> None:
    for place, feature in enumerate(features):
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
    if item.hardness is not None:
        read_hardness(item.hardness, highest=True, pointer="/hardness")
    _check_features(item.features)
    check_currency(session, principal, item)


def _keys_of_tool(tool: SpecialTool) -> dict[str, Any]:
    return {"uses_are_stated": tool.uses is not None}


def _uses_not_stated(session: Session, ids: Sequence[str]) -> dict[str, dict[str, Any]]:
    """Return for the tools of which nobody said what hangs on them that it was not said."""
    table = tables.special_tools
    return {
        tool_id: {"uses": None}
        for some in in_steps(ids)
        for tool_id in session.scalars(
            select(table.c.id).where(table.c.id.in_(some), ~table.c.uses_are_stated)
        )
    }


TOOLS: Final = Mapped(
    SpecialTool,
    "special-tool",
    tables.special_tools,
    filters=("name", "function", "number", "maker", "assembly_id", "position_id", "part_id"),
    children=(
        Children(
            "labour_operation_ids",
            tables.special_tool_operations,
            "special_tool_id",
            column="labour_operation_id",
        ),
        Children("features", tables.special_tool_features, "special_tool_id"),
        Children("uses", tables.special_tool_uses, "special_tool_id", column="use"),
    ),
    elsewhere=frozenset({"uses"}),
    complete=_uses_not_stated,
    keys=_keys_of_tool,
    check=_check_tool,
)
STOCK_ITEMS: Final = Mapped(
    StockItem,
    "stock-item",
    tables.stock_items,
    filters=("name", "kind", "designation", "part_id", "shelf"),
    children=(Children("features", tables.stock_item_features, "stock_item_id"),),
    ranges=("quantity",),
    sorts=("quantity",),
    check=_check_stock_item,
)
MAPPED: Final[tuple[Mapped[Any], ...]] = (TOOLS, STOCK_ITEMS)


# --- a tool, and what may stand in for it ----------------------------------------------------


@dataclass(frozen=True, slots=True)
class ToolAtHand:
    """A special tool, the shop's stock, and the offers of the tool that hold on a day.

    ``stock_left_out`` counts the items beyond the most that one question looks at.
    """

    tool: SpecialTool
    stock: tuple[StockItem, ...]
    stock_left_out: int
    offers: tuple[tuple[str, Offer], ...]
    """Each with its supplier's name."""


def tool_at_hand(
    session: Session, principal: Principal, tool_id: str, moment: datetime
) -> ToolAtHand:
    """Return a tool of the catalogue with what this shop has, and is offered, at a moment.

    Raises NotFound where there is no such tool.
    """
    tool = read(session, principal, TOOLS, tool_id).record
    stock, left_out = _stock(session, principal)
    found: tuple[tuple[str, Offer], ...] = ()
    if tool.part_id is not None:
        found = _offers_of(session, principal, tool.part_id, shop_day(session, principal, moment))
    return ToolAtHand(tool, stock, left_out, found)


def _stock(session: Session, principal: Principal) -> tuple[tuple[StockItem, ...], int]:
    """Return what the shop has at least one piece of, by rising id; and how many were left out."""
    table = tables.stock_items
    there = (table.c.shop_id == principal.shop_id, table.c.quantity > 0)
    statement = select(table).where(*there).order_by(table.c.id).limit(MOST_STOCK_ITEMS)
    stock = tuple(stored.record for stored in load(session, STOCK_ITEMS, statement))
    if len(stock) < MOST_STOCK_ITEMS:
        return stock, 0
    count = session.execute(select(func.count()).select_from(table).where(*there)).scalar_one()
    return stock, count - len(stock)


def _offers_of(
    session: Session, principal: Principal, part_id: str, today: date
) -> tuple[tuple[str, Offer], ...]:
    statement = (
        select(offers)
        .where(
            offers.c.shop_id == principal.shop_id,
            offers.c.part_id == part_id,
            offers.c.kind == OfferKind.GOODS.value,
            or_(offers.c.valid_from.is_(None), offers.c.valid_from <= today),
            or_(offers.c.valid_until.is_(None), offers.c.valid_until >= today),
        )
        .order_by(offers.c.id)
        .limit(MOST_OFFERS)
    )
    found = [stored.record for stored in load(session, OFFERS, statement)]
    ids = {offer.supplier_id for offer in found}
    statement = select(suppliers.c.id, suppliers.c.name).where(suppliers.c.id.in_(ids))
    names = {row.id: row.name for row in session.execute(statement)}
    return tuple((names[offer.supplier_id], offer) for offer in found)
