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


class ArrivalDependence(StrEnum):
    """How arrivals of different suppliers hang together.

    ``any``: nothing is taken for granted, the chances of coming late are added up.
    """

    INDEPENDENT = "independent"
    ANY = "any"


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


class BelowMinimum(StrEnum):
    """What a supplier does with an order below its minimum.

    ``top-up``: goods are added to reach it; ``fee``: taken for a fee, or topped up; ``refused``:
    not taken unless what is needed comes to the minimum.
    """

    TOP_UP = "top-up"
    FEE = "fee"
    REFUSED = "refused"


class CoreFault(StrEnum):
    """What makes a core worth nothing to the supplier."""

    CRACKED = "cracked"
    INCOMPLETE = "incomplete"


class WarrantyCover(StrEnum):
    """What a supplier's warranty pays when the part fails in the shop's warranty."""

    NOTHING = "nothing"
    PART = "part"
    PART_AND_LABOUR = "part-and-labour"


@dataclass(frozen=True, slots=True)
class Supplier:
    """Who sells to the shop; ``order_cutoff`` is "HH:MM" on the shop's clock.

    ``minimum_order`` and ``free_freight_from`` are goods values, without tax, freight and deposits;
    from the latter on the order travels free. ``small_order_fee`` goes with ``fee`` alone. All
    amounts are in one currency, which may be another than the shop's.
    """

    id: str
    name: str
    freight: Money
    delivery: DeliveryMode = DeliveryMode.CONSOLIDATED
    order_cutoff: str | None = None
    notes: str | None = None
    minimum_order: Money | None = None
    below_minimum: BelowMinimum = BelowMinimum.TOP_UP
    small_order_fee: Money | None = None
    free_freight_from: Money | None = None


@dataclass(frozen=True, slots=True)
class CoreTerms:
    """The deposit on an exchange item and what of it comes back.

    ``refund`` is what an accepted core is credited (None: the whole deposit). The core has to be
    back within ``return_within_days`` calendar days of the delivery; the refund comes within
    ``refund_within_days`` after that. ``refused_when``: faults with which nothing is refunded.
    """

    deposit: Money
    acceptance_probability: Decimal
    refund: Money | None = None
    return_freight: Money | None = None
    return_within_days: int | None = None
    refund_within_days: int | None = None
    refused_when: tuple[CoreFault, ...] = ()


@dataclass(frozen=True, slots=True)
class PriceBreak:
    """Price of every piece once so many pieces are bought together."""

    from_quantity: int
    price: Money


class ReworkKind(StrEnum):
    """How a worn part is brought back to size."""

    SLEEVE = "sleeve"
    OVERSIZE_PART = "oversize-part"
    PLATING = "plating"
    WELDING = "welding"
    GRINDING = "grinding"
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class ReworkPart:
    """So many pieces of a part that a rework of one piece needs: a sleeve, an oversize bearing."""

    part_id: str
    quantity: int = 1


@dataclass(frozen=True, slots=True)
class ReworkTerms:
    """What a service on a worn part does: which characteristics it puts right, what else it takes.

    ``puts_right`` empty: not told, it is taken to put right all that was found. Hours are those of
    the shop's own bench for one piece, besides the fitting.
    """

    kind: ReworkKind
    puts_right: tuple[str, ...] = ()
    p50_hours: Decimal = Decimal(0)
    p90_hours: Decimal = Decimal(0)
    parts: tuple[ReworkPart, ...] = ()


@dataclass(frozen=True, slots=True)
class Offer:
    """A supplier's price for one piece, or for a service.

    Goods name a part or a whole assembly; a service names a position (rework of the customer's
    part) or an assembly (rebuild of the customer's own unit). Lead time in working days.
    ``price_breaks`` rise in quantity and fall in price. Sold in packs of ``pack_quantity`` pieces,
    at least ``minimum_quantity`` pieces, at most ``available_quantity`` (None: as many as wanted).
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
    price_breaks: tuple[PriceBreak, ...] = ()
    pack_quantity: int = 1
    minimum_quantity: int = 1
    available_quantity: int | None = None
    rework: ReworkTerms | None = None


@dataclass(frozen=True, slots=True)
class ExchangeRate:
    """One unit of ``currency`` is ``rate`` units of ``in_currency``, as of a day, with its source.

    The newest not after the day of a decision counts. A mistyped one is corrected or retired; what
    was decided keeps the rate that it was decided by.
    """

    id: str
    currency: str
    in_currency: str
    rate: Decimal
    holds_from: date
    source: str


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
