"""Salvaged parts, reservations, fitments, and the trace from donor to job."""

from typing import Any

from litestar import Request, Response, get
from litestar.handlers import HTTPRouteHandler
from litestar.params import FromPath

from api.access import Right, caller_of, needs, sessions_of
from api.answers import json_response, plain_members
from api.routes.records import RecordKind, record_routes
from api.schemas.salvage import (
    FitmentCreate,
    FitmentRead,
    ReservationCreate,
    ReservationRead,
    SalvagedPartCreate,
    SalvagedPartRead,
    SalvagedPartTrace,
)
from db.queries.salvage_trace import trace
from shared.interchange.model import Fitment
from shared.salvage.model import Reservation, SalvagedPart

TAG = "salvage"

KINDS = (
    RecordKind(
        "/salvaged-parts",
        "a salvaged part",
        "salvaged parts",
        TAG,
        "slv",
        SalvagedPart,
        SalvagedPartCreate,
        SalvagedPartRead,
    ),
    RecordKind(
        "/reservations",
        "a reservation",
        "reservations",
        TAG,
        "rsv",
        Reservation,
        ReservationCreate,
        ReservationRead,
    ),
    RecordKind(
        "/fitments", "a fitment", "fitments", TAG, "fit", Fitment, FitmentCreate, FitmentRead
    ),
)


@get(
    "/salvaged-parts/{record_id:str}/trace",
    operation_id="readSalvagedPartTrace",
    summary="Trace a salvaged part from donor to job",
    tags=[TAG],
    sync_to_thread=True,
    opt={**needs(Right.READ), "answer": SalvagedPartTrace},
)
def read_trace(record_id: FromPath[str], request: Request[Any, Any, Any]) -> Response[bytes]:
    """Tell where a salvaged part came from, what was found, who held it, where it was fitted."""
    with sessions_of(request).reading() as session:
        traced = trace(session, caller_of(request), record_id)
    return json_response(plain_members(traced))


def _telling_of_reservations(route: HTTPRouteHandler) -> HTTPRouteHandler:
    """Say in the API's document that what another reservation holds may be refused."""
    if route.opt.get("stores") or route.opt.get("changes"):
        route.opt["problems"] = ("already-reserved",)
    return route


ROUTES = (
    *(_telling_of_reservations(route) for kind in KINDS for route in record_routes(kind)),
    read_trace,
)
