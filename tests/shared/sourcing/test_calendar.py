"""The working calendar."""

from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.errors import InvalidInput
from shared.sourcing.calendar import (
    LONGEST_CLOSURE_DAYS,
    WorkingDays,
    can_start_on_day_zero,
    can_start_today,
    check_calendar,
    day_zero,
    order_day_index,
    working_days,
)
from shared.sourcing.model import WorkCalendar

MONDAY, FRIDAY, SATURDAY = date(2026, 11, 23), date(2026, 11, 27), date(2026, 11, 28)
PLAIN = WorkCalendar()


def at(day: date, hour: int, minute: int = 0, zone: timezone = UTC) -> datetime:
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=zone)


def days_after(day: date, count: int) -> date:
    return day + timedelta(days=count)


# --- open days -------------------------------------------------------------------------------


def test_a_shop_decision_overrides_the_public_holiday_both_ways() -> None:
    christmas, day_after = date(2026, 12, 25), date(2026, 12, 28)
    assert not WorkingDays(WorkCalendar(country="US")).is_open(christmas)
    assert WorkingDays(WorkCalendar(country="US", open_on=(christmas,))).is_open(christmas)
    assert not WorkingDays(WorkCalendar(country="US", closed_on=(day_after,))).is_open(day_after)


def test_an_extra_saturday_is_worked() -> None:
    assert WorkingDays(WorkCalendar(open_on=(SATURDAY,))).add(FRIDAY, 1) == SATURDAY


def test_a_subdivision_keeps_holidays_that_the_country_does_not() -> None:
    easter_monday = date(2026, 4, 6)
    assert WorkingDays(WorkCalendar(country="GB", subdivision="SCT")).is_open(easter_monday)
    assert not WorkingDays(WorkCalendar(country="GB", subdivision="ENG")).is_open(easter_monday)


def test_a_holiday_observed_in_the_year_before_is_kept() -> None:
    assert not WorkingDays(WorkCalendar(country="US")).is_open(date(2027, 12, 31))


def test_a_start_on_a_closed_day_is_rolled_forward_before_days_are_added() -> None:
    days = WorkingDays(PLAIN)
    assert days.add(SATURDAY, 0) == days_after(SATURDAY, 2)
    assert days.add(SATURDAY, 1) == days_after(SATURDAY, 3)


def test_indices_and_dates_lead_back_to_each_other() -> None:
    days = WorkingDays(WorkCalendar(country="US"))
    dates = days.days_from(MONDAY, 30)
    assert dates[3] == FRIDAY  # Thursday is a holiday: 24th, 25th, 27th
    assert [days.last_index_by(MONDAY, day) for day in dates] == list(range(31))


def test_a_deadline_on_a_closed_day_counts_to_the_open_day_before() -> None:
    days = WorkingDays(PLAIN)
    assert days.last_index_by(MONDAY, days_after(FRIDAY, 2)) == 4
    assert days.last_index_by(MONDAY, days_after(MONDAY, -1)) == -1


def test_closures_are_named_with_their_reason() -> None:
    days = WorkingDays(WorkCalendar(country="US", closed_on=(FRIDAY,)))
    assert days.closures(MONDAY, SATURDAY) == (
        (date(2026, 11, 26), "Thanksgiving Day"),
        (FRIDAY, "closed by the shop"),
    )


def test_a_shop_that_never_opens_again_is_an_error_and_no_endless_search() -> None:
    shut = WorkCalendar(closed_on=tuple(days_after(MONDAY, day) for day in range(4000)))
    with pytest.raises(InvalidInput, match=f"within {LONGEST_CLOSURE_DAYS} days") as caught:
        WorkingDays(shut).next_open(MONDAY)
    assert caught.value.pointer == "/closed_on"


def test_a_date_beyond_the_holiday_lists_is_refused() -> None:
    with pytest.raises(InvalidInput, match="2101"):
        WorkingDays(WorkCalendar(country="US")).add(date(2100, 12, 31), 1)


@pytest.mark.parametrize(
    ("calendar", "pointer"),
    [
        (WorkCalendar(country="XX"), "/country"),
        (WorkCalendar(country="us"), "/country"),
        (WorkCalendar(country="HolidayBase"), "/country"),
        (WorkCalendar(country="US", subdivision="ZZ"), "/subdivision"),
        (WorkCalendar(subdivision="TX"), "/subdivision"),
        (WorkCalendar(timezone="Mars/Base"), "/timezone"),
        (WorkCalendar(timezone="localtime"), "/timezone"),
        (WorkCalendar(timezone="../../etc/passwd"), "/timezone"),
        (WorkCalendar(weekdays=(1, 8)), "/weekdays"),
        (WorkCalendar(weekdays=(0,)), "/weekdays"),
        (WorkCalendar(weekdays=()), "/weekdays"),
        (WorkCalendar(opens_at="17:00", closes_at="08:00"), "/closes_at"),
        (WorkCalendar(opens_at="08:00", closes_at="08:00"), "/closes_at"),
        (WorkCalendar(opens_at="8:00"), "/opens_at"),
        (WorkCalendar(closes_at="24:00"), "/closes_at"),
        (WorkCalendar(bench_hours_per_day=Decimal(0)), "/bench_hours_per_day"),
        (WorkCalendar(bench_hours_per_day=Decimal("NaN")), "/bench_hours_per_day"),
        (WorkCalendar(closed_on=(MONDAY,), open_on=(MONDAY,)), "/open_on"),
    ],
)
def test_a_calendar_that_cannot_be_names_its_field(calendar: WorkCalendar, pointer: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        check_calendar(calendar)
    assert caught.value.pointer == pointer


# --- the day of the order --------------------------------------------------------------------


@pytest.mark.parametrize(
    ("as_of", "zero"),
    [
        (at(FRIDAY, 7), FRIDAY),
        (at(FRIDAY, 16, 59), FRIDAY),
        (at(FRIDAY, 17), days_after(FRIDAY, 3)),
        (at(SATURDAY, 9), days_after(FRIDAY, 3)),
    ],
)
def test_day_zero_is_today_until_the_shop_closes(as_of: datetime, zero: date) -> None:
    assert day_zero(as_of, PLAIN) == zero


def test_the_shop_clock_decides_which_day_it_is() -> None:
    evening_in_utc = at(FRIDAY, 23)
    assert day_zero(evening_in_utc, WorkCalendar(timezone="Pacific/Auckland")) == days_after(
        FRIDAY, 3
    )
    assert day_zero(evening_in_utc, WorkCalendar(timezone="America/Los_Angeles")) == FRIDAY
    assert day_zero(at(FRIDAY, 1), WorkCalendar(timezone="America/Los_Angeles")) == FRIDAY


def test_the_clock_follows_summer_time() -> None:
    shop = WorkCalendar(timezone="America/Chicago")
    assert day_zero(at(date(2026, 7, 1), 22, 30), shop) == date(2026, 7, 2)  # 17:30 by the clock
    assert day_zero(at(date(2026, 12, 1), 22, 30), shop) == date(2026, 12, 1)  # 16:30 by the clock


def test_work_starts_today_only_before_the_shop_opens() -> None:
    assert can_start_today(at(FRIDAY, 8), PLAIN)
    assert not can_start_today(at(FRIDAY, 8, 1), PLAIN)
    assert not can_start_today(at(SATURDAY, 7), PLAIN)
    assert not can_start_today(at(FRIDAY, 17), PLAIN)


def test_a_day_zero_that_is_still_to_come_is_whole() -> None:
    assert can_start_on_day_zero(at(SATURDAY, 12), PLAIN)
    assert can_start_on_day_zero(at(FRIDAY, 18), PLAIN)
    assert not can_start_on_day_zero(at(FRIDAY, 12), PLAIN)


@pytest.mark.parametrize(
    ("as_of", "cutoff", "index"),
    [
        (at(FRIDAY, 14), "14:00", 0),
        (at(FRIDAY, 14).replace(second=1), "14:00", 1),
        (at(FRIDAY, 16), None, 0),
        (at(FRIDAY, 18), "14:00", 0),  # Monday is day zero, and its cut-off is still to come
        (at(SATURDAY, 18), "14:00", 0),
    ],
)
def test_an_order_after_the_cut_off_is_the_next_working_days(
    as_of: datetime, cutoff: str | None, index: int
) -> None:
    assert order_day_index(as_of, PLAIN, cutoff) == index


@pytest.mark.parametrize("cutoff", ["", "2pm", "25:00", "14:0", "14:00\n", "１４:00"])
def test_a_cut_off_that_is_no_time_is_refused(cutoff: str) -> None:
    with pytest.raises(InvalidInput) as caught:
        order_day_index(at(FRIDAY, 9), PLAIN, cutoff)
    assert caught.value.pointer == "/order_cutoff"


def test_a_time_without_an_offset_is_refused() -> None:
    with pytest.raises(InvalidInput, match="offset") as caught:
        day_zero(datetime(2026, 11, 27, 9), PLAIN)
    assert caught.value.pointer == "/as_of"


# --- laws ------------------------------------------------------------------------------------

dates = st.dates(date(2015, 1, 1), date(2060, 12, 31))
calendars = st.builds(
    WorkCalendar,
    country=st.sampled_from([None, "US", "GB", "DE"]),
    weekdays=st.sets(st.integers(1, 7), min_size=1).map(lambda days: tuple(sorted(days))),
    closed_on=st.lists(st.dates(date(2026, 1, 1), date(2026, 3, 1)), max_size=9).map(tuple),
)


@given(calendars, dates, st.integers(-60, 200))
def test_adding_agrees_with_numpys_business_days(
    calendar: WorkCalendar, start: date, count: int
) -> None:
    days = working_days(calendar)
    weekmask = "".join("1" if day in calendar.weekdays else "0" for day in range(1, 8))
    span = range(-600, 2000)
    closed = [
        day
        for day in (days_after(start, offset) for offset in span)
        if day in calendar.closed_on or days.holiday(day) is not None
    ]
    expected = np.busday_offset(start, count, roll="forward", weekmask=weekmask, holidays=closed)
    assert days.add(start, count) == expected.astype(date)


@given(calendars, dates, st.integers(0, 120))
def test_counting_undoes_adding(calendar: WorkCalendar, start: date, count: int) -> None:
    days = working_days(calendar)
    reached = days.add(start, count)
    assert days.count(start, reached) == count
    assert days.last_index_by(start, reached) == count
    assert days.days_from(start, count)[-1] == reached
