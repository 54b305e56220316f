"""Whether a screw or rod is of the hole's thread, how much of it is threaded, how its head turns.

Lengths in mm.
"""

import re
from functools import lru_cache
from typing import Final

from shared.designations.model import Fastener, FastenerForm
from shared.errors import InvalidInput
from shared.fasteners.equivalence_traps import words_of
from shared.fasteners.look_alike_model import Outcome, Starts
from shared.fasteners.look_alikes import would_run
from shared.fasteners.model import FeatureKind, ItemForm, ToolFunction
from shared.fasteners.shapes import check_can_be_tightened, is_stud
from shared.fasteners.substitutes.checking import COMMON_PRACTICE, missing
from shared.fasteners.substitutes.model import Check, Piece, Requirement
from shared.standards.part_standards import part_standard
from shared.standards.thread_geometry import MM_PER_INCH
from shared.standards.thread_model import Thread

LEAST_ENGAGED: Final = 1.0
"""Thread in the hole at the start, in diameters. Common practice, no source."""
CLEAR_OF_THE_END: Final = 0.5
"""Pitches that a screw stops short of its hole's depth. Common practice, no source."""
HEAD_HEIGHT: Final = 0.8
SOCKET_HEAD_HEIGHT: Final = 1.0
"""Height of a head, in diameters: a hexagon's 0.65, a socket head's 1. Common practice."""
_RUN_OUT: Final = 3.0
"""Pitches without full thread under the head of a screw threaded to it. From memory."""
_THREADED_TO_THE_HEAD: Final = (
    "full", "fully", "threaded to the head", "iso 4017", "din 933", "iso 4018", "iso 8676",
    "din 961",
)  # fmt: skip
_NOT_TO_THE_HEAD: Final = frozenset("part partly partial partially half not".split())
_NO_FLAT_SEAT: Final = frozenset("countersunk csk flat flat-head fhcs oval raised".split())
_WEAK_HEADS: Final = frozenset("button bhcs low low-profile thin".split())
_NOT_TO_TURN_HARD: Final = frozenset(
    "slotted cross cross-recess cross-recessed recessed pan cheese fillister truss mushroom round"
    " dome domed thumb wing carriage coach".split()
)


_STUDS: Final = frozenset({"studs", "rods"})
"""As the titles of standards write them."""
_NO_PLAIN_SHANK: Final = frozenset(
    "shoulder fitted plug plugs captive captured insert clinch rivet blind weld anchor coupling"
    " connector union adapter adaptor sender".split()
)
"""What is thicker or thinner than its thread, or no screw at all. Common practice, no source."""
_FITS_OF_THREADS: Final = frozenset({"close", "medium", "free"})
_STANDARD: Final = re.compile(r"(?:DIN|EN|BS|ISO|JIS|ASME|ANSI|NF|UNI|GB)\b.*[0-9]", re.IGNORECASE)


def thread_check(requirement: Requirement, piece: Piece) -> Check:
    """Return whether a screw or rod has the hole's thread, pitch and hand, and a head to turn.

    A threaded rod needs no head; nearly the same thread is no thread. The text says what a screw
    of another thread does in the hole.
    """
    hole, screw = requirement.fastener, piece.fastener
    if hole is None:
        return missing("thread", "thread", "State the thread of the holes.")
    why = None if screw is None else _why_no_screw(piece, screw)
    if screw is None:
        why = f"The thread of {piece.name} is not known."
    elif why is None and screw.thread.designation != hole.thread.designation:
        why = f"{screw.thread.designation} is not {hole.thread.designation}"
        why += f": {_what_comes_of_it(screw.thread, hole.thread)}"
    elif why is None and _is_said_otherwise(requirement, hole):
        why = f"The hole's thread is stated {hole.hand}-hand, and thread-hand {requirement.hand}."
    elif why is None and screw.hand is not hole.hand:
        why = f"The screw is {screw.hand}-hand, the hole {hole.hand}-hand: it does not go in."
    basis = "thread, pitch and hand, exactly"
    return Check("thread", why is None, why or f"{hole.thread.designation} both.", basis)


def head_check(piece: Piece) -> Check:
    """Return whether a screw's head can be turned hard and seats flat, as far as its words say."""
    words = frozenset() if piece.fastener is None else words_of(piece.fastener)
    why = next(
        (
            reason
            for marks, reason in (
                (_NO_FLAT_SEAT, "A countersunk head does not seat on a flat face."),
                (_WEAK_HEADS, "Its low head may fail before its thread, whatever its class."),
                (_NOT_TO_TURN_HARD, "Its head is not made to be turned hard."),
            )
            if words & marks
        ),
        None,
    )
    return Check("head", why is None, why or "A head to turn by.", COMMON_PRACTICE)


def head_height(fastener: Fastener) -> float:
    """Return the height of a head, in diameters of the thread."""
    return SOCKET_HEAD_HEIGHT if "socket" in words_of(fastener) else HEAD_HEIGHT


def thread_length_of(piece: Piece) -> float | None:
    """Return the length of full thread on a screw or rod, mm; None where its length is not known.

    As stated; else all of a rod and of a screw threaded to its head but three pitches; else the
    least of a screw with shank: 2 d + 6, 12 or 25 by length, inch 2 d + 1/4 or 1/2 in. Sources:
    ISO 888, ASME B18.2.1, from memory.
    """
    length, stated = piece.length, piece.size(FeatureKind.THREAD_LENGTH)
    if piece.fastener is None or length is None:
        return stated
    if stated is not None:
        return min(stated, length)
    thread = piece.fastener.thread
    if piece.form is ItemForm.THREADED_ROD:
        return length
    to_the_head = max(length - _RUN_OUT * thread.pitch, 0.0)
    written = " ".join(piece.fastener.words).casefold()
    if any(words in written for words in _THREADED_TO_THE_HEAD) and not (
        _NOT_TO_THE_HEAD & set(written.split())
    ):
        return to_the_head
    return min(to_the_head, 2 * thread.major + _beyond_two_diameters(thread, length))


def threaded_text(piece: Piece, threaded: float) -> str:
    """Say how much of a screw is threaded, and that it is reckoned where nobody measured it."""
    if piece.size(FeatureKind.THREAD_LENGTH) is not None:
        return f"{threaded:.4g} mm threaded"
    return f"{threaded:.4g} mm threaded (reckoned; measured more counts: state thread-length)"


def _is_said_otherwise(requirement: Requirement, hole: Fastener) -> bool:
    """Whether a hand is stated that is not the holes', where no other thread is turned."""
    is_of_the_hole = requirement.function in {ToolFunction.SEPARATE, ToolFunction.RETAIN}
    return is_of_the_hole and requirement.hand not in {None, hole.hand}


def _why_no_screw(piece: Piece, fastener: Fastener) -> str | None:
    if piece.form not in {ItemForm.SCREW, ItemForm.THREADED_ROD}:
        return f"{piece.name} is no screw."
    if fastener.form is FastenerForm.NUT:
        return f"{piece.name} is a nut."
    by_words = _why_by_words(piece, fastener)
    if by_words is not None:
        return by_words
    try:
        check_can_be_tightened(fastener)
    except InvalidInput as error:
        return error.detail
    return None


def _why_by_words(piece: Piece, fastener: Fastener) -> str | None:
    words = words_of(fastener)
    if piece.form is ItemForm.SCREW and (is_stud(fastener) or words & _STUDS):
        return f"{piece.name} has no head to turn."
    other = sorted(words & _NO_PLAIN_SHANK)
    if "fit" in words and not words & _FITS_OF_THREADS:
        other.append("fit")
    if other:
        return f"{piece.name} is no plain screw ({', '.join(other)}): its thread or shank is less."
    for word in fastener.words:
        if _STANDARD.match(word) and part_standard(word) is None:
            return (
                f"What screws {word} is about is in no table: write what it is, such as hexagon"
                " head screw, and leave the standard out."
            )
    return None


@lru_cache(maxsize=4096)
def _what_comes_of_it(screw: Thread, hole: Thread) -> str:
    try:
        pair = would_run(screw, hole)
    except InvalidInput as error:
        return error.detail
    if pair.starts is not Starts.NEVER and pair.outcome is Outcome.BINDS:
        most = pair.turns_most
        turns = "" if most is None else f" within {most:.2g} turns"
        return f"it starts but binds{turns} and ruins the hole."
    if pair.outcome is Outcome.RUNS_POORLY:
        return "it goes in all the way and holds poorly."
    if pair.outcome is Outcome.SLIPS:
        return "it slips through, nothing grips."
    return "take a screw of the hole's own thread."


def _beyond_two_diameters(thread: Thread, length: float) -> float:
    if thread.turns_per_inch is not None:
        return MM_PER_INCH / 4 if length <= 6 * MM_PER_INCH else MM_PER_INCH / 2
    if length <= 125:
        return 6.0
    return 12.0 if length <= 200 else 25.0
