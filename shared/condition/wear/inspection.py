"""When to measure again: half the remaining life, at most the shop's cap.

Source: API 510, 10th edition, 6.5.1.1 (the lesser of half the remaining life and a fixed time;
clause from memory, figures from a public worksheet). The cap is the shop's; there is none unless
it says so.
"""

from dataclasses import dataclass

from shared.errors import OutOfRange


@dataclass(frozen=True, slots=True)
class NextInspection:
    """Running hours from now; None: nothing tells them. ``rule`` says what they follow from."""

    hours: float | None
    rule: str


def next_inspection(
    estimate: float | None,
    lower: float | None,
    cap: float | None,
    *,
    is_safety_critical: bool = False,
    is_beyond: bool = False,
) -> NextInspection:
    """Hours to the next inspection from the remaining hours, their lower bound and the cap.

    Where a failure is dangerous the lower bound counts instead of the estimate; where there is no
    estimate it does as well. Never later than the lower bound (the house's own rule, common
    practice, no source). Raises OutOfRange for a cap not above 0.

    >>> next_inspection(1.0, None, 10.0).hours
    0.5
    """
    if cap is not None and not cap > 0:
        raise OutOfRange("inspection_cap_hours", cap, "above 0 h")
    if is_beyond:
        return NextInspection(0.0, "at its limit by the latest reading: not to run on")
    counts = lower if is_safety_critical or estimate is None else estimate
    if counts is None:
        if is_safety_critical and estimate is not None:
            return NextInspection(None, "dangerous, and no lower bound is known: ask for the doubt")
        if cap is None:
            return NextInspection(None, "no rate is known, and the shop has no cap")
        return NextInspection(cap, "no rate is known: the shop's cap at the latest")
    is_lower = counts is not estimate
    what = "the lower bound of the remaining hours" if is_lower else "the remaining hours"
    soonest = counts / 2 if cap is None else min(cap, counts / 2)
    if not is_lower and lower is not None and lower < soonest:
        return NextInspection(
            lower, "the lower bound of the remaining hours: half of them is later"
        )
    is_cap = soonest < counts / 2
    rule = f"the shop's cap, less than half {what}" if is_cap else f"half {what} (API 510, 6.5.1.1)"
    return NextInspection(soonest, rule)
