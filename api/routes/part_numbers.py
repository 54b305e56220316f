"""Which numbers on record a text names."""

from typing import Any

from litestar import Request, get

from api.access import Right, caller_of, needs, sessions_of
from api.schemas.part_numbers import PartNumbersOut, PartNumbersQuery
from db.queries.part_numbers import find_numbers

TAG = "interchange"


@get(
    "/part-numbers",
    operation_id="findPartNumbers",
    summary="Which numbers on record a text names, and how each agrees with it",
    tags=[TAG],
    sync_to_thread=True,
    opt={**needs(Right.READ), "query": PartNumbersQuery, "pasted": frozenset({"text"})},
)
def find_part_numbers(request: Request[Any, Any, Any]) -> PartNumbersOut:
    """Find makers' numbers, trade numbers, casting numbers, lines of parts books.

    Each tells how it agrees. Near misses are offered and never taken; one part is settled on only
    where the text can mean no other.
    """
    query = PartNumbersQuery.model_validate(dict(request.query_params.items()))
    with sessions_of(request).reading() as session:
        found = find_numbers(
            session,
            caller_of(request),
            query.text,
            maker=query.maker,
            kinds=query.kinds,
            limit=query.limit,
            has_near=query.has_near,
        )
    return PartNumbersOut.of(found)


ROUTES = (find_part_numbers,)
