"""Every amount, number and chance of a snapshot is a possible one."""

import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from decimal import Decimal
from typing import Any

from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput
from shared.money import Money
from shared.quantities import Quantity, kind_of, standard_uncertainty

LARGEST_AMOUNT_MINOR = 10**9
LARGEST_NUMBER = Decimal(10) ** 9
_CURRENCY = re.compile(r"[A-Z]{3}")


def check_numbers(snapshot: Snapshot, currency: str) -> None:
    """Refuse foreign currencies, negative or huge amounts and numbers, doubtful doubt."""
    if not _CURRENCY.fullmatch(currency):
        raise InvalidInput(
            "/settings/currency",
            f"{currency[:20]!r} is not a currency code.",
            'Give three capital letters of ISO 4217, such as "EUR".',
        )
    check_figures(snapshot, currency)


def check_figures(record: object, currency: str) -> None:
    """Refuse foreign currencies, and amounts and numbers that no snapshot may hold, in a record."""
    for pointer, value in _leaves("", record):
        if isinstance(value, Money):
            _check_money(pointer, value, currency)
        elif isinstance(value, Decimal):
            _check_decimal(pointer, value)
        elif isinstance(value, Quantity):
            _check_quantity(pointer, value)


def _leaves(pointer: str, value: Any) -> Iterator[tuple[str, Any]]:
    if isinstance(value, Money | Quantity) or not is_dataclass(value):
        if isinstance(value, tuple):
            for index, item in enumerate(value):
                yield from _leaves(f"{pointer}/{index}", item)
        else:
            yield pointer, value
        return
    for field in fields(value):
        yield from _leaves(f"{pointer}/{field.name}", getattr(value, field.name))


def _check_money(pointer: str, money: Money, currency: str) -> None:
    if money.currency != currency:
        raise InvalidInput(
            f"{pointer}/currency",
            f"The amount is in {money.currency}, the shop counts in {currency}.",
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


def check_chance(pointer: str, value: Decimal) -> None:
    """Refuse a chance outside [0, 1]."""
    if not 0 <= value <= 1:
        raise InvalidInput(pointer, f"{value} is not a chance.", "Give a number from 0 to 1.")
