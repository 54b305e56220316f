"""Bank holidays of England in 2026 that close a weekday.

Source: the official list, from memory; confirmed by two independent libraries. Exact. 26 December
2026 is a Saturday, so that the substitute day is Monday, the 28th.
"""

from datetime import date, timedelta

from shared.sourcing.calendar import WorkingDays
from shared.sourcing.model import WorkCalendar

PUBLISHED = [
    date(2026, 1, 1),
    date(2026, 4, 3),
    date(2026, 4, 6),
    date(2026, 5, 4),
    date(2026, 5, 25),
    date(2026, 8, 31),
    date(2026, 12, 25),
    date(2026, 12, 28),
]


def test_the_weekdays_closed_in_england_in_2026_are_the_published_ones() -> None:
    england = WorkingDays(WorkCalendar(country="GB", subdivision="ENG"))
    year = [date(2026, 1, 1) + timedelta(days=day) for day in range(365)]
    assert [day for day in year if day.isoweekday() < 6 and not england.is_open(day)] == PUBLISHED
