"""A gear ratio counted by hand: the calculation's question and answer."""

from decimal import Decimal
from typing import Annotated, Self

from pydantic import Field, WithJsonSchema, model_validator

from api.schemas.base import (
    Answer,
    Body,
    DecimalOut,
    Flag,
    NonNegativeDecimalText,
    PositiveDecimalText,
    refuse,
    whole_between,
)
from api.schemas.figures import computed, computed_or_null
from shared.assemblies.ratio_counts import MOST_CANDIDATES, MOST_PAIRS, MOST_TEETH, Held
from shared.assemblies.ratios import Agreement, RatioFound, StatedRatio

TeethCount = Annotated[
    int,
    whole_between(1, MOST_TEETH),
    WithJsonSchema({"type": "integer", "minimum": 1, "maximum": MOST_TEETH}),
]


class TurnsIn(Body):
    """Turns counted by hand."""

    input_turns: PositiveDecimalText = Field(
        description="Turns of the input shaft, as far as they were read.", examples=["1.86"]
    )
    output_turns: PositiveDecimalText = Field(
        description="Turns of the output (a wheel, an output shaft) meanwhile.", examples=["1"]
    )
    held: Held = Field(
        description="What stood still: nothing (none), or the other wheel of an open differential"
        " (other-wheel), which makes the ratio twice the reading.",
        examples=["other-wheel"],
    )
    plus_minus: NonNegativeDecimalText | None = Field(
        default=None,
        description="Doubt of the input turns, either way; half of the last place written if not"
        " given.",
        examples=["0.02"],
    )


class ToothPairIn(Body):
    """Teeth of two gears in mesh."""

    driving: TeethCount = Field(
        description="Teeth of the one that drives; a worm counts its starts.", examples=[11]
    )
    driven: TeethCount = Field(description="Teeth of the one that is driven.", examples=[41])


class GearRatioQuestion(Body):
    """Turns or teeth, and ratios that somebody states."""

    turns: TurnsIn | None = Field(default=None, description="Turns counted; or pairs.")
    pairs: tuple[ToothPairIn, ...] = Field(
        default=(),
        max_length=MOST_PAIRS,
        description="Gears in mesh from the input to the output, on fixed shafts; or turns.",
    )
    candidates: tuple[PositiveDecimalText, ...] = Field(
        default=(),
        max_length=MOST_CANDIDATES,
        description="Ratios that it may be, as stated, each once.",
        examples=[["3.07", "3.55", "3.73", "4.10"]],
    )
    needed: PositiveDecimalText | None = Field(
        default=None,
        description="The ratio that the machine needs, to compare the output speed with.",
        examples=["3.55"],
    )

    @model_validator(mode="after")
    def _one_way_of_counting(self) -> Self:
        if (self.turns is None) is (not self.pairs):
            refuse(
                "one-of",
                f"Got {'neither turns nor pairs' if self.turns is None else 'turns and pairs'};"
                " wanted one of them.",
                "Give the turns counted, or the teeth of each pair.",
                "/turns",
            )
        return self


class StatedRatioOut(Answer):
    """A stated ratio beside the one found."""

    ratio: DecimalOut = Field(description="As stated.", examples=["3.73"])
    agrees: Flag = Field(
        description="Whether it may be the one found, within the range and its own rounding.",
        examples=[True],
    )
    deviation_percent: DecimalOut = Field(
        description="By how many percent the ratio found is greater.", examples=["-0.268096515"]
    )
    output_speed_percent: DecimalOut | None = Field(
        description="By how many percent the output turns faster with this one than with the needed"
        " one; null: none is needed.",
        examples=["-4.82573727"],
    )

    @classmethod
    def of(cls, stated: StatedRatio) -> Self:
        """Carry it over the border."""
        return cls(
            ratio=stated.ratio,
            agrees=stated.agrees,
            deviation_percent=computed(float(stated.deviation_percent)),
            output_speed_percent=_computed(stated.output_speed_percent),
        )


class GearRatioAnswer(Answer):
    """The ratio, input turns to one output turn, and what agrees with it."""

    ratio: DecimalOut = Field(description="The ratio found.", examples=["3.72000000"])
    lower: DecimalOut = Field(description="Least that it may be.", examples=["3.71000000"])
    upper: DecimalOut = Field(description="Most that it may be.", examples=["3.73000000"])
    if_nothing_held: DecimalOut | None = Field(
        description="The reading itself; null with teeth.", examples=["1.86000000"]
    )
    if_other_wheel_held: DecimalOut | None = Field(
        description="Twice the reading; null with teeth.", examples=["3.72000000"]
    )
    teeth: str | None = Field(
        description="Driven over driving teeth in lowest terms; null with turns.",
        examples=["41/11"],
        max_length=200,
    )
    agreement: Agreement = Field(description="How many of the candidates agree.", examples=["one"])
    candidates: tuple[StatedRatioOut, ...] = Field(
        description="All of them, the nearest first.", max_length=MOST_CANDIDATES
    )
    needed: StatedRatioOut | None = Field(description="The needed one; null: none is needed.")
    notes: tuple[str, ...] = Field(
        description="What the figure rests on.",
        examples=[["More than one stated ratio agrees: this does not tell them apart."]],
        max_length=10,
    )

    @classmethod
    def of(cls, found: RatioFound) -> Self:
        """Carry it over the border."""
        return cls(
            ratio=computed(float(found.ratio)),
            lower=computed(float(found.lower)),
            upper=computed(float(found.upper)),
            if_nothing_held=_computed(found.if_nothing_held),
            if_other_wheel_held=_computed(found.if_other_wheel_held),
            teeth=None if found.teeth is None else str(found.teeth),
            agreement=found.agreement,
            candidates=tuple(StatedRatioOut.of(one) for one in found.candidates),
            needed=None if found.needed is None else StatedRatioOut.of(found.needed),
            notes=found.notes,
        )


def _computed(value: Decimal | None) -> Decimal | None:
    return computed_or_null(None if value is None else float(value))
