"""Suppliers, offers, exchange rates, deliveries: the fields of ``shared/sourcing/model.py``."""

from decimal import Decimal
from typing import Annotated, Self

from pydantic import Field, model_validator

from api.schemas.base import (
    Body,
    CalendarDate,
    ClockTime,
    Count,
    CurrencyCode,
    DaysText,
    HoursText,
    IdText,
    LongText,
    MoneyIn,
    PiecesForOne,
    ProbabilityText,
    RateText,
    ShortText,
    UtcDateTime,
    checked,
    plain,
    refuse,
    to_domain_with_id,
    whole_between,
)
from api.schemas.records import (
    RecordHead,
    SnapshotId,
    check_distinct,
    check_p90_not_below_p50,
)
from shared.sourcing.model import (
    BelowMinimum,
    CoreFault,
    DeliveryMode,
    GoodsCondition,
    Offer,
    OfferKind,
    ReworkKind,
    WarrantyCover,
)
from shared.sourcing.rework import check_rework

ReturnDays = Annotated[int, whole_between(0, 3650), Field(ge=0, le=3650)]
CountOrNone = Annotated[int, whole_between(0, 10000), Field(ge=0, le=10000)]
BreakQuantity = Annotated[int, whole_between(2, 10000), Field(ge=2, le=10000)]


class SupplierCreate(Body):
    """Who sells to the shop."""

    name: ShortText = Field(description="The supplier's name.", examples=["Plain Bearings & Co"])
    freight: MoneyIn = Field(
        description="Freight, paid once per order.",
        examples=[{"amount": "9.50", "currency": "EUR"}],
    )
    delivery: DeliveryMode = Field(
        default=DeliveryMode.CONSOLIDATED,
        description="Whether one delivery waits for the slowest line.",
        examples=["consolidated"],
    )
    order_cutoff: ClockTime | None = Field(
        default=None,
        description="Orders after this time count as the next working day's; the shop's clock.",
        examples=["15:30"],
    )
    notes: LongText | None = Field(
        default=None, description="Anything worth knowing.", examples=["Closed in August."]
    )
    minimum_order: MoneyIn | None = Field(
        default=None,
        description="Goods value that an order must come to, without tax, freight and deposits.",
        examples=[{"amount": "50.00", "currency": "EUR"}],
    )
    below_minimum: BelowMinimum = Field(
        default=BelowMinimum.TOP_UP,
        description="What is done with an order below the minimum.",
        examples=["fee"],
    )
    small_order_fee: MoneyIn | None = Field(
        default=None,
        description="Fee for which a smaller order is taken; goes with below_minimum fee alone.",
        examples=[{"amount": "8.00", "currency": "EUR"}],
    )
    free_freight_from: MoneyIn | None = Field(
        default=None,
        description="Goods value from which on the order travels free.",
        examples=[{"amount": "150.00", "currency": "EUR"}],
    )

    @model_validator(mode="after")
    def _terms_agree(self) -> Self:
        for name in ("minimum_order", "small_order_fee", "free_freight_from"):
            money = getattr(self, name)
            if money is not None:
                check_same_currency(money, self.freight, f"/{name}", "the freight")
        is_for_a_fee = self.below_minimum is BelowMinimum.FEE
        if is_for_a_fee != (self.small_order_fee is not None):
            refuse(
                "fee-missing" if is_for_a_fee else "fee-misplaced",
                f"Got below_minimum {self.below_minimum} with"
                f"{'out' if is_for_a_fee else ''} small_order_fee.",
                "Give small_order_fee with below_minimum fee, and only with it.",
                "/small_order_fee",
            )
        if self.below_minimum is not BelowMinimum.TOP_UP and self.minimum_order is None:
            refuse(
                "minimum-missing",
                f"Got below_minimum {self.below_minimum} without minimum_order.",
                "Give minimum_order, or leave below_minimum out.",
                "/minimum_order",
            )
        return self


class SupplierRead(RecordHead, SupplierCreate):
    """A supplier as stored."""


class SupplierInSnapshot(SnapshotId, SupplierCreate):
    """A supplier inside a snapshot."""


class CoreTermsFields(Body):
    """The deposit on an exchange item and what of it comes back."""

    deposit: MoneyIn = Field(
        description="Charged with the item.", examples=[{"amount": "250.00", "currency": "EUR"}]
    )
    acceptance_probability: ProbabilityText = Field(
        description="Chance that the core is accepted.", examples=["0.8"]
    )
    refund: MoneyIn | None = Field(
        default=None,
        description="Credited for an accepted core; the whole deposit if not given.",
        examples=[{"amount": "250.00", "currency": "EUR"}],
    )
    return_freight: MoneyIn | None = Field(
        default=None,
        description="What sending the core back costs.",
        examples=[{"amount": "35.00", "currency": "EUR"}],
    )
    return_within_days: ReturnDays | None = Field(
        default=None,
        description="Calendar days after the delivery in which the core must be back.",
        examples=[30],
    )
    refund_within_days: ReturnDays | None = Field(
        default=None,
        description="Calendar days after the core's return in which the refund comes.",
        examples=[14],
    )
    refused_when: tuple[CoreFault, ...] = Field(
        default=(),
        max_length=10,
        description="Faults of the core with which nothing is refunded.",
        examples=[["cracked", "incomplete"]],
    )

    @model_validator(mode="after")
    def _one_currency(self) -> Self:
        check_distinct(self.refused_when, "/refused_when", "fault")
        for name in ("refund", "return_freight"):
            money = getattr(self, name)
            if money is not None:
                check_same_currency(money, self.deposit, f"/{name}", "the deposit")
        if self.refund is not None and self.refund.amount > self.deposit.amount:
            refuse(
                "refund-above-deposit",
                f"The refund {plain(self.refund.amount)} is above the deposit "
                f"{plain(self.deposit.amount)}.",
                "Give a refund of at most the deposit.",
                "/refund/amount",
            )
        return self


def check_same_currency(money: MoneyIn, other: MoneyIn, at: str, what: str) -> None:
    """Refuse an amount in another currency than the amounts beside it."""
    if money.currency != other.currency:
        refuse(
            "currency-mixed",
            f"Got {money.currency}; {what} is in {other.currency}.",
            f"Give the amount in {other.currency}.",
            f"{at}/currency",
        )


class PriceBreakFields(Body):
    """Price of every piece once so many pieces are bought together."""

    from_quantity: BreakQuantity = Field(description="From so many pieces on.", examples=[10])
    price: MoneyIn = Field(
        description="Price of each piece then.", examples=[{"amount": "9.90", "currency": "EUR"}]
    )


class ReworkPartFields(Body):
    """Pieces of a part that a rework of one piece takes: a sleeve, an oversize bearing."""

    part_id: IdText = Field(description="The part.", examples=["prt_1c3"])
    quantity: PiecesForOne = Field(default=1, description="Pieces for one piece.", examples=[1])


class ReworkTermsFields(Body):
    """What a service on a worn part does, and what it takes besides its price."""

    kind: ReworkKind = Field(
        description="How the part is brought back to size.", examples=["sleeve"]
    )
    puts_right: tuple[IdText, ...] = Field(
        default=(),
        max_length=100,
        description="Characteristics of the position, or of positions inside it, that it puts"
        " right; none: not told, it is taken to put right all that was found.",
        examples=[["chr_7kq"]],
    )
    p50_hours: HoursText = Field(
        default=Decimal(0),
        description="The shop's own bench hours for one piece besides the fitting, five in ten.",
        examples=["0.5"],
    )
    p90_hours: HoursText = Field(
        default=Decimal(0), description="The same, nine in ten.", examples=["0.8"]
    )
    parts: tuple[ReworkPartFields, ...] = Field(
        default=(),
        max_length=50,
        description="Parts that it takes.",
        examples=[[{"part_id": "prt_1c3", "quantity": 1}]],
    )


class OfferCreate(Body):
    """A supplier's price for one piece or whole assembly, or for a service.

    Goods name a part or an assembly; a service names a position (rework of the customer's part) or
    an assembly (rebuild of the customer's own unit).
    """

    supplier_id: IdText = Field(description="Whose offer it is.", examples=["sup_7kq"])
    kind: OfferKind = Field(description="Goods or a service.", examples=["goods"])
    description: ShortText = Field(
        description="The offer in words.", examples=["Ball bearing 6204-2RS"]
    )
    price: MoneyIn = Field(
        description="Price of one piece, or of the service.",
        examples=[{"amount": "11.80", "currency": "EUR"}],
    )
    p50_days: DaysText = Field(description="Working days, five in ten.", examples=["2"])
    p90_days: DaysText = Field(description="Working days, nine in ten.", examples=["4"])
    part_id: IdText | None = Field(default=None, description="The part sold.", examples=["prt_1c3"])
    assembly_id: IdText | None = Field(
        default=None,
        description="The whole assembly sold, or the design of the unit rebuilt.",
        examples=["asm_7kq"],
    )
    position_id: IdText | None = Field(
        default=None,
        description="The position whose part is reworked.",
        examples=["pos_4hd"],
    )
    condition: GoodsCondition | None = Field(
        default=None, description="Condition of the goods.", examples=["new"]
    )
    valid_from: CalendarDate | None = Field(
        default=None, description="First day on which it holds.", examples=["2031-01-01"]
    )
    valid_until: CalendarDate | None = Field(
        default=None, description="Last day on which it holds.", examples=["2031-06-30"]
    )
    warranty_cover: WarrantyCover = Field(
        default=WarrantyCover.NOTHING,
        description="What the supplier pays when the part fails in the shop's warranty.",
        examples=["part"],
    )
    reject_probability: ProbabilityText = Field(
        default=Decimal(0), description="Chance that the piece is not usable.", examples=["0.02"]
    )
    core: CoreTermsFields | None = Field(
        default=None, description="Core terms of an exchange item."
    )
    residual_worth: MoneyIn | None = Field(
        default=None,
        description="What the item is still worth to its owner at the horizon.",
        examples=[{"amount": "60.00", "currency": "EUR"}],
    )
    price_breaks: tuple[PriceBreakFields, ...] = Field(
        default=(),
        max_length=20,
        description="Prices for more pieces, rising in quantity, falling in price.",
        examples=[[{"from_quantity": 10, "price": {"amount": "9.90", "currency": "EUR"}}]],
    )
    pack_quantity: Count = Field(default=1, description="Pieces in a pack.", examples=[10])
    minimum_quantity: Count = Field(
        default=1, description="Least number of pieces sold.", examples=[1]
    )
    available_quantity: CountOrNone | None = Field(
        default=None,
        description="Most pieces to be had; 0: sold out; none: as many as wanted.",
        examples=[40],
    )
    rework: ReworkTermsFields | None = Field(
        default=None, description="What a service at a position does to the worn part."
    )

    @model_validator(mode="after")
    def _whole(self) -> Self:
        self._check_target()
        if self.rework is not None:
            checked(lambda: check_rework(to_domain_with_id(self, Offer, "new")))
        self._check_breaks()
        check_p90_not_below_p50(self.p50_days, self.p90_days, "p50_days", "p90_days")
        if self.valid_from and self.valid_until and self.valid_until < self.valid_from:
            refuse(
                "range-reversed",
                f"valid_until {self.valid_until} is before valid_from {self.valid_from}.",
                "Swap the two dates.",
                "/valid_until",
            )
        if self.residual_worth is not None:
            check_same_currency(self.residual_worth, self.price, "/residual_worth", "the price")
        if self.core is not None:
            check_same_currency(self.core.deposit, self.price, "/core/deposit", "the price")
        return self

    def _check_breaks(self) -> None:
        """Breaks rise in quantity and fall in price; a service has none, and no packs."""
        if self.kind is OfferKind.SERVICE:
            self._check_service_terms()
        elif self.core is not None:
            self._check_bought_singly()
        quantity, price = 1, self.price
        for index, one in enumerate(self.price_breaks):
            at = f"/price_breaks/{index}"
            check_same_currency(one.price, self.price, f"{at}/price", "the price")
            if one.from_quantity <= quantity:
                refuse(
                    "breaks-overlap",
                    f"from_quantity {one.from_quantity} does not follow {quantity}.",
                    f"Give breaks in rising order, this one from {quantity + 1} pieces or more.",
                    f"{at}/from_quantity",
                )
            if one.price.amount > price.amount:
                refuse(
                    "break-dearer",
                    f"{plain(one.price.amount)} a piece is more than {plain(price.amount)} for"
                    " fewer pieces.",
                    f"Give at most {plain(price.amount)}.",
                    f"{at}/price/amount",
                )
            quantity, price = one.from_quantity, one.price

    def _check_service_terms(self) -> None:
        given = {**self._packed(), "available_quantity": self.available_quantity is not None}
        name = next((name for name, is_given in given.items() if is_given), None)
        if name is not None:
            refuse(
                "not-of-a-service",
                f"A service is priced piece by piece; got {name}.",
                f"Leave {name} out.",
                f"/{name}",
            )

    def _check_bought_singly(self) -> None:
        name = next((name for name, is_given in self._packed().items() if is_given), None)
        if name is not None:
            refuse(
                "not-with-a-core",
                f"An exchange item with a core deposit is bought piece by piece; got {name}.",
                f"Leave {name} out, or leave out the core.",
                f"/{name}",
            )

    def _packed(self) -> dict[str, bool]:
        return {
            "price_breaks": bool(self.price_breaks),
            "pack_quantity": self.pack_quantity != 1,
            "minimum_quantity": self.minimum_quantity != 1,
        }

    def _check_target(self) -> None:
        is_goods = self.kind is OfferKind.GOODS
        allowed = ("part_id", "assembly_id") if is_goods else ("position_id", "assembly_id")
        given = [
            name
            for name in ("part_id", "assembly_id", "position_id")
            if getattr(self, name) is not None
        ]
        wrong = [name for name in given if name not in allowed]
        if wrong or len(given) != 1:
            refuse(
                "offer-target",
                f"An offer of {self.kind} names {' and '.join(given) or 'nothing'}; "
                f"wanted exactly one of {' and '.join(allowed)}.",
                f"Give {allowed[0]} or {allowed[1]}, and nothing else of the three.",
                f"/{(wrong or given[1:] or allowed)[0]}",
            )
        if is_goods and self.condition is None:
            refuse(
                "condition-missing",
                "An offer of goods does not say in what condition they are.",
                "Give condition: new, old-stock, rebuilt or used.",
                "/condition",
            )
        if not is_goods and self.condition is not None:
            refuse(
                "condition-misplaced",
                "A service has no condition of goods.",
                "Leave condition out.",
                "/condition",
            )


class OfferRead(RecordHead, OfferCreate):
    """An offer as stored."""


class OfferInSnapshot(SnapshotId, OfferCreate):
    """An offer inside a snapshot."""


class ExchangeRateCreate(Body):
    """What one unit of a currency is worth in another, from a day on; never changed, only followed.

    The newest rate that holds on the day of a decision counts.
    """

    currency: CurrencyCode = Field(description="The currency that is priced.", examples=["SEK"])
    in_currency: CurrencyCode = Field(
        description="The currency that it is priced in: the shop's, to be counted.",
        examples=["EUR"],
    )
    rate: RateText = Field(
        description="How many units of in_currency one unit of currency is.", examples=["0.0874"]
    )
    holds_from: CalendarDate = Field(
        description="First day on which it holds.", examples=["2031-03-03"]
    )
    source: LongText = Field(description="Where it comes from.", examples=["Bank's selling rate"])

    @model_validator(mode="after")
    def _of_two(self) -> Self:
        if self.currency == self.in_currency:
            refuse(
                "currencies-equal",
                f"Got {self.currency} in {self.in_currency}.",
                "Give the rate between two currencies.",
                "/in_currency",
            )
        return self


class ExchangeRateRead(RecordHead, ExchangeRateCreate):
    """An exchange rate as stored."""


class ExchangeRateInSnapshot(SnapshotId, ExchangeRateCreate):
    """An exchange rate inside a snapshot."""


class DeliveryLineFields(Body):
    """One line: an offer or a part, or in words what no record names."""

    quantity: Count = Field(description="How many were ordered.", examples=[2])
    offer_id: IdText | None = Field(
        default=None, description="The offer taken.", examples=["ofr_7kq"]
    )
    part_id: IdText | None = Field(
        default=None, description="The part, where there is no offer.", examples=["prt_1c3"]
    )
    description: LongText | None = Field(
        default=None, description="What it is, in words.", examples=["Grease, one tin"]
    )


class DeliveryCreate(Body):
    """One order to a supplier, and when it came."""

    supplier_id: IdText = Field(description="Who delivers.", examples=["sup_7kq"])
    ordered_at: UtcDateTime = Field(
        description="When it was ordered.", examples=["2031-03-04T09:15:00Z"]
    )
    lines: tuple[DeliveryLineFields, ...] = Field(
        min_length=1,
        max_length=500,
        description="What was ordered.",
        examples=[[{"quantity": 2, "part_id": "prt_1c3"}]],
    )
    job_id: IdText | None = Field(
        default=None, description="The job it is for.", examples=["job_2f8"]
    )
    promised_on: CalendarDate | None = Field(
        default=None, description="The day it was promised for.", examples=["2031-03-06"]
    )
    arrived_on: CalendarDate | None = Field(
        default=None, description="The day it came; none: not yet.", examples=["2031-03-07"]
    )
    freight: MoneyIn | None = Field(
        default=None,
        description="What carriage really cost.",
        examples=[{"amount": "9.50", "currency": "EUR"}],
    )
    note: LongText | None = Field(
        default=None, description="Anything worth knowing.", examples=["One line came later."]
    )


class DeliveryRead(RecordHead, DeliveryCreate):
    """A delivery as stored."""
