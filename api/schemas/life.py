"""Life of a part: the calculation's question and answer."""

from typing import Annotated, Self

from pydantic import Field, WithJsonSchema

from api.schemas.base import (
    Answer,
    Body,
    DecimalOut,
    PositiveDecimalText,
    ProbabilityText,
    QuantityIn,
    QuantityOut,
    whole_between,
)
from api.schemas.figures import computed, computed_quantity
from shared.beliefs import BetaBelief
from shared.life.calculation import LifeAnswer as FurtherLife

MOST_TRIALS = 1_000_000
INTERVAL_PROBABILITY = 0.9

TrialCount = Annotated[
    int,
    whole_between(0, MOST_TRIALS),
    WithJsonSchema({"type": "integer", "minimum": 0, "maximum": MOST_TRIALS}),
]


class ExperienceIn(Body):
    """What the shop believed of a chance, and what it has seen since."""

    prior_mean: ProbabilityText = Field(
        description="Chance of a comeback as believed beforehand, above 0 and below 1.",
        examples=["0.08"],
    )
    prior_weight: PositiveDecimalText = Field(
        description="How many trials that belief is worth, up to 1000000.", examples=["12"]
    )
    comebacks: TrialCount = Field(description="Comebacks seen.", examples=[2])
    trials: TrialCount = Field(description="Cases seen, comebacks among them.", examples=[31])


class LifeQuestion(Body):
    """A Weibull life, the age of the part, and how much longer it is needed."""

    shape: PositiveDecimalText = Field(
        description="Weibull shape, from 0.1 to 100; above 1 the part wears out.",
        examples=["1.5"],
    )
    scale: QuantityIn = Field(
        description="Weibull scale: the time by which 63 % of new parts have failed.",
        examples=[{"value": "4000", "unit": "h"}],
    )
    age: QuantityIn = Field(
        description="Hours already run, 0 for a new part; plus_minus makes it a range of which"
        " every part counts alike.",
        examples=[{"value": "1100", "unit": "h", "plus_minus": "300"}],
    )
    horizon: QuantityIn = Field(
        description="How much longer the part is needed, from today.",
        examples=[{"value": "800", "unit": "h"}],
    )
    experience: ExperienceIn | None = Field(
        default=None, description="The shop's record of comebacks, if it is wanted beside."
    )


class ExperienceOut(Answer):
    """The belief after what was seen: a beta distribution, never certain either way."""

    comeback_probability: DecimalOut = Field(
        description="Chance of a comeback for the next one.", examples=["0.0688372093"]
    )
    standard_deviation: DecimalOut = Field(
        description="Standard deviation of that chance.", examples=["0.0381678851"]
    )
    effective_trials: DecimalOut = Field(
        description="How many trials the belief stands on, prior and record together.",
        examples=["43.0000000"],
    )
    posterior_a: DecimalOut = Field(
        description="First parameter of the beta distribution.", examples=["2.96000000"]
    )
    posterior_b: DecimalOut = Field(
        description="Second parameter of the beta distribution.", examples=["40.0400000"]
    )
    lower: DecimalOut = Field(
        description="Lower end of the interval of that chance.", examples=["0.0192524244"]
    )
    upper: DecimalOut = Field(
        description="Upper end of the interval of that chance.", examples=["0.141093773"]
    )
    interval_probability: DecimalOut = Field(
        description="Probability with which the interval holds the chance.",
        examples=["0.900000000"],
    )

    @classmethod
    def of(cls, belief: BetaBelief) -> Self:
        """Carry a belief over the border."""
        lower, upper = belief.interval(INTERVAL_PROBABILITY)
        return cls(
            comeback_probability=computed(belief.mean),
            standard_deviation=computed(belief.standard_deviation),
            effective_trials=computed(belief.effective_trials),
            posterior_a=computed(belief.a),
            posterior_b=computed(belief.b),
            lower=computed(lower),
            upper=computed(upper),
            interval_probability=computed(INTERVAL_PROBABILITY),
        )


class LifeAnswer(Answer):
    """What the part has before it."""

    reliability: DecimalOut = Field(
        description="Chance that the part, sound at its age, lasts to the horizon.",
        examples=["0.832952413"],
    )
    expected_service_hours: DecimalOut = Field(
        description="Hours it is expected to run before it fails or the horizon is reached.",
        examples=["734.166238"],
    )
    mean_residual_life: QuantityOut = Field(
        description="Mean further life, without a horizon.",
        examples=[{"value": "2973.38262", "unit": "h"}],
    )
    assumptions: tuple[str, ...] = Field(
        max_length=10,
        description="What the answer rests on.",
        examples=[
            [
                "The part is sound today; the horizon counts from today.",
                "Every age from 800 h to 1400 h counts alike.",
            ]
        ],
    )
    experience: ExperienceOut | None = Field(
        description="The belief about comebacks; null where none was asked for."
    )

    @classmethod
    def of(cls, life: FurtherLife, belief: BetaBelief | None) -> Self:
        """Carry a computed life, and the belief beside it, over the border."""
        return cls(
            reliability=computed(life.reliability),
            expected_service_hours=computed(life.expected_service_hours),
            mean_residual_life=computed_quantity(life.mean_residual_hours, "h"),
            assumptions=life.assumptions,
            experience=None if belief is None else ExperienceOut.of(belief),
        )
