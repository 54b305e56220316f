"""Who can give a part for a position: donors, and parts on the shelf."""

from typing import Any

from litestar import Request, get
from litestar.params import FromPath

from api.access import Right, caller_of, needs, sessions_of
from api.schemas.donors import DonorsOut, DonorsQuery
from db.queries.place_snapshot import place_snapshot
from shared.decision.giving.donors import donors_of

TAG = "salvage"


@get(
    "/positions/{record_id:str}/donors",
    operation_id="readDonors",
    summary="Which donors and parts on the shelf can give a part, and why others cannot",
    tags=[TAG],
    sync_to_thread=True,
    opt={
        **needs(Right.READ),
        "query": DonorsQuery,
        "problems": ("state-conflict",),  # no settings, so no chance and worth can be told
    },
)
def read_donors(record_id: FromPath[str], request: Request[Any, Any, Any]) -> DonorsOut:
    """Tell who can give the part to a unit, how sure it is to prove good, what the donor loses.

    By the rules of a decision, so that none takes what is told here as impossible.
    """
    query = DonorsQuery.model_validate(dict(request.query_params.items()))
    with sessions_of(request).reading() as session:
        snapshot = place_snapshot(
            session, caller_of(request), record_id, query.unit_id, query.traits(), query.moment
        )
    found = donors_of(snapshot, record_id)
    traits = next(unit.traits for unit in snapshot.units if unit.id == found.unit_id)
    parts = {part.id: part for part in snapshot.parts}
    return DonorsOut.of(found, query, traits, parts)


ROUTES = (read_donors,)
