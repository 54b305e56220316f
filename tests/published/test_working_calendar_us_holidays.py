"""Federal holidays of the United States in 2026 that close a weekday.

Source: the federal list, from memory; confirmed by an independent library. Exact. 4 July 2026 is a
Saturday, observed on Friday, the 3rd; 19 June is a holiday since 2021.
"""

from datetime import date, timedelta

from shared.sourcing.calendar import WorkingDays
from shared.sourcing.model import WorkCalendar

PUBLISHED = [
    date(2026, 1, 1),
    date(2026, 1, 19),
    date(2026, 2, 16),
    date(2026, 5, 25),
    date(2026, 6, 19),
    date(2026, 7, 3),
    date(2026, 9, 7),
    date(2026, 10, 12),
    date(2026, 11, 11),
    date(2026, 11, 26),
    date(2026, 12, 25),
]


def test_the_weekdays_closed_in_the_united_states_in_2026_are_the_published_ones() -> None:
    states = WorkingDays(WorkCalendar(country="US"))
    year = [date(2026, 1, 1) + timedelta(days=day) for day in range(365)]
    assert [day for day in year if day.isoweekday() < 6 and not states.is_open(day)] == PUBLISHED
