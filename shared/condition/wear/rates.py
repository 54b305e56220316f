"""Rates of wear: over the whole time, over the latest stretch, and which of them governs.

The greater governs, whichever it is. Source: API 510, 10th edition, 7.1.1 (corrosion rates of
pressure vessels; figures from a public worksheet, clause from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from math import hypot

from shared.errors import InvalidInput


class Term(StrEnum):
    """Over which stretch a rate is."""

    LONG = "long-term"
    SHORT = "short-term"


@dataclass(frozen=True, slots=True)
class Rate:
    """Wear per hour, positive towards the limit; u None where a reading's doubt is not known."""

    per_hour: float
    u: float | None


@dataclass(frozen=True, slots=True)
class Rates:
    """Long term: first to latest point. Short term: the latest two. Of two points they are one."""

    long_term: Rate
    short_term: Rate

    @property
    def governing_term(self) -> Term:
        """Which of the two is the greater; of equal ones the long-term."""
        is_short = self.short_term.per_hour > self.long_term.per_hour
        return Term.SHORT if is_short else Term.LONG

    @property
    def governing(self) -> Rate:
        """The greater rate."""
        return self.short_term if self.governing_term is Term.SHORT else self.long_term


def rate_between(
    first: tuple[float, float, float | None], last: tuple[float, float, float | None]
) -> Rate:
    """Rate between two points of hours, worn size and its u: (w1 - w0) / (t1 - t0).

    u(rate) = sqrt(u0^2 + u1^2) / (t1 - t0), the readings independent (the safe side). Raises
    InvalidInput unless the hours rise.

    >>> rate_between((0, 0.02, 0.005), (4000, 0.18, 0.01)).per_hour
    4e-05
    """
    (hours_0, worn_0, u_0), (hours_1, worn_1, u_1) = first, last
    hours = hours_1 - hours_0
    if not hours > 0:
        raise InvalidInput(
            "/points",
            f"The hours go from {hours_0:g} to {hours_1:g}; wanted rising hours.",
            "Put the points in the order of their hours.",
            "hours-backwards",
        )
    u = None if u_0 is None or u_1 is None else hypot(u_0, u_1) / hours
    return Rate((worn_1 - worn_0) / hours, u)


def rates_of(points: Sequence[tuple[float, float, float | None]]) -> Rates:
    """Return both rates of points (hours, worn size, u) in rising hours, two at least."""
    return Rates(rate_between(points[0], points[-1]), rate_between(points[-2], points[-1]))
