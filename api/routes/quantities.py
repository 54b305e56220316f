"""Look-ups on quantities: trade notation, unit codes."""

from typing import Annotated

from litestar import get
from litestar.params import QueryParameter

from api.access import Right, needs
from api.schemas.quantities import ReadingOut, UnitCodesOut
from shared.quantities import read_text


@get(
    "/quantities",
    operation_id="readQuantity",
    summary="Read a quantity as the trade writes it",
    tags=["quantities"],
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def read_quantity(
    text: Annotated[
        str,
        QueryParameter(
            description="A value, range, tolerance or limit with its unit, at most 200 characters:"
            " 22 ft-lb, 0,05-0,10 mm, 1-1/4 in, 25 N·m (18 ft-lb). Write + as %2B."
        ),
    ],
) -> ReadingOut:
    """The canonical value or bounds, how both kinds of book print it, and its stated twins.

    What is not understood, or has two meanings, is 422 with the readings offered.
    """
    return ReadingOut.of(read_text(text))


@get(
    "/unit-codes",
    operation_id="listUnitCodes",
    summary="The unit codes that quantities use",
    tags=["quantities"],
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def list_unit_codes() -> UnitCodesOut:
    """Every unit code with its kind, the canonical unit of that kind, and the factor to it."""
    return UnitCodesOut.all()


ROUTES = (read_quantity, list_unit_codes)
