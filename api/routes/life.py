"""Calculations on life."""

from litestar import post
from litestar.params import JSONBody

from api.access import Right, needs
from api.schemas.base import to_domain
from api.schemas.life import LifeAnswer, LifeQuestion
from shared.beliefs import BetaBelief, prior_belief
from shared.errors import InvalidInput
from shared.life.calculation import further_life
from shared.quantities import Quantity


@post(
    "/calculations/life",
    operation_id="calculateLife",
    summary="How long a part of a given age is expected to last",
    tags=["life"],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_life(data: JSONBody[LifeQuestion]) -> LifeAnswer:
    """Conditional reliability, expected service hours to the horizon, mean residual life."""
    life = further_life(
        shape=float(data.shape),
        scale=to_domain(data.scale, Quantity),
        age=to_domain(data.age, Quantity),
        horizon=to_domain(data.horizon, Quantity),
    )
    return LifeAnswer.of(life, _belief(data))


def _belief(data: LifeQuestion) -> BetaBelief | None:
    asked = data.experience
    if asked is None:
        return None
    try:
        prior = prior_belief(float(asked.prior_mean), float(asked.prior_weight))
        return prior.after(asked.comebacks, asked.trials)
    except InvalidInput as error:
        raise error.below("/experience") from None


CALCULATION_ROUTES = (calculate_life,)
