"""One shop, one currency: amounts of two are never summed, so they are never taken."""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from db.models.decision import shop_settings
from db.queries.access import Principal
from shared.errors import InvalidInput
from shared.money import Money


def amounts(value: object, pointer: str = "") -> Iterator[tuple[str, Money]]:
    """Give every amount in a record with the JSON pointer to it."""
    if isinstance(value, Money):
        yield pointer, value
    elif is_dataclass(value) and not isinstance(value, type):
        for field in fields(value):
            yield from amounts(getattr(value, field.name), f"{pointer}/{field.name}")
    elif isinstance(value, tuple):
        for place, item in enumerate(value):
            yield from amounts(item, f"{pointer}/{place}")


def shop_currency(session: Session, principal: Principal) -> str | None:
    """Return the currency of the settings in force; None while the shop has none."""
    return session.execute(
        select(shop_settings.c.currency)
        .where(shop_settings.c.shop_id == principal.shop_id)
        .order_by(shop_settings.c.version.desc())
        .limit(1)
    ).scalar()


def check_currency(session: Session, principal: Principal, record: object) -> None:
    """Check that all amounts of a record are in the shop's currency, or at least in one.

    Raises InvalidInput ("currency-other") at the first that is not.
    """
    found = list(amounts(record))
    if not found:
        return
    own = shop_currency(session, principal)
    check_one_currency(found, own or found[0][1].currency, "the shop's settings" if own else "it")


def check_one_currency(found: list[tuple[str, Money]], currency: str, whose: str) -> None:
    """Check that all amounts are in ``currency``; raises InvalidInput at the first that is not."""
    for pointer, amount in found:
        if amount.currency != currency:
            other = "the rest of the record" if whose == "it" else whose
            raise InvalidInput(
                f"{pointer}/currency",
                f"The amount is in {amount.currency}, {other} in {currency}.",
                f"Give the amount in {currency}.",
                "currency-other",
            )
