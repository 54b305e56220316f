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
    """The ways to get the customer going again; ``retire`` stands for another machine."""

    REFIT = "refit"
    REBUILD = "rebuild"
    EXCHANGE = "exchange"
    USED = "used"
    NEW = "new"
    SEND_OUT = "send-out"
    RETIRE = "retire"


class ReasonCode(StrEnum):
    """Why a source or a route is not in the answer; the first that holds is told.

    barred: a rule or a reading forbids it. set-incomplete: its set cannot be filled with it. taken:
    another job or position has it. too-late: it is not there in time. infeasible: with it nothing
    meets what is asked. dominated: another is no dearer and no later and asks for no more.
    not-cheapest: allowed, but dearer. not-worked-out: the search limit was reached first.
    """

    BARRED = "barred"
    SET_INCOMPLETE = "set-incomplete"
    TAKEN = "taken"
    TOO_LATE = "too-late"
    INFEASIBLE = "infeasible"
    DOMINATED = "dominated"
    NOT_CHEAPEST = "not-cheapest"
    NOT_WORKED_OUT = "not-worked-out"


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
    """When the plan is ready, every operation taken at its P90.

    ``p50_on``, ``p90_on`` None: no day of the calendar looked at has that chance.
    ``probability_by_required`` None: no date is required.
    """

    promise_on: date
    confidence: Decimal
    p50_on: date | None
    p90_on: date | None
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
class ClassAmount:
    """What a plan comes to in one class of cost, or by how much two plans differ in it."""

    cost_class: str
    price: Money
    cost: Money


@dataclass(frozen=True, slots=True)
class AmountChance:
    """Chance that an amount is not exceeded."""

    amount: Money
    probability: Decimal


@dataclass(frozen=True, slots=True)
class DayChance:
    """Chance that the unit is ready by the end of a day."""

    on: date
    probability: Decimal


@dataclass(frozen=True, slots=True)
class HoursChance:
    """Chance that nothing the plan put in or left has failed after so many running hours."""

    hours: Decimal
    probability: Decimal


@dataclass(frozen=True, slots=True)
class TotalSpread:
    """How what the customer pays (tax and inspection included) may turn out.

    ``chance_within_limit`` None: the customer set no spending limit. ``points`` is the distribution
    ready to draw; ``not_counted`` says what may move the total and is not in it.
    """

    p10: Money
    p50: Money
    p90: Money
    mean: Money
    chance_within_limit: Decimal | None
    points: tuple[AmountChance, ...]
    not_counted: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FinishSpread:
    """When the unit may be ready, work of uncertain length counted.

    A date None: no day of the calendar looked at has that chance. ``chance_by_required`` None: no
    date is required. ``by_day`` is ready to draw.
    """

    p10_on: date | None
    p50_on: date | None
    p90_on: date | None
    chance_by_required: Decimal | None
    by_day: tuple[DayChance, ...]


@dataclass(frozen=True, slots=True)
class CustomerLine:
    """What happens at one position, as the customer is told."""

    position_name: str
    what: str


@dataclass(frozen=True, slots=True)
class CustomerPlan:
    """A plan as it may be shown to the customer: no cost, no margin, no supplier.

    ``promise_on`` and ``confidence`` None: nothing is promised (another machine takes the unit's
    place, and when that is at hand is not on record).
    """

    title: str
    summary: str
    lines: tuple[CustomerLine, ...]
    net_total: Money
    tax: Money
    to_pay: Money
    deposit: Money
    """What may come back of core deposits in ``to_pay`` (tax on it and return freight aside)."""
    promise_on: date | None
    confidence: Decimal | None
    warranty_hours: Decimal
    notes: tuple[str, ...]


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
    breakdown: tuple[ClassAmount, ...] = ()
    total_spread: TotalSpread | None = None
    finish_spread: FinishSpread | None = None
    survival: tuple[HoursChance, ...] = ()
    price_per_expected_hour: Decimal | None = None
    """Expected total over expected service hours, in the shop's currency."""
    equivalent_annual_cost: Money | None = None
    customer: CustomerPlan | None = None


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
    code: ReasonCode | None = None
    """Why it is not recommended; None: it is, or nothing is."""
    gap_by_class: tuple["ClassAmount", ...] = ()
    requirements: tuple[str, ...] = ()
    """Where it has no plan: what contradicts each other, none of it idle."""
    relaxation: "Relaxation | None" = None


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
class Relaxation:
    """One requirement given up, and the cheapest plan that this allows.

    ``expected_total`` and ``promise_on`` are that plan's.
    """

    requirement: str
    detail: str
    expected_total: Money | None
    promise_on: date | None


@dataclass(frozen=True, slots=True)
class Exclusion:
    """Why something is not in the recommended plan.

    ``extra`` is how much dearer (in what is compared) the best plan with it is, ``extra_by_class``
    the same by class of cost. ``requirements`` contradict each other when it is forced, none of
    them idle; ``relaxation`` is the cheapest single way out. ``probability``: of being there in
    time. ``better``: what dominates it.
    """

    subject: str
    position_id: str | None
    code: ReasonCode
    detail: str
    source_id: str | None = None
    extra: Money | None = None
    extra_by_class: tuple[ClassAmount, ...] = ()
    probability: Decimal | None = None
    better: str | None = None
    requirements: tuple[str, ...] = ()
    relaxation: Relaxation | None = None


@dataclass(frozen=True, slots=True)
class Infeasibility:
    """Why nothing meets what is asked: an irreducible set of requirements, the earliest date."""

    requirements: tuple[str, ...]
    detail: str
    earliest_promise_on: date | None
    relaxation: Relaxation | None = None


class BreakEvenKind(StrEnum):
    """What may move."""

    PRICE = "price"
    LEAD_TIME = "lead-time"
    FAILURE_RATE = "failure-rate"
    MEASURED_VALUE = "measured-value"


@dataclass(frozen=True, slots=True)
class BreakEven:
    """How far one input may move before the recommended plan changes, and to what.

    ``path`` is a JSON pointer into the snapshot. In ``direction`` the plan holds up to and with
    ``holds_to`` and is another at ``changes_at``, the next value on the input's grid (a minor unit
    of money, a tenth of a working day, the last digit given of a reading or a chance). Both None:
    nothing up to ``looked_to`` changes it. ``becomes``: what is different then, line by line.
    """

    path: str
    subject: str
    kind: BreakEvenKind
    current: Decimal
    unit: str
    direction: str
    """up, down"""
    holds_to: Decimal | None
    changes_at: Decimal | None
    looked_to: Decimal
    becomes_plan_id: str | None
    becomes: tuple[str, ...]
    detail: str


@dataclass(frozen=True, slots=True)
class Settling:
    """Looking closer before deciding: what it costs, what it is worth, what follows.

    ``value`` is the expected gain before its cost: expected total now, less the chance-weighted
    totals once the verdict is known. ``total_now`` is the recommended plan's as it is ranked, and
    ``chance_conforming`` the chance that this stands on. None: nothing on record tells, and then
    it is worthwhile between the two ``worthwhile_between`` chances. ``is_worthwhile`` None: not
    known.
    """

    position_id: str
    position_name: str
    verdict: Verdict
    what: tuple[str, ...]
    chance_conforming: Decimal | None
    basis: str
    cost: Money
    value: Money | None
    net_value: Money | None
    is_worthwhile: bool | None
    worthwhile_between: tuple[Decimal, ...]
    total_now: Money
    total_if_conforming: Money | None
    total_if_nonconforming: Money | None
    if_conforming: tuple[str, ...]
    if_nonconforming: tuple[str, ...]
    detail: str


@dataclass(frozen=True, slots=True)
class YieldLine:
    """One position of a unit that is parted out."""

    position_id: str
    position_name: str
    is_kept: bool
    chance_good: Decimal | None
    wanted: int
    """Pieces that other open jobs want."""
    worth: Money
    hours: Decimal
    labour: Money
    net: Money
    detail: str


@dataclass(frozen=True, slots=True)
class PartOut:
    """What the unit would yield if it were retired and parted out, at the shop's cost.

    ``yielded`` = worth of what is kept - labour to open and take it - disposal of the rest.
    """

    lines: tuple[YieldLine, ...]
    worth: Money
    open_hours: Decimal
    take_hours: Decimal
    labour: Money
    disposal: Money
    yielded: Money
    is_worthwhile: bool
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RiskPoint:
    """A plan that no other beats in outlay, date and chance of a comeback together.

    ``outlay`` is the expected total without what comebacks are expected to cost: here the risk is
    an axis of its own. ``comeback_probability`` None: of some part nothing is on record;
    on the axis it then stands with the worst that is known.
    """

    plan_id: str
    outlay: Money
    promise_on: date
    comeback_probability: Decimal | None


@dataclass(frozen=True, slots=True)
class Effort:
    """How hard was looked, in the solver's deterministic time; what was left out for want of it.

    ``gap``: the recommended plan is proven to be at most so much above the best there is.
    """

    used: Decimal
    limit: Decimal
    solves: int
    gap: Money | None
    left_out: tuple[str, ...]
    solver: str


@dataclass(frozen=True, slots=True)
class DecisionResult:
    """The whole answer. ``recommended`` None: nothing meets what is asked, or nothing was found.

    Which of the two, ``infeasibility`` tells.
    """

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
    alternatives: tuple[str, ...] = ()
    """Ids of the best plans that a person would call different, cheapest first."""
    risk_frontier: tuple[RiskPoint, ...] = ()
    break_evens: tuple[BreakEven, ...] = ()
    settlings: tuple[Settling, ...] = ()
    part_out: PartOut | None = None
    effort: Effort | None = None
