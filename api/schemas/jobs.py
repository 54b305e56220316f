"""Jobs and their outcomes.

The members are the fields of Job in ``shared/decision/snapshot.py`` and of
``shared/decision/outcome.py``.
"""

from typing import Self

from pydantic import Field, model_validator

from api.schemas.base import (
    Body,
    CalendarDate,
    Flag,
    HoursPerYearText,
    HoursText,
    IdText,
    LongText,
    MoneyIn,
    ProbabilityText,
    checked,
    plain,
    refuse,
)
from api.schemas.records import RecordHead, SnapshotId, check_distinct
from api.schemas.shop_settings import check_confidence
from shared.decision.check.job import LARGEST_PER_DAY_MINOR, check_cause
from shared.decision.job_states import JobState
from shared.decision.snapshot import WaitingKind
from shared.evidence import CauseKind, FailureMechanism
from shared.money import Money


class WaitingFields(Body):
    """A loan unit or a hired one, for every calendar day until the unit is ready."""

    kind: WaitingKind = Field(description="Lent by the shop, or hired.", examples=["loan"])
    cost_per_day: MoneyIn = Field(
        description="What a day costs the shop.", examples=[{"amount": "12.00", "currency": "EUR"}]
    )
    price_per_day: MoneyIn = Field(
        description="What a day costs the customer.",
        examples=[{"amount": "18.00", "currency": "EUR"}],
    )
    description: LongText | None = Field(
        default=None, description="Which one.", examples=["The yard's own spare drive"]
    )


class JobCreate(Body):
    """One customer's unit and what is wanted of it."""

    unit_id: IdText = Field(description="The customer's unit.", examples=["unt_7kq"])
    complaint: LongText = Field(
        description="What the customer says.", examples=["Noisy, oil under it."]
    )
    state: JobState = Field(
        default=JobState.BOOKED_IN, description="Where the job stands.", examples=["measured"]
    )
    cause: LongText | None = Field(
        default=None,
        description="Why it failed; none: not known, and the risk rises.",
        examples=["Seal worn, bearing ran dry."],
    )
    horizon_hours: HoursText | None = Field(
        default=None,
        description="How many running hours the customer needs the machine's function.",
        examples=["2000"],
    )
    required_by_on: CalendarDate | None = Field(
        default=None, description="The day by which it must run.", examples=["2031-03-17"]
    )
    confidence: ProbabilityText | None = Field(
        default=None,
        description="How sure the promise must be; the shop's rule if not given.",
        examples=["0.9"],
    )
    spending_limit: MoneyIn | None = Field(
        default=None,
        description="What the customer will spend at most.",
        examples=[{"amount": "1200.00", "currency": "EUR"}],
    )
    opened_group_ids: tuple[IdText, ...] = Field(
        default=(),
        max_length=200,
        description="Access groups that the inspection left open.",
        examples=[["acg_9a2"]],
    )
    inspection_price: MoneyIn | None = Field(
        default=None,
        description="Inspection already done: billed on every route, compared on none.",
        examples=[{"amount": "95.00", "currency": "EUR"}],
    )
    core_unit_id: IdText | None = Field(
        default=None,
        description="The unit that would go back as core; the customer's own if not given.",
        examples=["unt_1c3"],
    )
    notes: LongText | None = Field(
        default=None,
        description="Anything worth knowing.",
        examples=["Contract starts on the 17th."],
    )
    core_back_on: CalendarDate | None = Field(
        default=None,
        description="The first day on which the core could go back, if not at once.",
        examples=["2031-03-21"],
    )
    waiting: WaitingFields | None = Field(
        default=None, description="What the customer runs until the unit is back."
    )
    standstill_cost_per_day: MoneyIn | None = Field(
        default=None,
        description="What each calendar day without the unit costs the customer; not billed.",
        examples=[{"amount": "85.00", "currency": "EUR"}],
    )
    replacement_cost: MoneyIn | None = Field(
        default=None,
        description="What another machine would cost the customer; only with it is retiring the"
        " unit compared.",
        examples=[{"amount": "2400.00", "currency": "EUR"}],
    )
    hours_per_year: HoursPerYearText | None = Field(
        default=None, description="Hours that the unit runs in a year.", examples=["600"]
    )
    failure_mechanism: FailureMechanism | None = Field(
        default=None, description="How it failed, as it shows on the part.", examples=["fatigue"]
    )
    cause_kind: CauseKind | None = Field(
        default=None,
        description="Why it failed: where the root lies; none: not known.",
        examples=["contamination"],
    )
    is_cause_removed: Flag | None = Field(
        default=None,
        description="Whether the cause is put right with the job; none: not said.",
        examples=[True],
    )

    @model_validator(mode="after")
    def _whole(self) -> Self:
        check_distinct(self.opened_group_ids, "/opened_group_ids", "group")
        if self.confidence is not None:
            check_confidence(self.confidence, "/confidence")
        if self.horizon_hours is not None and self.horizon_hours == 0:
            refuse(
                "out-of-range",
                "Got 0; wanted more than 0 hours.",
                "Give the hours, or leave horizon_hours out.",
                "/horizon_hours",
            )
        self._check_per_day()
        checked(lambda: check_cause(self.cause, self.cause_kind, self.is_cause_removed))
        return self

    def _check_per_day(self) -> None:
        """Refuse more a day than what is counted with over the longest calendar."""
        amounts = {"/standstill_cost_per_day": self.standstill_cost_per_day}
        if self.waiting is not None:
            amounts["/waiting/cost_per_day"] = self.waiting.cost_per_day
            amounts["/waiting/price_per_day"] = self.waiting.price_per_day
        for at, money in amounts.items():
            if money is None:
                continue
            most = Money.of_minor(LARGEST_PER_DAY_MINOR, money.currency).amount
            if money.amount > most:
                refuse(
                    "out-of-range",
                    f"Got {plain(money.amount)} {money.currency} a day; wanted at most"
                    f" {plain(most)}.",
                    f"Give at most {plain(most)}.",
                    f"{at}/amount",
                )


class JobRead(RecordHead, JobCreate):
    """A job as stored."""


class JobInSnapshot(SnapshotId, JobCreate):
    """A job inside a snapshot."""


class ComebackFields(Body):
    """The job returned within its warranty."""

    came_back_on: CalendarDate = Field(description="When it came back.", examples=["2031-08-19"])
    hours_run: HoursText | None = Field(
        default=None, description="Hours run since hand-over.", examples=["310"]
    )
    position_id: IdText | None = Field(
        default=None, description="Where it failed; none: not known.", examples=["pos_4hd"]
    )
    cause: LongText | None = Field(
        default=None, description="Why it failed.", examples=["Seal lip cut at fitting."]
    )
    cost: MoneyIn | None = Field(
        default=None,
        description="What it cost the shop.",
        examples=[{"amount": "140.00", "currency": "EUR"}],
    )
    mechanism: FailureMechanism | None = Field(
        default=None, description="How it failed, as it shows.", examples=["leakage"]
    )
    cause_kind: CauseKind | None = Field(
        default=None, description="Why: where the root lies.", examples=["installation"]
    )


class OutcomeCreate(Body):
    """How a job ended: what it really cost and took, and whether it came back."""

    job_id: IdText = Field(description="The job; each has one outcome.", examples=["job_2f8"])
    decision_id: IdText | None = Field(
        default=None, description="The decision that was followed.", examples=["dec_7kq"]
    )
    handed_over_on: CalendarDate | None = Field(
        default=None, description="When the customer had it back.", examples=["2031-03-14"]
    )
    actual_cost: MoneyIn | None = Field(
        default=None,
        description="What the shop paid, comebacks not counted.",
        examples=[{"amount": "402.10", "currency": "EUR"}],
    )
    actual_price: MoneyIn | None = Field(
        default=None,
        description="What the customer paid.",
        examples=[{"amount": "690.00", "currency": "EUR"}],
    )
    bench_hours: HoursText | None = Field(
        default=None, description="Hours worked at the bench.", examples=["5.5"]
    )
    comebacks: tuple[ComebackFields, ...] = Field(
        default=(),
        max_length=50,
        description="Each return within the warranty.",
        examples=[[{"came_back_on": "2031-08-19", "hours_run": "310"}]],
    )
    note: LongText | None = Field(
        default=None, description="Anything worth knowing.", examples=["Ran quiet on the stand."]
    )


class OutcomeRead(RecordHead, OutcomeCreate):
    """An outcome as stored."""
