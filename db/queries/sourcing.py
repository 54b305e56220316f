"""Suppliers, offers and deliveries: mapping and checks."""

from datetime import date, datetime
from typing import Any, Final

from sqlalchemy import select
from sqlalchemy.orm import Session

from db.models import sourcing as tables
from db.models.assemblies import assemblies, positions
from db.models.decision import jobs, shop_settings
from db.models.interchange import parts
from db.queries.access import Principal
from db.queries.currency import check_currency
from db.queries.mapping import Children, Mapped
from db.queries.references import known
from shared.errors import InvalidInput
from shared.sourcing.calendar import local_time
from shared.sourcing.model import Delivery, DeliveryLine, Offer, Supplier, WorkCalendar


def _check_offer(session: Session, principal: Principal, offer: Offer) -> None:
    known(session, principal, tables.suppliers, offer.supplier_id, "/supplier_id", "supplier")
    for table, name, record_id in (
        (parts, "part", offer.part_id),
        (assemblies, "assembly", offer.assembly_id),
        (positions, "position", offer.position_id),
    ):
        if record_id is not None:
            known(session, principal, table, record_id, f"/{name}_id", name)
    check_currency(session, principal, offer)


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
    ordered_on = _shop_date(session, principal, delivery.ordered_at)
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


def _shop_date(session: Session, principal: Principal, moment: datetime) -> date:
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


SUPPLIERS: Final[Mapped[Supplier]] = Mapped(
    Supplier, "supplier", tables.suppliers, filters=("name",), check=check_currency
)
OFFERS: Final = Mapped(
    Offer,
    "offer",
    tables.offers,
    filters=("supplier_id", "kind", "part_id", "assembly_id", "position_id"),
    check=_check_offer,
    fixed={"supplier_id": "Record the other supplier's offer and retire this one."},
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
MAPPED: Final[tuple[Mapped[Any], ...]] = (SUPPLIERS, OFFERS, DELIVERIES)
