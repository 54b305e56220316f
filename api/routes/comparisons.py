"""Whether one designated part may take another's place."""

from typing import Annotated

from litestar import get
from litestar.params import QueryParameter

from api.access import Right, needs
from api.schemas.comparisons import ComparisonAnswer
from shared.designations.comparing_texts import compare_texts


@get(
    "/designations/comparisons",
    operation_id="compareDesignations",
    summary="Whether an offered part may stand in for a wanted one, by designation",
    tags=["designations"],
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def compare_designations(
    wanted: Annotated[
        str,
        QueryParameter(
            description="The part that belongs there, as people write it: 6203N1, M8x25 8.8,"
            " 25x47x7, AS568-214."
        ),
    ],
    offered: Annotated[
        str, QueryParameter(description="The part that is at hand or offered: 6203-2RS.")
    ],
    described: Annotated[
        str | None,
        QueryParameter(
            description="What a parts list calls a wanted bearing (taper roller bearing), to be"
            " weighed against its number."
        ),
    ] = None,
) -> ComparisonAnswer:
    """What is gained, what is lost, and on what conditions. The answer holds one way only.

    Text that is no designation, or has several meanings, is 422 with the readings offered.
    """
    return ComparisonAnswer.of(compare_texts(wanted, offered, described))


ROUTES = (compare_designations,)
"""Under /v1."""
