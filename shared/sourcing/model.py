"""Suppliers and what they offer."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum

from shared.money import Money


class DeliveryMode(StrEnum):
    """Whether a supplier waits for the slowest line or sends each line when it has it."""

    CONSOLIDATED = "consolidated"
    SEPARATE = "separate"


class OfferKind(StrEnum):
    """Goods, or a service on the customer's own part or unit."""

    GOODS = "goods"
    SERVICE = "service"


class GoodsCondition(StrEnum):
    """In what condition goods are sold."""

    NEW = "new"
    OLD_STOCK = "old-stock"
    REBUILT = "rebuilt"
    USED = "used"


class WarrantyCover(StrEnum):
    """What a supplier's warranty pays when the part fails in the shop's warranty."""

    NOTHING = "nothing"
    PART = "part"
    PART_AND_LABOUR = "part-and-labour"


@dataclass(frozen=True, slots=True)
class Supplier:
    """Who sells to the shop; ``order_cutoff`` is "HH:MM" on the shop's clock."""

    id: str
    name: str
    freight: Money
    delivery: DeliveryMode = DeliveryMode.CONSOLIDATED
    order_cutoff: str | None = None
    notes: str | None = None


@dataclass(frozen=True, slots=True)
class CoreTerms:
    """The deposit on an exchange item and what of it comes back.

    ``refund`` is what an accepted core is credited (None: the whole deposit).
    """

    deposit: Money
    acceptance_probability: Decimal
    refund: Money | None = None
    return_freight: Money | None = None
    return_within_days: int | None = None


@dataclass(frozen=True, slots=True)
class Offer:
    """A supplier's price for one piece, or for a service.

    Goods name a part or a whole assembly; a service names a position (rework of the customer's
    part) or an assembly (rebuild of the customer's own unit). Lead time in working days.
    """

    id: str
    supplier_id: str
    kind: OfferKind
    description: str
    price: Money
    p50_days: Decimal
    p90_days: Decimal
    part_id: str | None = None
    assembly_id: str | None = None
    position_id: str | None = None
    condition: GoodsCondition | None = None
    valid_from: date | None = None
    valid_until: date | None = None
    warranty_cover: WarrantyCover = WarrantyCover.NOTHING
    reject_probability: Decimal = Decimal(0)
    core: CoreTerms | None = None
    residual_worth: Money | None = None
    """What the item is still worth to its owner at the horizon."""


@dataclass(frozen=True, slots=True)
class DeliveryLine:
    """One line of a delivery: an offer or a part, or in words what no record names."""

    quantity: int
    offer_id: str | None = None
    part_id: str | None = None
    description: str | None = None


@dataclass(frozen=True, slots=True)
class Delivery:
    """One order to a supplier and its arrival; ``arrived_on`` None: not yet."""

    id: str
    supplier_id: str
    ordered_at: datetime
    lines: tuple[DeliveryLine, ...]
    job_id: str | None = None
    promised_on: date | None = None
    arrived_on: date | None = None
    freight: Money | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class WorkCalendar:
    """When the shop works. Weekdays count from Monday = 1 to Sunday = 7 (ISO 8601)."""

    timezone: str = "UTC"
    country: str | None = None
    subdivision: str | None = None
    weekdays: tuple[int, ...] = (1, 2, 3, 4, 5)
    closed_on: tuple[date, ...] = ()
    open_on: tuple[date, ...] = ()
    opens_at: str = "08:00"
    closes_at: str = "17:00"
    bench_hours_per_day: Decimal = Decimal(8)
