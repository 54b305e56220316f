"""Suppliers and offers."""

from api.routes.records import RecordKind, record_routes
from api.schemas.sourcing_records import OfferCreate, OfferRead, SupplierCreate, SupplierRead
from shared.sourcing.model import Offer, Supplier

TAG = "sourcing"

KINDS = (
    RecordKind(
        "/suppliers", "a supplier", "suppliers", TAG, "sup", Supplier, SupplierCreate, SupplierRead
    ),
    RecordKind("/offers", "an offer", "offers", TAG, "ofr", Offer, OfferCreate, OfferRead),
)

ROUTES = tuple(route for kind in KINDS for route in record_routes(kind))
