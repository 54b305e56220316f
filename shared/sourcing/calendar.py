"""The working calendar: which days the shop is open, and counting in working days.

Day indices count from a *day zero*, the first working day on which something can still be
ordered; index n is the n-th open day after it. Public holidays, with the days on which they are
observed, come from a library whose version is pinned; such lists change by decree, so the shop's
own ``closed_on`` and ``open_on`` override them. Weekdays are ISO 8601 (Monday = 1). Country and
subdivision codes are ISO 3166-1 alpha-2 and ISO 3166-2.
"""

import re
import zoneinfo
from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from types import MappingProxyType

from shared.errors import InvalidInput, OutOfRange
from shared.sourcing.model import WorkCalendar

FIRST_YEAR, LAST_YEAR = 2000, 2100
"""The years for which the holiday lists can be trusted to exist."""

LONGEST_CLOSURE_DAYS = 731
"""A shop that stays shut for longer has no promise date: the search stops with an error."""

_ONE_DAY = timedelta(days=1)
_CLOCK = re.compile(r"(?:[01][0-9]|2[0-3]):[0-5][0-9]", re.ASCII)
_MACHINE_ZONES = frozenset({"localtime", "Factory", "posixrules"})


class WorkingDays:
    """Open days of one calendar, and arithmetic in them.

    A day in ``open_on`` is open whatever else is said; otherwise it is open on a weekday of the
    shop that is neither a public holiday nor in ``closed_on``. Raises InvalidInput, naming the
    field, for a calendar that cannot be used.
    """

    def __init__(self, calendar: WorkCalendar) -> None:
        check_calendar(calendar)
        self._calendar = calendar
        self._weekdays = frozenset(calendar.weekdays)
        self._closed_on = frozenset(calendar.closed_on)
        self._open_on = frozenset(calendar.open_on)

    def is_open(self, day: date) -> bool:
        """Whether the shop works on ``day``; raises OutOfRange outside 2000 to 2100."""
        if day in self._open_on:
            return True
        if day.isoweekday() not in self._weekdays or day in self._closed_on:
            return False
        return self.holiday(day) is None

    def holiday(self, day: date) -> str | None:
        """Name of the public holiday that falls or is observed on ``day``, if any."""
        if not FIRST_YEAR <= day.year <= LAST_YEAR:
            raise OutOfRange("as_of", day, f"a date from {FIRST_YEAR} to {LAST_YEAR}")
        country = self._calendar.country
        if country is None:
            return None
        return _public_holidays(country, self._calendar.subdivision, day.year).get(day)

    def next_open(self, day: date) -> date:
        """First open day on or after ``day``."""
        return self._seek(day, _ONE_DAY)

    def add(self, day: date, count: int) -> date:
        """``count`` working days after the first open day on or after ``day``.

        A count of 0 only rolls a closed day forward; a negative count goes back. A start on a
        closed day is rolled forward first (an order written on Saturday is Monday's order).
        """
        step = _ONE_DAY if count >= 0 else -_ONE_DAY
        reached = self.next_open(day)
        for _ in range(abs(count)):
            reached = self._seek(reached + step, step)
        return reached

    def days_from(self, day: date, last_index: int) -> tuple[date, ...]:
        """Dates of the day indices 0 to ``last_index``, counted from ``day`` rolled forward."""
        days = [self.next_open(day)]
        for _ in range(last_index):
            days.append(self._seek(days[-1] + _ONE_DAY, _ONE_DAY))
        return tuple(days)

    def count(self, start: date, end: date) -> int:
        """Number of open days from ``start`` on and before ``end`` (``end`` is not counted).

        0 when ``end`` is not after ``start``.
        """
        return sum(
            self.is_open(start + timedelta(days=offset)) for offset in range((end - start).days)
        )

    def last_index_by(self, day_zero: date, day: date) -> int:
        """Index of the last open day on or before ``day``; -1 where that lies before day zero."""
        return self.count(day_zero, day + _ONE_DAY) - 1

    def closures(self, start: date, end: date) -> tuple[tuple[date, str], ...]:
        """The shop's weekdays from ``start`` to ``end``, both counted, that are closed, and why."""
        found = []
        for offset in range((end - start).days + 1):
            day = start + timedelta(days=offset)
            if day.isoweekday() in self._weekdays and not self.is_open(day):
                found.append((day, self.holiday(day) or "closed by the shop"))
        return tuple(found)

    def _seek(self, day: date, step: timedelta) -> date:
        start = day
        for _ in range(LONGEST_CLOSURE_DAYS):
            if self.is_open(day):
                return day
            day += step
        raise InvalidInput(
            "/closed_on",
            f"The shop has no open day within {LONGEST_CLOSURE_DAYS} days of {start}.",
            "Shorten the closure, or list the days on which the shop works in open_on.",
            "no-open-day",
        )


@lru_cache(maxsize=64)
def working_days(calendar: WorkCalendar) -> WorkingDays:
    """The working days of a calendar, kept between calls; raises as WorkingDays does."""
    return WorkingDays(calendar)


def day_zero(as_of: datetime, calendar: WorkCalendar) -> date:
    """Working day on which an order given at ``as_of`` counts, on the shop's own clock.

    Today where the shop is open today and has not closed yet, otherwise the next open day.

    >>> from datetime import timezone
    >>> day_zero(datetime(2027, 12, 3, 17, 30, tzinfo=timezone.utc), WorkCalendar())
    datetime.date(2027, 12, 6)
    """
    days = working_days(calendar)
    now = local_time(as_of, calendar)
    today = now.date()
    closes = clock_time(calendar.closes_at, "closes_at")
    if days.is_open(today) and now.time() < closes:
        return today
    return days.next_open(today + _ONE_DAY)


def can_start_today(as_of: datetime, calendar: WorkCalendar) -> bool:
    """Whether a whole day's bench work can still be had today: open, and not yet opened.

    What comes in or is ordered during a day lies until the next working day (trade practice).
    """
    now = local_time(as_of, calendar)
    opens = clock_time(calendar.opens_at, "opens_at")
    return day_zero(as_of, calendar) == now.date() and now.time() <= opens


def can_start_on_day_zero(as_of: datetime, calendar: WorkCalendar) -> bool:
    """Whether work that awaits nothing can begin on day zero: a later day, or today at opening."""
    is_later_day = day_zero(as_of, calendar) > local_time(as_of, calendar).date()
    return is_later_day or can_start_today(as_of, calendar)


def order_day_index(as_of: datetime, calendar: WorkCalendar, cutoff: str | None) -> int:
    """Day index on which a supplier takes the order: 0, or 1 when today's cut-off has passed.

    ``cutoff`` is "HH:MM" on the shop's clock; an order given at that minute is in time.
    """
    now = local_time(as_of, calendar)
    if cutoff is None:
        return 0
    latest = clock_time(cutoff, "order_cutoff")
    is_today = day_zero(as_of, calendar) == now.date()
    return 1 if is_today and now.time() > latest else 0


def local_time(as_of: datetime, calendar: WorkCalendar) -> datetime:
    """``as_of`` on the shop's clock; raises InvalidInput for a time without an offset."""
    if as_of.utcoffset() is None:
        raise InvalidInput(
            "/as_of",
            f"{as_of.isoformat()} has no offset from UTC.",
            'Give the time with its offset, such as "2031-03-04T09:15:00Z".',
            "time-offset",
        )
    if not FIRST_YEAR <= as_of.year <= LAST_YEAR:
        raise OutOfRange("as_of", as_of.isoformat(), f"a time from {FIRST_YEAR} to {LAST_YEAR}")
    return as_of.astimezone(_zone(calendar.timezone))


def clock_time(text: str, field: str) -> time:
    """Time of day written "HH:MM"; raises InvalidInput naming ``field``."""
    if not _CLOCK.fullmatch(text):
        raise InvalidInput(
            f"/{field}",
            f"{text[:20]!r} is not a time of day.",
            'Write hours and minutes from "00:00" to "23:59".',
            "clock-format",
        )
    return time(int(text[:2]), int(text[3:]))


def check_calendar(calendar: WorkCalendar) -> None:
    """Raise InvalidInput, naming the field, for a calendar that cannot be used."""
    _zone(calendar.timezone)
    _check_weekdays(calendar.weekdays)
    _check_place(calendar.country, calendar.subdivision)
    opens = clock_time(calendar.opens_at, "opens_at")
    if clock_time(calendar.closes_at, "closes_at") <= opens:
        raise InvalidInput(
            "/closes_at",
            f"The shop closes at {calendar.closes_at} and opens at {calendar.opens_at}.",
            "Give a closing time after the opening time of the same day.",
            "closes-before-opens",
        )
    hours = calendar.bench_hours_per_day
    if not hours.is_finite() or not 0 < hours <= 1000:
        raise OutOfRange("bench_hours_per_day", hours, "above 0 and at most 1000 hours")
    _check_no_contradiction(calendar)


def _check_no_contradiction(calendar: WorkCalendar) -> None:
    both = set(calendar.closed_on) & set(calendar.open_on)
    if both:
        raise InvalidInput(
            "/open_on",
            f"{min(both)} is listed as closed and as open.",
            "Leave the day in one of closed_on and open_on.",
            "open-and-closed",
        )


def _check_weekdays(weekdays: tuple[int, ...]) -> None:
    wrong = [day for day in weekdays if not 1 <= day <= 7]
    if wrong:
        raise OutOfRange("weekdays", wrong[0], "from 1 (Monday) to 7 (Sunday)")
    if not weekdays:
        raise InvalidInput(
            "/weekdays",
            "The shop works on no day of the week.",
            "List at least one weekday, Monday = 1 to Sunday = 7.",
            "no-open-day",
        )


def _check_place(country: str | None, subdivision: str | None) -> None:
    if country is None:
        if subdivision is not None:
            raise InvalidInput(
                "/subdivision",
                f"Subdivision {subdivision[:20]!r} is given without its country.",
                "Give the country too, or leave the subdivision out.",
                "subdivision-unknown",
            )
        return
    places = _known_places()
    if country not in places:
        raise InvalidInput(
            "/country",
            f"No list of public holidays for country {country[:20]!r}.",
            'Give an ISO 3166-1 code of two capital letters, such as "GB", or leave it out and '
            "list the holidays in closed_on.",
            "country-unknown",
        )
    if subdivision is not None and subdivision not in places[country]:
        known = ", ".join(places[country][:60]) or "none"
        raise InvalidInput(
            "/subdivision",
            f"No list of public holidays for {subdivision[:20]!r} in {country}.",
            f"Leave it out, or give one of: {known}.",
            "subdivision-unknown",
        )


def has_subdivisions(country: str) -> bool:
    """Whether parts of a country have public holidays of their own, as far as is known."""
    return bool(_known_places().get(country))


@lru_cache(maxsize=256)
def _zone(name: str) -> zoneinfo.ZoneInfo:
    if name not in _zone_names():
        raise InvalidInput(
            "/timezone",
            f"Time zone {name[:40]!r} is not known.",
            'Give a name of the IANA time zone database, such as "UTC" or "America/Chicago".',
            "timezone-unknown",
        )
    return zoneinfo.ZoneInfo(name)


@lru_cache(maxsize=1)
def _zone_names() -> frozenset[str]:
    # The left-out names mean "as this machine is set": the same input must read the same anywhere.
    return frozenset(zoneinfo.available_timezones()) - _MACHINE_ZONES


@lru_cache(maxsize=1)
def _known_places() -> Mapping[str, tuple[str, ...]]:
    import holidays  # noqa: PLC0415 - slow to load, needed only where a country is named

    listed = holidays.list_supported_countries(include_aliases=False)
    return MappingProxyType(
        {country: tuple(parts) for country, parts in listed.items() if len(country) == 2}
    )


@lru_cache(maxsize=512)
def _public_holidays(country: str, subdivision: str | None, year: int) -> Mapping[date, str]:
    import holidays  # noqa: PLC0415

    found = holidays.country_holidays(country, subdiv=subdivision, years=year, observed=True)
    return MappingProxyType({day: str(name) for day, name in found.items() if day.year == year})
