"""Wear to a limit: the calculation's question and answer, and what every trend is told by."""

from decimal import Decimal
from typing import Annotated, Any, Self

from pydantic import Field

from api.schemas.base import (
    Answer,
    Body,
    DecimalOut,
    Flag,
    HoursText,
    ProbabilityText,
    QuantityIn,
    QuantityOut,
)
from api.schemas.figures import computed, computed_or_null, computed_quantity
from shared.assemblies.model import ServiceLimitKind
from shared.condition.wear.calculation import WearFound
from shared.condition.wear.first_passage import FirstPassage
from shared.condition.wear.inspection import NextInspection
from shared.condition.wear.model import NoTrend, NoTrendReason, Side, Trend
from shared.condition.wear.rates import Rate, Rates, Term

MOST_POINTS = 100
_THOUSAND = 1000

Warnings = Annotated[
    tuple[str, ...],
    Field(
        max_length=200,
        description="What the answer rests on, and what to be careful of.",
        examples=[["Counts on the part having been new at 0 hours and never renewed since."]],
    ),
]


def bore(value: str, **doubt: str) -> dict[str, Any]:
    """Return a size as an example shows it."""
    return {"value": value, "unit": "mm", **doubt}


class SizeAtHoursIn(Body):
    """One size, and the running hours at which it was measured."""

    hours: HoursText = Field(description="Running hours of the unit.", examples=["4000"])
    size: QuantityIn = Field(
        description="The size as measured, with its uncertainty.",
        examples=[bore("35.018", standard_uncertainty="0.004")],
    )


class WearQuestion(Body):
    """Sizes over running hours, and the limit that wear leads to."""

    points: tuple[SizeAtHoursIn, ...] = Field(
        min_length=1,
        max_length=MOST_POINTS,
        description="What was measured, in rising hours. One point alone tells no rate.",
    )
    limit: QuantityIn = Field(
        description="The limit on the side of wear; it states no doubt.",
        examples=[bore("35.030")],
    )
    wears_towards: Side = Field(
        description="Whether wear makes the size larger (upper: a bore, a clearance) or smaller"
        " (lower: a journal, a lining).",
        examples=["upper"],
    )
    new_size: QuantityIn | None = Field(
        default=None,
        description="The size when new, at 0 hours. Of limits when new: their middle, with half"
        " their width as plus_minus.",
        examples=[bore("35.004", plus_minus="0.004")],
    )
    limit_is: ServiceLimitKind | None = Field(
        default=None,
        description="What the limit means: service (renew or repair) or discard.",
        examples=["service"],
    )
    confidence: ProbabilityText = Field(
        default=Decimal("0.95"),
        description="Probability with which each bound holds by itself, above 0.5 and below 1; 0.95"
        " if not given, so that 90 % lies between the two.",
        examples=["0.95"],
    )
    common_uncertainty: QuantityIn | None = Field(
        default=None,
        description="The part of the uncertainty that all readings share (one gauge, one master)."
        " Left out, it counts as the whole where that is worse.",
        examples=[bore("0.002")],
    )
    process_scatter: QuantityIn | None = Field(
        default=None,
        description="How unevenly the wear itself runs: standard deviation after one hour, growing"
        " with the square root of the hours.",
        examples=[bore("0.00002")],
    )
    hours_now: HoursText | None = Field(
        default=None,
        description="Running hours by now, from which hours are counted; if not given, those of"
        " the latest point.",
        examples=["4100"],
    )
    inspection_cap_hours: HoursText | None = Field(
        default=None,
        description="The shop's most hours between two inspections; left out: no cap.",
        examples=["2000"],
    )
    is_safety_critical: Flag = Field(
        default=False,
        description="A failure is dangerous: the next inspection goes by the lower bound.",
        examples=[False],
    )
    chance_within_hours: HoursText | None = Field(
        default=None,
        description="Hours from now within which the chance to reach the limit is asked for.",
        examples=["1000"],
    )


class RateOut(Answer):
    """A rate of wear towards the limit; below 0: away from it."""

    per_thousand_hours: QuantityOut = Field(
        description="Wear in a thousand running hours.", examples=[bore("0.00350000000")]
    )
    standard_uncertainty: QuantityOut | None = Field(
        description="Its standard uncertainty; null where a reading's is not known.",
        examples=[bore("0.00115000000")],
    )

    @classmethod
    def of(cls, rate: Rate, unit: str) -> Self:
        """Carry a rate over the border."""
        return cls(
            per_thousand_hours=computed_quantity(rate.per_hour * _THOUSAND, unit),
            standard_uncertainty=None
            if rate.u is None
            else computed_quantity(rate.u * _THOUSAND, unit),
        )


class RatesOut(Answer):
    """The rates of wear; the greater governs (API 510, 7.1.1)."""

    long_term: RateOut = Field(description="From the first point to the latest.")
    short_term: RateOut = Field(description="Over the latest two points.")
    governing: Term = Field(description="Which of them is the greater.", examples=["long-term"])

    @classmethod
    def of(cls, rates: Rates, unit: str) -> Self:
        """Carry both rates over the border."""
        return cls(
            long_term=RateOut.of(rates.long_term, unit),
            short_term=RateOut.of(rates.short_term, unit),
            governing=rates.governing_term,
        )


class NoTrendOut(Answer):
    """Why there is no usable trend."""

    reason: NoTrendReason = Field(description="In a word.", examples=["not-significant"])
    text: str = Field(
        description="In a sentence.",
        examples=["One point tells no rate: measure again after some hours of running."],
        max_length=2000,
    )


class HoursToLimitOut(Answer):
    """Running hours from now to the limit; null: nothing tells them."""

    estimate: DecimalOut | None = Field(
        description="The lesser of that by the fitted line and by the governing rate.",
        examples=["3428.57143"],
    )
    lower: DecimalOut | None = Field(
        description="Not reached before, with the confidence.", examples=["1711.35902"]
    )
    upper: DecimalOut | None = Field(
        description="Reached by then, with the confidence.", examples=["8024.84311"]
    )


class NextInspectionOut(Answer):
    """When to measure again."""

    hours: DecimalOut | None = Field(
        description="Running hours from now; null: nothing tells them.", examples=["1714.28571"]
    )
    rule: str = Field(
        description="What they follow from.",
        examples=["half the remaining hours (API 510, 6.5.1.1)"],
        max_length=500,
    )

    @classmethod
    def of(cls, found: NextInspection) -> Self:
        """Carry the next inspection over the border."""
        return cls(hours=computed_or_null(found.hours), rule=found.rule)


class ScatterOut(Answer):
    """Hours to the limit by the wear's own scatter: inverse Gaussian."""

    mean_hours: DecimalOut = Field(description="Mean hours from now.", examples=["3428.57143"])
    standard_deviation_hours: DecimalOut = Field(
        description="Standard deviation of the hours.", examples=["334.571429"]
    )

    @classmethod
    def of(cls, passage: FirstPassage) -> Self:
        """Carry the distribution over the border."""
        return cls(
            mean_hours=computed(passage.mean),
            standard_deviation_hours=computed(passage.standard_deviation),
        )


class TrendOut(Answer):
    """A trend of wear, or why there is none, and the hours that follow."""

    has_trend: Flag = Field(description="Whether there is a usable trend.", examples=[True])
    why_not: NoTrendOut | None = Field(description="Why there is none; null where there is one.")
    is_beyond: Flag = Field(
        description="Whether the latest reading is at the limit or beyond it.", examples=[False]
    )
    rates: RatesOut | None = Field(description="Rates of wear; null with fewer than two points.")
    hours_to_limit: HoursToLimitOut = Field(description="From now to the limit.")
    next_inspection: NextInspectionOut = Field(description="When to measure again.")
    warnings: Warnings


def trend_members(
    trend: Trend | NoTrend,
    unit: str,
    hours: tuple[float | None, float | None, float | None],
    inspection: NextInspection,
) -> dict[str, Any]:
    """Return the members of a trend on its way out."""
    estimate, lower, upper = (computed_or_null(one) for one in hours)
    return {
        "has_trend": isinstance(trend, Trend),
        "why_not": NoTrendOut(reason=trend.reason, text=trend.text)
        if isinstance(trend, NoTrend)
        else None,
        "is_beyond": trend.is_beyond,
        "rates": None if trend.rates is None else RatesOut.of(trend.rates, unit),
        "hours_to_limit": HoursToLimitOut(estimate=estimate, lower=lower, upper=upper),
        "next_inspection": NextInspectionOut.of(inspection),
    }


class WearAnswer(TrendOut):
    """How long a size has until its limit."""

    confidence: DecimalOut = Field(
        description="Probability with which each bound holds by itself.", examples=["0.95"]
    )
    chance_within: DecimalOut | None = Field(
        description="Chance to reach the limit within the hours asked about; null where none were"
        " asked about, or no trend tells it.",
        examples=["0.00341218000"],
    )
    by_scatter: ScatterOut | None = Field(
        description="Hours by the wear's own scatter; null where it was not stated."
    )
    limit: QuantityOut = Field(
        description="The limit in the unit of computation.", examples=[bore("35.0300000")]
    )

    @classmethod
    def of(cls, found: WearFound, confidence: Decimal) -> Self:
        """Carry the answer over the border."""
        hours = (found.estimate, found.lower, found.upper)
        return cls(
            **trend_members(found.trend, found.unit, hours, found.inspection),
            warnings=found.warnings,
            confidence=confidence,
            chance_within=computed_or_null(found.chance),
            by_scatter=None if found.passage is None else ScatterOut.of(found.passage),
            limit=computed_quantity(found.limit, found.unit),
        )
