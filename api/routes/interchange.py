"""Parts, kits, rules of part numbers, interchange claims and supersessions."""

from api.routes.records import RecordKind, record_routes
from api.schemas.interchange import (
    InterchangeClaimCreate,
    InterchangeClaimRead,
    SupersessionCreate,
    SupersessionRead,
)
from api.schemas.parts import NumberRuleCreate, NumberRuleRead, PartCreate, PartRead
from shared.interchange.model import InterchangeClaim, NumberRule, Part, Supersession

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
    RecordKind(
        "/number-rules",
        "a rule of part numbers",
        "rules of part numbers",
        TAG,
        "nrl",
        NumberRule,
        NumberRuleCreate,
        NumberRuleRead,
    ),
)

ROUTES = tuple(route for kind in KINDS for route in record_routes(kind))
