"""The planning case: the problem in whole numbers, and the plan that answers it.

Amounts are integer minor units, times are working-day indices (day 0 is the first working day on
which something can be ordered), chances are integers in 10^-9 per day. All collections are sorted
by id. Nothing in here knows of shops or parts; ``build.py`` makes it from a snapshot.
"""

from dataclasses import dataclass
from enum import StrEnum

from shared.sourcing.lead_time import CHANCE_ONE
from shared.sourcing.model import ArrivalDependence, BelowMinimum

__all__ = ["CHANCE_ONE"]


class CostClass(StrEnum):
    """What an amount is for; the classes of a plan add up to its total."""

    GOODS = "goods"
    SERVICE = "service"
    LABOUR = "labour"
    OPENING = "opening"
    SUPPLIES = "supplies"
    FREIGHT = "freight"
    DONOR = "donor"
    CORE_DEPOSIT = "core-deposit"
    CORE_CREDIT = "core-credit"
    DISPOSAL = "disposal"
    FALLBACK = "fallback"
    COMEBACK = "comeback"
    LATER_FAILURE = "later-failure"
    RESIDUAL_WORTH = "residual-worth"
    TOP_UP = "top-up"
    SMALL_ORDER_FEE = "small-order-fee"
    WAITING = "waiting"
    STANDSTILL = "standstill"
    REPLACEMENT = "replacement"


@dataclass(frozen=True, slots=True)
class AmountLine:
    """One amount, as the shop's cost and as the customer's price.

    ``is_billed`` False: an expectation (comeback, core credit, residual worth) that counts in the
    comparison and is not on the bill.
    """

    cost_class: CostClass
    label: str
    cost: int
    price: int
    is_billed: bool = True


@dataclass(frozen=True, slots=True)
class LeadTable:
    """Chance that something is there at the end of working day 0, 1, ... n (10^-9, rising)."""

    id: str
    chance_by_day: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class OrderTerms:
    """What a supplier asks of an order; goods values in minor units of cost.

    ``top-up``: goods for the missing amount are bought besides; ``fee``: the order is taken for the
    fee, or topped up, whichever is cheaper; ``refused``: the needed goods must come to ``minimum``.
    From ``free_from`` on (reached by topping up, too) the charge's lines of class freight are not
    paid. A top-up costs shop and customer what it is worth.
    """

    minimum: int = 0
    below: BelowMinimum = BelowMinimum.TOP_UP
    fee_cost: int = 0
    fee_price: int = 0
    free_from: int | None = None


@dataclass(frozen=True, slots=True)
class Tier:
    """What a pack costs, and is charged at, once so many packs are bought together."""

    from_packs: int
    cost: int
    price: int


@dataclass(frozen=True, slots=True)
class StockItem:
    """Goods bought by the pack for all the sources that use them.

    Bought are as many packs as are needed, or as many as a later tier begins with where that comes
    cheaper; every pack at that tier's price. Tiers rise in packs; the first may begin above one
    (least quantity sold). ``available`` pieces at most (None: no bound). What is bought counts, at
    cost, toward the terms of ``order_charge``.
    """

    id: str
    label: str
    tiers: tuple[Tier, ...]
    pack_quantity: int = 1
    available: int | None = None
    order_charge: str | None = None


@dataclass(frozen=True, slots=True)
class Waiting:
    """What each day until the unit is ready costs: by ready day 0, 1, ... last_day, never falling.

    Counts in the aim as ``AmountLine`` of that class would.
    """

    id: str
    cost_class: CostClass
    label: str
    cost_by_day: tuple[int, ...]
    price_by_day: tuple[int, ...]
    is_billed: bool = True


@dataclass(frozen=True, slots=True)
class Charge:
    """Paid once and/or awaited once: an order, a shipment line, a donor, an opening, a kit.

    ``shipment``: charges of equal shipment arrive together, with the slowest of those opened;
    charges without one, or of different ones, arrive independently. ``requires``: charges that are
    opened with this one (an inner group's outer group, a kit's order).
    """

    id: str
    kind: str
    label: str
    lines: tuple[AmountLine, ...] = ()
    lead_table_id: str | None = None
    shipment: str | None = None
    requires: tuple[str, ...] = ()
    bench_minutes: int = 0
    is_open: bool = False
    """Open already and for nothing (a group that the inspection left open)."""
    order: OrderTerms | None = None
    """Terms on the goods value of what is ordered with this charge."""
    goods_values: tuple[tuple[str, int], ...] = ()
    """What it counts, at cost, toward the terms of order charges (a kit's price)."""


@dataclass(frozen=True, slots=True)
class Capacity:
    """At most ``available`` of something: uses are (source id, quantity); e.g. a kit's contents."""

    id: str
    available: int
    uses: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class Source:
    """One way to fill a position.

    ``resolves_children`` is the way "part by part": the position's children are chosen singly.
    ``fits_another_part``: not the part that was in there (for renewed-together sets).
    ``is_unused``: new or never run since made (for positions that are always renewed).
    ``matched_unit``: from which unit or set offer it comes (for matched sets).
    ``physical_parts``: parts of which one exists; at most one chosen source may use each.
    ``core_unit_id`` with ``core_credit``: credit (price, cost; positive) lost if that unit's charge
    is opened as a donor. ``refit_only``: allowed only where nothing but refit is done.
    """

    id: str
    position_id: str
    kind: str
    lines: tuple[AmountLine, ...] = ()
    charges: tuple[str, ...] = ()
    bench_minutes: int = 0
    resolves_children: bool = False
    fits_another_part: bool = False
    is_unused: bool = False
    only_while_closed: str | None = None
    """Charge (access group) that must stay unopened: the part is left where it is."""
    is_keep: bool = False
    refit_only: bool = False
    matched_unit: str | None = None
    physical_parts: tuple[str, ...] = ()
    core_charge: str | None = None
    core_credit_price: int = 0
    core_credit_cost: int = 0
    purchases: tuple[tuple[str, int], ...] = ()
    """Pieces of stock items that it takes: (item id, pieces)."""
    goods_values: tuple[tuple[str, int], ...] = ()
    """What its own goods count, at cost, toward the terms of order charges (charge id, amount)."""
    risk: int = 0
    """Weight of a comeback within the warranty: ceil(-10^6 ln(1 - chance)); adds up over a plan."""


@dataclass(frozen=True, slots=True)
class CasePosition:
    """A position to be filled; parent None is the root (exactly one)."""

    id: str
    parent_id: str | None = None
    always_renew_with: str | None = None
    """Charge (access group) which, once opened, makes renewal of this position due."""


@dataclass(frozen=True, slots=True)
class CaseSet:
    """Positions that are filled from one unit (matched), or renewed together."""

    id: str
    position_ids: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlanningCase:
    """One job as a problem in whole numbers.

    ``bench_minutes_per_day`` > 0. ``starts_on_day_zero``: with nothing awaited, work can begin on
    day 0; otherwise on the working day after the last arrival. ``last_day``: end of the calendar.
    ``counts_price``: the aim sums prices (the customer's), else costs (the shop's).
    """

    positions: tuple[CasePosition, ...]
    sources: tuple[Source, ...]
    charges: tuple[Charge, ...] = ()
    lead_tables: tuple[LeadTable, ...] = ()
    capacities: tuple[Capacity, ...] = ()
    matched_sets: tuple[CaseSet, ...] = ()
    renewed_together: tuple[CaseSet, ...] = ()
    bench_minutes_per_day: int = 480
    starts_on_day_zero: bool = True
    last_day: int = 0
    counts_price: bool = True
    items: tuple[StockItem, ...] = ()
    waiting: tuple[Waiting, ...] = ()
    arrival_dependence: ArrivalDependence = ArrivalDependence.INDEPENDENT


@dataclass(frozen=True, slots=True)
class Query:
    """What is asked of a case: ready by a day with a chance (both optional in effect).

    ``deadline`` None: no day is asked, yet the plan must be ready by ``last_day``.
    ``confidence`` in 10^-9. ``barred_sources`` restricts to a route; ``forced_sources`` forces.
    ``risk_limit``: the plan's summed ``risk`` is at most that.
    """

    confidence: int
    deadline: int | None = None
    barred_sources: frozenset[str] = frozenset()
    forced_sources: frozenset[str] = frozenset()
    risk_limit: int | None = None


@dataclass(frozen=True, slots=True)
class Plan:
    """A complete choice, recomputed by plain arithmetic.

    ``objective`` is the sum that was made least; ``billed_price`` and ``billed_cost`` sum the
    billed lines; ``arrival_day`` is the earliest day by which all is there with the asked
    confidence, ``ready_day`` the same with the fitting done.
    """

    source_ids: tuple[str, ...]
    charge_ids: tuple[str, ...]
    lines: tuple[AmountLine, ...]
    objective: int
    billed_price: int
    billed_cost: int
    bench_minutes: int
    ready_day: int
    arrival_day: int
    risk: int = 0
    packs: tuple[tuple[str, int], ...] = ()
    """Packs bought of each stock item that is bought at all: (item id, packs)."""


@dataclass(frozen=True, slots=True)
class FrontPoint:
    """A plan that is cheapest for every deadline from its ready day to ``valid_to_day``."""

    plan: Plan
    valid_from_day: int
    valid_to_day: int


@dataclass(frozen=True, slots=True)
class SolveReport:
    """What the solver said: proven or not, with what parameters."""

    status: str
    is_proven: bool
    bound: int | None
    solver: str
    settings: str
