"""Jobs and how they ended, and the settings of the shop that works them."""

from api.routes.records import RecordKind, record_routes
from api.schemas.jobs import JobCreate, JobRead, OutcomeCreate, OutcomeRead
from api.schemas.shop_settings import ShopSettingsCreate, ShopSettingsRead
from shared.decision.outcome import Outcome
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
    RecordKind(
        "/outcomes",
        "the outcome of a job",
        "outcomes of jobs",
        TAG,
        "out",
        Outcome,
        OutcomeCreate,
        OutcomeRead,
    ),
)

ROUTES = tuple(route for kind in KINDS for route in record_routes(kind))
