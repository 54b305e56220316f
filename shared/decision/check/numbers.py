"""Every amount, number and chance of a snapshot is a possible one."""

import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from datetime import date
from decimal import Decimal
from functools import cache
from types import NoneType
from typing import Any

from shared.assemblies.model import DerivationTerm
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput
from shared.money import Money
from shared.quantities import Quantity, kind_of, standard_uncertainty

LARGEST_AMOUNT_MINOR = 10**9
LARGEST_NUMBER = Decimal(10) ** 9
_CURRENCY = re.compile(r"[A-Z]{3}")
_WITHOUT_FIGURES = (str, int, date, NoneType)
"""Most members of most records: passed over at once."""


def check_numbers(snapshot: Snapshot, currency: str) -> None:
    """Refuse mixed currencies, negative or huge amounts and numbers, doubtful doubt.

    A supplier and its offers count in one currency, which may be another than the shop's.
    """
    check_code("/settings/currency", currency)
    for field in fields(snapshot):
        if field.name not in ("suppliers", "offers"):
            _check_leaves(f"/{field.name}", getattr(snapshot, field.name), currency)
    own: dict[str, str] = {}
    for index, supplier in enumerate(snapshot.suppliers):
        own[supplier.id] = supplier.freight.currency
        check_code(f"/suppliers/{index}/freight/currency", supplier.freight.currency)
        _check_leaves(f"/suppliers/{index}", supplier, supplier.freight.currency, "its freight is")
    for index, offer in enumerate(snapshot.offers):
        of_supplier = own.get(offer.supplier_id, offer.price.currency)
        check_code(f"/offers/{index}/price/currency", offer.price.currency)
        _check_leaves(f"/offers/{index}", offer, of_supplier, "its supplier counts")


def check_code(pointer: str, currency: str) -> None:
    """Refuse what is no currency code."""
    if not _CURRENCY.fullmatch(currency):
        raise InvalidInput(
            pointer,
            f"{currency[:20]!r} is not a currency code.",
            'Give three capital letters of ISO 4217, such as "EUR".',
        )


def check_figures(record: object, currency: str) -> None:
    """Refuse foreign currencies, and amounts and numbers that no snapshot may hold, in a record."""
    _check_leaves("", record, currency)


def _check_leaves(at: str, record: object, currency: str, whose: str = "the shop counts") -> None:
    for pointer, value in _leaves(at, record):
        if isinstance(value, Money):
            _check_money(pointer, value, currency, whose)
        elif isinstance(value, Decimal):
            _check_decimal(pointer, value)
        elif isinstance(value, Quantity):
            _check_quantity(pointer, value)


def _leaves(pointer: str, value: Any) -> Iterator[tuple[str, Any]]:
    """Every amount, number and quantity in a record, with where it stands."""
    if isinstance(value, Money | Quantity | Decimal):
        yield pointer, value
    elif isinstance(value, tuple):
        for index, item in enumerate(value):
            if not isinstance(item, _WITHOUT_FIGURES):
                yield from _leaves(f"{pointer}/{index}", item)
    elif isinstance(value, DerivationTerm):
        return  # A factor may be below zero: check/measures looks at it.
    elif is_dataclass(value):
        kind: Any = type(value)
        for name in _names(kind):
            member = getattr(value, name)
            if not isinstance(member, _WITHOUT_FIGURES):
                yield from _leaves(f"{pointer}/{name}", member)


@cache
def _names(kind: type) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind))


def _check_money(pointer: str, money: Money, currency: str, whose: str) -> None:
    if money.currency != currency:
        raise InvalidInput(
            f"{pointer}/currency",
            f"The amount is in {money.currency}, {whose} in {currency}.",
            f"Give the amount in {currency}; currencies are never mixed silently.",
            "currency-mixed",
        )
    if not money.amount.is_finite() or money.amount < 0:
        raise InvalidInput(
            f"{pointer}/amount", f"{money.amount} is not an amount.", "Give an amount of 0 or more."
        )
    try:
        minor = money.minor
    except InvalidInput as error:
        raise error.below(pointer) from None
    if minor > LARGEST_AMOUNT_MINOR:
        raise InvalidInput(
            f"{pointer}/amount",
            f"{money.amount} {currency} is more than a line may hold.",
            f"Give at most {Money.of_minor(LARGEST_AMOUNT_MINOR, currency).amount}.",
        )


def _check_decimal(pointer: str, value: Decimal) -> None:
    if not value.is_finite() or not 0 <= value <= LARGEST_NUMBER:
        raise InvalidInput(
            pointer, f"{value} is out of range.", f"Give a number from 0 to {LARGEST_NUMBER:f}."
        )


def _check_quantity(pointer: str, quantity: Quantity) -> None:
    try:
        standard_uncertainty(quantity, kind_of(quantity.unit))
    except InvalidInput as error:
        raise error.below(pointer) from None


def check_probability(pointer: str, value: Decimal) -> None:
    """Refuse a confidence outside (0, 1]."""
    if not 0 < value <= 1:
        raise InvalidInput(
            pointer, f"{value} is not a probability to promise by.", "Give more than 0, at most 1."
        )


def check_whole(pointer: str, value: int, least: int, most: int) -> None:
    """Refuse a whole number outside its bounds, both of which are allowed."""
    if not least <= value <= most:
        raise InvalidInput(
            pointer,
            f"{value} is out of range.",
            f"Give a whole number from {least} to {most}.",
            "out-of-range",
        )


def check_chance(pointer: str, value: Decimal) -> None:
    """Refuse a chance outside [0, 1]."""
    if not 0 <= value <= 1:
        raise InvalidInput(pointer, f"{value} is not a chance.", "Give a number from 0 to 1.")
