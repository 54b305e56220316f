"""The look-up that reads any designation."""

from typing import Annotated

from litestar import get
from litestar.params import QueryParameter

from api.access import Right, needs
from api.schemas.designations import DesignationsOut
from shared.designations.reading import readings_of


@get(
    "/designations",
    operation_id="readDesignation",
    summary="Read a designation as people write it",
    tags=["designations"],
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def read_designation(
    text: Annotated[
        str,
        QueryParameter(
            description="A screw, nut, thread, bearing, seal, O-ring, ring, key or shim, at most"
            " 120 characters: M8 x 1,25 x 40 - 8.8, 1/4-20 UNC x 1-1/2 grade 5, 6205-2RS C3,"
            " 25x47x7. Write # as %23 and + as %2B."
        ),
    ],
) -> DesignationsOut:
    """Every part that the text may name, each with its one canonical name.

    Several items are several meanings: 3/8, 1/4-20, 1/8 pipe. What names no part is 422 with the
    nearest readable forms, or with the piece that could not be read.
    """
    return DesignationsOut.of(text, readings_of(text))


ROUTES = (read_designation,)
