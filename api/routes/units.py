"""Units and findings."""

from api.routes.records import RecordKind, record_routes
from api.schemas.units import FindingCreate, FindingRead, UnitCreate, UnitRead
from shared.condition.model import Finding, Unit

TAG = "condition"

KINDS = (
    RecordKind("/units", "a unit", "units", TAG, "unt", Unit, UnitCreate, UnitRead),
    RecordKind(
        "/findings", "a finding", "findings", TAG, "fnd", Finding, FindingCreate, FindingRead
    ),
)

ROUTES = tuple(route for kind in KINDS for route in record_routes(kind))
