"""Three working days over a holiday, in England at Easter and in the United States in July 2026.

Source: constructed; a plain loop and numpy's busday_offset with the holiday list agree. Exact.
"""

from datetime import date

import numpy as np
import pytest

from shared.sourcing.calendar import WorkingDays
from shared.sourcing.model import WorkCalendar

ENGLAND = WorkCalendar(country="GB", subdivision="ENG"), ["2026-04-03", "2026-04-06"]
STATES = WorkCalendar(country="US"), ["2026-07-03"]


@pytest.mark.parametrize(
    ("place", "start", "reached"),
    [
        (ENGLAND, date(2026, 4, 2), date(2026, 4, 9)),
        (STATES, date(2026, 7, 1), date(2026, 7, 7)),
    ],
)
def test_three_working_days_reach_the_agreed_date(
    place: tuple[WorkCalendar, list[str]], start: date, reached: date
) -> None:
    calendar, holidays = place
    assert WorkingDays(calendar).add(start, 3) == reached
    assert np.busday_offset(start, 3, holidays=holidays) == np.datetime64(reached)
