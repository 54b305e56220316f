"""Ways that last unequally long, and an outlay against a cost per job: questions and answers.

All amounts of one question are in one currency; computed ones are rounded to its digits.
"""

from decimal import Decimal
from typing import Annotated, Self

from pydantic import Field, WithJsonSchema, model_validator

from api.schemas.amounts import Assumptions, in_euro, in_money, one_currency, rounded
from api.schemas.base import (
    Answer,
    Body,
    Count,
    MoneyIn,
    MoneyOut,
    PercentText,
    ShortText,
    decimal_between,
    refuse,
)
from shared.decision.economics.economics import equivalent_annual_cost, present_value
from shared.decision.economics.outlay import OutlayComparison, Range
from shared.money import Money

MOST_OPTIONS = 20

YearsText = Annotated[
    Decimal,
    decimal_between("0.01", "100", "years from 0.01 to 100"),
    WithJsonSchema({"type": "string", "pattern": r"^[0-9]{1,3}(\.[0-9]{1,6})?$", "maxLength": 10}),
]
# --- equivalent annual cost --------------------------------------------------------------------


class CostsOverLifeIn(Body):
    """One way to have the machine: what it costs now, every year, and what is left at the end."""

    name: ShortText = Field(description="What it is called.", examples=["Rebuild it"])
    first_cost: MoneyIn = Field(description="Paid now.", examples=[in_euro("4200.00")])
    cost_per_year: MoneyIn = Field(
        description="Paid at the end of every year: upkeep, expected failures.",
        examples=[in_euro("600.00")],
    )
    years: YearsText = Field(
        description="How long it serves, from 0.01 to 100 years.", examples=["3"]
    )
    worth_at_end: MoneyIn | None = Field(
        default=None, description="What it fetches after those years.", examples=[in_euro("500.00")]
    )


class EquivalentAnnualCostQuestion(Body):
    """Ways that last unequally long, to be compared per year."""

    rate_percent_per_year: PercentText = Field(
        description="Interest at which years are compared, in percent; 0 leaves it out.",
        examples=["5"],
    )
    options: tuple[CostsOverLifeIn, ...] = Field(
        min_length=1, max_length=MOST_OPTIONS, description="The ways to compare."
    )

    @model_validator(mode="after")
    def _amounts_agree(self) -> Self:
        one_currency(
            (f"/options/{number}/{member}", getattr(option, member))
            for number, option in enumerate(self.options)
            for member in ("first_cost", "cost_per_year", "worth_at_end")
        )
        return self


class EquivalentAnnualCostOut(Answer):
    """One way, with its figures."""

    name: str = Field(max_length=200, description="What it is called.", examples=["Rebuild it"])
    present_value: MoneyOut = Field(
        description="All its costs over its own life, worth today.", examples=[in_euro("5402.02")]
    )
    equivalent_annual_cost: MoneyOut = Field(
        description="The even yearly cost worth the same: the figure to compare.",
        examples=[in_euro("1983.67")],
    )

    @classmethod
    def of(cls, option: CostsOverLifeIn, rate: float) -> Self:
        """Work one way out at a rate per year, as a fraction."""
        left = option.worth_at_end
        worth = present_value(
            float(option.first_cost.amount),
            float(option.cost_per_year.amount),
            float(option.years),
            rate,
            0.0 if left is None else float(left.amount),
        )
        currency = option.first_cost.currency
        return cls(
            name=option.name,
            present_value=rounded(worth, currency),
            equivalent_annual_cost=rounded(
                equivalent_annual_cost(worth, rate, float(option.years)), currency
            ),
        )


class EquivalentAnnualCostAnswer(Answer):
    """The ways per year, in the order asked, and which cost least."""

    options: tuple[EquivalentAnnualCostOut, ...] = Field(
        max_length=MOST_OPTIONS, description="The ways, in the order asked."
    )
    least: tuple[str, ...] = Field(
        max_length=MOST_OPTIONS,
        description="Which cost least per year; more than one where they cost the same.",
        examples=[["Rebuild it"]],
    )
    assumptions: Assumptions

    @classmethod
    def of(cls, asked: EquivalentAnnualCostQuestion) -> Self:
        """Work out all the ways asked about."""
        rate = float(asked.rate_percent_per_year) / 100
        found = tuple(EquivalentAnnualCostOut.of(option, rate) for option in asked.options)
        least = min(one.equivalent_annual_cost.amount for one in found)
        said = [
            "Costs of a year fall due at its end; the first cost is paid now.",
            "Each way can be followed by its like at the same costs.",
        ]
        if any(option.years != int(option.years) for option in asked.options):
            said.append("Part of a year is taken by the same formula as whole ones.")
        return cls(
            options=found,
            least=tuple(one.name for one in found if one.equivalent_annual_cost.amount == least),
            assumptions=tuple(said),
        )


# --- outlay ------------------------------------------------------------------------------------


class MoneyRangeIn(Body):
    """An amount, or the range it lies in."""

    lower: MoneyIn = Field(description="Least it may come to.", examples=[in_euro("300.00")])
    upper: MoneyIn | None = Field(
        default=None, description="Most it may come to; the same as lower if left out."
    )

    @model_validator(mode="after")
    def _rises(self) -> Self:
        if self.upper is None:
            return self
        one_currency([("/lower", self.lower), ("/upper", self.upper)])
        if self.upper.amount < self.lower.amount:
            refuse(
                "out-of-range",
                f"Got {self.upper.amount} below lower, {self.lower.amount}.",
                "Give upper not below lower.",
                "/upper/amount",
            )
        return self

    def in_minor(self) -> Range:
        """Return the range in minor units."""
        least = Money(self.lower.amount, self.lower.currency).minor
        most = self.upper or self.lower
        return Range(least, Money(most.amount, most.currency).minor)


class OutlayQuestion(Body):
    """Something bought once (tools, a manual, a machine) against paying for every job."""

    outlay: MoneyRangeIn = Field(description="Paid once, whatever the number of jobs.")
    with_outlay_per_job: MoneyRangeIn | None = Field(
        default=None,
        description="What each job costs once the outlay is made; nothing if left out.",
    )
    without_outlay_per_job: MoneyRangeIn = Field(
        description="What each job costs without the outlay: another shop's labour, hire."
    )
    either_way_per_job: MoneyRangeIn | None = Field(
        default=None,
        description="What each job costs either way (the same parts): in both totals, not in the"
        " difference.",
    )
    jobs: Count = Field(default=1, description="How many jobs are in sight.", examples=[1])

    @model_validator(mode="after")
    def _amounts_agree(self) -> Self:
        names = ("outlay", "with_outlay_per_job", "without_outlay_per_job", "either_way_per_job")
        one_currency(
            (f"/{name}/lower", None if (given := getattr(self, name)) is None else given.lower)
            for name in names
        )
        return self


class MoneyRangeOut(Answer):
    """The range an amount lies in."""

    lower: MoneyOut = Field(description="Least it comes to.", examples=[in_euro("645.00")])
    upper: MoneyOut = Field(description="Most it comes to.", examples=[in_euro("775.00")])

    @classmethod
    def of(cls, found: Range, currency: str) -> Self:
        """Carry a range of minor units over the border."""
        return cls(lower=in_money(found.lower, currency), upper=in_money(found.upper, currency))


JobsOut = Annotated[int | None, Field(ge=1)]


class OutlayAnswer(Answer):
    """What the jobs in sight come to either way, and from which job on the outlay pays."""

    with_outlay: MoneyRangeOut = Field(description="All jobs in sight and the outlay.")
    without_outlay: MoneyRangeOut = Field(description="All jobs in sight without it.")
    extra: MoneyRangeOut = Field(
        description="By how much more the outlay costs over the jobs in sight, what is paid either"
        " way left out; negative where it saves."
    )
    pays_from_jobs_at_best: JobsOut = Field(
        description="First number of jobs at which it costs less, the ends of the ranges in its"
        " favour; null: at no number.",
        examples=[3],
    )
    pays_from_jobs_at_worst: JobsOut = Field(
        description="The same, the ends of the ranges against it.", examples=[4]
    )
    verdict: str = Field(
        max_length=20,
        description="pays, does-not-pay or depends: for the jobs in sight.",
        examples=["does-not-pay"],
    )
    assumptions: Assumptions

    @classmethod
    def of(cls, found: OutlayComparison, currency: str) -> Self:
        """Carry a comparison over the border."""
        return cls(
            with_outlay=MoneyRangeOut.of(found.with_outlay, currency),
            without_outlay=MoneyRangeOut.of(found.without_outlay, currency),
            extra=MoneyRangeOut.of(found.extra, currency),
            pays_from_jobs_at_best=found.pays_from_jobs_at_best,
            pays_from_jobs_at_worst=found.pays_from_jobs_at_worst,
            verdict=found.verdict,
            assumptions=(
                "The outlay is worth nothing afterwards and lasts for all the jobs.",
                "Interest, own hours that are not stated, and the risk of a first attempt are not"
                " counted.",
            ),
        )
