"""Where a job stands, and which steps lead on from there.

Common practice, no source: work goes forward, goes back to measuring when something new is found,
and can be closed at any time (the customer declines, or the unit is not worth it).
"""

from enum import StrEnum
from typing import Final

from shared.errors import Conflict


class JobState(StrEnum):
    """Where a job stands, in the order in which it happens."""

    BOOKED_IN = "booked-in"
    OPENED = "opened"
    MEASURED = "measured"
    OFFERED = "offered"
    AGREED = "agreed"
    SUPPLIED = "supplied"
    FITTED = "fitted"
    PROVED = "proved"
    HANDED_OVER = "handed-over"
    CAME_BACK = "came-back"
    CLOSED = "closed"


OPEN: Final = tuple(state for state in JobState if state is not JobState.CLOSED)
"""The states of a job that still wants its unit, its core and what is held for it."""

NEXT: Final[dict[JobState, tuple[JobState, ...]]] = {
    JobState.BOOKED_IN: (JobState.OPENED, JobState.CLOSED),
    JobState.OPENED: (JobState.MEASURED, JobState.CLOSED),
    # More has to be opened to see it all.
    JobState.MEASURED: (JobState.OPENED, JobState.OFFERED, JobState.CLOSED),
    # The customer asks for another look, agrees, or declines.
    JobState.OFFERED: (JobState.MEASURED, JobState.AGREED, JobState.CLOSED),
    # Prices or dates moved: a new offer. Something was found: measure again.
    JobState.AGREED: (JobState.MEASURED, JobState.OFFERED, JobState.SUPPLIED, JobState.CLOSED),
    JobState.SUPPLIED: (JobState.MEASURED, JobState.FITTED, JobState.CLOSED),
    JobState.FITTED: (JobState.MEASURED, JobState.PROVED, JobState.CLOSED),
    # The test failed: fit again, or look again.
    JobState.PROVED: (
        JobState.MEASURED,
        JobState.FITTED,
        JobState.HANDED_OVER,
        JobState.CLOSED,
    ),
    JobState.HANDED_OVER: (JobState.CAME_BACK, JobState.CLOSED),
    JobState.CAME_BACK: (JobState.OPENED, JobState.CLOSED),
    # A comeback does not ask whether the job was closed.
    JobState.CLOSED: (JobState.CAME_BACK,),
}
"""The states that may follow each one."""


def check_step(before: JobState, after: JobState) -> None:
    """Check a step of a job; raises Conflict ("state-conflict", with allowed_states).

    >>> check_step(JobState.OPENED, JobState.MEASURED)
    """
    if after is before or after in NEXT[before]:
        return
    allowed = [state.value for state in NEXT[before]]
    raise Conflict(
        "state-conflict",
        f"A job that is {before} does not become {after}; next may be {', '.join(allowed)}.",
        f"Give one of {', '.join(allowed)}.",
        allowed_states=allowed,
    )
