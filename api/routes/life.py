"""Calculations on life."""

from litestar import post
from litestar.params import JSONBody

from api.access import Right, needs
from api.schemas.base import to_domain
from api.schemas.life import LifeAnswer, LifeQuestion
from api.schemas.life_bearing import BearingLifeAnswer, BearingLifeQuestion
from api.schemas.life_chances import (
    RecurrenceAnswer,
    RecurrenceQuestion,
    StressStrengthAnswer,
    StressStrengthQuestion,
    SuccessRunAnswer,
    SuccessRunQuestion,
)
from api.schemas.life_fit import LifeFitAnswer, LifeFitQuestion
from api.schemas.life_series import SeriesLifeAnswer, SeriesLifeQuestion
from shared.beliefs import BetaBelief, prior_belief
from shared.errors import InvalidInput
from shared.life.bearing_life import bearing_life
from shared.life.calculation import further_life
from shared.life.cause import recurrence
from shared.life.fitted import fitted_life
from shared.life.interference import Scattered, interference
from shared.life.proving import shown, trials_needed
from shared.life.series_life import series_life
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


@post(
    "/calculations/life-fit",
    operation_id="calculateLifeFit",
    summary="What life a record of failures shows, and how surely",
    tags=["life"],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_life_fit(data: JSONBody[LifeFitQuestion]) -> LifeFitAnswer:
    """Weibull shape and scale with their bounds, from failed parts and parts still running."""
    found = fitted_life(
        data.observed(),
        data.method,
        None if data.shape is None else float(data.shape),
        float(data.confidence),
        [float(hours) for hours in data.at_hours],
    )
    return LifeFitAnswer.of(found, data)


@post(
    "/calculations/series-life",
    operation_id="calculateSeriesLife",
    summary="How long an assembly lasts whose parts must all last",
    tags=["life"],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_series_life(data: JSONBody[SeriesLifeQuestion]) -> SeriesLifeAnswer:
    """Chance to reach the horizon, expected hours, and the part that is likeliest to fail."""
    return SeriesLifeAnswer.of(series_life(*data.read()))


@post(
    "/calculations/bearing-life",
    operation_id="calculateBearingLife",
    summary="Rating life of a new rolling bearing by ISO 281",
    tags=["life"],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_bearing_life(data: JSONBody[BearingLifeQuestion]) -> BearingLifeAnswer:
    """L10, life at a reliability, the Weibull life, and the rating that wanted hours need."""
    return BearingLifeAnswer.of(bearing_life(data.asked()))


@post(
    "/calculations/success-run",
    operation_id="calculateSuccessRun",
    summary="How many trials show a reliability, or what trials have shown",
    tags=["life"],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_success_run(data: JSONBody[SuccessRunQuestion]) -> SuccessRunAnswer:
    """Trials needed at a confidence, or exact bounds of the reliability after trials."""
    confidence, trials = float(data.confidence), data.trials
    if trials is None:
        assert data.reliability is not None
        trials = trials_needed(float(data.reliability), confidence, data.failures)
    return SuccessRunAnswer.of(trials, data, shown(trials, data.failures, confidence))


@post(
    "/calculations/stress-strength",
    operation_id="calculateStressStrength",
    summary="Chance that what a part bears exceeds what it can",
    tags=["life"],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_stress_strength(data: JSONBody[StressStrengthQuestion]) -> StressStrengthAnswer:
    """Interference of two normal distributions."""
    stress, strength = (
        Scattered(float(one.mean), float(one.standard_deviation))
        for one in (data.stress, data.strength)
    )
    return StressStrengthAnswer.of(interference(stress, strength))


@post(
    "/calculations/recurrence",
    operation_id="calculateRecurrence",
    summary="Chance that what broke a unit breaks it again",
    tags=["life"],
    status_code=200,
    sync_to_thread=True,
    opt=needs(Right.CALCULATE),
)
def calculate_recurrence(data: JSONBody[RecurrenceQuestion]) -> RecurrenceAnswer:
    """Read off the shop's own figures by why it failed, how, and whether that is put right."""
    return RecurrenceAnswer.of(recurrence(data.failed(), data.rows(), data.known, data.unknown))


CALCULATION_ROUTES = (
    calculate_life,
    calculate_life_fit,
    calculate_series_life,
    calculate_bearing_life,
    calculate_success_run,
    calculate_stress_strength,
    calculate_recurrence,
)
