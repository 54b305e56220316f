"""Hardness from one scale to another: the calculation's question and answer."""

from typing import Self

from pydantic import Field

from api.schemas.base import Answer, Body, DecimalOut, PositiveDecimalText
from api.schemas.figures import computed
from shared.standards.hardness import LIMITS, Converted, HardnessScale


class HardnessQuestion(Body):
    """A hardness on its scale, and the scale wanted."""

    value: PositiveDecimalText = Field(description="The reading.", examples=["32"])
    scale: HardnessScale = Field(
        description="Scale of the reading; MPa is tensile strength.", examples=["HRC"]
    )
    to: HardnessScale = Field(description="Scale wanted.", examples=["HV"])


class HardnessAnswer(Answer):
    """The converted figure and the band in which the true one is to be looked for."""

    value: DecimalOut = Field(description="The converted figure.", examples=["318.333333"])
    scale: HardnessScale = Field(description="Its scale.", examples=["HV"])
    least: DecimalOut = Field(description="Lower end of the band.", examples=["302.416667"])
    most: DecimalOut = Field(description="Upper end of the band.", examples=["334.250000"])
    source: str = Field(
        description="The table.", examples=["ISO 18265:2013 table A.1 (from memory)"], max_length=80
    )
    cautions: tuple[str, ...] = Field(
        description="Where it does not hold.", examples=[list(LIMITS[:1])], max_length=10
    )

    @classmethod
    def of(cls, found: Converted) -> Self:
        """Carry a converted figure over the border."""
        return cls(
            value=computed(found.value),
            scale=found.scale,
            least=computed(found.least),
            most=computed(found.most),
            source="ISO 18265:2013 table A.1 (from memory)",
            cautions=LIMITS,
        )
