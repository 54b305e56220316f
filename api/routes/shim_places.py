"""Places for shims in an assembly."""

from api.routes.records import RecordKind, record_routes
from api.schemas.shim_places import ShimPlaceCreate, ShimPlaceRead
from shared.condition.shim_place import ShimPlace

TAG = "condition"

KINDS = (
    RecordKind(
        "/shim-places",
        "a place for shims",
        "places for shims",
        TAG,
        "spl",
        ShimPlace,
        ShimPlaceCreate,
        ShimPlaceRead,
    ),
)

ROUTES = tuple(route for kind in KINDS for route in record_routes(kind))
