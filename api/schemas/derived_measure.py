"""A measure made of others: the calculation's question and answer."""

from decimal import Decimal
from typing import Self

from pydantic import Field

from api.schemas.base import (
    Answer,
    Body,
    DecimalOut,
    DecimalText,
    QuantityIn,
    QuantityOut,
    ShortText,
)
from api.schemas.condition import HowJudged, SettlingOut
from api.schemas.figures import computed, computed_or_null, computed_quantity, quantity_or_null
from shared.condition.derived_asked import MeasureAnswer, MeasureQuestion
from shared.condition.measured import BudgetLine
from shared.condition.measures import SharedPair, Sharing
from shared.condition.model import Verdict, Zone
from shared.condition.shims.asked import MarkCounts

_BORE = {"value": "50.045", "unit": "mm", "standard_uncertainty": "0.004"}
_SHAFT = {"value": "49.985", "unit": "mm", "standard_uncertainty": "0.003"}
EXAMPLE_TERMS = [
    {"name": "bore", "measured": _BORE, "gauge": "bore gauge 2", "master": "ring 50"},
    {"name": "journal", "measured": _SHAFT, "factor": "-1", "gauge": "micrometer 4"},
]


class MeasureTermIn(Body):
    """One input of a measure."""

    name: ShortText = Field(description="What it is.", examples=["bore"])
    measured: QuantityIn = Field(
        description="The reading with its uncertainty, or with a gauge whose usual uncertainty"
        " serves.",
        examples=[_BORE],
    )
    factor: DecimalText = Field(
        default=Decimal(1),
        description="What it is multiplied by; -1: it is taken off. 1 if not given.",
        examples=["-1"],
    )
    gauge: ShortText | None = Field(
        default=None,
        description="With what it was read: the same name for the same gauge. A word of the usual"
        " gauges has its usual uncertainty.",
        examples=["bore gauge 2"],
    )
    master: ShortText | None = Field(
        default=None,
        description="What the gauge was set to; gauges of one master share a part of their error.",
        examples=["ring 50"],
    )
    common_uncertainty: QuantityIn | None = Field(
        default=None,
        description="The part of the standard uncertainty that all readings with the gauge, or"
        " with gauges of its master, share.",
        examples=[{"value": "0.002", "unit": "mm"}],
    )


class MeasureMarkIn(Body):
    """A mark on a part that counts in a unit of its own."""

    name: ShortText = Field(description="Which mark.", examples=["mark on the pinion"])
    mark: DecimalText = Field(description="What it says.", examples=["-3"])
    unit: QuantityIn = Field(
        description="What one of it counts.", examples=[{"value": "0.01", "unit": "mm"}]
    )
    larger_mark: MarkCounts = Field(
        description="Whether a larger mark adds to the measure or subtracts: the maker says.",
        examples=["adds"],
    )


class DerivedMeasureQuestion(HowJudged):
    """What a measure is made of, and the limits it must keep."""

    terms: tuple[MeasureTermIn, ...] = Field(
        min_length=1,
        max_length=12,
        description="The inputs: the measure is the sum of each times its factor.",
        examples=[EXAMPLE_TERMS],
    )
    offset: QuantityIn | None = Field(
        default=None,
        description="What is added besides; an uncertainty of it counts too.",
        examples=[{"value": "-0.25", "unit": "mm"}],
    )
    marks: tuple[MeasureMarkIn, ...] = Field(
        default=(),
        max_length=12,
        description="Marks that count in it; they are what they say, without doubt.",
        examples=[
            [
                {
                    "name": "mark on the pinion",
                    "mark": "-3",
                    "unit": {"value": "0.01", "unit": "mm"},
                    "larger_mark": "adds",
                }
            ]
        ],
    )
    lower_limit: QuantityIn | None = Field(
        default=None,
        description="Least that is good. Without any limit nothing is decided.",
        examples=[{"value": "0.020", "unit": "mm"}],
    )
    upper_limit: QuantityIn | None = Field(
        default=None,
        description="Most that is good.",
        examples=[{"value": "0.070", "unit": "mm"}],
    )

    def asked(self) -> MeasureQuestion:
        """Carry the question over the border."""
        return self.judged_as(MeasureQuestion)


class BudgetLineOut(Answer):
    """What one input adds to the measure and to its doubt."""

    name: str = Field(description="What it is.", examples=["bore"], max_length=300)
    value: QuantityOut = Field(
        description="Its value.", examples=[{"value": "50.0450000", "unit": "mm"}]
    )
    factor: DecimalOut = Field(description="What it is multiplied by.", examples=["-1.00000000"])
    standard_uncertainty: QuantityOut | None = Field(
        description="Its standard uncertainty; null: not known.",
        examples=[{"value": "0.00400000000", "unit": "mm"}],
    )
    share: QuantityOut | None = Field(
        description="Factor times standard uncertainty: its part of the doubt, before what is"
        " shared.",
        examples=[{"value": "0.00400000000", "unit": "mm"}],
    )
    finding_id: str | None = Field(
        description="The finding that it comes from; null: none.",
        examples=[None],
        max_length=64,
    )

    @classmethod
    def of(cls, line: BudgetLine, unit: str, difference_unit: str) -> Self:
        """Carry a line over the border."""
        return cls(
            name=line.name,
            value=computed_quantity(line.value, unit),
            factor=computed(line.factor),
            standard_uncertainty=quantity_or_null(line.u, difference_unit),
            share=quantity_or_null(line.share, difference_unit),
            finding_id=line.finding_id,
        )


class SharedPairOut(Answer):
    """Two inputs that share a gauge or a master, and what was reckoned for it."""

    first: str = Field(description="One input.", examples=["bore"], max_length=300)
    second: str = Field(description="The other.", examples=["journal"], max_length=300)
    sharing: Sharing = Field(
        description="common-part: their known common parts; taken-as-none, taken-as-all: how much"
        " they share is not known, and so leaves the greater doubt.",
        examples=["taken-as-none"],
    )
    covariance: DecimalOut = Field(
        description="Covariance reckoned with, in the square of the unit of the uncertainty.",
        examples=["0.000000000000"],
    )
    text: str = Field(
        description="The same in a line.",
        examples=["bore and journal: one gauge, its common part reckoned with"],
        max_length=1000,
    )

    @classmethod
    def of(cls, pair: SharedPair) -> Self:
        """Carry a pair over the border."""
        return cls(
            first=pair.first,
            second=pair.second,
            sharing=pair.sharing,
            covariance=computed(pair.covariance),
            text=pair.text,
        )


class MarkShareOut(Answer):
    """What a mark adds to the measure."""

    name: str = Field(description="Which mark.", examples=["mark on the pinion"], max_length=200)
    share: QuantityOut = Field(
        description="What it adds.", examples=[{"value": "-0.0300000000", "unit": "mm"}]
    )


class DerivedMeasureAnswer(Answer):
    """The measure, its doubt line by line, and whether it keeps its limits."""

    value: QuantityOut = Field(
        description="The measure.", examples=[{"value": "0.0600000000", "unit": "mm"}]
    )
    standard_uncertainty: QuantityOut | None = Field(
        description="Its standard uncertainty; null: that of an input is not known, or nothing is"
        " left of it.",
        examples=[{"value": "0.00500000000", "unit": "mm"}],
    )
    budget: tuple[BudgetLineOut, ...] = Field(description="A line for each input.")
    marks: tuple[MarkShareOut, ...] = Field(description="What the marks add.")
    correlations: tuple[SharedPairOut, ...] = Field(
        description="Inputs that share a gauge or a master. All others are taken as independent."
    )
    probability: DecimalOut | None = Field(
        description="Probability that it keeps its limits; null: it cannot be told.",
        examples=["0.977249868"],
    )
    verdict: Verdict = Field(description="The verdict.", examples=["conforming"])
    zone: Zone = Field(description="Where it lies, doubt left aside.", examples=["within-service"])
    reason: str = Field(
        description="The verdict in a line.",
        examples=["0.06 mm, at most 0.070 mm in service: conforming, probability 0.9772"],
        max_length=100000,
    )
    settle: SettlingOut | None = Field(
        description="What would settle it; null: it is settled, or its doubt is not what leaves it"
        " open.",
    )

    @classmethod
    def of(cls, found: MeasureAnswer) -> Self:
        """Carry the answer over the border."""
        unit, difference = found.unit, found.difference_unit
        judged = found.judged
        return cls(
            value=computed_quantity(found.value, unit),
            standard_uncertainty=quantity_or_null(found.u, difference),
            budget=tuple(BudgetLineOut.of(line, unit, difference) for line in found.lines),
            marks=tuple(
                MarkShareOut(name=one.name, share=computed_quantity(one.share, unit))
                for one in found.marks
            ),
            correlations=tuple(SharedPairOut.of(pair) for pair in found.pairs),
            probability=computed_or_null(judged.probability),
            verdict=judged.verdict,
            zone=judged.zone,
            reason=judged.detail,
            settle=None if judged.settling is None else SettlingOut.of(judged.settling),
        )
