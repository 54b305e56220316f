"""The promise date: when everything is there and the bench work is done, with the asked chance.

Day zero is the first working day on which something can still be ordered. What arrives during a
day lies until the next working day; only where nothing is awaited can work begin on day zero.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import date, datetime
from decimal import ROUND_CEILING, Decimal

from shared.errors import InvalidInput, OutOfRange
from shared.sourcing.arrivals import joint_quantile
from shared.sourcing.calendar import (
    can_start_on_day_zero,
    day_zero,
    has_subdivisions,
    order_day_index,
    working_days,
)
from shared.sourcing.lead_time import (
    CHANCE_ONE,
    FARTHEST_DAY,
    WIDE_RATIO,
    LeadTime,
    chance_by_day,
    check_quotes,
    first_day_meeting,
    is_on_shelf,
    is_wide,
    joint_chance_by_day,
    joint_tail_day,
)
from shared.sourcing.model import WorkCalendar

LONGEST_BENCH_HOURS = 10_000
_CALENDAR_MEMBERS = frozenset(field.name for field in fields(WorkCalendar))
_CLOSURES_NAMED = 20
_TABLE_RISE = CHANCE_ONE // 100
_TABLE_CONFIDENCE = CHANCE_ONE * 99 // 100


@dataclass(frozen=True, slots=True)
class Arrival:
    """One delivery that the job awaits; ``order_cutoff`` is "HH:MM" on the shop's clock."""

    p50_days: Decimal
    p90_days: Decimal
    order_cutoff: str | None = None


@dataclass(frozen=True, slots=True)
class DayChance:
    """Chance that all is there at the end of a working day."""

    date: date
    probability: Decimal


@dataclass(frozen=True, slots=True)
class Promise:
    """What may be promised.

    ``p50_days`` and ``p90_days``: until the last delivery, in working days after day zero.
    ``arrival_date``: first day at the end of which all is there with the asked confidence.
    ``promise_date``: the job is ready that day; ``work_starts_on`` its first day of bench work.
    """

    p50_days: Decimal
    p90_days: Decimal
    arrival_date: date
    work_starts_on: date
    promise_date: date
    probability_by_day: tuple[DayChance, ...]
    assumptions: tuple[str, ...]


def promise(
    arrivals: Sequence[Arrival],
    confidence: Decimal,
    as_of: datetime,
    calendar: WorkCalendar,
    bench_hours: Decimal | None = None,
) -> Promise:
    """Promise date of a job that awaits ``arrivals``, ordered at ``as_of``, then needs bench work.

    ``confidence`` in (0, 1]; ``bench_hours``: hours of work at their P90, None where the question
    is only when all is there. Raises InvalidInput naming the member that cannot be.
    """
    try:
        return _promise(arrivals, confidence, as_of, calendar, bench_hours)
    except InvalidInput as error:
        if error.pointer.removeprefix("/") in _CALENDAR_MEMBERS:
            raise error.below("/calendar") from None
        raise


def start_of_work(arrival_day: int, starts_on_day_zero: bool) -> int:
    """First day index of bench work when the last delivery is there on ``arrival_day``.

    The working day after the arrival (trade practice); day 0 only where nothing is awaited and
    ``starts_on_day_zero`` says that the day is still whole.

    >>> start_of_work(0, True), start_of_work(0, False), start_of_work(3, True)
    (0, 1, 4)
    """
    return 0 if arrival_day == 0 and starts_on_day_zero else arrival_day + 1


def bench_days(bench_hours: Decimal, bench_hours_per_day: Decimal) -> int:
    """Working days that bench work takes, begun ones counted whole; hours above 0, at most 10,000.

    >>> bench_days(Decimal(4), Decimal(8)), bench_days(Decimal("8.1"), Decimal(8))
    (1, 2)
    """
    if not bench_hours.is_finite() or not 0 < bench_hours <= LONGEST_BENCH_HOURS:
        raise OutOfRange("bench_hours", bench_hours, f"from 0 to {LONGEST_BENCH_HOURS} hours")
    days = int((bench_hours / bench_hours_per_day).to_integral_value(ROUND_CEILING))
    if days > FARTHEST_DAY:
        raise OutOfRange(
            "bench_hours_per_day", bench_hours_per_day, f"enough for {bench_hours} hours of work"
        )
    return days


def _promise(
    arrivals: Sequence[Arrival],
    confidence: Decimal,
    as_of: datetime,
    calendar: WorkCalendar,
    bench_hours: Decimal | None,
) -> Promise:
    zero = day_zero(as_of, calendar)
    leads = [_lead(arrival, as_of, calendar, place) for place, arrival in enumerate(arrivals)]
    arrival_day = joint_tail_day(leads, confidence)
    start_day = start_of_work(arrival_day, can_start_on_day_zero(as_of, calendar))
    ready_day = arrival_day
    if bench_hours:
        ready_day = start_day + bench_days(bench_hours, calendar.bench_hours_per_day) - 1
    chances = _chances(leads, arrival_day)
    last_day = max(ready_day, start_day, len(chances) - 1)
    dates = working_days(calendar).days_from(zero, last_day)
    return Promise(
        p50_days=_as_decimal(joint_quantile(leads, 0.5)),
        p90_days=_as_decimal(joint_quantile(leads, 0.9)),
        arrival_date=dates[arrival_day],
        work_starts_on=dates[start_day],
        promise_date=dates[ready_day],
        probability_by_day=_table(chances, dates, arrival_day),
        assumptions=(
            *_calendar_assumptions(calendar, zero, dates[ready_day]),
            *_delivery_assumptions(leads),
            *_bench_assumptions(calendar, bench_hours),
        ),
    )


def _lead(arrival: Arrival, as_of: datetime, calendar: WorkCalendar, place: int) -> LeadTime:
    order_day = 0
    try:
        check_quotes(arrival.p50_days, arrival.p90_days)
        if arrival.order_cutoff is not None:
            order_day = order_day_index(as_of, calendar, arrival.order_cutoff)
    except InvalidInput as error:
        raise error.below(f"/arrivals/{place}") from None
    return LeadTime(arrival.p50_days, arrival.p90_days, order_day)


def _chances(leads: Sequence[LeadTime], arrival_day: int) -> tuple[int, ...]:
    """Joint chances by day, to the arrival day or on to 0.99 where that is reached."""
    last_day = max(first_day_meeting(leads, _TABLE_CONFIDENCE) or 0, arrival_day)
    tables = [
        chance_by_day(lead.p50_days, lead.p90_days, lead.order_day, last_day) for lead in leads
    ]
    return joint_chance_by_day(tables, last_day)


def _table(
    chances: Sequence[int], dates: Sequence[date], arrival_day: int
) -> tuple[DayChance, ...]:
    """The days on which the chance has risen by a hundredth since the last row, and the arrival."""
    rows: list[DayChance] = []
    shown = 0
    for day, chance in enumerate(chances):
        if chance - shown >= _TABLE_RISE or day == arrival_day:
            rows.append(DayChance(dates[day], Decimal(chance) / CHANCE_ONE))
            shown = chance
    return tuple(rows)


def _as_decimal(days: float) -> Decimal:
    return round(Decimal(f"{days:.9g}"), 12).normalize()


def _calendar_assumptions(calendar: WorkCalendar, zero: date, ready: date) -> list[str]:
    lines = [f"Day zero, on which the order counts, is {zero} by the clock of {calendar.timezone}."]
    if calendar.country is None:
        lines.append("No country is given: no public holidays are counted.")
    else:
        place = "-".join(filter(None, (calendar.country, calendar.subdivision)))
        lines.append(f"Public holidays of {place} count as closed, on the days they are observed.")
        if calendar.subdivision is None and has_subdivisions(calendar.country):
            lines.append(
                "No subdivision is given: holidays of parts of the country are not counted."
            )
    closed = working_days(calendar).closures(zero, ready)
    if closed:
        days = ", ".join(f"{day} ({why})" for day, why in closed[:_CLOSURES_NAMED])
        more = " and more" if len(closed) > _CLOSURES_NAMED else ""
        lines.append(f"Closed until then: {days}{more}.")
    return lines


def _delivery_assumptions(leads: Sequence[LeadTime]) -> list[str]:
    if not leads:
        return ["No delivery is awaited."]
    lines = ["A lead time is lognormal between its P50 and P90; fixed where the two are equal."]
    if len(leads) > 1:
        lines.append("The deliveries are independent; what comes in one parcel is one of them.")
    for number, lead in enumerate(leads, start=1):
        if lead.order_day and not is_on_shelf(lead.p50_days, lead.p90_days):
            lines.append(f"Arrival {number} is ordered a working day later: its cut-off is past.")
        if is_wide(lead.p50_days, lead.p90_days):
            lines.append(
                f"Arrival {number}: P90 is more than {WIDE_RATIO} times P50; such quotes say"
                " little, ask the supplier again before promising."
            )
    return lines


def _bench_assumptions(calendar: WorkCalendar, bench_hours: Decimal | None) -> list[str]:
    if not bench_hours:
        return ["No bench work is counted: the promise date is the day on which all is there."]
    return [
        "What arrives during a day is worked on from the next working day.",
        f"{bench_hours:f} h of bench work at {calendar.bench_hours_per_day:f} h a working day,"
        " begun days counted whole, nothing else on the bench.",
    ]
