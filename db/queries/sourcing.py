"""Suppliers, offers, exchange rates and deliveries: mapping and checks."""

from collections.abc import Collection
from datetime import date, datetime
from typing import Any, Final

from sqlalchemy import and_, func, select
from sqlalchemy.orm import Session

from db.models import sourcing as tables
from db.models.assemblies import assemblies, characteristics, positions
from db.models.decision import jobs, shop_settings
from db.models.interchange import parts
from db.queries import access
from db.queries.access import Principal
from db.queries.currency import (
    amounts,
    check_currency,
    check_in_one_currency,
    check_one_currency,
)
from db.queries.mapping import Children, Mapped, load
from db.queries.references import check_distinct, known
from shared.errors import InvalidInput
from shared.sourcing.calendar import local_time
from shared.sourcing.model import (
    Delivery,
    DeliveryLine,
    ExchangeRate,
    Offer,
    OfferKind,
    Supplier,
    WorkCalendar,
)
from shared.sourcing.rework import check_rework


def _check_supplier(session: Session, principal: Principal, supplier: Supplier) -> None:
    check_in_one_currency(supplier)


def _check_supplier_change(
    session: Session, principal: Principal, before: Supplier, after: Supplier
) -> None:
    """A supplier's offers are in its currency, which changes only while it has none."""
    currency = after.freight.currency
    if currency == before.freight.currency:
        return
    table = tables.offers
    others = select(table.c.id).where(
        table.c.supplier_id == after.id, table.c.price_currency != currency
    )
    other = session.execute(others.order_by(table.c.id).limit(1)).scalar()
    if other is not None:
        raise InvalidInput(
            "/freight/currency",
            f"The supplier would count in {currency}; its offer {other} is in"
            f" {before.freight.currency}.",
            f"Keep {before.freight.currency}, or record the supplier anew with its new offers.",
            "currency-other",
        )


def _check_offer(session: Session, principal: Principal, offer: Offer) -> None:
    supplier = known(
        session,
        principal,
        tables.suppliers,
        offer.supplier_id,
        "/supplier_id",
        "supplier",
        steady=True,  # its currency
    )
    for table, name, record_id in (
        (parts, "part", offer.part_id),
        (assemblies, "assembly", offer.assembly_id),
        (positions, "position", offer.position_id),
    ):
        if record_id is not None:
            known(session, principal, table, record_id, f"/{name}_id", name)
    check_one_currency(list(amounts(offer)), supplier["freight_currency"], "its supplier")
    _check_breaks(offer)
    if offer.core is not None:
        check_distinct(offer.core.refused_when, "/core/refused_when", "fault")
    _check_rework(session, principal, offer)


def _check_rework(session: Session, principal: Principal, offer: Offer) -> None:
    """A rework puts right what its position, or one inside it, is inspected for."""
    check_rework(offer)
    if offer.rework is None or offer.position_id is None:
        return
    for index, line in enumerate(offer.rework.parts):
        known(session, principal, parts, line.part_id, f"/rework/parts/{index}/part_id", "part")
    if not offer.rework.puts_right:
        return
    inside = _inside(session, offer.position_id)
    for index, one in enumerate(offer.rework.puts_right):
        at = f"/rework/puts_right/{index}"
        row = known(session, principal, characteristics, one, at, "characteristic")
        if row["position_id"] not in inside:
            raise InvalidInput(
                at,
                f"The characteristic '{one}' belongs to another position.",
                f"Give one of the position '{offer.position_id}', or of a position inside it.",
                "other-position",
            )


def _inside(session: Session, position_id: str) -> set[str]:
    """Return a position and all that lie inside it."""
    found, outer = {position_id}, [position_id]
    while outer:
        held = select(positions.c.id).where(positions.c.parent_id.in_(outer))
        outer = [one for one in session.execute(held).scalars() if one not in found]
        found.update(outer)
    return found


def _check_breaks(offer: Offer) -> None:
    """Check that price breaks rise in quantity and fall in price, and that a piece has a price."""
    quantity, price = 1, offer.price.minor
    for place, one in enumerate(offer.price_breaks):
        at = f"/price_breaks/{place}"
        if one.from_quantity <= quantity:
            raise InvalidInput(
                f"{at}/from_quantity",
                f"The break begins at {one.from_quantity} pieces, the price before it at"
                f" {quantity}.",
                f"Give breaks in rising order, this one from {quantity + 1} pieces on or later.",
                "breaks-overlap",
            )
        if one.price.minor > price:
            raise InvalidInput(
                f"{at}/price",
                "The price of a piece rises with the quantity.",
                "Give a price of at most the one before it.",
                "break-dearer",
            )
        quantity, price = one.from_quantity, one.price.minor
    if offer.price_breaks and offer.kind is OfferKind.SERVICE:
        raise InvalidInput(
            "/price_breaks",
            "A service has price breaks.",
            "Leave price_breaks out.",
            "breaks-misplaced",
        )


def _check_still_valid(session: Session, principal: Principal, offer: Offer) -> None:
    """A new offer has not lapsed; one on record may be ended at any day."""
    if offer.valid_until is None:
        return
    today = shop_day(session, principal, access.now())
    if offer.valid_until < today:
        raise InvalidInput(
            "/valid_until",
            f"The offer held until {offer.valid_until}; today is {today}.",
            "Ask for a new price, and give the day until which it holds.",
            "offer-lapsed",
        )


def _check_delivery(session: Session, principal: Principal, delivery: Delivery) -> None:
    supplier_id = delivery.supplier_id
    known(session, principal, tables.suppliers, supplier_id, "/supplier_id", "supplier")
    if delivery.job_id is not None:
        known(session, principal, jobs, delivery.job_id, "/job_id", "job")
    if not delivery.lines:
        raise InvalidInput(
            "/lines", "The delivery has no line.", "Say what was ordered.", "too-few"
        )
    for place, line in enumerate(delivery.lines):
        _check_delivery_line(session, principal, line, supplier_id, f"/lines/{place}")
    ordered_on = shop_day(session, principal, delivery.ordered_at)
    for name in ("promised_on", "arrived_on"):
        _check_not_before(ordered_on, getattr(delivery, name), f"/{name}")
    check_currency(session, principal, delivery)


def _check_delivery_line(
    session: Session, principal: Principal, line: DeliveryLine, supplier_id: str, pointer: str
) -> None:
    if line.part_id is not None:
        known(session, principal, parts, line.part_id, f"{pointer}/part_id", "part")
    if line.offer_id is None:
        return
    at = f"{pointer}/offer_id"
    offer = known(session, principal, tables.offers, line.offer_id, at, "offer")
    if offer["supplier_id"] != supplier_id:
        raise InvalidInput(
            at,
            f"The offer '{line.offer_id}' is another supplier's.",
            f"Give an offer of the supplier '{supplier_id}'.",
            "other-supplier",
        )


def shop_day(session: Session, principal: Principal, moment: datetime) -> date:
    """Return the day on the shop's own calendar; UTC while it has no settings."""
    document = session.execute(
        select(shop_settings.c.document)
        .where(shop_settings.c.shop_id == principal.shop_id)
        .order_by(shop_settings.c.version.desc())
        .limit(1)
    ).scalar()
    calendar = WorkCalendar(timezone=document["calendar"]["timezone"]) if document else None
    return local_time(moment, calendar or WorkCalendar()).date()


def _check_not_before(ordered_on: date, day: date | None, pointer: str) -> None:
    if day is not None and day < ordered_on:
        raise InvalidInput(
            pointer,
            f"{pointer[1:]} is {day}; it was ordered on {ordered_on}.",
            "Give a day not before the order.",
            "range-reversed",
        )


def newest_rates(
    session: Session,
    principal: Principal,
    currencies: Collection[str],
    in_currency: str,
    today: date,
) -> tuple[ExchangeRate, ...]:
    """Return the newest rate of each currency into one that holds on a day, by rising id."""
    table = tables.exchange_rates
    own = table.c.shop_id == principal.shop_id
    there = (
        own,
        table.c.in_currency == in_currency,
        table.c.currency.in_(sorted(currencies)),
        table.c.holds_from <= today,
    )
    newest = (
        select(table.c.currency, func.max(table.c.holds_from).label("holds_from"))
        .where(*there)
        .group_by(table.c.currency)
        .subquery()
    )
    statement = (
        select(table)
        .join(
            newest,
            and_(table.c.currency == newest.c.currency, table.c.holds_from == newest.c.holds_from),
        )
        .where(own, table.c.in_currency == in_currency)
        .order_by(table.c.id)
    )
    return tuple(stored.record for stored in load(session, EXCHANGE_RATES, statement))


SUPPLIERS: Final[Mapped[Supplier]] = Mapped(
    Supplier,
    "supplier",
    tables.suppliers,
    filters=("name",),
    check=_check_supplier,
    check_change=_check_supplier_change,
)
OFFERS: Final = Mapped(
    Offer,
    "offer",
    tables.offers,
    filters=("supplier_id", "kind", "part_id", "assembly_id", "position_id"),
    children=(
        Children("price_breaks", tables.offer_price_breaks, "offer_id"),
        Children("core.refused_when", tables.offer_core_faults, "offer_id", column="fault"),
        Children(
            "rework.puts_right",
            tables.offer_rework_rights,
            "offer_id",
            column="characteristic_id",
        ),
        Children("rework.parts", tables.offer_rework_parts, "offer_id"),
    ),
    check=_check_offer,
    check_new=_check_still_valid,
    fixed={"supplier_id": "Record the other supplier's offer and retire this one."},
)
EXCHANGE_RATES: Final = Mapped(
    ExchangeRate,
    "exchange-rate",
    tables.exchange_rates,
    filters=("currency", "in_currency"),
    ranges=("holds_from",),
    sorts=("holds_from",),
    unique=(("shop_id", "currency", "in_currency", "holds_from"),),
    fixed=dict.fromkeys(
        ("currency", "in_currency", "holds_from"), "Record the rate anew and retire this one."
    ),
)
DELIVERIES: Final = Mapped(
    Delivery,
    "delivery",
    tables.deliveries,
    filters=("supplier_id", "job_id"),
    children=(Children("lines", tables.delivery_lines, "delivery_id", shared=("shop_id",)),),
    ranges=("ordered_at", "promised_on", "arrived_on"),
    sorts=("ordered_at",),
    check=_check_delivery,
)
MAPPED: Final[tuple[Mapped[Any], ...]] = (SUPPLIERS, OFFERS, EXCHANGE_RATES, DELIVERIES)
