"""Size, out-of-round and taper from readings: the calculation's question and answer."""

from typing import Self

from pydantic import Field

from api.schemas.base import (
    Answer,
    DecimalOut,
    QuantityIn,
    QuantityOut,
    ShortText,
)
from api.schemas.condition import HowJudged
from api.schemas.figures import computed_or_null, computed_quantity, quantity_or_null
from api.schemas.findings import ReadingFields
from shared.condition.form_asked import (
    Feature,
    FormAnswer,
    FormQuestion,
    JudgedMeasure,
    RoundnessBy,
)
from shared.condition.model import Verdict
from shared.condition.readings import Point

_PLACES = (
    ("77.020", "top", "x"),
    ("77.018", "top", "y"),
    ("77.005", "bottom", "x"),
    ("77.004", "bottom", "y"),
)
EXAMPLE_READINGS = [
    {"size": {"value": value, "unit": "mm"}, "plane": plane, "direction": direction}
    for value, plane, direction in _PLACES
]


class FormAsked(HowJudged):
    """Readings of one bore or shaft with their planes and directions, the gauge, the limits."""

    readings: tuple[ReadingFields, ...] = Field(
        min_length=1,
        max_length=100,
        description="The readings. Out-of-round takes two directions, taper two planes.",
        examples=[EXAMPLE_READINGS],
    )
    feature: Feature | None = Field(
        default=None,
        description="bore: the greatest reading is its size; shaft: the least. With both limits, or"
        " if not given, both extremes are judged.",
        examples=["bore"],
    )
    lower_limit: QuantityIn | None = Field(
        default=None,
        description="Least size that is good.",
        examples=[{"value": "76.990", "unit": "mm"}],
    )
    upper_limit: QuantityIn | None = Field(
        default=None,
        description="Greatest size that is good.",
        examples=[{"value": "77.060", "unit": "mm"}],
    )
    out_of_round_limit: QuantityIn | None = Field(
        default=None,
        description="Most out-of-round that is good.",
        examples=[{"value": "0.005", "unit": "mm"}],
    )
    out_of_round_by: RoundnessBy = Field(
        default=RoundnessBy.WITHIN_PLANE,
        description="within-plane (if not given): greatest less least reading of one plane, of the"
        " plane with the most. overall: greatest reading in one direction less the least in"
        " another, whatever the plane.",
        examples=["overall"],
    )
    taper_limit: QuantityIn | None = Field(
        default=None,
        description="Most taper that is good: greatest less least of the planes' greatest"
        " readings.",
        examples=[{"value": "0.005", "unit": "mm"}],
    )
    gauge_kind: ShortText | None = Field(
        default=None,
        description="A word of the usual gauges, for the uncertainty where none is stated.",
        examples=["bore-gauge"],
    )
    gauge_uncertainty: QuantityIn | None = Field(
        default=None,
        description="Standard uncertainty of one reading, where the reading states none.",
        examples=[{"value": "0.003", "unit": "mm"}],
    )
    common_uncertainty: QuantityIn | None = Field(
        default=None,
        description="The part of it that all readings share: it cancels in out-of-round and taper."
        " If not given it is taken as nothing, which leaves the greater doubt.",
        examples=[{"value": "0.002", "unit": "mm"}],
    )

    def asked(self) -> FormQuestion:
        """Carry the question over the border."""
        return self.judged_as(FormQuestion)


class PlaceOut(Answer):
    """A size at one place, or over all of them."""

    size: QuantityOut = Field(
        description="The size.", examples=[{"value": "77.0200000", "unit": "mm"}]
    )
    standard_uncertainty: QuantityOut | None = Field(
        description="Its standard uncertainty; null: not known.",
        examples=[{"value": "0.00300000000", "unit": "mm"}],
    )
    plane: str | None = Field(description="In which plane.", examples=["top"], max_length=200)
    direction: str | None = Field(description="In which direction.", examples=["x"], max_length=200)

    @classmethod
    def of(cls, point: Point, answer: FormAnswer) -> Self:
        """Carry a place over the border."""
        return cls(
            size=computed_quantity(point.value, answer.unit),
            standard_uncertainty=quantity_or_null(point.u, answer.difference_unit),
            plane=point.plane,
            direction=point.direction,
        )


class JudgedMeasureOut(Answer):
    """One measure and its verdict."""

    value: QuantityOut | None = Field(
        description="The measure; null: the readings do not tell it.",
        examples=[{"value": "0.0150000000", "unit": "mm"}],
    )
    standard_uncertainty: QuantityOut | None = Field(
        description="Its standard uncertainty; null: not known.",
        examples=[{"value": "0.00316227766", "unit": "mm"}],
    )
    verdict: Verdict = Field(
        description="The verdict; not-inspected where the readings do not tell it, indeterminate"
        " without a limit.",
        examples=["nonconforming"],
    )
    probability: DecimalOut | None = Field(
        description="Probability that it keeps its limit; null: it cannot be told.",
        examples=["0.000782701129"],
    )
    reason: str = Field(
        description="The verdict in a line.",
        examples=["readings in two planes are wanted: one says nothing of taper"],
        max_length=6000,
    )
    settle: str | None = Field(
        description="What would settle it; null: it is settled, or nothing would.",
        examples=["a gauge of u at most 0.00303 mm would settle it"],
        max_length=500,
    )

    @classmethod
    def of(cls, measure: JudgedMeasure, answer: FormAnswer) -> Self:
        """Carry a measure over the border."""
        return cls(
            value=quantity_or_null(measure.value, answer.unit),
            standard_uncertainty=quantity_or_null(measure.u, answer.difference_unit),
            verdict=measure.verdict,
            probability=computed_or_null(measure.probability),
            reason=measure.reason,
            settle=measure.settling,
        )


class FormFound(Answer):
    """What the readings amount to."""

    number: int = Field(description="How many readings.", examples=[6])
    greatest: PlaceOut = Field(description="The greatest size, and where.")
    least: PlaceOut = Field(description="The least size, and where.")
    mean: PlaceOut = Field(
        description="The mean of all places: it hides form, and is judged by nothing here."
    )
    standard_deviation: QuantityOut | None = Field(
        description="Standard deviation of all readings (type A, n - 1); null for a single one.",
        examples=[{"value": "0.00664329989", "unit": "mm"}],
    )
    size: JudgedMeasureOut = Field(description="The size that counts.")
    out_of_round: JudgedMeasureOut = Field(description="Out-of-round.")
    taper: JudgedMeasureOut = Field(description="Taper.")
    verdict: Verdict = Field(
        description="The worst of those that have a limit; indeterminate where none has.",
        examples=["nonconforming"],
    )
    notes: tuple[str, ...] = Field(
        description="What readings of this kind do not show.",
        examples=[["readings across a diameter do not show lobes of an odd number"]],
    )

    @classmethod
    def of(cls, found: FormAnswer) -> Self:
        """Carry the answer over the border."""
        return cls(
            number=found.number,
            greatest=PlaceOut.of(found.greatest, found),
            least=PlaceOut.of(found.least, found),
            mean=PlaceOut.of(found.mean, found),
            standard_deviation=quantity_or_null(found.deviation, found.difference_unit),
            size=JudgedMeasureOut.of(found.size, found),
            out_of_round=JudgedMeasureOut.of(found.out_of_round, found),
            taper=JudgedMeasureOut.of(found.taper, found),
            verdict=found.verdict,
            notes=found.notes,
        )
