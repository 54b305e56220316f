"""Units, findings and shim packs."""

from api.routes.records import RecordKind, record_routes
from api.schemas.units import (
    FindingCreate,
    FindingRead,
    ShimPackCreate,
    ShimPackRead,
    UnitCreate,
    UnitRead,
)
from shared.condition.model import Finding, ShimPack, Unit

TAG = "condition"

KINDS = (
    RecordKind("/units", "a unit", "units", TAG, "unt", Unit, UnitCreate, UnitRead),
    RecordKind(
        "/findings", "a finding", "findings", TAG, "fnd", Finding, FindingCreate, FindingRead
    ),
    RecordKind(
        "/shim-packs",
        "a shim pack",
        "shim packs",
        TAG,
        "shm",
        ShimPack,
        ShimPackCreate,
        ShimPackRead,
    ),
)

ROUTES = tuple(route for kind in KINDS for route in record_routes(kind))
