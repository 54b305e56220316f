"""Something bought once against a cost on every job: what it comes to, and from when it pays.

Amounts in minor units of one currency, exact; every amount may be a range. What is paid either way
is in both totals and not in their difference: its ends never stand against each other.
Source: plain arithmetic.
"""

from dataclasses import dataclass

from shared.decision.economics.economics import pays_from_jobs
from shared.errors import OutOfRange


@dataclass(frozen=True, slots=True)
class Range:
    """Least and most that an amount may come to, in minor units."""

    lower: int
    upper: int

    def __add__(self, other: "Range") -> "Range":
        return Range(self.lower + other.lower, self.upper + other.upper)

    def __sub__(self, other: "Range") -> "Range":
        return Range(self.lower - other.upper, self.upper - other.lower)

    def times(self, count: int) -> "Range":
        """The range of ``count`` such amounts, all at the same end."""
        return Range(self.lower * count, self.upper * count)


NOTHING = Range(0, 0)


@dataclass(frozen=True, slots=True)
class OutlayComparison:
    """Totals over the jobs in sight, the difference, and the first number of jobs at which it pays.

    ``at_best`` takes the ends of the ranges that favour the outlay, ``at_worst`` the others.
    ``verdict``: "pays", "does-not-pay" or "depends", for the jobs in sight.
    """

    with_outlay: Range
    without_outlay: Range
    extra: Range
    pays_from_jobs_at_best: int | None
    pays_from_jobs_at_worst: int | None
    verdict: str


def compare_outlay(
    outlay: Range, own_per_job: Range, other_per_job: Range, either_way_per_job: Range, jobs: int
) -> OutlayComparison:
    """Compare an outlay and its own cost per job with the other cost per job.

    Raises OutOfRange for a negative outlay or fewer jobs than 1.

    >>> tools, labour, parts = Range(1045, 1075), Range(300, 400), Range(500, 600)
    >>> found = compare_outlay(tools, NOTHING, labour, parts, 1)
    >>> found.extra, found.pays_from_jobs_at_best, found.pays_from_jobs_at_worst
    (Range(lower=645, upper=775), 3, 4)
    """
    if jobs < 1:
        raise OutOfRange("jobs", jobs, "1 or more")
    ours = outlay + own_per_job.times(jobs)
    theirs = other_per_job.times(jobs)
    extra = ours - theirs
    return OutlayComparison(
        with_outlay=ours + either_way_per_job.times(jobs),
        without_outlay=theirs + either_way_per_job.times(jobs),
        extra=extra,
        pays_from_jobs_at_best=pays_from_jobs(
            outlay.lower, other_per_job.upper - own_per_job.lower
        ),
        pays_from_jobs_at_worst=pays_from_jobs(
            outlay.upper, other_per_job.lower - own_per_job.upper
        ),
        verdict=_verdict(extra),
    )


def _verdict(extra: Range) -> str:
    if extra.upper < 0:
        return "pays"
    return "does-not-pay" if extra.lower >= 0 else "depends"
