"""O-rings in their grooves, and what seals are made of."""

from typing import Annotated

from litestar import get, post
from litestar.params import JSONBody, QueryParameter

from api.access import Right, needs
from api.schemas.seals import ORingGrooveAnswer, ORingGrooveQuestion, RatedMaterialsOut
from shared.interchange.seal_materials import find_fluid, rate_materials, read_temperature


@get(
    "/o-ring-materials",
    operation_id="rateMaterialsOfOrings",
    summary="Which seal materials bear a fluid at a temperature",
    tags=["identification"],
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def rate_o_ring_materials(
    fluid: Annotated[
        str,
        QueryParameter(
            description="The fluid as the trade calls it: mineral oil, E10, DOT 4. A word"
            " of several fluids (brake fluid, coolant) is 422 with the readings offered."
        ),
    ],
    temperature: Annotated[
        str | None,
        QueryParameter(
            description="The hottest, or the coldest, that the seal meets: 90, -20 °C, 194 °F;"
            " a bare number is in °C."
        ),
    ] = None,
) -> RatedMaterialsOut:
    """Materials by ISO 1629 name, the best first, each with the reasons for its rating.

    Common practice: it tells what to leave alone; the sheet of the grade decides.
    """
    degrees = None if temperature is None else read_temperature(temperature)
    return RatedMaterialsOut.of(rate_materials(find_fluid(fluid), degrees))


@post(
    "/calculations/o-ring-groove",
    operation_id="calculateOringGroove",
    summary="Whether an O-ring or cord serves in a groove",
    tags=["identification"],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_o_ring_groove(data: JSONBody[ORingGrooveQuestion]) -> ORingGrooveAnswer:
    """Squeeze, stretch and fill at nominal size and at the ends of the tolerances."""
    return ORingGrooveAnswer.of(data.judged())


ROUTES = (rate_o_ring_materials,)
CALCULATION_ROUTES = (calculate_o_ring_groove,)
