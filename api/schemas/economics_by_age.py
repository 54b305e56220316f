"""When a part is best replaced, and up to what estimate a unit is repaired: questions and answers.

All amounts of one question are in one currency. Repair limits are rounded down to its digits; rates
per hour keep nine significant digits.
"""

from decimal import Decimal
from typing import Self

from pydantic import Field, model_validator

from api.schemas.amounts import Assumptions, in_euro, one_currency, rounded, rounded_down
from api.schemas.base import (
    Answer,
    Body,
    DecimalOut,
    MoneyIn,
    MoneyOut,
    PositiveDecimalText,
    ProbabilityText,
    QuantityIn,
    QuantityOut,
)
from api.schemas.figures import computed, computed_quantity
from shared.decision.economics.repair_limit import MOST_AGES, RepairLimits
from shared.decision.economics.replacement_age import OnFailure, ReplacementAge

# --- replacement age ---------------------------------------------------------------------------


class ReplacementAgeQuestion(Body):
    """A part that wears out, what it costs to renew as planned, and what when it fails."""

    shape: PositiveDecimalText = Field(
        description="Weibull shape, from 0.1 to 100; at 1 or below no planned age pays.",
        examples=["2.5"],
    )
    scale: QuantityIn = Field(
        description="Weibull scale: the time by which 63 % of new parts have failed.",
        examples=[{"value": "1000", "unit": "h"}],
    )
    planned_cost: MoneyIn = Field(
        description="One planned replacement, above 0.", examples=[in_euro("100.00")]
    )
    failure_cost: MoneyIn = Field(
        description="One failure, above 0: the replacement with all it brings, or the minimal"
        " repair.",
        examples=[in_euro("500.00")],
    )
    on_failure: OnFailure = Field(
        default=OnFailure.REPLACE,
        description="What a failure leads to: a new part (replace), or a repair that leaves the"
        " part as old as it was (minimal-repair).",
        examples=["replace"],
    )

    @model_validator(mode="after")
    def _amounts_agree(self) -> Self:
        costs = ("planned_cost", "failure_cost")
        one_currency((f"/{name}", getattr(self, name)) for name in costs)
        return self


class ReplacementAgeAnswer(Answer):
    """The age at which a running hour costs least."""

    replacement_age: QuantityOut | None = Field(
        description="Age at which the part is best replaced; null: not before it fails.",
        examples=[{"value": "493.047085", "unit": "h"}],
    )
    cost_per_hour: MoneyOut | None = Field(
        description="What a running hour then costs, not rounded to the currency's digits; null"
        " where no rate is reached.",
        examples=[in_euro("0.346204060")],
    )
    cost_per_hour_unplanned: MoneyOut | None = Field(
        description="What it costs without any planned replacement; null where it has no limit.",
        examples=[in_euro("0.563535240")],
    )
    reason: str | None = Field(
        max_length=200, description="Why no age is best; null where one is.", examples=[None]
    )
    assumptions: Assumptions

    @classmethod
    def of(cls, found: ReplacementAge, currency: str, on_failure: OnFailure) -> Self:
        """Carry an age over the border."""

        def rate(value: float | None) -> MoneyOut | None:
            return None if value is None else MoneyOut(amount=computed(value), currency=currency)

        failed = (
            "A failed part is replaced by a new one, whose age begins anew."
            if on_failure is OnFailure.REPLACE
            else "A repair leaves the part as likely to fail as just before."
        )
        return cls(
            replacement_age=None if found.hours is None else computed_quantity(found.hours, "h"),
            cost_per_hour=rate(found.cost_per_hour),
            cost_per_hour_unplanned=rate(found.cost_per_hour_unplanned),
            reason=found.reason,
            assumptions=(failed, "The rule is followed for many parts in turn; no interest."),
        )


# --- repair limit ------------------------------------------------------------------------------


class AgeClassIn(Body):
    """One year of a unit's age."""

    failure_probability: ProbabilityText = Field(
        description="Chance that a unit of this age fails within the year.", examples=["0.2"]
    )
    mean_repair_cost: MoneyIn = Field(
        description="Mean of the repair estimates at this age.", examples=[in_euro("150.00")]
    )


class RepairLimitQuestion(Body):
    """What a replacement costs, and how units fail year by year."""

    replacement_cost: MoneyIn = Field(
        description="A replacement, above 0.", examples=[in_euro("1000.00")]
    )
    ages: tuple[AgeClassIn, ...] = Field(
        min_length=1,
        max_length=MOST_AGES,
        description="The years of age, the first one first; after the last a unit is replaced.",
    )

    @model_validator(mode="after")
    def _amounts_agree(self) -> Self:
        means = (
            (f"/ages/{number}/mean_repair_cost", age.mean_repair_cost)
            for number, age in enumerate(self.ages)
        )
        one_currency([("/replacement_cost", self.replacement_cost), *means])
        return self


class RepairLimitOut(Answer):
    """The limit in one year of age."""

    from_age_years: DecimalOut = Field(description="Age from which it holds.", examples=["0"])
    to_age_years: DecimalOut = Field(description="Age up to which it holds.", examples=["1"])
    repair_up_to: MoneyOut = Field(
        description="Repair while the estimate is not above this; replace otherwise.",
        examples=[in_euro("822.83")],
    )


class RepairLimitAnswer(Answer):
    """The limits by age, and what the rule costs beside plainer ones."""

    limits: tuple[RepairLimitOut, ...] = Field(
        max_length=MOST_AGES, description="One limit for each year of age."
    )
    cost_per_year: MoneyOut = Field(
        description="What the rule costs per year in the long run.", examples=[in_euro("187.16")]
    )
    always_repair_per_year: MoneyOut = Field(
        description="The same if every failure is repaired until the last age.",
        examples=[in_euro("275.00")],
    )
    age_only_per_year: MoneyOut = Field(
        description="The same if failures are repaired up to age_only_years, whatever the"
        " estimate, and the first one after that means a replacement.",
        examples=[in_euro("207.06")],
    )
    age_only_years: int = Field(ge=0, description="The best such age.", examples=[5])
    assumptions: Assumptions

    @classmethod
    def of(cls, found: RepairLimits, replacement_cost: MoneyIn) -> Self:
        """Carry the limits over the border."""
        currency = replacement_cost.currency
        said = [
            "Estimates at an age scatter exponentially about their mean.",
            "A unit fails at most once a year, and is replaced by a new one of the same kind.",
            "The limits are rounded down to the currency's digits; no interest.",
        ]
        if max(found.limits) > float(replacement_cost.amount):
            said.append(
                "A limit above the replacement cost: by these figures older units fail less than"
                " new ones."
            )
        return cls(
            limits=tuple(
                RepairLimitOut(
                    from_age_years=Decimal(age),
                    to_age_years=Decimal(age + 1),
                    repair_up_to=rounded_down(limit, currency),
                )
                for age, limit in enumerate(found.limits)
            ),
            cost_per_year=rounded(found.cost_per_year, currency),
            always_repair_per_year=rounded(found.always_repair_per_year, currency),
            age_only_per_year=rounded(found.age_only_per_year, currency),
            age_only_years=found.age_only_years,
            assumptions=tuple(said),
        )
