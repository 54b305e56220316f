"""Jobs, and the settings of the shop that works them."""

from api.routes.records import RecordKind, record_routes
from api.schemas.jobs import JobCreate, JobRead
from api.schemas.shop_settings import ShopSettingsCreate, ShopSettingsRead
from shared.decision.settings import ShopSettings
from shared.decision.snapshot import Job

TAG = "decision"

KINDS = (
    RecordKind(
        "/shop-settings",
        "the shop's settings, as their newest version",
        "the versions of the shop's settings",
        TAG,
        "set",
        ShopSettings,
        ShopSettingsCreate,
        ShopSettingsRead,
    ),
    RecordKind("/jobs", "a job", "jobs", TAG, "job", Job, JobCreate, JobRead),
)

ROUTES = tuple(route for kind in KINDS for route in record_routes(kind))
