"""Shop settings, jobs and decisions of one shop. Settings and decisions are only ever added."""

from sqlalchemy import (
    Boolean,
    Column,
    Date,
    ForeignKey,
    Index,
    Integer,
    String,
    Table,
    Text,
    UniqueConstraint,
)

from db.models.base import (
    LONG,
    decimal,
    flat,
    ident_column,
    metadata,
    money,
    private,
    probability,
    reference,
    text,
    together,
    truth,
    word,
)
from db.types import SCALE, ScaledDecimal, UtcDateTime, document, ident
from shared.decision.job_states import JobState
from shared.decision.snapshot import WaitingKind
from shared.evidence import CauseKind, FailureMechanism

# The n-th settings of a shop have version n; the highest is in force. The rates, bands, calendar,
# policy and experience are one document: they are written and read whole, and no query looks into
# them. What other records are checked against has columns of its own.
shop_settings = private(
    "shop_settings",
    Column("currency", String(3), nullable=False),
    probability("promise_confidence", pointer="/rules/promise_confidence"),
    Column("document", document(), nullable=False),
    UniqueConstraint("shop_id", "version"),
)

jobs = private(
    "jobs",
    ident_column("unit_id"),
    text("complaint", LONG),
    word("state", JobState),
    text("cause", LONG, optional=True),
    decimal("horizon_hours", optional=True),
    Column("required_by_on", Date),
    Column("confidence", ScaledDecimal),
    money("spending_limit", optional=True),
    money("inspection_price", optional=True),
    ident_column("core_unit_id", optional=True),
    text("notes", LONG, optional=True),
    Column("core_back_on", Date),
    word("waiting_kind", WaitingKind, optional=True, pointer="/waiting/kind"),
    money("waiting_cost_per_day", optional=True, pointer="/waiting/cost_per_day"),
    money("waiting_price_per_day", optional=True, pointer="/waiting/price_per_day"),
    text("waiting_description", LONG, optional=True),
    money("standstill_cost_per_day", optional=True),
    money("replacement_cost", optional=True),
    Column("hours_per_year", ScaledDecimal),
    word("failure_mechanism", FailureMechanism, optional=True),
    word("cause_kind", CauseKind, optional=True),
    Column("is_cause_removed", Boolean),
    truth(
        "removed_cause_is_named",
        "is_cause_removed IS NULL OR cause IS NOT NULL OR cause_kind IS NOT NULL",
        "/is_cause_removed",
        "It is said whether the cause is put right, and no cause is given.",
        "Give cause or cause_kind, or leave is_cause_removed out.",
    ),
    together("units", shop_id="shop_id", unit_id="id"),
    together("units", shop_id="shop_id", core_unit_id="id"),
    truth(
        "confidence_is_probability",
        f"confidence > 0 AND confidence < {SCALE}",
        "/confidence",
        "confidence lies outside 0 to 1, or is one of the two.",
        'Give a probability between "0" and "1", such as "0.9".',
    ),
    truth(
        "waiting_is_whole",
        "(waiting_kind IS NULL) = (waiting_cost_per_day_minor IS NULL)"
        " AND (waiting_kind IS NULL) = (waiting_price_per_day_minor IS NULL)"
        " AND (waiting_kind IS NOT NULL OR waiting_description IS NULL)",
        "/waiting",
        "What the customer runs meanwhile lacks its kind, its cost or its price per day.",
        "Give kind, cost_per_day and price_per_day.",
    ),
    truth(
        "hours_within_a_year",
        f"hours_per_year > 0 AND hours_per_year <= {8784 * SCALE}",
        "/hours_per_year",
        "hours_per_year is zero, or more than the 8784 hours of a leap year.",
        "Give the hours that the unit runs in a year.",
    ),
    Index(None, "shop_id", "unit_id", "id"),
    Index(None, "shop_id", "state", "id"),
    Index(None, "shop_id", "required_by_on", "id"),
)

job_opened_groups = Table(
    "job_opened_groups",
    metadata,
    Column("shop_id", ident(), nullable=False),
    Column("job_id", ident(), primary_key=True),
    Column("place", Integer, primary_key=True, autoincrement=False),
    Column("access_group_id", ident(), nullable=False),
    together("jobs", shop_id="shop_id", job_id="id"),
    together("access_groups", access_group_id="id"),
    UniqueConstraint("job_id", "access_group_id"),
)

decisions = private(
    "decisions",
    ident_column("job_id"),
    Column("as_of", UtcDateTime, nullable=False),
    text("plan_id"),
    text("recommended_plan_id", optional=True),
    Column("is_override", Boolean, nullable=False),
    text("decided_by"),
    text("reason", LONG, optional=True),
    text("engine_version"),
    Column("snapshot_hash", String(64), nullable=False),
    Column("snapshot_json", Text, nullable=False),
    Column("result_json", Text, nullable=False),
    together("jobs", shop_id="shop_id", job_id="id"),
    truth(
        "override_has_reason",
        "NOT is_override OR reason IS NOT NULL",
        "/reason",
        "Another plan than the recommended one was chosen, without a reason.",
        "Say why this plan was chosen.",
    ),
    Index(None, "shop_id", "job_id", "id"),
)

outcomes = private(
    "outcomes",
    ident_column("job_id"),
    ident_column("decision_id", optional=True),
    Column("handed_over_on", Date),
    money("actual_cost", optional=True),
    money("actual_price", optional=True),
    decimal("bench_hours", optional=True),
    text("note", LONG, optional=True),
    together("jobs", shop_id="shop_id", job_id="id"),
    together("decisions", shop_id="shop_id", decision_id="id"),
    # A job ends once; what came after stands in its comebacks.
    UniqueConstraint("shop_id", "job_id"),
    Index(None, "shop_id", "decision_id", "id"),
    Index(None, "shop_id", "handed_over_on", "id"),
)

outcome_comebacks = Table(
    "outcome_comebacks",
    metadata,
    *flat(
        (
            Column("outcome_id", ident(), ForeignKey("outcomes.id"), primary_key=True),
            Column("place", Integer, primary_key=True, autoincrement=False),
            Column("came_back_on", Date, nullable=False),
            decimal("hours_run", optional=True, pointer="/comebacks"),
            reference("position_id", "positions", optional=True),
            text("cause", LONG, optional=True),
            money("cost", optional=True, pointer="/comebacks"),
            word("mechanism", FailureMechanism, optional=True, pointer="/comebacks"),
            word("cause_kind", CauseKind, optional=True, pointer="/comebacks"),
            Index(None, "position_id", "outcome_id"),
        )
    ),
)
