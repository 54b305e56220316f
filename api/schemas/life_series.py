"""Life of an assembly whose parts must all last: question and answer."""

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
    ShortText,
    to_domain,
    whole_between,
)
from api.schemas.figures import computed_quantity, quantity_or_null, rounded_down
from shared.errors import InvalidInput
from shared.life.calculation import hours_without_doubt
from shared.life.series_life import (
    MOST_PARTS,
    MOST_PIECES,
    SOUND,
    TOGETHER,
    CommonCause,
    SeriesAnswer,
    SeriesPart,
)
from shared.life.weibull import LifeSpec
from shared.quantities import Quantity

Pieces = Annotated[
    int,
    whole_between(1, MOST_PIECES),
    WithJsonSchema({"type": "integer", "minimum": 1, "maximum": MOST_PIECES}),
]


class SeriesPartIn(Body):
    """Equal parts of one Weibull life and one age."""

    name: ShortText = Field(description="What it is.", examples=["Input bearing"])
    shape: PositiveDecimalText = Field(
        description="Weibull shape, from 0.1 to 100.", examples=["1.5"]
    )
    scale: QuantityIn = Field(
        description="Weibull scale: 63 % of new ones have failed by then.",
        examples=[{"value": "9000", "unit": "h"}],
    )
    age: QuantityIn = Field(
        description="Hours already run, 0 for new ones.", examples=[{"value": "0", "unit": "h"}]
    )
    quantity: Pieces = Field(
        default=1, description="How many of them; 1 if not given.", examples=[2]
    )


class CommonCauseIn(Body):
    """What hits all parts at once: dirty oil, a cause that is not removed."""

    probability: ProbabilityText = Field(
        description="The chance that it strikes, between 0 and 1.", examples=["0.02"]
    )
    within: QuantityIn = Field(
        description="The hours within which it does with that chance.",
        examples=[{"value": "500", "unit": "h"}],
    )

    def read(self) -> CommonCause:
        """Carry it over the border; InvalidInput at the member."""
        try:
            within = hours_without_doubt(to_domain(self.within, Quantity), "within")
        except InvalidInput as error:
            raise error.below("/common_cause") from None
        return CommonCause(float(self.probability), within)


class SeriesLifeQuestion(Body):
    """The parts that must all last, and for how long."""

    parts: tuple[SeriesPartIn, ...] = Field(
        min_length=1, max_length=MOST_PARTS, description="The parts, each place once."
    )
    horizon: QuantityIn = Field(
        description="How long the whole is needed, from today.",
        examples=[{"value": "2000", "unit": "h"}],
    )
    common_cause: CommonCauseIn | None = Field(
        default=None, description="What hits all parts at once; left out: nothing is reckoned."
    )

    def read(self) -> tuple[tuple[SeriesPart, ...], float, CommonCause | None]:
        """Carry parts, horizon and common cause over the border; InvalidInput at the member."""
        parts = tuple(_part(one, f"/parts/{index}") for index, one in enumerate(self.parts))
        horizon = hours_without_doubt(to_domain(self.horizon, Quantity), "horizon")
        return parts, horizon, None if self.common_cause is None else self.common_cause.read()


def _part(given: SeriesPartIn, pointer: str) -> SeriesPart:
    try:
        age = hours_without_doubt(to_domain(given.age, Quantity), "age")
        scale = hours_without_doubt(to_domain(given.scale, Quantity), "scale")
        return SeriesPart(given.name, LifeSpec(float(given.shape), scale, age, age), given.quantity)
    except InvalidInput as error:
        raise error.below(pointer) from None


class SeriesPartOut(Answer):
    """One place and its chance to last."""

    name: str = Field(max_length=200, description="What it is.", examples=["Input bearing"])
    reliability: DecimalOut = Field(
        description="Chance that all of its pieces last to the horizon.", examples=["0.810978"]
    )


class SeriesLifeAnswer(Answer):
    """What the whole has before it."""

    reliability: DecimalOut = Field(
        description="Chance that every part lasts to the horizon.", examples=["0.566599"]
    )
    expected_service: QuantityOut = Field(
        description="Hours expected to the first failure or the horizon.",
        examples=[{"value": "1587.56638", "unit": "h"}],
    )
    mean_life: QuantityOut | None = Field(
        description="Mean hours to the first failure, without a horizon; null: beyond any figure.",
        examples=[{"value": "2656.88102", "unit": "h"}],
    )
    parts: tuple[SeriesPartOut, ...] = Field(
        max_length=MOST_PARTS, description="Each place, likeliest to fail first."
    )
    common_cause: DecimalOut | None = Field(
        description="Chance that the common cause does not strike by the horizon; null where none"
        " was given.",
        examples=["0.922368"],
    )
    assumptions: tuple[str, ...] = Field(
        max_length=10, description="What the answer rests on.", examples=[[TOGETHER, SOUND]]
    )

    @classmethod
    def of(cls, found: SeriesAnswer) -> Self:
        """Carry the answer over the border."""
        return cls(
            reliability=rounded_down(found.reliability),
            expected_service=computed_quantity(found.expected_service_hours, "h"),
            mean_life=quantity_or_null(found.mean_hours, "h"),
            parts=tuple(
                SeriesPartOut(name=name, reliability=rounded_down(chance))
                for name, chance in found.parts
            ),
            common_cause=None if found.common_cause is None else rounded_down(found.common_cause),
            assumptions=found.assumptions,
        )
