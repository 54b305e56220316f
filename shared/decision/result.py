"""What a decision answers: routes side by side, plans line by line, the frontier, the reasons."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum

from shared.condition.model import Verdict, Zone
from shared.decision.snapshot import Aim
from shared.evidence import Caution
from shared.money import Money


class Route(StrEnum):
    """The ways to get the customer going again."""

    REFIT = "refit"
    REBUILD = "rebuild"
    EXCHANGE = "exchange"
    USED = "used"
    NEW = "new"
    SEND_OUT = "send-out"


class ReasonCode(StrEnum):
    """Why a source or a route is not in the answer."""

    BARRED = "barred"
    SET_INCOMPLETE = "set-incomplete"
    TOO_LATE = "too-late"
    INFEASIBLE = "infeasible"
    NOT_CHEAPEST = "not-cheapest"


@dataclass(frozen=True, slots=True)
class FindingVerdict:
    """One finding judged; probability None where no limit or no uncertainty is known."""

    finding_id: str
    characteristic_id: str
    verdict: Verdict
    zone: Zone
    probability: Decimal | None
    detail: str


@dataclass(frozen=True, slots=True)
class PositionVerdict:
    """A position's verdict; what was not inspected is listed, never assumed good."""

    position_id: str
    name: str
    verdict: Verdict
    probability: Decimal | None
    findings: tuple[FindingVerdict, ...]
    not_inspected: tuple[str, ...]
    """Names of characteristics without a finding."""


@dataclass(frozen=True, slots=True)
class PlanLine:
    """What happens at one position."""

    position_id: str
    position_name: str
    piece: int | None
    source_id: str
    source_kind: str
    disposition: str
    """keep, rework, renew"""
    description: str
    supplier_name: str | None
    offer_id: str | None
    donor_unit_id: str | None
    verdict: Verdict | None
    notes: tuple[str, ...]
    salvaged_part_ids: tuple[str, ...] = ()
    """The parts from the shelf that go in here, to be reserved for the job."""


@dataclass(frozen=True, slots=True)
class AmountView:
    """One amount of a plan; cost is the shop's alone to see."""

    cost_class: str
    label: str
    price: Money
    cost: Money
    is_billed: bool


@dataclass(frozen=True, slots=True)
class Readiness:
    """When the plan is ready. ``probability_by_required`` None: no date is required."""

    promise_on: date
    confidence: Decimal
    p50_on: date
    p90_on: date
    working_days: int
    bench_hours: Decimal
    probability_by_required: Decimal | None


@dataclass(frozen=True, slots=True)
class Risk:
    """What may go wrong afterwards, as far as it is on record.

    ``not_counted`` names the positions without experience or life on record: with any of them the
    comeback chance is a lower bound and the other two are upper bounds; with nothing on record at
    all the three are None.
    """

    comeback_probability: Decimal | None
    warranty_hours: Decimal
    survival_to_horizon: Decimal | None
    horizon_hours: Decimal
    expected_service_hours: Decimal | None
    common_cause: Decimal
    not_counted: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlanView:
    """A plan as a service writer reads it.

    ``price`` sums the billed lines; ``inspection`` is billed on every route and in no comparison;
    ``net_total`` = price + inspection; ``to_pay`` = net_total + tax. ``expected_total`` is what the
    comparison ranks: price plus the expectations that are not billed.
    """

    id: str
    route: Route
    title: str
    summary: str
    lines: tuple[PlanLine, ...]
    amounts: tuple[AmountView, ...]
    price: Money
    inspection: Money
    net_total: Money
    tax: Money
    to_pay: Money
    expected_total: Money
    cost: Money
    margin: Money
    readiness: Readiness
    risk: Risk
    meets_required_by: bool
    is_within_spending_limit: bool | None
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RouteView:
    """The best plan of one route, or why there is none."""

    route: Route
    is_feasible: bool
    meets_required_by: bool
    plan_id: str | None
    gap: Money | None
    """Expected total above the recommended plan's."""
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FrontierPoint:
    """Cheapest for every required date from ``valid_from_on`` to ``valid_to_on`` (None: later)."""

    plan_id: str
    expected_total: Money
    price: Money
    promise_on: date
    valid_from_on: date
    valid_to_on: date | None


@dataclass(frozen=True, slots=True)
class Exclusion:
    """Why something is not in the recommended plan."""

    subject: str
    position_id: str | None
    code: ReasonCode
    detail: str


@dataclass(frozen=True, slots=True)
class Infeasibility:
    """Why nothing meets what is asked: an irreducible set of requirements, the earliest date."""

    requirements: tuple[str, ...]
    detail: str
    earliest_promise_on: date | None


@dataclass(frozen=True, slots=True)
class DecisionResult:
    """The whole answer. ``recommended`` None: nothing meets what is asked."""

    engine_version: str
    snapshot_hash: str
    as_of: datetime
    aim: Aim
    confidence: Decimal
    required_by_on: date | None
    recommended: str | None
    next_best: str | None
    gap_to_next_best: Money | None
    routes: tuple[RouteView, ...]
    plans: tuple[PlanView, ...]
    frontier: tuple[FrontierPoint, ...]
    verdicts: tuple[PositionVerdict, ...]
    exclusions: tuple[Exclusion, ...]
    infeasibility: Infeasibility | None
    assumptions: tuple[str, ...]
    cautions: tuple[Caution, ...]
    is_proven_optimal: bool
