"""Threads that look alike, and what comes of a screw in a hole that is not its own."""

from typing import Any

from litestar import Request, get, post
from litestar.params import JSONBody

from api.access import Right, needs
from api.schemas.base import to_domain
from api.schemas.look_alikes import (
    LookAlikesAnswer,
    LookAlikesQuery,
    ThreadPairAnswer,
    ThreadPairQuestion,
)
from shared.fasteners.thread_pairs import look_alikes_of, read_engagement, thread_pair
from shared.quantities import Quantity

TAG = "fasteners"


@get(
    "/fasteners/look-alikes",
    operation_id="listLookAlikes",
    summary="Which threads of all families start with this one",
    tags=[TAG],
    sync_to_thread=True,
    opt={**needs(Right.CALCULATE), "query": LookAlikesQuery},
)
def list_look_alikes(request: Request[Any, Any, Any]) -> LookAlikesAnswer:
    """As the hole for other screws and as the screw for other holes, the dangerous ones first.

    Text with several meanings (1/4-20) is 422 with the readings offered.
    """
    query = LookAlikesQuery.model_validate(dict(request.query_params.items()))
    engagement = query.engagement
    length = None if engagement is None else read_engagement(engagement, query.unit)
    return LookAlikesAnswer.of(look_alikes_of(query.thread, length))


@post(
    "/calculations/thread-pair",
    operation_id="calculateThreadPair",
    summary="What comes of turning a screw into a hole",
    tags=[TAG],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_thread_pair(data: JSONBody[ThreadPairQuestion]) -> ThreadPairAnswer:
    """Blocked, binds, runs fully and holds poorly, or its own thread: computed at the limits."""
    engagement = None if data.engagement is None else to_domain(data.engagement, Quantity)
    return ThreadPairAnswer.of(thread_pair(data.screw, data.hole, engagement))


ROUTES = (list_look_alikes,)

CALCULATION_ROUTES = (calculate_thread_pair,)
