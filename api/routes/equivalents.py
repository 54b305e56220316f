"""What may stand in for a fastener by its property class."""

from typing import Annotated

from litestar import get
from litestar.params import QueryParameter

from api.access import Right, needs
from api.schemas.equivalents import EquivalentsAnswer
from shared.designations.reading import read_fastener
from shared.fasteners.equivalents import equivalents


@get(
    "/fasteners/equivalents",
    operation_id="listEquivalents",
    summary="Fasteners at least as strong, with their traps",
    tags=["fasteners"],
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def list_equivalents(
    designation: Annotated[
        str,
        QueryParameter(
            description="The fastener as people write it, at most 120 characters: M8x1.25x40 8.8,"
            " 1/2-13 x 2 grade 5, M8 nut 8."
        ),
    ],
) -> EquivalentsAnswer:
    """Compared by proof, yield, tensile strength and hardness, across families, nothing rounded up.

    Shear bolts, stretch bolts and those on which a life hangs are refused with the reason.
    """
    return EquivalentsAnswer.of(equivalents(read_fastener(designation)))


ROUTES = (list_equivalents,)
