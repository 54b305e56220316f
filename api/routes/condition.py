"""Calculations on condition."""

from litestar import post
from litestar.params import JSONBody

from api.access import Right, needs
from api.schemas.base import QuantityIn, to_domain
from api.schemas.condition import ConformityAnswer, ConformityQuestion
from shared.condition.calculation import judge_quantity
from shared.quantities import Quantity


@post(
    "/calculations/conformity",
    operation_id="calculateConformity",
    summary="Whether a reading shows that a size keeps its limits",
    tags=["condition"],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_conformity(data: JSONBody[ConformityQuestion]) -> ConformityAnswer:
    """Probability of conformity by JCGM 106, verdict by the rule asked for."""
    judged = judge_quantity(
        measured=to_domain(data.measured, Quantity),
        lower=_quantity(data.lower_limit),
        upper=_quantity(data.upper_limit),
        rule=data.rule,
        acceptance_probability=float(data.acceptance_probability),
    )
    return ConformityAnswer.of(judged, data.acceptance_probability)


def _quantity(limit: QuantityIn | None) -> Quantity | None:
    return None if limit is None else to_domain(limit, Quantity)


CALCULATION_ROUTES = (calculate_conformity,)
