"""Lead times and the promise date: the calculation's question and answer."""

from decimal import Decimal

from pydantic import Field

from api.schemas.base import (
    Answer,
    Body,
    CalendarDate,
    ClockTime,
    DaysText,
    DecimalOut,
    HoursText,
    ProbabilityText,
    UtcDateTime,
)
from api.schemas.shop_settings import WorkCalendarFields

MOST_ARRIVALS = 100


class ArrivalIn(Body):
    """One delivery that the job awaits; what comes in one parcel is one delivery."""

    p50_days: DaysText = Field(
        description="Working days within which half of such orders arrive; 0 if on the shelf.",
        examples=["5"],
    )
    p90_days: DaysText = Field(
        description="Working days within which nine in ten arrive; equal to p50_days if fixed.",
        examples=["9"],
    )
    order_cutoff: ClockTime | None = Field(
        default=None,
        description="An order after this time, on the shop's clock, is the next working day's.",
        examples=["15:00"],
    )


class LeadTimeQuestion(Body):
    """What is awaited, how sure the promise must be, and when the shop works."""

    arrivals: tuple[ArrivalIn, ...] = Field(
        max_length=MOST_ARRIVALS,
        description="The deliveries awaited; empty if there is none.",
        examples=[
            [
                {"p50_days": "3", "p90_days": "4"},
                {"p50_days": "2", "p90_days": "4", "order_cutoff": "15:00"},
            ]
        ],
    )
    as_of: UtcDateTime = Field(
        description="The moment from which time is counted: that of the order.",
        examples=["2031-03-04T09:15:00Z"],
    )
    confidence: ProbabilityText = Field(
        default=Decimal("0.9"),
        description="Chance with which the promise must hold, above 0 and at most 1; 1 is met by"
        " fixed lead times only.",
        examples=["0.9"],
    )
    calendar: WorkCalendarFields = Field(
        default=WorkCalendarFields(),
        description="When the shop works; Monday to Friday if not given.",
        examples=[{"timezone": "America/Chicago", "country": "US", "closed_on": ["2031-03-10"]}],
    )
    bench_hours: HoursText | None = Field(
        default=None,
        description="Hours of work, at their P90, that follow the last delivery.",
        examples=["4"],
    )


class DayChanceOut(Answer):
    """Chance that all is there at the end of a working day."""

    date: CalendarDate = Field(description="The working day.", examples=["2031-03-11"])
    probability: DecimalOut = Field(
        description="Chance that all is there at its end.", examples=["0.81"]
    )


class LeadTimeAnswer(Answer):
    """When all is there and the work is done, with the asked confidence."""

    p50_days: DecimalOut = Field(
        description="Working days after day zero by which all is there in half of such cases.",
        examples=["3.20921329"],
    )
    p90_days: DecimalOut = Field(
        description="The same in nine of ten: later than the latest single P90.",
        examples=["4.49971379"],
    )
    arrival_date: CalendarDate = Field(
        description="First day at the end of which all is there with the asked confidence.",
        examples=["2031-03-12"],
    )
    work_starts_on: CalendarDate = Field(
        description="First day of bench work: what arrives on a day lies until the next working"
        " day; with nothing awaited, day zero if it is still whole.",
        examples=["2031-03-13"],
    )
    promise_date: CalendarDate = Field(
        description="Day on which the job is ready, bench work included where it is given.",
        examples=["2031-03-13"],
    )
    probability_by_day: tuple[DayChanceOut, ...] = Field(
        max_length=120,
        description="Days on which the chance has risen by a hundredth, and the arrival date.",
        examples=[
            [
                {"date": "2031-03-06", "probability": "0.017720001"},
                {"date": "2031-03-07", "probability": "0.386635065"},
                {"date": "2031-03-11", "probability": "0.81"},
                {"date": "2031-03-12", "probability": "0.943959652"},
                {"date": "2031-03-13", "probability": "0.97789627"},
                {"date": "2031-03-14", "probability": "0.989647488"},
            ]
        ],
    )
    assumptions: tuple[str, ...] = Field(
        max_length=300,
        description="What the answer rests on.",
        examples=[
            [
                "Day zero, on which the order counts, is 2031-03-04 by the clock of"
                " America/Chicago.",
                "Public holidays of US count as closed, on the days they are observed.",
                "No subdivision is given: holidays of parts of the country are not counted.",
                "Closed until then: 2031-03-10 (closed by the shop).",
                "A lead time is lognormal between its P50 and P90; fixed where the two are equal.",
                "The deliveries are independent; what comes in one parcel is one of them.",
                "What arrives during a day is worked on from the next working day.",
                "4 h of bench work at 8 h a working day, begun days counted whole, nothing else on"
                " the bench.",
            ]
        ],
    )
