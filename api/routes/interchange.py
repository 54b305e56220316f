"""Parts, kits, interchange claims and supersessions."""

from api.routes.records import RecordKind, record_routes
from api.schemas.interchange import (
    InterchangeClaimCreate,
    InterchangeClaimRead,
    PartCreate,
    PartRead,
    SupersessionCreate,
    SupersessionRead,
)
from shared.interchange.model import InterchangeClaim, Part, Supersession

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
    RecordKind(
        "/supersessions",
        "a supersession",
        "supersessions",
        TAG,
        "sps",
        Supersession,
        SupersessionCreate,
        SupersessionRead,
    ),
)

ROUTES = tuple(route for kind in KINDS for route in record_routes(kind))
