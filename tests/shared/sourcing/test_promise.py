"""The promise date."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.errors import InvalidInput
from shared.sourcing.calendar import working_days
from shared.sourcing.model import WorkCalendar
from shared.sourcing.promise import Arrival, Promise, bench_days, promise

D = Decimal
MONDAY = date(2026, 11, 23)
MONDAY_NOON = datetime(2026, 11, 23, 12, tzinfo=UTC)
MONDAY_AT_OPENING = datetime(2026, 11, 23, 8, tzinfo=UTC)
FIXED = Arrival(D(3), D(3))


def ask(*arrivals: Arrival, **changes: object) -> Promise:
    members = {
        "confidence": D("0.9"),
        "as_of": MONDAY_NOON,
        "calendar": WorkCalendar(),
        "bench_hours": None,
    }
    return promise(arrivals, **(members | changes))


def test_without_bench_work_the_promise_is_the_arrival() -> None:
    found = ask(FIXED)
    assert found.arrival_date == found.promise_date == date(2026, 11, 26)
    assert found.work_starts_on == date(2026, 11, 27)
    assert any("No bench work" in line for line in found.assumptions)


@pytest.mark.parametrize(
    ("hours", "ready"),
    [("0", 26), ("0.1", 27), ("8", 27), ("8.1", 30)],
)
def test_bench_work_begins_the_working_day_after_the_last_arrival(hours: str, ready: int) -> None:
    assert ask(FIXED, bench_hours=D(hours)).promise_date == date(2026, 11, ready)


def test_with_nothing_awaited_a_whole_day_is_needed_to_begin() -> None:
    assert ask(bench_hours=D(4)).promise_date == date(2026, 11, 24)
    assert ask(bench_hours=D(4), as_of=MONDAY_AT_OPENING).promise_date == MONDAY
    saturday = datetime(2026, 11, 28, 15, tzinfo=UTC)
    assert ask(bench_hours=D(4), as_of=saturday).promise_date == date(2026, 11, 30)


def test_a_missed_cut_off_costs_a_working_day_and_is_said() -> None:
    late = Arrival(D(3), D(3), order_cutoff="11:00")
    found = ask(late, Arrival(D(0), D(0), order_cutoff="11:00"))
    assert found.arrival_date == date(2026, 11, 27)
    assert found.p50_days == found.p90_days == 4
    said = [line for line in found.assumptions if "cut-off" in line]
    assert said == ["Arrival 1 is ordered a working day later: its cut-off is past."]


def test_the_chance_on_the_promised_day_meets_the_confidence_and_the_day_before_does_not() -> None:
    found = ask(Arrival(D(2), D(4)), Arrival(D(5), D(9)), Arrival(D(6), D(14)))
    rows = {row.date: row.probability for row in found.probability_by_day}
    assert rows[found.arrival_date] >= D("0.9")
    assert rows[found.arrival_date - timedelta(days=3)] < D("0.9")  # the Friday before the Monday
    assert found.arrival_date == date(2026, 12, 14)
    assert list(rows.values()) == sorted(rows.values())


def test_a_wide_quote_is_warned_about() -> None:
    assert any("P90 is more than 3 times" in line for line in ask(Arrival(D(1), D(4))).assumptions)
    assert not any("3 times" in line for line in ask(Arrival(D(1), D(3))).assumptions)


def test_the_answer_says_which_holidays_it_counted_and_which_it_did_not() -> None:
    found = ask(FIXED, calendar=WorkCalendar(country="US"))
    assert found.arrival_date == date(2026, 11, 27)
    assert "Closed until then: 2026-11-26 (Thanksgiving Day)." in found.assumptions
    assert any(line.startswith("No subdivision") for line in found.assumptions)
    assert any(line.startswith("No country") for line in ask(FIXED).assumptions)


def test_the_table_is_short_however_wide_the_quotes() -> None:
    found = ask(*[Arrival(D("0.5"), D(900))] * 3, confidence=D("0.5"))
    assert len(found.probability_by_day) <= 101


def test_certainty_is_promised_by_fixed_times_only() -> None:
    assert ask(FIXED, confidence=D(1)).promise_date == date(2026, 11, 26)
    with pytest.raises(InvalidInput) as caught:
        ask(Arrival(D(3), D(4)), confidence=D(1))
    assert caught.value.pointer == "/confidence"


@pytest.mark.parametrize(
    ("arrivals", "changes", "pointer"),
    [
        ([FIXED, Arrival(D(3), D(2))], {}, "/arrivals/1/p90_days"),
        ([Arrival(D(3), D(3), "25:00")], {}, "/arrivals/0/order_cutoff"),
        ([FIXED], {"confidence": D(0)}, "/confidence"),
        ([FIXED], {"confidence": D("NaN")}, "/confidence"),
        ([FIXED], {"bench_hours": D(-1)}, "/bench_hours"),
        ([FIXED], {"bench_hours": D("NaN")}, "/bench_hours"),
        ([FIXED], {"as_of": datetime(2026, 11, 23, 9)}, "/as_of"),
        ([FIXED], {"as_of": datetime(1, 1, 1, tzinfo=UTC)}, "/as_of"),
        ([FIXED], {"as_of": datetime(9999, 12, 31, 23, tzinfo=UTC)}, "/as_of"),
        ([FIXED], {"calendar": WorkCalendar(timezone="X/Y")}, "/calendar/timezone"),
        ([FIXED], {"calendar": WorkCalendar(weekdays=())}, "/calendar/weekdays"),
        (
            [FIXED],
            {"bench_hours": D(9000), "calendar": WorkCalendar(bench_hours_per_day=D("0.01"))},
            "/calendar/bench_hours_per_day",
        ),
        (
            [FIXED],
            {
                "calendar": WorkCalendar(
                    closed_on=tuple(MONDAY + timedelta(days=day) for day in range(3000))
                )
            },
            "/calendar/closed_on",
        ),
    ],
)
def test_what_cannot_be_is_refused_by_name(
    arrivals: list[Arrival], changes: dict[str, object], pointer: str
) -> None:
    with pytest.raises(InvalidInput) as caught:
        ask(*arrivals, **changes)
    assert caught.value.pointer == pointer


def test_begun_bench_days_count_whole() -> None:
    assert bench_days(D("16.01"), D(8)) == 3
    assert bench_days(D(16), D(8)) == 2


@given(
    st.integers(0, 40),
    st.datetimes(datetime(2026, 1, 1), datetime(2030, 1, 1), timezones=st.just(UTC)),
    st.sampled_from([None, "US", "DE"]),
)
def test_fixed_lead_times_give_the_counted_date(
    days: int, as_of: datetime, country: str | None
) -> None:
    calendar = WorkCalendar(country=country)
    found = promise([Arrival(D(days), D(days))], D("0.9"), as_of, calendar)
    open_days = working_days(calendar)
    today = as_of.date()
    start = today if open_days.is_open(today) and as_of.hour < 17 else today + timedelta(days=1)
    assert found.promise_date == open_days.add(start, days)
    assert found.p50_days == found.p90_days == days


@given(
    st.lists(st.tuples(st.integers(1, 9), st.integers(0, 9)), min_size=1, max_size=4),
    st.decimals("0.5", "0.98", places=2),
)
def test_more_confidence_or_more_work_never_promises_earlier(
    pairs: list[tuple[int, int]], confidence: Decimal
) -> None:
    arrivals = [Arrival(D(p50), D(p50 + more)) for p50, more in pairs]
    asked = ask(*arrivals, confidence=confidence)
    surer = ask(*arrivals, confidence=confidence + D("0.01"))
    worked = ask(*arrivals, confidence=confidence, bench_hours=D(4))
    assert asked.promise_date <= surer.promise_date
    assert asked.promise_date < worked.promise_date
    assert (asked.p50_days, asked.p90_days) == (surer.p50_days, surer.p90_days)
