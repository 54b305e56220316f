"""Shim packs: chosen for what was measured, and for one unit from what is on record."""

from typing import Any

from litestar import Request, get, post
from litestar.params import FromPath, JSONBody

from api.access import Right, caller_of, needs, sessions_of
from api.schemas.base import to_domain
from api.schemas.shim_choices import ShimChoicesOut, ShimChoicesQuery
from api.schemas.shim_pack import ShimPackAnswer, ShimPackQuestion
from db.queries.shim_choices import shim_records
from shared.condition.shims.asked import ShimPackAsked
from shared.condition.shims.calculation import shim_pack
from shared.condition.shims.choices_of_unit import choices_of_unit

TAG = "condition"


@get(
    "/units/{record_id:str}/shim-choices",
    operation_id="readShimChoices",
    summary="Which shims a unit takes, by what was found and what is on hand",
    tags=[TAG],
    sync_to_thread=True,
    opt={**needs(Right.READ), "query": ShimChoicesQuery},
)
def read_shim_choices(record_id: FromPath[str], request: Request[Any, Any, Any]) -> ShimChoicesOut:
    """Packs per place for shims, from the pack that sits there and what was measured over it.

    What is not on record is told as missing; no thickness is made up.
    """
    query = ShimChoicesQuery.model_validate(dict(request.query_params.items()))
    with sessions_of(request).reading() as session:
        records = shim_records(session, caller_of(request), record_id, query.shim_place_id)
    found = choices_of_unit(records, query.asked())
    return ShimChoicesOut.of(record_id, found)


@post(
    "/calculations/shim-pack",
    operation_id="calculateShimPack",
    summary="Which shims make the thickness that is wanted, and how sure the setting is",
    tags=[TAG],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_shim_pack(data: JSONBody[ShimPackQuestion]) -> ShimPackAnswer:
    """Thickness by range, gap, old pack or depth sum; packs by whole numbers, every one looked at.

    Likely enough goes before few shims, few before on hand, on hand before the middle of the range;
    a maker's rule, as data, before all of it.
    """
    return ShimPackAnswer.of(shim_pack(to_domain(data, ShimPackAsked)))


ROUTES = (read_shim_choices,)
CALCULATION_ROUTES = (calculate_shim_pack,)
