"""Wear: how long a size has until its limit, by figures or by what is on record of a unit."""

from typing import Any

from litestar import Request, get, post
from litestar.params import FromPath, JSONBody

from api.access import Right, caller_of, needs, sessions_of
from api.schemas.base import to_domain
from api.schemas.wear import WearAnswer, WearQuestion
from api.schemas.wear_trends import WearTrendsOut, WearTrendsQuery
from db.queries.wear_trends import wear_records
from shared.condition.wear.calculation import WearAsked, wear_to_limit
from shared.condition.wear.unit_wear import hours_now, unit_wear


@get(
    "/units/{record_id:str}/wear-trends",
    operation_id="readWearTrends",
    summary="How fast a unit wears, and when to measure it again",
    tags=["condition"],
    sync_to_thread=True,
    opt={**needs(Right.READ), "query": WearTrendsQuery},
)
def read_wear_trends(record_id: FromPath[str], request: Request[Any, Any, Any]) -> WearTrendsOut:
    """Trends through findings with the unit's hours, and through the size when new at 0 hours.

    Earlier readings stay as history; a correction takes the place of what it corrects. Where there
    is no usable trend the answer says why.
    """
    query = WearTrendsQuery.model_validate(dict(request.query_params.items()))
    with sessions_of(request).reading() as session:
        records = wear_records(session, caller_of(request), record_id)
    found = unit_wear(records, float(query.confidence))
    return WearTrendsOut.of(record_id, hours_now(records), query.confidence, found)


@post(
    "/calculations/wear",
    operation_id="calculateWear",
    summary="How many hours a worn size has until its limit",
    tags=["condition"],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_wear(data: JSONBody[WearQuestion]) -> WearAnswer:
    """Rates of wear, hours to the limit with bounds, and the next inspection.

    Bounds by inverse regression (Fieller), the doubt of the readings kept; the next inspection is
    half the remaining hours or the shop's cap. What tells no rate is answered so, never guessed.
    """
    return WearAnswer.of(wear_to_limit(to_domain(data, WearAsked)), data.confidence)


ROUTES = (read_wear_trends,)
CALCULATION_ROUTES = (calculate_wear,)
