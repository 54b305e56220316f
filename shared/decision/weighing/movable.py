"""The inputs of a snapshot that may move: prices, freight, lead times, readings.

Money moves by a minor unit, a lead time by a tenth of a working day of its P90 (the P50 moves in
proportion), a reading by its last digit given. Chances and lives: ``movable_chances.py``.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal
from typing import Protocol, TypeVar

from shared.condition.model import DonorTerms, Finding, Unit
from shared.decision.check.numbers import LARGEST_AMOUNT_MINOR
from shared.decision.result import BreakEvenKind
from shared.decision.snapshot import Snapshot
from shared.decision.weighing.what_if import Input
from shared.money import Money, minor_digits
from shared.sourcing.lead_time import LONGEST_LEAD_DAYS
from shared.sourcing.model import Offer, Supplier

T = TypeVar("T")


class _Record(Protocol):
    @property
    def id(self) -> str: ...


LEAD_STEP_DAYS = Decimal("0.1")
LEAST_DAYS = Decimal("0.001")
MOST_TIMES = 10
"""Lead times and lives are looked at up to ten times what they are."""


def offer_price(snapshot: Snapshot, offer: Offer) -> Input:
    """Price of a piece; its price breaks move by the same amount, none below 0."""
    index = _index(snapshot.offers, offer.id)

    def moved(snapshot: Snapshot, value: Decimal) -> Snapshot:
        by = value - offer.price.amount
        breaks = tuple(replace(b, price=_shifted(b.price, by)) for b in offer.price_breaks)
        other = replace(offer, price=_shifted(offer.price, by), price_breaks=breaks)
        return replace(snapshot, offers=put(snapshot.offers, index, other))

    supplier = next((s.name for s in snapshot.suppliers if s.id == offer.supplier_id), "")
    what = " (its price breaks move with it)" if offer.price_breaks else ""
    return _amount(
        f"/offers/{index}/price/amount",
        f"price of {offer.description} from {supplier}{what}",
        offer.id,
        offer.price,
        moved,
    )


def freight(snapshot: Snapshot, supplier: Supplier) -> Input:
    """What a supplier charges to send an order."""
    index = _index(snapshot.suppliers, supplier.id)

    def moved(snapshot: Snapshot, value: Decimal) -> Snapshot:
        other = replace(supplier, freight=Money(value, supplier.freight.currency))
        return replace(snapshot, suppliers=put(snapshot.suppliers, index, other))

    path = f"/suppliers/{index}/freight/amount"
    return _amount(path, f"freight of {supplier.name}", supplier.id, supplier.freight, moved)


def replacement_cost(snapshot: Snapshot, cost: Money) -> Input:
    """What another machine would cost the customer."""

    def moved(snapshot: Snapshot, value: Decimal) -> Snapshot:
        job = replace(snapshot.job, replacement_cost=Money(value, cost.currency))
        return replace(snapshot, job=job)

    what = "the customer's cost of another machine"
    return _amount("/job/replacement_cost/amount", what, snapshot.job.id, cost, moved)


def lead_time(
    snapshot: Snapshot, offer: Offer, deadline_days: int, *, sets_parcel: bool = False
) -> Input:
    """P90 of an offer's lead time; the P50 moves in proportion, both together where they are 0.

    ``sets_parcel``: other lines arrive with it, and it is the slowest of them.
    """
    index = _index(snapshot.offers, offer.id)

    def moved(snapshot: Snapshot, value: Decimal) -> Snapshot:
        other = replace(offer, p50_days=_p50(offer, value), p90_days=value)
        return replace(snapshot, offers=put(snapshot.offers, index, other))

    supplier = next((s.name for s in snapshot.suppliers if s.id == offer.supplier_id), "")
    what = f"{offer.description} from {supplier}"
    if sets_parcel:
        what = f"the parcel from {supplier}, by its slowest line, {offer.description}"
    return _lead(f"/offers/{index}/p90_days", what, offer.id, offer.p90_days, deadline_days, moved)


def donor_lead_time(snapshot: Snapshot, donor: Unit, deadline_days: int) -> Input:
    """P90 of a donor's way to the shop; the P50 in proportion. ValueError without donor terms."""
    index, terms = _donor(snapshot, donor)

    def moved(snapshot: Snapshot, value: Decimal) -> Snapshot:
        other = replace(terms, p50_days=_p50(terms, value), p90_days=value)
        return _with_donor(snapshot, index, donor, other)

    path = f"/units/{index}/donor/p90_days"
    return _lead(path, donor_name(donor), donor.id, terms.p90_days, deadline_days, moved)


def donor_price(snapshot: Snapshot, donor: Unit) -> Input | None:
    """Price of a donor, or the worth given up of one that the shop owns; None: not on record."""
    index, terms = _donor(snapshot, donor)
    member = "undisturbed_worth" if terms.is_owned else "price"
    money = terms.undisturbed_worth if terms.is_owned else terms.price
    if money is None:
        return None
    currency = money.currency

    def moved(snapshot: Snapshot, value: Decimal) -> Snapshot:
        amount = Money(value, currency)
        other = (
            replace(terms, undisturbed_worth=amount)
            if terms.is_owned
            else replace(terms, price=amount)
        )
        return _with_donor(snapshot, index, donor, other)

    what = "worth undisturbed of" if terms.is_owned else "price of"
    path = f"/units/{index}/donor/{member}/amount"
    return _amount(path, f"{what} {donor_name(donor)}", donor.id, money, moved)


def donor_name(donor: Unit) -> str:
    """A donor as it is called in the answer."""
    return f"donor {donor.serial_number or donor.id}"


def _p50(quotes: Offer | DonorTerms, p90_days: Decimal) -> Decimal:
    """P50 in proportion to a P90, to 0.001 of a day, above 0 where the P90 is."""
    if p90_days == 0:
        return Decimal(0)
    ratio = quotes.p50_days / quotes.p90_days if quotes.p90_days > 0 else Decimal(1)
    p50 = (p90_days * ratio).quantize(LEAST_DAYS, ROUND_HALF_UP)
    return min(p90_days, max(p50, LEAST_DAYS))


def _lead(
    path: str,
    what: str,
    record_id: str,
    p90_days: Decimal,
    deadline_days: int,
    moved: Callable[[Snapshot, Decimal], Snapshot],
) -> Input:
    farthest = max(MOST_TIMES * p90_days, Decimal(4 * max(0, deadline_days)), Decimal(20))
    return Input(
        path=path,
        subject=f"lead time, kept nine times in ten, of {what}",
        kind=BreakEvenKind.LEAD_TIME,
        id=record_id,
        unit="working days",
        current=p90_days,
        step=LEAD_STEP_DAYS,
        lowest=Decimal(0),
        highest=min(farthest, Decimal(LONGEST_LEAD_DAYS)),
        moved=moved,
    )


def _donor(snapshot: Snapshot, donor: Unit) -> tuple[int, DonorTerms]:
    if donor.donor is None:
        raise ValueError(f"unit {donor.id} has no donor terms")
    return _index(snapshot.units, donor.id), donor.donor


def _with_donor(snapshot: Snapshot, index: int, donor: Unit, terms: DonorTerms) -> Snapshot:
    return replace(snapshot, units=put(snapshot.units, index, replace(donor, donor=terms)))


def reading(
    snapshot: Snapshot,
    finding: Finding,
    name: str,
    lowest: Decimal,
    highest: Decimal,
    scale: Decimal | None = None,
) -> Input:
    """A measured value, its uncertainty staying what it is; ``name`` of what was measured.

    ``scale``: distance that counts as 1 (``nearness.py``).
    Raises ValueError for a finding without a measured value.
    """
    measured = finding.measured
    if measured is None:
        raise ValueError(f"finding {finding.id} has no measured value")
    index = _index(snapshot.findings, finding.id)

    def moved(snapshot: Snapshot, value: Decimal) -> Snapshot:
        other = replace(finding, measured=replace(measured, value=value))
        return replace(snapshot, findings=put(snapshot.findings, index, other))

    exponent = measured.value.as_tuple().exponent
    return Input(
        path=f"/findings/{index}/measured/value",
        subject=f"reading of {name}",
        kind=BreakEvenKind.MEASURED_VALUE,
        id=finding.id,
        unit=measured.unit,
        current=measured.value,
        step=Decimal(1).scaleb(min(0, int(exponent))),
        lowest=lowest,
        highest=highest,
        moved=moved,
        scale=scale,
    )


def _amount(
    path: str,
    subject: str,
    record_id: str,
    money: Money,
    moved: Callable[[Snapshot, Decimal], Snapshot],
) -> Input:
    step = Decimal(1).scaleb(-minor_digits(money.currency))
    return Input(
        path=path,
        subject=subject,
        kind=BreakEvenKind.PRICE,
        id=record_id,
        unit=money.currency,
        current=money.amount,
        step=step,
        lowest=Decimal(0),
        highest=LARGEST_AMOUNT_MINOR * step,
        moved=moved,
    )


def _shifted(money: Money, by: Decimal) -> Money:
    return Money(max(Decimal(0), money.amount + by), money.currency)


def put(records: tuple[T, ...], index: int, record: T) -> tuple[T, ...]:
    """The records with another one in a place."""
    return (*records[:index], record, *records[index + 1 :])


def _index(records: Sequence[_Record], key: str) -> int:
    return next(i for i, one in enumerate(records) if one.id == key)
