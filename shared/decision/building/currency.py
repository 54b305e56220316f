"""Amounts in another currency, taken into the shop's by the newest dated rate, once, beforehand.

Suppliers and their offers may count in another currency. The rate is the newest from that currency
into the shop's that holds on the shop's local day of the decision; a rate the other way round is
never turned over, for buying and selling rates differ. Each amount is rounded half up, once.
Source: planning method of this project.
"""

from collections.abc import Iterable
from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from shared.decision.check.numbers import LARGEST_AMOUNT_MINOR
from shared.decision.snapshot import Snapshot
from shared.money import Money, minor_digits, round_half_up
from shared.sourcing.calendar import local_time
from shared.sourcing.model import ExchangeRate, Offer, Supplier


@dataclass(frozen=True, slots=True)
class Converted:
    """A snapshot in the shop's currency alone, and what became of the other currencies.

    ``left_out``: offers that no rate brings into the shop's currency, each with the reason;
    ``quoted``: the price of the others as it was quoted, by offer.
    """

    snapshot: Snapshot
    notes: tuple[str, ...] = ()
    left_out: tuple[tuple[Offer, str], ...] = ()
    quoted: tuple[tuple[str, Money], ...] = ()


def in_shop_currency(snapshot: Snapshot) -> Converted:
    """A checked snapshot with every amount in the shop's currency; same order of records."""
    own = snapshot.settings.currency
    foreign = {s.id: s.freight.currency for s in snapshot.suppliers if s.freight.currency != own}
    if not foreign:
        return Converted(snapshot)
    rates = _rates(snapshot)
    suppliers = tuple(_supplier_in(supplier, own, rates) for supplier in snapshot.suppliers)
    too_large = {s.id for s in suppliers if s.id in foreign and _largest(s) > LARGEST_AMOUNT_MINOR}
    offers: list[Offer] = []
    left_out: list[tuple[Offer, str]] = []
    quoted: list[tuple[str, Money]] = []
    for offer in snapshot.offers:
        rate = rates.get(offer.price.currency)
        if offer.price.currency == own:
            offers.append(offer)
        elif rate is None:
            left_out.append((offer, _why_no_rate(snapshot, offer.price.currency)))
        else:
            taken: Offer = _in_currency(offer, rate.rate, own)
            if offer.supplier_id in too_large or _largest(taken) > LARGEST_AMOUNT_MINOR:
                left_out.append((offer, f"in {own} it comes to more than a line may hold"))
            else:
                offers.append(taken)
                quoted.append((offer.id, offer.price))
    return Converted(
        replace(snapshot, suppliers=suppliers, offers=tuple(offers)),
        _notes(snapshot, rates, set(foreign.values())),
        tuple(left_out),
        tuple(quoted),
    )


def exchanged(money: Money, rate: Decimal, currency: str) -> Money:
    """An amount in another currency, rounded half up to that currency's minor unit.

    >>> exchanged(Money(Decimal("10.01"), "USD"), Decimal("0.925"), "EUR")
    Money(amount=Decimal('9.26'), currency='EUR')
    """
    minor = round_half_up((money.amount * rate).scaleb(minor_digits(currency)))
    return Money.of_minor(minor, currency)


def _rates(snapshot: Snapshot) -> dict[str, ExchangeRate]:
    """The newest rate into the shop's currency that holds today, by currency."""
    today = _today(snapshot)
    own = snapshot.settings.currency
    usable = [r for r in snapshot.exchange_rates if r.in_currency == own and r.holds_from <= today]
    return {r.currency: r for r in sorted(usable, key=lambda r: (r.holds_from, r.id))}


def _today(snapshot: Snapshot) -> date:
    return local_time(snapshot.as_of, snapshot.settings.calendar).date()


def _why_no_rate(snapshot: Snapshot, currency: str) -> str:
    return (
        f"it is in {currency}, and no rate from {currency} into {snapshot.settings.currency} "
        f"that holds on {_today(snapshot)} is on record"
    )


def _supplier_in(supplier: Supplier, own: str, rates: dict[str, ExchangeRate]) -> Supplier:
    """A supplier's terms in the shop's currency; as they are where no rate is on record.

    Nothing is then on offer there, so that nothing counts them.
    """
    rate = rates.get(supplier.freight.currency)
    if supplier.freight.currency == own or rate is None:
        return supplier
    taken: Supplier = _in_currency(supplier, rate.rate, own)
    return taken


def _in_currency(value: Any, rate: Decimal, currency: str) -> Any:
    if isinstance(value, Money):
        return exchanged(value, rate, currency)
    if isinstance(value, tuple):
        return tuple(_in_currency(item, rate, currency) for item in value)
    if is_dataclass(value) and not isinstance(value, type):
        members = {f.name: getattr(value, f.name) for f in fields(value)}
        return replace(
            value, **{name: _in_currency(one, rate, currency) for name, one in members.items()}
        )
    return value


def _largest(record: Offer | Supplier) -> int:
    return max((money.minor for money in _amounts(record)), default=0)


def _amounts(value: Any) -> Iterable[Money]:
    if isinstance(value, Money):
        yield value
    elif isinstance(value, tuple):
        for item in value:
            yield from _amounts(item)
    elif is_dataclass(value):
        for field in fields(value):
            yield from _amounts(getattr(value, field.name))


def _notes(
    snapshot: Snapshot, rates: dict[str, ExchangeRate], foreign: set[str]
) -> tuple[str, ...]:
    own = snapshot.settings.currency
    used = [rates[currency] for currency in sorted(foreign) if currency in rates]
    return tuple(
        f"Amounts in {rate.currency} count at {rate.rate.normalize():f} {own} for 1 "
        f"{rate.currency}, the rate of {rate.holds_from} ({rate.source}); each is rounded half up."
        for rate in used
    )
