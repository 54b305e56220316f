"""Suppliers, offers, exchange rates and deliveries."""

from api.routes.records import RecordKind, record_routes
from api.schemas.sourcing_records import (
    DeliveryCreate,
    DeliveryRead,
    ExchangeRateCreate,
    ExchangeRateRead,
    OfferCreate,
    OfferRead,
    SupplierCreate,
    SupplierRead,
)
from shared.sourcing.model import Delivery, ExchangeRate, Offer, Supplier

TAG = "sourcing"

KINDS = (
    RecordKind(
        "/suppliers", "a supplier", "suppliers", TAG, "sup", Supplier, SupplierCreate, SupplierRead
    ),
    RecordKind("/offers", "an offer", "offers", TAG, "ofr", Offer, OfferCreate, OfferRead),
    RecordKind(
        "/exchange-rates",
        "an exchange rate",
        "exchange rates",
        TAG,
        "xrt",
        ExchangeRate,
        ExchangeRateCreate,
        ExchangeRateRead,
    ),
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
