"""One shop, one currency: amounts of two are never summed, so they are never taken.

Only what others ask of the shop may be in theirs: a supplier's terms and its offers, which a
decision counts by a dated exchange rate.
"""

from collections.abc import Iterator, Sequence
from dataclasses import fields, is_dataclass
from typing import Any, Final

from sqlalchemy import Column, ForeignKeyConstraint, Select, Table, or_, select
from sqlalchemy.orm import Session

from db.models import metadata
from db.models.access import shops
from db.models.decision import shop_settings
from db.models.sourcing import exchange_rates, offer_price_breaks, offers, suppliers
from db.queries.access import Principal
from db.queries.references import known
from shared.errors import InvalidInput
from shared.money import Money

_OWNERS: Final = ("shop_id", "author_shop_id")
_IN_THEIR_OWN: Final = frozenset((suppliers, offers, offer_price_breaks, exchange_rates))
"""Tables with amounts in the currency of whoever sells, and the rates between currencies."""


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
    # Settings in another currency wait until this record is stored, and then see it.
    known(session, principal, shops, principal.shop_id, "", "shop", steady=True)
    own = shop_currency(session, principal)
    if own is None:
        check_in_one_currency(record)
    else:
        check_one_currency(found, own, "the shop's settings")


def check_in_one_currency(record: object) -> None:
    """Check that all amounts of a record are in the currency of its first one.

    Raises InvalidInput ("currency-other") at the first that is not.
    """
    found = list(amounts(record))
    if found:
        check_one_currency(found, found[0][1].currency, "the rest of the record")


def check_no_other_currency(session: Session, principal: Principal, currency: str) -> None:
    """Check that no record of the shop holds an amount in another currency than its settings.

    What suppliers ask stays in their currency, and is counted by exchange rates from then on. Every
    other table is looked at that has such a column, settings of an earlier time left out: so no
    kind is forgotten. Raises InvalidInput ("currency-other"), naming one record.
    """
    for table in metadata.sorted_tables:
        columns = [column for column in table.c if column.name.endswith("_currency")]
        if not columns or table in _IN_THEIR_OWN:
            continue
        record, statement = _of_shop(table, columns, principal)
        is_other = or_(*(column != currency for column in columns))
        row = session.execute(statement.where(is_other).limit(1)).first()
        if row is not None:
            other = next(found for found in row[1:] if found not in (None, currency))
            kind = record.name.replace("_", " ")
            raise InvalidInput(
                "/currency",
                f"The settings are in {currency}; of the shop's {kind}, {row[0]} holds an amount"
                f" in {other}.",
                f"Keep the settings in {other}, or change first what is in it.",
                "currency-other",
            )


def _of_shop(
    table: Table, columns: Sequence[Column[Any]], principal: Principal
) -> tuple[Table, Select[Any]]:
    """Return the table of the records that rows belong to, and the select of a shop's rows."""
    record = table
    if not any(name in table.c for name in _OWNERS):  # a part of a record, such as a comeback
        (record,) = (key.referred_table for key in table.foreign_key_constraints if _is_owner(key))
    owner = next(record.c[name] for name in _OWNERS if name in record.c)
    statement = select(record.c.id, *columns).where(owner == principal.shop_id)
    return record, statement if record is table else statement.join_from(table, record)


def _is_owner(key: ForeignKeyConstraint) -> bool:
    """Return whether a foreign key of a part of a record is the one to the record itself."""
    return {column.name for column in key.columns} <= {c.name for c in key.table.primary_key}


def check_one_currency(found: list[tuple[str, Money]], currency: str, whose: str) -> None:
    """Check that all amounts are in ``currency``; raises InvalidInput at the first that is not."""
    for pointer, amount in found:
        if amount.currency != currency:
            raise InvalidInput(
                f"{pointer}/currency",
                f"The amount is in {amount.currency}, {whose} in {currency}.",
                f"Give the amount in {currency}.",
                "currency-other",
            )
