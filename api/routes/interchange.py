"""Parts, kits and interchange claims."""

from api.routes.records import RecordKind, record_routes
from api.schemas.interchange import (
    InterchangeClaimCreate,
    InterchangeClaimRead,
    PartCreate,
    PartRead,
)
from shared.interchange.model import InterchangeClaim, Part

TAG = "interchange"

KINDS = (
    RecordKind("/parts", "a part or kit", "parts and kits", TAG, "prt", Part, PartCreate, PartRead),
    RecordKind(
        "/interchange-claims",
        "an interchange claim",
        "interchange claims",
        TAG,
        "clm",
        InterchangeClaim,
        InterchangeClaimCreate,
        InterchangeClaimRead,
    ),
)

ROUTES = tuple(route for kind in KINDS for route in record_routes(kind))
