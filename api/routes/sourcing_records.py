"""Suppliers, offers and deliveries."""

from api.routes.records import RecordKind, record_routes
from api.schemas.sourcing_records import (
    DeliveryCreate,
    DeliveryRead,
    OfferCreate,
    OfferRead,
    SupplierCreate,
    SupplierRead,
)
from shared.sourcing.model import Delivery, Offer, Supplier

TAG = "sourcing"

KINDS = (
    RecordKind(
        "/suppliers", "a supplier", "suppliers", TAG, "sup", Supplier, SupplierCreate, SupplierRead
    ),
    RecordKind("/offers", "an offer", "offers", TAG, "ofr", Offer, OfferCreate, OfferRead),
    RecordKind(
        "/deliveries",
        "a delivery",
        "deliveries",
        TAG,
        "dlv",
        Delivery,
        DeliveryCreate,
        DeliveryRead,
    ),
)

ROUTES = tuple(route for kind in KINDS for route in record_routes(kind))
