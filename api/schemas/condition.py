"""Conformity of a measured value: the calculation's question and answer."""

from decimal import Decimal
from math import isfinite
from typing import Self

from pydantic import Field, model_validator

from api.schemas.base import (
    Answer,
    Body,
    DecimalOut,
    Flag,
    ProbabilityText,
    QuantityIn,
    QuantityOut,
    refuse,
)
from api.schemas.figures import computed, computed_quantity
from shared.condition.calculation import JudgedQuantity
from shared.condition.conformity import AcceptanceLimits, Distribution
from shared.condition.model import ConformityRule, Verdict

_MEASURED = {"value": "51.962", "unit": "mm", "standard_uncertainty": "0.004"}


class ConformityQuestion(Body):
    """What was measured, how surely, and the limits it must keep."""

    measured: QuantityIn = Field(
        description="The reading with its uncertainty, stated in one of the three ways.",
        examples=[_MEASURED],
    )
    lower_limit: QuantityIn | None = Field(
        default=None,
        description="Least size that is good, itself included. At least one limit is needed.",
        examples=[{"value": "51.950", "unit": "mm"}],
    )
    upper_limit: QuantityIn | None = Field(
        default=None,
        description="Greatest size that is good, itself included.",
        examples=[{"value": "52.000", "unit": "mm"}],
    )
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

    @model_validator(mode="after")
    def _has_a_limit(self) -> Self:
        if self.lower_limit is None and self.upper_limit is None:
            refuse(
                "limit-missing",
                "Got neither lower_limit nor upper_limit; without a limit nothing can be judged.",
                "Give at least one of them.",
                "/lower_limit",
            )
        return self


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
    """Whether the reading shows that the true size keeps the limits."""

    probability: DecimalOut = Field(
        description="Probability that the true size lies within the limits.",
        examples=["0.998650102"],
    )
    verdict: Verdict = Field(
        description="conforming, nonconforming, or indeterminate: neither is shown, measure again"
        " or with a finer gauge.",
        examples=["conforming"],
    )
    rule: ConformityRule = Field(description="The rule applied.", examples=["iso-14253-1"])
    acceptance_probability: DecimalOut = Field(
        description="Probability at which conformity counts as shown.", examples=["0.95"]
    )
    guard_band: QuantityOut | None = Field(
        description="How far within a limit a reading must lie to show conformity; null: no"
        " reading could, the gauge is too coarse for these limits.",
        examples=[{"value": "0.00657941451", "unit": "mm"}],
    )
    acceptance_limits: AcceptanceLimitsOut | None = Field(
        description="The limits drawn in by the guard band; null: nothing is left between them."
    )
    is_within_limits: Flag = Field(
        description="Whether the bare reading lies within, doubt left aside.", examples=[True]
    )
    measured: QuantityOut = Field(
        description="The reading in the unit of computation.",
        examples=[{"value": "51.9620000", "unit": "mm"}],
    )
    standard_uncertainty: QuantityOut = Field(
        description="Its standard uncertainty u.",
        examples=[{"value": "0.00400000000", "unit": "mm"}],
    )
    distribution: Distribution = Field(
        description="How the true size is taken to lie around the reading: rectangular where the"
        " doubt was stated as plus_minus.",
        examples=["normal"],
    )

    @classmethod
    def of(cls, judged: JudgedQuantity, acceptance_probability: Decimal) -> Self:
        """Carry a judged quantity over the border."""
        result = judged.result
        band, limits = result.guard_band, result.acceptance_limits
        return cls(
            probability=computed(result.probability),
            verdict=result.verdict,
            rule=result.rule,
            acceptance_probability=acceptance_probability,
            guard_band=computed_quantity(band, judged.difference_unit) if isfinite(band) else None,
            acceptance_limits=None
            if limits is None
            else AcceptanceLimitsOut.of(limits, judged.unit),
            is_within_limits=result.is_within_limits,
            measured=computed_quantity(judged.value, judged.unit),
            standard_uncertainty=computed_quantity(judged.u, judged.difference_unit),
            distribution=judged.distribution,
        )
