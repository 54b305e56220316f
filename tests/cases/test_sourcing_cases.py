"""Situations from the trade: what arrives when, and when work can begin.

Three working days over a holiday, and a parcel late on a Friday. Source: public: appliance and
heavy-equipment forum threads (the rule; the figures are filled in on it). Days are counted one by
one; the day of the order is day 0; what arrives during a day lies until the next working day.
"""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from litestar import Litestar, Router
from litestar.testing import TestClient

from api.routes.sourcing import CALCULATION_ROUTES
from shared.sourcing.model import WorkCalendar
from shared.sourcing.promise import Arrival, promise

THURSDAY, FRIDAY = date(2027, 11, 25), date(2027, 11, 26)
ORDERED = datetime(2027, 11, 23, 10, 0, tzinfo=UTC)
SURE = Decimal("0.9")
THREE_DAYS = (Arrival(Decimal(3), Decimal(3)),)
ON_THE_SHELF = (Arrival(Decimal(0), Decimal(0)),)


@pytest.mark.parametrize(
    ("calendar", "arrives"),
    [
        (WorkCalendar(closed_on=(THURSDAY,)), date(2027, 11, 29)),
        (WorkCalendar(closed_on=(THURSDAY, FRIDAY)), date(2027, 11, 30)),
        (WorkCalendar(country="US"), date(2027, 11, 29)),
        (WorkCalendar(country="US", closed_on=(FRIDAY,)), date(2027, 11, 30)),
    ],
)
def test_three_working_days_are_counted_past_the_holiday(
    calendar: WorkCalendar, arrives: date
) -> None:
    assert promise(THREE_DAYS, SURE, ORDERED, calendar).promise_date == arrives


def test_a_parcel_of_friday_afternoon_is_worked_on_from_monday() -> None:
    at_half_past_four = datetime(2027, 12, 3, 16, 30, tzinfo=UTC)
    found = promise(ON_THE_SHELF, SURE, at_half_past_four, WorkCalendar(), Decimal(4))
    assert found.arrival_date == date(2027, 12, 3)
    assert found.work_starts_on == found.promise_date == date(2027, 12, 6)


@pytest.fixture(scope="module")
def client():
    with TestClient(Litestar([Router("/v1", route_handlers=CALCULATION_ROUTES)])) as found:
        yield found


def ask(client: TestClient, **members: object):
    body = {"arrivals": [{"p50_days": "3", "p90_days": "3"}], "as_of": "2027-11-23T10:00:00Z"}
    return client.post("/v1/calculations/lead-time", json=body | members)


def test_the_call_counts_past_the_holiday(client: TestClient) -> None:
    answer = ask(client, calendar={"closed_on": ["2027-11-25"]})
    assert answer.status_code == 200
    assert answer.json()["promise_date"] == "2027-11-29"
    bridge = ask(client, calendar={"closed_on": ["2027-11-25", "2027-11-26"]}).json()
    assert bridge["promise_date"] == "2027-11-30"
    assert ask(client, calendar={"country": "US"}).json()["promise_date"] == "2027-11-29"


def test_the_call_starts_the_second_job_on_monday(client: TestClient) -> None:
    answer = ask(
        client,
        arrivals=[{"p50_days": "0", "p90_days": "0"}],
        as_of="2027-12-03T10:30:00-06:00",
        calendar={"timezone": "America/Chicago", "closes_at": "17:00"},
        bench_hours="4",
    )
    assert answer.json()["work_starts_on"] == "2027-12-06"
    late = ask(
        client,
        arrivals=[{"p50_days": "0", "p90_days": "0"}],
        as_of="2027-12-03T22:30:00Z",
        calendar={"timezone": "America/Chicago", "closes_at": "17:00"},
        bench_hours="4",
    )
    assert late.json()["work_starts_on"] == late.json()["promise_date"] == "2027-12-06"
