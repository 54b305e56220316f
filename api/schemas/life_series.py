"""Life of an assembly whose parts must all last: question and answer."""

from typing import Annotated, Self

from pydantic import Field, WithJsonSchema

from api.schemas.base import (
    Answer,
    Body,
    DecimalOut,
    PositiveDecimalText,
    QuantityIn,
    QuantityOut,
    ShortText,
    to_domain,
    whole_between,
)
from api.schemas.figures import computed_quantity, quantity_or_null, rounded_down
from shared.errors import InvalidInput
from shared.life.calculation import hours_without_doubt
from shared.life.series_life import ASSUMED, MOST_PARTS, MOST_PIECES, SeriesAnswer, SeriesPart
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


class SeriesLifeQuestion(Body):
    """The parts that must all last, and for how long."""

    parts: tuple[SeriesPartIn, ...] = Field(
        min_length=1, max_length=MOST_PARTS, description="The parts, each place once."
    )
    horizon: QuantityIn = Field(
        description="How long the whole is needed, from today.",
        examples=[{"value": "2000", "unit": "h"}],
    )

    def read(self) -> tuple[tuple[SeriesPart, ...], float]:
        """Carry parts and horizon over the border; InvalidInput at the member."""
        parts = tuple(_part(one, f"/parts/{index}") for index, one in enumerate(self.parts))
        return parts, hours_without_doubt(to_domain(self.horizon, Quantity), "horizon")


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
        description="Chance that every part lasts to the horizon.", examples=["0.614288"]
    )
    expected_service: QuantityOut = Field(
        description="Hours expected to the first failure or the horizon.",
        examples=[{"value": "1647.21322", "unit": "h"}],
    )
    mean_life: QuantityOut | None = Field(
        description="Mean hours to the first failure, without a horizon; null: beyond any figure.",
        examples=[{"value": "2885.22922", "unit": "h"}],
    )
    parts: tuple[SeriesPartOut, ...] = Field(
        max_length=MOST_PARTS, description="Each place, likeliest to fail first."
    )
    assumptions: tuple[str, ...] = Field(
        max_length=10, description="What the answer rests on.", examples=[list(ASSUMED)]
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
            assumptions=ASSUMED,
        )
