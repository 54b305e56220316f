"""What trials show, stress against strength, the same failure again: questions and answers."""

from decimal import Decimal
from typing import Annotated, Self

from pydantic import Field, WithJsonSchema, model_validator

from api.schemas.base import (
    Answer,
    Body,
    DecimalOut,
    DecimalText,
    Flag,
    NonNegativeDecimalText,
    ProbabilityText,
    ShortText,
    WholeNumber,
    checked,
    refuse,
    to_domain,
    whole_between,
)
from api.schemas.figures import computed, computed_or_null, rounded_down
from api.schemas.shop_settings import CauseChanceFields
from shared.decision.check.job import check_cause
from shared.decision.check.settings import MOST_CAUSE_CHANCES, check_cause_pairs
from shared.evidence import CauseKind, FailureMechanism
from shared.life.cause import Failed, Recurrence, RecurrenceRow
from shared.life.interference import Interference
from shared.life.model import CauseChance
from shared.life.proving import MOST_TRIALS, Shown

LEAST_PROBABILITY = Decimal("0.000000000001")
"""A chance of failure is never told below this: a figure without its digits would read as never."""


def _count(least: int) -> tuple[object, object]:
    schema = {"type": "integer", "minimum": least, "maximum": MOST_TRIALS}
    return whole_between(least, MOST_TRIALS), WithJsonSchema(schema)


Trials = Annotated[int, *_count(1)]
Failures = Annotated[int, *_count(0)]


# --- what trials show --------------------------------------------------------------------------


class SuccessRunQuestion(Body):
    """A reliability to be shown, or trials that were made."""

    reliability: ProbabilityText | None = Field(
        default=None,
        description="Reliability to be shown, between 0 and 1: how many trials does it take? Give"
        " this or trials.",
        examples=["0.9"],
    )
    trials: Trials | None = Field(
        default=None, description="Trials made: what do they show?", examples=[30]
    )
    failures: Failures = Field(
        default=0, description="Failures among the trials, allowed or seen.", examples=[0]
    )
    confidence: ProbabilityText = Field(
        default=Decimal("0.9"),
        description="Confidence, between 0 and 1; 0.9 if not given.",
        examples=["0.95"],
    )

    @model_validator(mode="after")
    def _one_of_two(self) -> Self:
        if (self.reliability is None) is (self.trials is None):
            refuse(
                "one-of",
                "Wanted either reliability or trials.",
                "Give the reliability to be shown, or the trials made.",
                "/reliability",
            )
        return self


class SuccessRunAnswer(Answer):
    """Trials that a reliability takes, or bounds of the reliability that trials show."""

    trials: WholeNumber = Field(description="Trials needed, or made.", examples=[29])
    failures: WholeNumber = Field(description="Failures among them at most.", examples=[0])
    confidence: DecimalOut = Field(description="The confidence.", examples=["0.95"])
    shown_reliability: DecimalOut = Field(
        description="Reliability that such trials show: at least so great with the confidence"
        " (one-sided, exact).",
        examples=["0.901855"],
    )
    estimate: DecimalOut = Field(
        description="Share of the trials without failure.", examples=["1.00000000"]
    )
    lower: DecimalOut = Field(
        description="Lower end of the two-sided exact interval.", examples=["0.880555"]
    )
    upper: DecimalOut = Field(
        description="Upper end of the two-sided exact interval.", examples=["1.00000000"]
    )

    @classmethod
    def of(cls, trials: int, question: SuccessRunQuestion, found: Shown) -> Self:
        """Carry what trials show over the border."""
        return cls(
            trials=trials,
            failures=question.failures,
            confidence=question.confidence,
            shown_reliability=rounded_down(found.least),
            estimate=computed(found.estimate),
            lower=rounded_down(found.lower),
            upper=computed(found.upper),
        )


# --- stress against strength -------------------------------------------------------------------


class ScatteredIn(Body):
    """Mean and standard deviation of a normal distribution."""

    mean: DecimalText = Field(description="Mean.", examples=["40"])
    standard_deviation: NonNegativeDecimalText = Field(
        description="Standard deviation, in the unit of the mean.", examples=["7"]
    )


class StressStrengthQuestion(Body):
    """What a part bears and what it can, both in one unit."""

    stress: ScatteredIn = Field(description="What the part bears.")
    strength: ScatteredIn = Field(description="What it can, in the unit of the stress.")


class StressStrengthAnswer(Answer):
    """Chance that the stress exceeds the strength."""

    failure_probability: DecimalOut = Field(
        description="Chance of failure; never told below 0.000000000001.", examples=["0.0150297839"]
    )
    margin: DecimalOut = Field(
        description="Distance of the means in standard deviations of their difference.",
        examples=["2.16930458"],
    )
    factor: DecimalOut | None = Field(
        description="Ratio of the means; null where the mean stress is 0 or below.",
        examples=["2.00000000"],
    )
    assumptions: tuple[str, ...] = Field(
        max_length=10,
        description="What the answer rests on.",
        examples=[["Stress and strength are normal and do not depend on each other."]],
    )

    @classmethod
    def of(cls, found: Interference) -> Self:
        """Carry a chance of failure over the border."""
        return cls(
            failure_probability=max(computed(found.failure_probability), LEAST_PROBABILITY),
            margin=computed(found.margin),
            factor=computed_or_null(found.factor),
            assumptions=found.assumptions,
        )


# --- the same failure again --------------------------------------------------------------------


class RecurrenceQuestion(Body):
    """How and why something failed, and the shop's chances that it fails so again."""

    cause: ShortText | None = Field(
        default=None,
        description="Why it failed, in words; not known if not given.",
        examples=["bearing driven in askew"],
    )
    cause_kind: CauseKind | None = Field(
        default=None, description="The kind of that cause.", examples=["installation"]
    )
    mechanism: FailureMechanism | None = Field(
        default=None, description="How it failed, as the part shows.", examples=["fatigue"]
    )
    is_cause_removed: Flag | None = Field(
        default=None, description="Whether the cause is put right.", examples=[True]
    )
    cause_chances: tuple[CauseChanceFields, ...] = Field(
        default=(),
        max_length=MOST_CAUSE_CHANCES,
        description="The shop's chances by kind of cause, and by mechanism where one is named.",
    )
    known: ProbabilityText = Field(
        description="The chance where a cause is known and removed.", examples=["0.02"]
    )
    unknown: ProbabilityText = Field(
        description="The chance where the cause is not known.", examples=["0.10"]
    )

    @model_validator(mode="after")
    def _agrees(self) -> Self:
        pairs = [(one.cause_kind, one.mechanism) for one in self.cause_chances]
        checked(lambda: check_cause_pairs(pairs))
        checked(lambda: check_cause(self.cause, self.cause_kind, self.is_cause_removed))
        return self

    def rows(self) -> tuple[CauseChance, ...]:
        """The shop's chances."""
        return tuple(to_domain(one, CauseChance) for one in self.cause_chances)

    def failed(self) -> Failed:
        """What is said of the failure."""
        return Failed(self.cause, self.cause_kind, self.mechanism, self.is_cause_removed)


class RecurrenceAnswer(Answer):
    """Chance that what broke it breaks it again within the warranty."""

    probability: DecimalOut = Field(description="The chance.", examples=["0.03"])
    row: RecurrenceRow = Field(
        description="Which of the shop's figures the failure leads to.", examples=["kind"]
    )
    counts: RecurrenceRow = Field(
        description="Which one counts: unknown where the cause stays and that is the greater.",
        examples=["kind"],
    )
    chance_index: WholeNumber | None = Field(
        description="Place of that row among the chances, from 0; null where none applies.",
        examples=[0],
    )
    basis: str = Field(
        max_length=2500,
        description="What the chance stands on, and what is taken for granted.",
        examples=["the shop's chance for a cause of kind installation; the cause is removed"],
    )

    @classmethod
    def of(cls, found: Recurrence) -> Self:
        """Carry a chance over the border."""
        return cls(
            probability=found.chance,
            row=found.row,
            counts=found.counts,
            chance_index=found.index,
            basis=found.basis,
        )
