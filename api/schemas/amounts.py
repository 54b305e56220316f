"""Computed amounts of one currency on their way out, and the check that a question has but one."""

from collections.abc import Iterable
from decimal import ROUND_FLOOR, Decimal
from typing import Annotated

from pydantic import Field

from api.schemas.base import MoneyIn, MoneyOut, refuse
from shared.money import Money, minor_digits, round_half_up

Assumptions = Annotated[
    tuple[str, ...], Field(max_length=10, description="What the answer rests on.")
]


def in_euro(amount: str) -> dict[str, str]:
    """Return an amount as an example shows it."""
    return {"amount": amount, "currency": "EUR"}


def one_currency(amounts: Iterable[tuple[str, MoneyIn | None]]) -> str:
    """Return the one currency of the amounts, each with the pointer to it; refuse a second one."""
    given = [(at, money.currency) for at, money in amounts if money is not None]
    first = given[0][1]
    for at, currency in given:
        if currency != first:
            refuse(
                "currency-mixed",
                f"Got {currency} beside {first}; wanted one currency.",
                f"Give every amount in {first}.",
                f"{at}/currency",
            )
    return first


def rounded(value: float, currency: str) -> MoneyOut:
    """Return an amount rounded to the currency's digits."""
    minor = round_half_up(Decimal(value).scaleb(minor_digits(currency)))
    return in_money(minor, currency)


def rounded_down(value: float, currency: str) -> MoneyOut:
    """Return an amount rounded down to the currency's digits."""
    scaled = Decimal(value).scaleb(minor_digits(currency))
    return in_money(int(scaled.to_integral_value(rounding=ROUND_FLOOR)), currency)


def in_money(minor: int, currency: str) -> MoneyOut:
    """Return an amount of minor units."""
    return MoneyOut(amount=Money.of_minor(minor, currency).amount, currency=currency)
