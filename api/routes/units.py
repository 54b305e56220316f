"""Units, gauges, findings and shim packs."""

from typing import Any

from sqlalchemy.orm import Session

from api.routes.records import RecordKind, record_routes
from api.schemas.findings import FindingCreate, FindingRead
from api.schemas.gauges import GaugeCreate, GaugeRead
from api.schemas.units import (
    ShimPackCreate,
    ShimPackRead,
    UnitCreate,
    UnitRead,
)
from db.queries.access import Principal
from db.queries.mapping import Stored
from db.queries.recording import record_finding
from shared.condition.model import Finding, Gauge, ShimPack, Unit

TAG = "condition"


def _record(session: Session, principal: Principal, finding: Finding) -> tuple[Stored[Any], bool]:
    recorded = record_finding(session, principal, finding)
    return recorded.stored, recorded.is_new


KINDS = (
    RecordKind("/units", "a unit", "units", TAG, "unt", Unit, UnitCreate, UnitRead),
    RecordKind("/gauges", "a gauge", "gauges", TAG, "gau", Gauge, GaugeCreate, GaugeRead),
    RecordKind(
        "/findings",
        "a finding",
        "findings",
        TAG,
        "fnd",
        Finding,
        FindingCreate,
        FindingRead,
        keep=_record,
        problems=("duplicate-client-id",),
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
