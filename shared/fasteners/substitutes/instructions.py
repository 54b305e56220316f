"""What to do with a set-up that holds, in the order of doing it. Common practice, no source.

Torques in N·m, written rounded down: a figure read off the answer never passes the ceiling.
"""

from math import floor, isfinite, log10
from typing import Final

_DIGITS: Final = 3

STOP_RULES: Final = (
    "Stop at the last torque given. Stop earlier when a screw or nut turns without getting tighter,"
    " when anything bends, tilts, creaks or sinks in, or when one side moves and the other does"
    " not.",
    "Back off, find out why, and begin again from the first step; never carry on with one more"
    " turn.",
)
"""When to stop."""

WHEN_IT_DOES_NOT_MOVE: Final = (
    "If it does not move at the last torque: leave it under load for some minutes and tap the part"
    " itself with a soft hammer, beside the joint, never the tool.",
    "Then take the load off and look for a fastener, dowel, ring or sealant still holding.",
    "No longer handle, no impact wrench, no higher torque: beyond this figure the tool or the work"
    " breaks. Get the special tool, or ask the maker.",
)
"""What to do when the work does not give way."""

PROTECT: Final = (
    "Cover or plug open bores, clean the threads, and keep finished faces and seal seats from the"
    " tool's edges with a soft sheet where there is room."
)
"""What to protect, whatever the tool."""


def torque_text(torque: float) -> str:
    """Return a torque (N·m) in three digits, rounded down; what is no torque is said to be none.

    >>> torque_text(12.3999), torque_text(0.45678), torque_text(2.0), torque_text(1239.0)
    ('12.3 N·m', '0.456 N·m', '2 N·m', '1230 N·m')
    """
    if not (isfinite(torque) and torque > 0):
        return "no torque"
    # The grain keeps 2.3 from being written as 2.29: it is far below what is rounded off.
    shift = _DIGITS - 1 - floor(log10(torque))
    digits = floor(torque * 10.0**shift * (1 + 1e-12))
    if shift < 0:
        return f"{digits * 10**-shift} N·m"
    text = f"{digits / 10**shift:.{shift}f}"
    return f"{text.rstrip('0').rstrip('.') if shift else text} N·m"


def together_in_turn(torque_steps: tuple[float, ...], count: int, what: str) -> tuple[str, ...]:
    """Say how ``count`` screws, nuts or spanners (``what``, one of them) are turned, step by step.

    ``torque_steps`` are N·m at each, rising; none of them: nothing is said of a torque.

    >>> together_in_turn((3.0, 6.0, 10.0), 2, "screw")[1]
    'Turn each screw to 3 N·m, then each to 6 N·m, then each to 10 N·m: from side to side.'
    """
    if count < 1:
        return ()
    if count == 1:
        first = f"Turn the {what} by hand until it just bears, and look whether it stands straight."
        each, then = f"Turn the {what} to", "then to"
        order = "wait and look between the steps"
    else:
        first = (
            f"Turn every {what} by hand until it just bears, and measure that all stand out alike."
        )
        each, then = f"Turn each {what} to", "then each to"
        order = "from side to side" if count == 2 else "crosswise, a quarter of a turn at a time"
    if not torque_steps:
        return (first,)
    levels = f", {then} ".join(torque_text(one) for one in torque_steps)
    measured = (
        f"After every round measure the gap at each {what}: a difference above 0.5 mm is evened out"
        " before going on."
    )
    last = f"{each} {levels}: {order}."
    return (first, last, measured) if count > 1 else (first, last)
