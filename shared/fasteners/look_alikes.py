"""Which threads start in which holes that are not theirs, and what comes of it.

The turns until a pair binds are computed at the tolerance limits (``look_alike_profiles``). A pair
whose loosest parts run fully is called dangerous though others of it bind: a false "it holds" is
worse than a warning too many.
"""

from bisect import bisect_left, bisect_right
from dataclasses import dataclass, replace
from functools import cache
from math import isfinite, radians, tan
from typing import Final

from shared.errors import InvalidInput, OutOfRange
from shared.fasteners.look_alike_model import LookAlike, Outcome, Starts, StoppedBy
from shared.fasteners.look_alike_notes import note_of, tell_apart
from shared.fasteners.look_alike_profiles import (
    EQUAL,
    can_be_hole,
    can_be_screw,
    flank_play,
    hole_side,
    loose,
    screw_side,
    strip_share,
    tight,
)
from shared.standards.thread_model import Thread, ThreadSeries
from shared.standards.threads import threads

INCOMPLETE_TURNS: Final = 1.0
"""The chamfer of the screw and the countersink of the hole enter before a full turn stands in
both: so many turns more are counted at most (common practice, no source)."""
LONGEST_ENGAGEMENT: Final = 1000.0
MOST_PITCH_ERROR: Final = 0.35
"""In parts of the hole's pitch: beyond it nobody takes one thread for the other (common practice;
4-40 in M3x0.5 is 27 %, 6-32 in M3.5x0.6 is 32 %)."""
MOST_PITCH_ERROR_OF_TAPERS: Final = 0.15
"""The same for tapers, whose turns cannot be told (common practice)."""
NEAR_DIAMETER: Final = 0.06
"""In parts of the hole's diameter: so near, a pair is listed though it binds at once."""
LEAST_OVERLAP: Final = 0.05
"""In parts of the full depth: a screw that grips less slips through and is mistaken by nobody."""
YIELDING: Final = 0.02
"""In parts of the pitch: a turn gives way by so much before it strips, and only turns whose flanks
stand so near carry beside the first (cautious estimate, no source)."""
_MATING: Final = 0.02
"""In parts of the pitch: diameters that differ less are one size."""

_DANGER: Final = (
    Outcome.RUNS_POORLY,
    Outcome.BINDS,
    Outcome.RUNS_HOLDS,
    Outcome.BLOCKED,
    Outcome.SLIPS,
)
_STARTS: Final = (Starts.ALWAYS, Starts.SOMETIMES, Starts.NEVER)
_MADE_FOR: Final = {
    ThreadSeries.PIPE_TAPER_EXTERNAL: {
        ThreadSeries.PIPE_TAPER_INTERNAL,
        ThreadSeries.PIPE_PARALLEL_INTERNAL,
    },
}


def would_run(screw: Thread, hole: Thread, engagement: float | None = None) -> LookAlike:
    """Return what comes of turning a screw of one thread into a hole of another.

    ``engagement`` in mm is how long the threads meet when the screw is home, one diameter of the
    hole if not given. Raises OutOfRange unless it is above 0 and at most 1000 mm.

    >>> from shared.standards.threads import thread_named
    >>> pair = would_run(thread_named("5/16-18 UNC"), thread_named("M8x1.25"), engagement=6.0)
    >>> pair.outcome.value, round(pair.pitch_error, 4), round(pair.turns_to_half_pitch, 2)
    ('binds', 0.1611, 3.88)
    """
    return _told(screw, hole, _turned(screw, hole, engagement), _turned(hole, screw, engagement))


def look_alikes(thread: Thread, engagement: float | None = None) -> tuple[LookAlike, ...]:
    """Return the pairs of this thread with those of all series that start, dangerous ones first.

    The thread as the hole for other screws, and as the screw for other holes; within one outcome
    those that always start first, then the commoner and the nearer in pitch. ``engagement`` as in
    ``would_run``.
    """
    pairs: list[tuple[tuple[float, ...], LookAlike]] = []
    for other in _near(thread):
        into, out_of = _turned(other, thread, engagement), _turned(thread, other, engagement)
        for screw, hole, there, back in (
            (other, thread, into, out_of),
            (thread, other, out_of, into),
        ):
            if there is not None and _is_listed(screw, hole, there):
                pairs.append((_danger(there, other), _told(screw, hole, there, back)))
    return tuple(pair for _, pair in sorted(pairs, key=lambda ranked: ranked[0]))


def turns_at_basic_size(screw: Thread, hole: Thread) -> float | None:
    """Return the turns before binding as look-alike tables print them; None where it is blocked.

    (d2_hole - d2_screw) tan 30 / |P_screw - P_hole| from basic pitch diameters; infinite at equal
    pitches. A figure to compare publications by: it leaves out tolerances, chamfers and the half
    turn by which a ridge is thicker or finer than the space.

    >>> from shared.standards.threads import thread_named
    >>> round(turns_at_basic_size(thread_named("10-32 UNF"), thread_named("M5x0.8")), 1)
    15.7
    """
    play = (hole.pitch_diameter - screw.pitch_diameter) * tan(radians(30))
    error = abs(screw.pitch - hole.pitch)
    if play < 0:
        return None
    return float("inf") if error < EQUAL else play / error


@dataclass(frozen=True, slots=True)
class _Turned:
    """What comes of a pair: the members of the look-alike that the outcome hangs on."""

    starts: Starts
    outcome: Outcome
    stopped_by: StoppedBy
    least: float | None
    most: float | None
    available: float
    pitch_error: float


def _checked(engagement: float | None, hole: Thread) -> float:
    if engagement is None:
        return hole.major
    if not (isfinite(engagement) and 0 < engagement <= LONGEST_ENGAGEMENT):
        raise OutOfRange("engagement", engagement, "above 0 and at most 1000 mm")
    return engagement


def _turned(screw: Thread, hole: Thread, engagement: float | None) -> _Turned | None:
    """Turn the screw in; None where the series have no such screw or hole."""
    available = _checked(engagement, hole) / hole.pitch
    if not (can_be_screw(screw) and can_be_hole(hole)):
        return None
    error = screw.pitch - hole.pitch
    error = 0.0 if abs(error) < EQUAL else error
    if is_own(screw, hole):
        is_taper = screw.is_taper or hole.is_taper
        stop = StoppedBy.TAPER if is_taper else StoppedBy.NOTHING
        # An Rp hole may lie below its basic size, where the largest G screw does not enter.
        enters = is_taper or flank_play(screw_side(screw), hole_side(hole), tight) is not None
        starts = Starts.ALWAYS if enters else Starts.SOMETIMES
        return _Turned(starts, Outcome.RUNS_HOLDS, stop, None, None, available, error)
    if screw.major <= hole.minor_internal:
        slips, stop = Outcome.SLIPS, StoppedBy.NOTHING
        return _Turned(Starts.ALWAYS, slips, stop, None, None, available, error)
    return _met(screw, hole, available, error)


def _met(screw: Thread, hole: Thread, available: float, error: float) -> _Turned:
    """Turn a screw into a hole whose flanks its own meet."""
    a, b = screw_side(screw), hole_side(hole)
    easiest = flank_play(a, b, loose)
    if easiest is None:
        never, stop = Starts.NEVER, StoppedBy.DIAMETER
        return _Turned(never, Outcome.BLOCKED, stop, 0.0, 0.0, available, error)
    tightest = flank_play(a, b, tight)
    starts = Starts.SOMETIMES if tightest is None else Starts.ALWAYS
    if screw.is_taper or hole.is_taper:
        return _Turned(starts, Outcome.BINDS, StoppedBy.TAPER, None, None, available, error)
    if not error:
        least = 0.0 if tightest is None else None
        runs, stop = Outcome.RUNS_POORLY, StoppedBy.NOTHING
        return _Turned(starts, runs, stop, least, None, available, error)
    least = 0.0 if tightest is None else tightest / abs(error)
    most = easiest / abs(error) + INCOMPLETE_TURNS
    outcome = Outcome.BINDS if most < available else Outcome.RUNS_POORLY
    return _Turned(starts, outcome, StoppedBy.PITCH, least, most, available, error)


def _told(screw: Thread, hole: Thread, there: _Turned | None, back: _Turned | None) -> LookAlike:
    if there is None:
        raise InvalidInput(
            "/screw" if not can_be_screw(screw) else "/hole",
            f"{screw.designation} as a screw in {hole.designation} as a hole: Rc and Rp are threads"
            " of holes alone, R of screws alone.",
            "Exchange the two, or name the thread that the other part has.",
            "no-such-side",
        )
    a, b = screw_side(screw), hole_side(hole)
    depth = hole.major - hole.minor_internal
    error = there.pitch_error
    pair = LookAlike(
        screw=screw.designation,
        hole=hole.designation,
        starts=there.starts,
        outcome=there.outcome,
        reverse_starts=None if back is None else back.starts,
        reverse=None if back is None else back.outcome,
        stopped_by=there.stopped_by,
        turns_least=there.least,
        turns_most=there.most,
        turns_available=there.available,
        turns_to_half_pitch=hole.pitch / 2 / abs(error) if error else None,
        pitch_error=error,
        relative_pitch_error=error / hole.pitch,
        diameter_error=screw.major - hole.major,
        angle_error=screw.flank_angle - hole.flank_angle,
        overlap=_part((screw.major - hole.minor_internal) / depth),
        overlap_least=_part((a.loose.major - b.loose.minor) / depth),
        strip_share=_strip_share(screw, hole, there),
        tell_apart=tell_apart(screw, hole),
    )
    return replace(pair, note=note_of(pair, screw, hole))


def is_own(screw: Thread, hole: Thread) -> bool:
    """Whether the two are one thread, under one name or two, or made for each other.

    One form, pitch and size; or the taper screw R in the holes Rc and Rp of its size (ISO 7-1).

    >>> from shared.standards.threads import thread_named
    >>> is_own(thread_named("1/4-20 UNC"), thread_named("1/4-20 BSW"))
    False
    """
    if screw is hole or screw.designation == hole.designation:
        return True
    near = _MATING * hole.pitch
    is_one_size = (
        screw.flanks is hole.flanks
        and abs(screw.pitch - hole.pitch) < EQUAL
        and abs(screw.major - hole.major) < near
        and abs(screw.pitch_diameter - hole.pitch_diameter) < near
    )
    if hole.series in _MADE_FOR.get(screw.series, set()):
        return is_one_size
    return is_one_size and not screw.is_taper and not hole.is_taper


def _strip_share(screw: Thread, hole: Thread, there: _Turned) -> float | None:
    """What is left of the strip strength: by the smaller overlap, and by the turns that carry."""
    share = None if there.starts is Starts.NEVER else strip_share(screw, hole)
    if share is None or not there.pitch_error:
        return share
    carrying = 1 + YIELDING * hole.pitch / abs(there.pitch_error)
    return share * min(1.0, carrying / max(1.0, there.available))


def _part(share: float) -> float:
    return min(1.0, max(0.0, share))


def _is_listed(screw: Thread, hole: Thread, there: _Turned) -> bool:
    if there.starts is Starts.NEVER:
        return False
    if (screw.is_taper or hole.is_taper) and is_own(screw, hole):
        return False
    if screw.major - hole.minor_internal < LEAST_OVERLAP * (hole.major - hole.minor_internal):
        return False
    if screw.is_taper or hole.is_taper:
        return abs(there.pitch_error) <= MOST_PITCH_ERROR_OF_TAPERS * hole.pitch
    is_near = abs(screw.major - hole.major) <= NEAR_DIAMETER * hole.major
    return is_near or there.most is None or there.most >= 1.5 + INCOMPLETE_TURNS


def _danger(there: _Turned, other: Thread) -> tuple[float, ...]:
    return (
        _DANGER.index(there.outcome),
        _STARTS.index(there.starts),
        -other.commonness,
        abs(there.pitch_error) / other.pitch,
    )


@cache
def _by_major() -> tuple[tuple[Thread, ...], tuple[float, ...]]:
    ordered = tuple(sorted(threads(), key=lambda thread: thread.major))
    return ordered, tuple(thread.major for thread in ordered)


def _near(thread: Thread) -> tuple[Thread, ...]:
    """Return the threads that may start in this one or it in them, itself left out.

    Majors that differ by more than a thread's whole depth have no overlap; taken with room for the
    tolerances and for the 45 % coarser ones.
    """
    ordered, majors = _by_major()
    reach = 2.2 * thread.pitch
    first = bisect_left(majors, thread.major - reach)
    last = bisect_right(majors, thread.major + reach)
    return tuple(
        other
        for other in ordered[first:last]
        if other.designation != thread.designation
        and abs(other.pitch - thread.pitch)
        <= MOST_PITCH_ERROR * max(other.pitch, thread.pitch) + EQUAL
    )
