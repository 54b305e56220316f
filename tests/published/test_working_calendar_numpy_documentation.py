"""Business-day examples printed in the documentation of numpy (busday_offset, busday_count).

Source: numpy documentation, published and recomputed; exact. The end of a count is not counted.
The calls themselves run beside ours.
"""

from datetime import date

import numpy as np

from shared.sourcing.calendar import WorkingDays
from shared.sourcing.model import WorkCalendar

PLAIN = WorkingDays(WorkCalendar())


def test_the_first_business_day_of_october_2011() -> None:
    assert PLAIN.add(date(2011, 10, 1), 0) == date(2011, 10, 3)
    assert np.busday_offset("2011-10", 0, roll="forward") == np.datetime64("2011-10-03")


def test_the_last_business_day_of_february_2012() -> None:
    assert PLAIN.add(date(2012, 3, 1), -1) == date(2012, 2, 29)
    assert np.busday_offset("2012-03", -1, roll="forward") == np.datetime64("2012-02-29")


def test_the_second_sunday_of_may_2012() -> None:
    sundays = WorkingDays(WorkCalendar(weekdays=(7,)))
    assert sundays.add(date(2012, 5, 1), 1) == date(2012, 5, 13)
    assert np.busday_offset("2012-05", 1, roll="forward", weekmask="Sun") == np.datetime64(
        "2012-05-13"
    )


def test_the_counts_of_january_2011_of_the_year_and_of_its_saturdays() -> None:
    year = date(2011, 1, 1), date(2012, 1, 1)
    assert PLAIN.count(date(2011, 1, 1), date(2011, 2, 1)) == 21
    assert PLAIN.count(*year) == 260
    assert WorkingDays(WorkCalendar(weekdays=(6,))).count(*year) == 53
