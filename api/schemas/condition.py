"""Conformity of a size: the calculation's question and answer."""

from decimal import Decimal
from math import isfinite
from typing import Self, TypeVar

from pydantic import Field

from api.schemas.base import (
    Answer,
    Body,
    DecimalOut,
    Flag,
    ProbabilityText,
    QuantityIn,
    QuantityOut,
    ShortText,
)
from api.schemas.figures import computed_or_null, computed_quantity, quantity_or_null
from api.schemas.findings import ReadingFields
from shared.condition.calculation import JudgedSize, SizeQuestion
from shared.condition.conformity import AcceptanceLimits, Distribution
from shared.condition.model import ConformityRule, Verdict, Zone
from shared.condition.settling import Settling
from shared.typed import convert

_MEASURED = {"value": "51.962", "unit": "mm", "standard_uncertainty": "0.004"}


class SettlingOut(Answer):
    """What would settle what its doubt leaves open, were the reading the same again."""

    standard_uncertainty_at_most: QuantityOut = Field(
        description="Greatest standard uncertainty at which it would be settled; 0: it reads"
        " exactly the limit, no gauge settles it.",
        examples=[{"value": "0.00303978429", "unit": "mm"}],
    )
    readings_at_least: int | None = Field(
        description="So many readings of the one place with the same gauge would do; null: their"
        " number does not help, or cannot be told.",
        examples=[5],
    )
    text: str = Field(
        description="The same in a line.",
        examples=["a gauge of u at most 0.00303 mm would settle it"],
        max_length=500,
    )

    @classmethod
    def of(cls, settling: Settling) -> Self:
        """Carry it over the border."""
        return cls(
            standard_uncertainty_at_most=computed_quantity(settling.u_at_most, settling.unit),
            readings_at_least=settling.readings,
            text=settling.text,
        )


T = TypeVar("T")


class HowJudged(Body):
    """How a size near a limit is judged."""

    acceptance_probability: ProbabilityText = Field(
        default=Decimal("0.95"),
        description="Probability at which conformity counts as shown, from 0.5 to below 1;"
        " 0.95 if not given.",
        examples=["0.95"],
    )
    rule: ConformityRule = Field(
        default=ConformityRule.ISO_14253_1,
        description="How a reading near a limit is judged: three outcomes by probability"
        " (iso-14253-1, if not given), or good if it reads within (simple-acceptance).",
        examples=["iso-14253-1"],
    )

    def judged_as(self, kind: type[T]) -> T:
        """Carry the question, which has lower_limit and upper_limit, over the border."""
        members = self.model_dump()
        members["lower"] = members.pop("lower_limit")
        members["upper"] = members.pop("upper_limit")
        members["acceptance_probability"] = float(self.acceptance_probability)
        return convert(members, kind)


class ConformityQuestion(HowJudged):
    """A size, how surely it is known, and the limits it must keep.

    The size in one of three ways: measured; readings; an interval (at_least, at_most or both).
    """

    measured: QuantityIn | None = Field(
        default=None,
        description="The reading with its uncertainty, stated in one of the three ways, or with"
        " gauge_kind.",
        examples=[_MEASURED],
    )
    readings: tuple[ReadingFields, ...] = Field(
        default=(),
        max_length=100,
        description="Several readings: each extreme is judged, the worst counts.",
        examples=[[{"size": _MEASURED, "plane": "top", "direction": "x"}]],
    )
    at_least: QuantityIn | None = Field(
        default=None,
        description="The size is no less: the gauge that goes.",
        examples=[{"value": "51.955", "unit": "mm"}],
    )
    at_most: QuantityIn | None = Field(
        default=None,
        description="The size is no more: the gauge that does not go.",
        examples=[{"value": "51.970", "unit": "mm"}],
    )
    lower_limit: QuantityIn | None = Field(
        default=None,
        description="Least size that is good, itself included. Without any limit the answer is"
        " indeterminate: a limit is never invented.",
        examples=[{"value": "51.950", "unit": "mm"}],
    )
    upper_limit: QuantityIn | None = Field(
        default=None,
        description="Greatest size that is good, itself included.",
        examples=[{"value": "52.000", "unit": "mm"}],
    )
    new_lower: QuantityIn | None = Field(
        default=None,
        description="Least size when new: tells the zone, and is judged by where there is neither"
        " lower_limit nor upper_limit.",
        examples=[{"value": "51.961", "unit": "mm"}],
    )
    new_upper: QuantityIn | None = Field(
        default=None,
        description="Greatest size when new.",
        examples=[{"value": "51.980", "unit": "mm"}],
    )
    gauge_kind: ShortText | None = Field(
        default=None,
        description="A word of the usual gauges, whose usual uncertainty serves where none is"
        " stated: outside-micrometer, bore-gauge, caliper, feeler, plastic-gauging,"
        " dial-indicator.",
        examples=["outside-micrometer"],
    )
    common_uncertainty: QuantityIn | None = Field(
        default=None,
        description="The part of the standard uncertainty that all readings with the gauge share:"
        " with it the answer tells how many readings would settle what is open.",
        examples=[{"value": "0.002", "unit": "mm"}],
    )

    def asked(self) -> SizeQuestion:
        """Carry the question over the border."""
        return self.judged_as(SizeQuestion)


class AcceptanceLimitsOut(Answer):
    """The readings that show conformity; null: no end on that side."""

    lower: QuantityOut | None = Field(
        description="Least reading that shows conformity.",
        examples=[{"value": "51.9565794", "unit": "mm"}],
    )
    upper: QuantityOut | None = Field(
        description="Greatest reading that shows conformity.",
        examples=[{"value": "51.9934206", "unit": "mm"}],
    )

    @classmethod
    def of(cls, limits: AcceptanceLimits, unit: str) -> Self:
        """Carry the limits over the border."""
        return cls(
            lower=None if limits.lower is None else computed_quantity(limits.lower, unit),
            upper=None if limits.upper is None else computed_quantity(limits.upper, unit),
        )


class ConformityAnswer(Answer):
    """Whether what was read shows that the true size keeps the limits."""

    probability: DecimalOut | None = Field(
        description="Probability that the true size lies within the limits; null: there is no"
        " limit, or an end of the interval is open.",
        examples=["0.998650102"],
    )
    verdict: Verdict = Field(
        description="conforming, nonconforming, or indeterminate: neither is shown, measure again"
        " or with a finer gauge.",
        examples=["conforming"],
    )
    zone: Zone = Field(
        description="Where the size lies, doubt left aside: within-new, within-service (within the"
        " limits), beyond, or no-limit: ask for the limit.",
        examples=["within-service"],
    )
    reason: str = Field(
        description="The verdict in a line, with what it rests on.",
        examples=[
            "51.962 mm, 51.950 mm to 52.000 mm in service: conforming, probability 0.9987"
            " (u = 0.004 mm)"
        ],
        max_length=6000,
    )
    settle: SettlingOut | None = Field(
        description="What would settle it; null: it is settled, or its doubt is not what leaves it"
        " open.",
    )
    rule: ConformityRule = Field(description="The rule applied.", examples=["iso-14253-1"])
    acceptance_probability: DecimalOut = Field(
        description="Probability at which conformity counts as shown.", examples=["0.95"]
    )
    guard_band: QuantityOut | None = Field(
        description="How far within a limit a reading must lie to show conformity; null: no"
        " reading could, the gauge is too coarse for these limits, or no reading was judged.",
        examples=[{"value": "0.00657941451", "unit": "mm"}],
    )
    acceptance_limits: AcceptanceLimitsOut | None = Field(
        description="The limits drawn in by the guard band; null: nothing is left between them, or"
        " no reading was judged."
    )
    is_within_limits: Flag | None = Field(
        description="Whether the bare reading, or the whole interval, lies within, doubt left"
        " aside; null: there is no limit, or an end is open.",
        examples=[True],
    )
    measured: QuantityOut | None = Field(
        description="The size that was judged, in the unit of computation; null for an interval.",
        examples=[{"value": "51.9620000", "unit": "mm"}],
    )
    standard_uncertainty: QuantityOut | None = Field(
        description="Its standard uncertainty u; null for an interval, or where none is known.",
        examples=[{"value": "0.00400000000", "unit": "mm"}],
    )
    distribution: Distribution | None = Field(
        description="How the true size is taken to lie around the reading: rectangular where the"
        " doubt was stated as plus_minus; null where no reading was judged.",
        examples=["normal"],
    )

    @classmethod
    def of(cls, judged: JudgedSize, asked: ConformityQuestion) -> Self:
        """Carry a judged size over the border."""
        band, limits, unit = judged.guard_band, judged.acceptance_limits, judged.difference_unit
        is_band = band is not None and isfinite(band)
        return cls(
            probability=computed_or_null(judged.probability),
            verdict=judged.verdict,
            zone=judged.zone,
            reason=judged.reason,
            settle=None if judged.settling is None else SettlingOut.of(judged.settling),
            rule=asked.rule,
            acceptance_probability=asked.acceptance_probability,
            guard_band=quantity_or_null(band if is_band else None, unit),
            acceptance_limits=None
            if limits is None
            else AcceptanceLimitsOut.of(limits, judged.unit),
            is_within_limits=judged.is_within_limits,
            measured=quantity_or_null(judged.value, judged.unit),
            standard_uncertainty=quantity_or_null(judged.u, unit),
            distribution=judged.distribution,
        )
