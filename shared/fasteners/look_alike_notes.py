"""The words of a look-alike: what comes of it, what to do instead, how to tell the two apart."""

from math import ceil
from typing import Final

from shared.fasteners.look_alike_model import (
    ESTIMATED_LIMITS,
    LookAlike,
    Outcome,
    Starts,
    StoppedBy,
)
from shared.fasteners.look_alike_profiles import EQUAL, hole_side, screw_side
from shared.standards.thread_geometry import MM_PER_INCH
from shared.standards.thread_model import Thread, ThreadSeries

_COUNTED_TURNS: Final = 10
_SEEN_MISFIT: Final = 0.2
"""A step in mm that the eye sees between a gauge leaf and a thread (common practice)."""
_LONGEST_LEAF: Final = 12.0
"""Turns: no gauge leaf or thread in hand is much longer (common practice)."""
_FULL_NUT: Final = 0.8
"""Least height of a regular nut in diameters (ISO 898-2)."""
_THIN_NUT: Final = 0.4
"""Diameters: nuts and sheets are hardly thinner (common practice; thin nuts have half)."""
_PIPE: Final = {
    ThreadSeries.PIPE_PARALLEL,
    ThreadSeries.PIPE_TAPER_EXTERNAL,
    ThreadSeries.PIPE_TAPER_INTERNAL,
    ThreadSeries.PIPE_PARALLEL_INTERNAL,
    ThreadSeries.NPT,
}

_TOO_LARGE: Final = "Does not start: the screw's outside diameter is too large for the hole."
_NO_ROOM: Final = (
    "Does not start: the screw's thread finds no room between the flanks of the hole's."
)
_JAMS: Final = (
    "Starts, then jams on the taper: how many turns cannot be told. It leaks, and force cracks the"
    " part with the hole."
)
_NO_STANDARD_JOINT: Final = (
    "Starts, then jams on the taper: how many turns cannot be told. Often made with sealant (common"
    " practice), yet no standard joint: ISO 7-1 pairs R with Rc and Rp. A G hole has no tolerance"
    " for it and may have too few turns or a sealing face in the way: it leaks or cracks the part."
)
_RUINED: Final = (
    "Turned on by force it cuts into the hole's thread and ruins both. Clean the hole with a tap of"
    " its own thread; if that thread is gone, fit a thread insert, or open it to a larger size"
    " where the part allows."
)
_DANGEROUS: Final = "Dangerous: runs fully and feels like the right one, but holds poorly."


def note_of(pair: LookAlike, screw: Thread, hole: Thread) -> str:
    """Return what comes of the pair, in sentences."""
    said = [_outcome(pair, screw, hole)]
    if pair.outcome is Outcome.RUNS_HOLDS:
        said += _own(pair, hole)
    elif pair.starts is Starts.SOMETIMES:
        said.append(
            "It starts only with a screw and a hole near the loose limits of their tolerances, or"
            " worn ones; by force it damages both."
        )
    if pair.is_one_way:
        said.append(_one_way(pair))
    if pair.outcome is not Outcome.RUNS_HOLDS and _PIPE & {screw.series, hole.series}:
        said.append("Never count on it as tight: not for fuel, oil, gas, brake or hydraulic fluid.")
    for thread, side in ((screw, screw_side(screw)), (hole, hole_side(hole))):
        if side.is_estimated:
            said.append(ESTIMATED_LIMITS.format(designation=thread.designation))
    return " ".join(said)


def tell_apart(screw: Thread, hole: Thread) -> tuple[str, ...]:
    """Return what to measure to tell the two threads apart, the surest first."""
    return (*_by_pitch(screw, hole), *_by_angle(screw, hole), _by_diameter(screw, hole))


def _outcome(pair: LookAlike, screw: Thread, hole: Thread) -> str:
    match pair.outcome, pair.stopped_by:
        case Outcome.BLOCKED, _:
            is_too_large = screw_side(screw).loose.major > hole_side(hole).loose.major
            told = _TOO_LARGE if is_too_large else _NO_ROOM
        case Outcome.SLIPS, _:
            told = (
                "The screw is smaller than the hole's thread: it slips through and grips nothing."
            )
        case Outcome.RUNS_HOLDS, StoppedBy.TAPER:
            told = "Made for each other: sealant and taper make the joint tight."
        case Outcome.RUNS_HOLDS, _:
            told = "The same thread: form, pitch and diameter agree."
            if hole.series in _PIPE:
                told += " It is not tight by itself: a washer or ring seals it."
        case _, StoppedBy.TAPER if _is_taper_in_parallel(screw, hole):
            told = _NO_STANDARD_JOINT
        case _, StoppedBy.TAPER:
            told = f"{_JAMS} {_pitches(pair)}"
        case Outcome.BINDS, _:
            told = (
                f"Binds after {_turns(pair.turns_least)} to {_turns(pair.turns_most)} turns; home"
                f" would be {_turns(pair.turns_available)}. {_pitches(pair)}{_short(pair, hole)}"
                f" {_RUINED}"
            )
        case _:
            told = f"{_DANGEROUS} {_why(pair)}"
    return told


def _short(pair: LookAlike, hole: Thread) -> str:
    """Warn of a nut or part so thin that the loosest parts run through before they bind."""
    length = (pair.turns_most or 0.0) * hole.pitch
    if length < _THIN_NUT * hole.major:
        return ""
    return (
        f" Where less than {length:.1f} mm engage, the loosest go all the way in and hold poorly."
    )


def _own(pair: LookAlike, hole: Thread) -> tuple[str, ...]:
    """What to mind though the thread is the hole's own."""
    said = []
    if pair.starts is Starts.SOMETIMES:
        said.append(
            f"A hole {hole.designation} may be made below its basic size, for a taper screw: then a"
            f" large {pair.screw} does not enter; do not force it."
        )
    if hole.series not in _PIPE and pair.turns_available * hole.pitch < _FULL_NUT * hole.major:
        said.append(
            f"Only {_turns(pair.turns_available)} turns engage, less than in a full nut: it may"
            " strip before the screw breaks. Compute the strip load."
        )
    return tuple(said)


def _is_taper_in_parallel(screw: Thread, hole: Thread) -> bool:
    """Whether an R screw meets the G hole of its own size."""
    return (
        screw.series is ThreadSeries.PIPE_TAPER_EXTERNAL
        and hole.series is ThreadSeries.PIPE_PARALLEL
        and screw.nominal == hole.nominal
    )


def _one_way(pair: LookAlike) -> str:
    how = {
        Outcome.BLOCKED: "does not start",
        Outcome.BINDS: "binds",
    }.get(pair.reverse or pair.outcome, "starts only at the limits of the tolerances")
    if pair.reverse is Outcome.BINDS and pair.reverse_starts is Starts.SOMETIMES:
        how = "starts only at the limits of the tolerances, and binds"
    return f"One way only: {pair.hole} as the screw in {pair.screw} {how}."


def _why(pair: LookAlike) -> str:
    said = []
    if pair.stopped_by is StoppedBy.NOTHING:
        if pair.angle_error:
            said.append(
                "The pitches are equal; the flank angles differ by"
                f" {abs(pair.angle_error):g}°, so that the flanks meet along a line: do not mix"
                " them under load."
            )
        elif not pair.diameter_error:
            said.append("The pitches are equal; the forms differ.")
    else:
        said.append(f"{_pitches(pair)} Home is {_turns(pair.turns_available)} turns. {_bind(pair)}")
    if not pair.overlap_least:
        said.append(
            f"The flanks overlap by {pair.overlap:.0%} of the full depth at basic sizes; the"
            " loosest parts slip straight through."
        )
    elif pair.overlap_least < 0.995:
        said.append(
            f"The flanks overlap by {pair.overlap:.0%} of the full depth at basic sizes, as little"
            f" as {pair.overlap_least:.0%} at the limits."
        )
    if pair.overlap_least and pair.strip_share is not None and pair.strip_share < 0.995:
        said.append(
            f"Estimated at the limits, it strips at {pair.strip_share:.0%} of the right screw's"
            " strength or less."
        )
    return " ".join(said)


def _bind(pair: LookAlike) -> str:
    least, most = _turns(pair.turns_least), _turns(pair.turns_most)
    if (pair.turns_least or 0.0) >= pair.turns_available:
        return (
            f"Even the tightest parts would bind only after {least}, the loosest after {most}:"
            " nothing warns, and few turns carry."
        )
    return (
        f"The tightest parts bind after {least}, the loosest would only after {most}: where none"
        " binds, few turns carry."
    )


def _pitches(pair: LookAlike) -> str:
    if not pair.pitch_error:
        return "The pitches are equal."
    return (
        f"The pitches differ by {abs(pair.pitch_error):.4f} mm a turn"
        f" ({abs(pair.relative_pitch_error):.1%})."
    )


def _turns(turns: float | None) -> str:
    return "0" if turns is None else f"{turns:.1f}"


def _by_pitch(screw: Thread, hole: Thread) -> tuple[str, ...]:
    error = abs(screw.pitch - hole.pitch)
    if error < EQUAL:
        return ("The pitches are equal: a pitch gauge of one fits the other.",)
    over = (
        f"Over {_COUNTED_TURNS} turns {_COUNTED_TURNS * screw.pitch:.2f} mm are"
        f" {screw.designation}, {_COUNTED_TURNS * hole.pitch:.2f} mm {hole.designation}; in 25.4 mm"
        f" stand {_count(screw)} and {_count(hole)} turns."
    )
    seen = ceil(_SEEN_MISFIT / error)
    if seen <= _LONGEST_LEAF:
        leaf = (
            f"A pitch gauge of the other thread is {_SEEN_MISFIT:g} mm off after {seen}"
            f" turn{'s' if seen > 1 else ''}: lay it along at least so many."
        )
    else:
        leaf = (
            f"A pitch gauge hardly tells them apart: it is {_SEEN_MISFIT:g} mm off only after"
            f" {seen} turns."
        )
    return (over, leaf)


def _count(thread: Thread) -> str:
    count = MM_PER_INCH / thread.pitch if thread.turns_per_inch is None else thread.turns_per_inch
    return f"{count:.1f}".removesuffix(".0")


def _by_angle(screw: Thread, hole: Thread) -> tuple[str, ...]:
    if screw.flank_angle == hole.flank_angle:
        return ()
    return (
        f"Flank angle {screw.flank_angle:g}° against {hole.flank_angle:g}°: light shows between"
        " the flanks and a gauge leaf of the other angle.",
    )


def _by_diameter(screw: Thread, hole: Thread) -> str:
    if screw.is_taper != hole.is_taper:
        taper = screw if screw.is_taper else hole
        return f"{taper.designation} is a taper of 1 in 16: measure at both ends of the thread."
    if screw.is_taper:
        return "Both are tapers of 1 in 16: the outside diameter depends on where it is measured."
    sides = [screw_side(thread).tight.major for thread in (screw, hole)]
    least = [screw_side(thread).loose.major for thread in (screw, hole)]
    ranges = (
        f"Outside diameter of a new screw: {least[0]:.2f} to {sides[0]:.2f} mm"
        f" {screw.designation}, {least[1]:.2f} to {sides[1]:.2f} mm {hole.designation}"
    )
    if max(least) < min(sides):
        return f"{ranges}: the two overlap, the diameter alone does not tell."
    return f"{ranges}; a worn one measures smaller, none is larger."
