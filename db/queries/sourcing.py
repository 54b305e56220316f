"""Suppliers and offers: mapping and checks."""

from typing import Any, Final

from sqlalchemy.orm import Session

from db.models import sourcing as tables
from db.models.assemblies import assemblies, positions
from db.models.interchange import parts
from db.queries.access import Principal
from db.queries.currency import check_currency
from db.queries.mapping import Mapped
from db.queries.references import known
from shared.sourcing.model import Offer, Supplier


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


SUPPLIERS: Final[Mapped[Supplier]] = Mapped(
    Supplier, "supplier", tables.suppliers, filters=("name",), check=check_currency
)
OFFERS: Final = Mapped(
    Offer,
    "offer",
    tables.offers,
    filters=("supplier_id", "kind", "part_id", "assembly_id", "position_id"),
    check=_check_offer,
)
MAPPED: Final[tuple[Mapped[Any], ...]] = (SUPPLIERS, OFFERS)
