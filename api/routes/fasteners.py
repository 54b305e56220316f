"""Special tools, and the common hardware that a shop has in stock."""

from api.routes.records import RecordKind, record_routes
from api.schemas.fasteners import (
    SpecialToolCreate,
    SpecialToolRead,
    StockItemCreate,
    StockItemRead,
)
from shared.fasteners.model import SpecialTool, StockItem

TAG = "fasteners"

KINDS = (
    RecordKind(
        "/special-tools",
        "a special tool",
        "special tools",
        TAG,
        "stl",
        SpecialTool,
        SpecialToolCreate,
        SpecialToolRead,
    ),
    RecordKind(
        "/stock-items",
        "a stock item",
        "stock items",
        TAG,
        "stk",
        StockItem,
        StockItemCreate,
        StockItemRead,
    ),
)

ROUTES = tuple(route for kind in KINDS for route in record_routes(kind))
