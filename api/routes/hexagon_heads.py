"""Which bolt a hexagon head belongs to, by its width across flats."""

from typing import Any

from litestar import Request, get

from api.access import Right, needs
from api.schemas.hexagon_heads import HexagonHeadsAnswer, HexagonHeadsQuery
from shared.fasteners.heads import CALIPER_DOUBT, possible_heads
from shared.interchange.identification.calling import read_length


@get(
    "/identifications/hexagon-heads",
    operation_id="identifyHexagonHeads",
    summary="Which bolt a hexagon head may belong to, by its width across flats",
    tags=["identification"],
    sync_to_thread=True,
    opt={**needs(Right.CALCULATE), "query": HexagonHeadsQuery},
)
def identify_hexagon_heads(request: Request[Any, Any, Any]) -> HexagonHeadsAnswer:
    """International, older, Japanese-standard, inch, Whitworth and BA heads side by side.

    The head hints at the pitch only where every head found has one and the same.
    """
    query = HexagonHeadsQuery.model_validate(dict(request.query_params.items()))
    assumptions = [] if query.unit else ["Figures without a unit are in mm."]
    doubt = CALIPER_DOUBT
    if query.plus_minus is None:
        assumptions.append(f"No doubt is stated: taken is {doubt:g} mm either way, a caliper's.")
    else:
        doubt = read_length(query.plus_minus, query.unit, "plus_minus")
    flats = read_length(query.across_flats, query.unit, "across_flats")
    major = None if query.major is None else read_length(query.major, query.unit, "major")
    return HexagonHeadsAnswer.of(possible_heads(flats, doubt, major), tuple(assumptions))


ROUTES = (identify_hexagon_heads,)
