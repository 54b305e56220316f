"""What a shop settles once. The members are the fields of ``shared/decision/settings.py``."""

import re
from collections.abc import Iterator
from decimal import Decimal
from functools import cache
from typing import Annotated, Any, Self
from zoneinfo import available_timezones

from pydantic import BeforeValidator, Field, model_validator

from api.schemas.base import (
    Body,
    CalendarDate,
    ClockTime,
    CurrencyCode,
    LongText,
    MoneyIn,
    NonNegativeDecimalText,
    PercentText,
    PositiveDecimalText,
    ProbabilityText,
    SharePercent,
    ShortText,
    WholeNumber,
    checked,
    matching,
    plain,
    refuse,
    shown,
    whole_between,
)
from api.schemas.interchange_rules import InterchangeRulesFields
from api.schemas.records import RecordHead, SnapshotId, check_distinct
from shared.condition.model import ConformityRule
from shared.decision.check.settings import (
    MOST_CAUSE_CHANCES,
    MOST_FAILURES,
    check_cause_pairs,
)
from shared.decision.settings import Permission, SourceKind
from shared.evidence import CauseKind, EvidenceKind, FailureMechanism, ReasonRetired
from shared.life.model import ExperienceKind, LifeMethod
from shared.sourcing.model import ArrivalDependence

_COUNTRY = re.compile(r"[A-Z]{2}")
_SUBDIVISION = re.compile(r"[A-Z0-9]{1,6}")
_EURO = "EUR"


@cache
def _timezones() -> frozenset[str]:
    return frozenset(available_timezones())


def _timezone(value: object) -> str:
    if not isinstance(value, str) or value not in _timezones():
        refuse(
            "timezone-unknown",
            f"Got {shown(value)}; wanted a time zone by its place, such as Europe/Vienna.",
            "Take a name from the IANA time-zone list.",
        )
    return value


Timezone = Annotated[str, BeforeValidator(_timezone), Field(min_length=1, max_length=64)]
CountryCode = Annotated[
    str,
    matching(_COUNTRY, "country-format", "a country code of two capital letters (ISO 3166-1)"),
    Field(min_length=2, max_length=2),
]
SubdivisionCode = Annotated[
    str,
    matching(_SUBDIVISION, "subdivision-format", "a subdivision code (ISO 3166-2, second half)"),
    Field(min_length=1, max_length=6),
]
Weekday = Annotated[int, whole_between(1, 7), Field(ge=1, le=7)]
FailureCount = Annotated[int, whole_between(0, MOST_FAILURES), Field(ge=0, le=MOST_FAILURES)]


def _money(amount: str) -> dict[str, str]:
    return {"amount": amount, "currency": _EURO}


class MarkupBandFields(Body):
    """Mark-up on parts: the band with the highest ``cost_from`` not above the piece's cost."""

    percent: PercentText = Field(description="Mark-up in percent.", examples=["35"])
    cost_from: MoneyIn | None = Field(
        default=None, description="From this cost of a piece on.", examples=[_money("100.00")]
    )
    part_kind: ShortText | None = Field(
        default=None,
        description="For this kind of part; none: for every kind without a band of its own.",
        examples=["ball-bearing"],
    )


class PricingRulesFields(Body):
    """From cost to price, per line."""

    labour_price_per_hour: MoneyIn = Field(
        description="What the customer pays for an hour.", examples=[_money("78.00")]
    )
    labour_cost_per_hour: MoneyIn = Field(
        description="What an hour costs the shop.", examples=[_money("41.00")]
    )
    parts_markup: tuple[MarkupBandFields, ...] = Field(
        default=(), max_length=200, description="Mark-up bands; none: no mark-up."
    )
    sublet_markup_percent: PercentText = Field(
        default=Decimal(0), description="Mark-up on work sent out.", examples=["15"]
    )
    freight_markup_percent: PercentText = Field(
        default=Decimal(0), description="Mark-up on freight.", examples=["0"]
    )
    unit_markup_percent: PercentText = Field(
        default=Decimal(0), description="Mark-up on whole units bought.", examples=["12"]
    )
    supplies_percent_of_labour: PercentText = Field(
        default=Decimal(0),
        description="Cleaner, sealant, rags: percent of the labour price.",
        examples=["4"],
    )
    disposal: MoneyIn | None = Field(
        default=None,
        description="Charged once where old parts, oil or the old unit stay with the shop.",
        examples=[_money("12.00")],
    )
    tax_percent: PercentText = Field(
        default=Decimal(0), description="Tax on the net total.", examples=["20"]
    )

    @model_validator(mode="after")
    def _bands_distinct(self) -> Self:
        keys = tuple(
            (band.part_kind, None if band.cost_from is None else band.cost_from.amount)
            for band in self.parts_markup
        )
        if len(set(keys)) != len(keys):
            index = next(i for i, key in enumerate(keys) if key in keys[:i])
            refuse(
                "repeated",
                "Two mark-up bands have the same part_kind and cost_from.",
                "Keep one of them.",
                f"/parts_markup/{index}",
            )
        return self


class DecisionRulesFields(Body):
    """How readings are judged and how sure a promise must be."""

    conformity_rule: ConformityRule = Field(
        default=ConformityRule.ISO_14253_1,
        description="How a reading near a limit is judged.",
        examples=["iso-14253-1"],
    )
    conformity_probability: ProbabilityText = Field(
        default=Decimal("0.95"),
        description="Probability asked of a verdict, above 0.5 and below 1.",
        examples=["0.95"],
    )
    promise_confidence: ProbabilityText = Field(
        default=Decimal("0.9"),
        description="Probability with which a promise date must hold.",
        examples=["0.9"],
    )
    arrival_dependence: ArrivalDependence = Field(
        default=ArrivalDependence.INDEPENDENT,
        description="How arrivals of different suppliers hang together; any: nothing is taken for"
        " granted, chances of coming late are added up.",
        examples=["independent"],
    )
    interest_percent_per_year: PercentText | None = Field(
        default=None,
        description="Interest at which years are compared; none: no equivalent annual cost.",
        examples=["5"],
    )
    inspection_cap_hours: PositiveDecimalText | None = Field(
        default=None,
        description="No longer than that until a worn part is looked at again; none: no cap.",
        examples=["1000"],
    )

    @model_validator(mode="after")
    def _between_half_and_one(self) -> Self:
        for name in ("conformity_probability", "promise_confidence"):
            check_confidence(getattr(self, name), f"/{name}")
        return self


def check_confidence(value: Decimal, at: str) -> None:
    """Refuse a confidence that is less than even odds, or certainty."""
    if not Decimal("0.5") <= value < 1:
        refuse(
            "out-of-range",
            f"Got {plain(value)}; wanted at least 0.5 and less than 1.",
            "Give a probability such as 0.9.",
            at,
        )


class PolicyFields(Body):
    """What the shop allows."""

    keep_indeterminate: Permission = Field(
        default=Permission.ALLOWED,
        description="Keep a part whose verdict is indeterminate.",
        examples=["allowed"],
    )
    keep_not_inspected: Permission = Field(
        default=Permission.ALLOWED,
        description="Keep a part that was not inspected.",
        examples=["allowed"],
    )
    refit_nonconforming: Permission = Field(
        default=Permission.BARRED,
        description="Refit a nonconforming part at the customer's wish.",
        examples=["barred"],
    )
    harvest_without_fallback: Permission = Field(
        default=Permission.BARRED,
        description="Count on a donor's part where nothing else could take its place.",
        examples=["barred"],
    )
    safety_critical_sources: tuple[SourceKind, ...] = Field(
        default=(SourceKind.KEEP, SourceKind.NEW, SourceKind.OLD_STOCK, SourceKind.KIT),
        max_length=20,
        description="Sources allowed at safety-critical positions.",
        examples=[["keep", "new"]],
    )
    barred_donor_reasons: tuple[ReasonRetired, ...] = Field(
        default=(ReasonRetired.FIRE,),
        max_length=20,
        description="Donors retired for these reasons give nothing.",
        examples=[["fire", "flood"]],
    )
    shelf_worth_percent: SharePercent = Field(
        default=Decimal(0),
        description="What a good part counts for that no open job wants, in percent of the cheapest"
        " offer.",
        examples=["20"],
    )
    accepted_evidence: tuple[EvidenceKind, ...] = Field(
        default=tuple(kind for kind in EvidenceKind if kind is not EvidenceKind.TOLD),
        max_length=20,
        description="Evidence on which an interchange claim is acted on.",
        examples=[["maker-bulletin", "fitted-and-run"]],
    )

    @model_validator(mode="after")
    def _each_once(self) -> Self:
        for name in ("safety_critical_sources", "barred_donor_reasons", "accepted_evidence"):
            check_distinct(getattr(self, name), f"/{name}", "entry")
        return self


class CauseChanceFields(Body):
    """Chance that a kind of cause breaks a unit again within the warranty, once it is removed."""

    cause_kind: CauseKind = Field(description="Where the root lay.", examples=["contamination"])
    probability: ProbabilityText = Field(description="The chance.", examples=["0.03"])
    mechanism: FailureMechanism | None = Field(
        default=None,
        description="For units that failed like this only; it goes before the cause alone.",
        examples=["fatigue"],
    )
    basis: LongText | None = Field(
        default=None, description="Where the figure comes from.", examples=["Jobs of 2028-2030"]
    )


class WarrantyTermsFields(Body):
    """The shop's warranty on its work, and what a comeback costs besides."""

    warranty_hours: NonNegativeDecimalText = Field(
        description="Length of the warranty in running hours.", examples=["500"]
    )
    comeback_fixed_cost: MoneyIn | None = Field(
        default=None,
        description="Loan, freight, goodwill per comeback.",
        examples=[_money("60.00")],
    )
    common_cause_known: ProbabilityText = Field(
        default=Decimal(0),
        description="Chance that what broke the unit breaks it again, cause known and removed.",
        examples=["0.02"],
    )
    common_cause_unknown: ProbabilityText = Field(
        default=Decimal(0), description="The same, cause unknown.", examples=["0.10"]
    )
    cause_chances: tuple[CauseChanceFields, ...] = Field(
        default=(),
        max_length=MOST_CAUSE_CHANCES,
        description="The chance by kind of cause, and by how the unit failed; each once.",
    )

    @model_validator(mode="after")
    def _each_cause_once(self) -> Self:
        pairs = [(one.cause_kind, one.mechanism) for one in self.cause_chances]
        checked(lambda: check_cause_pairs(pairs))
        return self


class WorkCalendarFields(Body):
    """When the shop works; weekdays count from Monday = 1 to Sunday = 7 (ISO 8601)."""

    timezone: Timezone = Field(
        default="UTC", description="Time zone by its place.", examples=["Europe/Vienna"]
    )
    country: CountryCode | None = Field(
        default=None, description="Country whose public holidays are kept.", examples=["AT"]
    )
    subdivision: SubdivisionCode | None = Field(
        default=None, description="Subdivision of the country.", examples=["7"]
    )
    weekdays: tuple[Weekday, ...] = Field(
        default=(1, 2, 3, 4, 5),
        min_length=1,
        max_length=7,
        description="Days worked.",
        examples=[[1, 2, 3, 4, 5]],
    )
    closed_on: tuple[CalendarDate, ...] = Field(
        default=(),
        max_length=1000,
        description="Days closed besides.",
        examples=[["2031-08-11"]],
    )
    open_on: tuple[CalendarDate, ...] = Field(
        default=(),
        max_length=1000,
        description="Days open although they would not be.",
        examples=[["2031-03-08"]],
    )
    opens_at: ClockTime = Field(default="08:00", description="Opening time.", examples=["07:30"])
    closes_at: ClockTime = Field(default="17:00", description="Closing time.", examples=["16:30"])
    bench_hours_per_day: PositiveDecimalText = Field(
        default=Decimal(8), description="Bench hours of a working day.", examples=["6.5"]
    )

    @model_validator(mode="after")
    def _sensible_day(self) -> Self:
        check_distinct(self.weekdays, "/weekdays", "day")
        if self.closes_at <= self.opens_at:
            refuse(
                "range-reversed",
                f"closes_at {self.closes_at} is not after opens_at {self.opens_at}.",
                "Give a closing time after the opening time.",
                "/closes_at",
            )
        if self.bench_hours_per_day > 24:
            refuse(
                "out-of-range",
                f"A day of {plain(self.bench_hours_per_day)} bench hours; a day has 24.",
                "Give the bench hours of one working day, of one bench.",
                "/bench_hours_per_day",
            )
        for index, day in enumerate(self.open_on):
            if day in self.closed_on:
                refuse(
                    "repeated",
                    f"{day} is both in open_on and in closed_on.",
                    "Keep it in one of them.",
                    f"/open_on/{index}",
                )
        if self.subdivision is not None and self.country is None:
            refuse(
                "country-missing",
                "Got subdivision without country.",
                "Give country too.",
                "/country",
            )
        return self


class ComebackExperienceFields(Body):
    """Comebacks within the warranty by kind of source: a beta prior and what happened since."""

    kind: ExperienceKind = Field(description="What the rate is kept for.", examples=["salvaged"])
    prior_mean: ProbabilityText = Field(
        description="Mean of the prior, above 0 and below 1.", examples=["0.08"]
    )
    prior_weight: PositiveDecimalText = Field(
        description="Weight of the prior, in fitments.", examples=["20"]
    )
    comebacks: WholeNumber = Field(default=0, description="Comebacks since.", examples=[3])
    trials: WholeNumber = Field(default=0, description="Fitments since.", examples=[41])
    part_kind: ShortText | None = Field(
        default=None, description="For this kind of part only.", examples=["ball-bearing"]
    )
    basis: LongText | None = Field(
        default=None, description="Where the figures come from.", examples=["Jobs of 2028-2030"]
    )

    @model_validator(mode="after")
    def _counts(self) -> Self:
        check_counts(self.prior_mean, self.comebacks, self.trials, "comebacks")
        return self


class SalvageExperienceFields(Body):
    """How often a part taken from a donor proves good, by why the donor was retired."""

    prior_mean: ProbabilityText = Field(
        description="Mean of the prior, above 0 and below 1.", examples=["0.7"]
    )
    prior_weight: PositiveDecimalText = Field(
        description="Weight of the prior, in parts.", examples=["10"]
    )
    good: WholeNumber = Field(default=0, description="Good ones since.", examples=[12])
    trials: WholeNumber = Field(default=0, description="Parts taken since.", examples=[15])
    reason_retired: ReasonRetired | None = Field(
        default=None, description="For donors retired for this reason only.", examples=["wear"]
    )
    part_kind: ShortText | None = Field(
        default=None, description="For this kind of part only.", examples=["gear-pair"]
    )
    basis: LongText | None = Field(
        default=None, description="Where the figures come from.", examples=["Yard book 2029"]
    )

    @model_validator(mode="after")
    def _counts(self) -> Self:
        check_counts(self.prior_mean, self.good, self.trials, "good")
        return self


def check_counts(prior_mean: Decimal, successes: int, trials: int, name: str) -> None:
    """Refuse a prior that is certain, and more successes than trials."""
    if not 0 < prior_mean < 1:
        refuse(
            "out-of-range",
            f"Got {plain(prior_mean)}; wanted more than 0 and less than 1.",
            "Nothing is certain: give a mean such as 0.05.",
            "/prior_mean",
        )
    if successes > trials:
        refuse(
            "count-above-trials",
            f"{name} is {successes}, above trials {trials}.",
            f"Give trials of at least {successes}.",
            f"/{name}",
        )


class InspectionExperienceFields(Body):
    """How often a part that was not inspected proves conforming once it is."""

    prior_mean: ProbabilityText = Field(
        description="Mean of the prior, above 0 and below 1.", examples=["0.8"]
    )
    prior_weight: PositiveDecimalText = Field(
        description="Weight of the prior, in parts.", examples=["10"]
    )
    conforming: WholeNumber = Field(default=0, description="Conforming since.", examples=[18])
    trials: WholeNumber = Field(default=0, description="Parts inspected since.", examples=[22])
    part_kind: ShortText | None = Field(
        default=None, description="For this kind of part only.", examples=["ball-bearing"]
    )
    basis: LongText | None = Field(
        default=None, description="Where the figures come from.", examples=["Bench book 2030"]
    )

    @model_validator(mode="after")
    def _counts(self) -> Self:
        check_counts(self.prior_mean, self.conforming, self.trials, "conforming")
        return self


class LifeRecordFields(Body):
    """Weibull life of a kind of part, in running hours."""

    part_kind: ShortText = Field(description="The kind of part.", examples=["ball-bearing"])
    shape: PositiveDecimalText = Field(description="Weibull shape.", examples=["1.5"])
    scale_hours: PositiveDecimalText = Field(
        description="Weibull scale, in running hours.", examples=["12000"]
    )
    basis: LongText = Field(
        description="Where the figures come from.", examples=["Shop's jobs, 14 failures"]
    )
    method: LifeMethod | None = Field(
        default=None, description="How the figures were found.", examples=["maximum-likelihood"]
    )
    failures: FailureCount | None = Field(
        default=None, description="How many failed parts they stand on.", examples=[14]
    )


class ShopSettingsCreate(Body):
    """Everything a shop settles once; a new version replaces the old one, none is lost."""

    currency: CurrencyCode = Field(description="The shop's one currency.", examples=[_EURO])
    pricing: PricingRulesFields = Field(description="From cost to price.")
    warranty: WarrantyTermsFields = Field(description="The shop's warranty on its work.")
    calendar: WorkCalendarFields = Field(
        default_factory=WorkCalendarFields, description="When the shop works."
    )
    rules: DecisionRulesFields = Field(
        default_factory=DecisionRulesFields, description="How readings are judged."
    )
    policy: PolicyFields = Field(default_factory=PolicyFields, description="What is allowed.")
    comeback_experience: tuple[ComebackExperienceFields, ...] = Field(
        default=(), max_length=500, description="Comeback rates by kind of source."
    )
    salvage_experience: tuple[SalvageExperienceFields, ...] = Field(
        default=(), max_length=500, description="How often a donor's part proves good."
    )
    life_records: tuple[LifeRecordFields, ...] = Field(
        default=(), max_length=500, description="Weibull lives by kind of part."
    )
    inspection_experience: tuple[InspectionExperienceFields, ...] = Field(
        default=(), max_length=500, description="How often an uninspected part proves conforming."
    )
    interchange: InterchangeRulesFields = Field(
        default_factory=InterchangeRulesFields,
        description="How sure an interchange must be to be planned with.",
    )

    @model_validator(mode="after")
    def _one_currency(self) -> Self:
        for at, money in money_members(self):
            if money.currency != self.currency:
                refuse(
                    "currency-mixed",
                    f"Got {money.currency}; the shop's currency is {self.currency}.",
                    f"Give the amount in {self.currency}.",
                    f"{at}/currency",
                )
        return self


def money_members(value: Any, at: str = "") -> Iterator[tuple[str, MoneyIn]]:
    """Yield every amount below a body with its JSON pointer."""
    if isinstance(value, MoneyIn):
        yield at, value
    elif isinstance(value, Body):
        for name in type(value).model_fields:
            yield from money_members(getattr(value, name), f"{at}/{name}")
    elif isinstance(value, tuple):
        for index, item in enumerate(value):
            yield from money_members(item, f"{at}/{index}")


class ShopSettingsRead(RecordHead, ShopSettingsCreate):
    """Shop settings as stored."""


class ShopSettingsInSnapshot(SnapshotId, ShopSettingsCreate):
    """Shop settings inside a snapshot."""
