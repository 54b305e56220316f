"""Ring nuts turned by a bar, a plate or a spanner: which way, how hard by hand. mm, N, N·m."""

from math import inf
from typing import Final

from shared.designations.model import Hand
from shared.fasteners.substitutes.cautions import cautions_for, estimate_note
from shared.fasteners.substitutes.common import COMMON_PRACTICE, STATED, force_text, missing, ratio
from shared.fasteners.substitutes.instructions import PROTECT, torque_text
from shared.fasteners.substitutes.model import Candidate, Check, Family, PartUsed, Requirement
from shared.fasteners.substitutes.screw_work import STEPS

BY_HAND: Final = 400.0
"""Pull of one person, both hands, N. Common practice, no source."""
GRIP: Final = 50.0
"""The hand's middle from the handle's end, mm. Common practice, no source."""
PULL: Final = "pull by hand"
FASTENING: Final = (
    "When fastening, stop at the maker's torque for the nut, however much more the tool would bear."
)
STOP: Final = (
    "Stop at the last torque given. Stop earlier when the tool tilts, lifts, bends or creeps, or"
    " when a slot or hole gives way: take it off, and find out why before it is set again.",
    "Once the nut is loose, run it off by hand; one that stays tight as it turns is seizing: back"
    " it up, clean and oil the thread.",
)
NOT_MOVING: Final = (
    "If it does not move at the last torque: take the tool off, look for a stake, tab, set screw"
    " or compound that still holds, and look at the helix again: the wrong way only tightens it.",
    "No longer handle, no blows, no higher torque: beyond this figure the tool or the nut breaks."
    " Get the special tool, or ask the maker.",
)
MIDDLE: Final = "shaft end"
_NUT_ITSELF: Final = "Whether the nut's own thread bears the torque was not checked."

_UNDOES: Final = {Hand.LEFT: "clockwise", Hand.RIGHT: "anticlockwise"}


def hand_check(requirement: Requirement) -> Check:
    """Check that it is known which way the thread goes; a blank hand is no right hand."""
    if requirement.hand is None:
        return missing(
            "hand",
            "hand",
            "Look at the helix where the thread shows, and state left or right: both ways were met"
            " on such nuts, and a blank hand does not mean right.",
        )
    fastener = requirement.fastener
    if fastener is not None and fastener.hand is Hand.LEFT and requirement.hand is Hand.RIGHT:
        told = "Its thread is named left-hand, and its hand is stated right: look at the helix."
        return Check("hand", False, told, STATED)
    detail = f"{requirement.hand.capitalize()}-hand: {_way(requirement.hand)}."
    return Check("hand", True, detail, STATED)


def middle_check(requirement: Requirement, what: str) -> Check:
    """Check that nothing stands out in the middle, where the piece ``what`` lies across.

    A clear height does not tell: a shaft's end keeps a bar off, however much room is above it.
    """
    if requirement.nothing_in_the_way:
        return Check(MIDDLE, True, "Nothing is said to stand out in the middle.", STATED)
    told = f"State nothing if so: what stands out in the middle keeps the {what} off."
    return missing(MIDDLE, "in_the_way", told)


def pull_check(moment: float, arm: float) -> Check:
    """Check that one person gives ``moment``, N·mm, at ``arm``, mm, without a longer handle."""
    pull = moment / arm if arm > 0 else inf
    detail = f"{force_text(pull)} at {arm:.4g} mm from the axis; {BY_HAND:g} N can be pulled."
    return ratio(PULL, BY_HAND, pull, detail, COMMON_PRACTICE)


def turning(
    requirement: Requirement,
    family: Family,
    parts: tuple[PartUsed, ...],
    checks: tuple[Check, ...],
    *,
    ceiling: float | None = None,
    arm: float | None = None,
    setting_up: tuple[str, ...] = (),
    notes: tuple[str, ...] = (),
) -> Candidate:
    """Return the candidate, with how it is turned: up to ``ceiling``, N·m, pulled at ``arm``, mm.

    Without a ceiling nothing could be computed, and what fails is not told how to do: the checks
    say why.
    """
    estimate = estimate_note(requirement.torque, "torque")
    steps = () if ceiling is None else tuple(ceiling * share for share in STEPS)
    is_fit = bool(steps) and all(check.passes or check.name == "count" for check in checks)
    return Candidate(
        family=family,
        parts=parts,
        checks=checks,
        torque=ceiling,
        torque_steps=steps,
        steps=_turned(requirement, steps, arm, setting_up) if is_fit else (),
        cautions=cautions_for(requirement, family),
        notes=tuple(note for note in (estimate, *notes, _NUT_ITSELF) if note is not None),
    )


def ceiling_of(moment: float, checks: tuple[Check, ...]) -> float:
    """Return the torque, N·m, at which the weakest of ``checks``, made at ``moment``, gives way."""
    margins = [0.0 if check.margin is None else check.margin for check in checks]
    return moment / 1000 * min(margins, default=0.0)


def _turned(
    requirement: Requirement,
    steps: tuple[float, ...],
    arm: float | None,
    setting_up: tuple[str, ...],
) -> tuple[str, ...]:
    most = steps[-1]
    levels = ", then ".join(torque_text(step) for step in steps)
    pull = ""
    if arm is not None and arm > 0:
        pull = f" {torque_text(most)} is a pull of {most * 1000 / arm:.3g} N at {arm:.4g} mm from"
        pull += " the axis: weigh it with a spring balance."
    way = () if requirement.hand is None else (f"{_way(requirement.hand)}.".capitalize(),)
    return (
        "Take out or bend back whatever locks the nut (tab, stake, set screw) and clean the thread"
        " that shows.",
        PROTECT,
        *setting_up,
        *way,
        f"By hand only, no tube on the handle, squarely to it: {levels}, waiting between.{pull}",
        FASTENING,
        *STOP,
        *NOT_MOVING,
    )


def _way(hand: Hand) -> str:
    undo = _UNDOES[hand]
    fasten = next(way for way in _UNDOES.values() if way != undo)
    return f"turn {undo} (seen from the nut's outer face) to undo, {fasten} to fasten"
