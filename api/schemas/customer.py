"""The options as a customer may see them: no cost, no margin, no supplier."""

from pydantic import Field

from api.schemas.base import Answer, CalendarDate, Flag, IdText, ShortText, UtcDateTime
from shared.decision.result import CustomerPlan, Route
from shared.evidence import Caution


class CustomerOption(Answer):
    """One way to get going again."""

    plan_id: ShortText = Field(description="The plan's id in the options.", examples=["plan-3f9a"])
    route: Route = Field(description="By which route.", examples=["rebuild"])
    is_recommended: Flag = Field(description="Whether it is recommended.", examples=[True])
    holds_until: CalendarDate | None = Field(
        description="Last day on which its prices can be had; null where no end is known.",
        examples=["2031-04-30"],
    )
    plan: CustomerPlan = Field(description="What is done, what it costs, when it is ready.")


class CustomerOptions(Answer):
    """Every way that is ready in time, the recommended one first."""

    job_id: IdText = Field(description="The job.", examples=["job_4hd"])
    as_of: UtcDateTime = Field(
        description="The moment it was worked out for.", examples=["2031-03-04T09:15:00Z"]
    )
    required_by_on: CalendarDate | None = Field(
        description="The day by which it must run; null if none is asked.", examples=["2031-03-17"]
    )
    earliest_promise_on: CalendarDate | None = Field(
        description="Where nothing is ready in time: the earliest date that can be promised, if"
        " there is one.",
        examples=["2031-03-21"],
    )
    items: tuple[CustomerOption, ...] = Field(
        max_length=1000, description="The ways that are ready in time."
    )
    cautions: tuple[Caution, ...] = Field(
        max_length=1000, description="What has to be kept in mind on every way."
    )
