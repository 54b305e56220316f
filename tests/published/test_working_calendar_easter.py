"""Easter Sundays: Good Friday, two days before, closes the shop where it is a public holiday.

Source: public tables of Easter, from memory; confirmed by two independent libraries. Exact.
"""

from datetime import date, timedelta

import pytest

from shared.sourcing.calendar import WorkingDays
from shared.sourcing.model import WorkCalendar

EASTER_SUNDAYS = [
    date(2024, 3, 31),
    date(2025, 4, 20),
    date(2026, 4, 5),
    date(2027, 3, 28),
    date(2038, 4, 25),
]


@pytest.mark.parametrize("sunday", EASTER_SUNDAYS)
def test_good_friday_and_easter_monday_of_england_lie_about_the_published_sunday(
    sunday: date,
) -> None:
    england = WorkingDays(WorkCalendar(country="GB", subdivision="ENG"))
    assert england.holiday(sunday - timedelta(days=2)) == "Good Friday"
    assert england.holiday(sunday + timedelta(days=1)) == "Easter Monday"
