"""Hardness from one scale to another."""

from litestar import post
from litestar.params import JSONBody

from api.access import Right, needs
from api.schemas.hardness import HardnessAnswer, HardnessQuestion
from shared.standards.hardness import convert_hardness


@post(
    "/calculations/hardness",
    operation_id="calculateHardness",
    summary="A hardness on another scale, or as tensile strength",
    tags=["fasteners"],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_hardness(data: JSONBody[HardnessQuestion]) -> HardnessAnswer:
    """By ISO 18265 for unalloyed and low-alloy steel, between the nodes of its table only."""
    return HardnessAnswer.of(convert_hardness(float(data.value), data.scale, data.to))


CALCULATION_ROUTES = (calculate_hardness,)
