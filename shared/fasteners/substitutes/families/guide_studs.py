"""Screws without their heads, stood in tapped holes: a heavy part slides over them into place.

Lengths in mm. Common practice, no source; a diameter of thread in the hole is enough for a stud
that carries no weight.
"""

from collections.abc import Iterator
from typing import Final

from shared.fasteners.equivalence_traps import words_of
from shared.fasteners.model import FeatureKind, ItemForm, ToolFunction
from shared.fasteners.substitutes.cautions import cautions_for
from shared.fasteners.substitutes.common import (
    COMMON_PRACTICE,
    STATED,
    count_check,
    fits,
    missing,
    ratio,
    room_check,
    thread_check,
    thread_length_of,
    use_check,
)
from shared.fasteners.substitutes.families.guiding import not_borne, tolerance_of
from shared.fasteners.substitutes.instructions import PROTECT
from shared.fasteners.substitutes.model import (
    Candidate,
    Check,
    Drawer,
    Family,
    PartUsed,
    Piece,
    Requirement,
)
from shared.standards.thread_model import Thread

STUDS: Final = 2
"""Two show the way; more would only bind."""
LEAST_PLAY: Final = 0.1
LEAST_ENGAGEMENT: Final = 1.0
"""Thread in the hole, in diameters."""
_LONG: Final = 1.2
MOST_PLAY: Final = 0.25
"""Play of a bore that is still guided, in diameters: that of a coarse clearance hole of M8, about
the widest of ISO 273. Common practice, no source."""
THREAD_PLAY: Final = 0.5
"""What a stud may lean and wander in its hole, in pitches, on top of its play in the bore: the
limits of size of M8 allow 0.4 (ISO 965-1, from memory), rounded up."""

_IN_ITS_LENGTH: Final = frozenset("countersunk csk flat raised oval".split())
"""Heads that are measured with the shank."""
_WIDER: Final = frozenset("shoulder shouldered fitted fit".split())
"""Shanks that are wider than the thread."""


def candidates(requirement: Requirement, drawer: Drawer) -> Iterator[Candidate]:
    """Yield every screw and threaded rod of the drawer, tested as guide studs."""
    asked = (use_check(requirement), _lip(requirement), _holes(requirement), _play(requirement))
    for piece in drawer.of(ItemForm.SCREW, ItemForm.THREADED_ROD):
        usable = _usable_length(piece)
        yield Candidate(
            Family.GUIDE_STUDS,
            (PartUsed(piece, STUDS, _preparation(requirement, piece, usable)),),
            (
                *asked,
                thread_check(requirement, piece),
                _shank(piece),
                _length(requirement, piece),
                _room(requirement, piece, usable),
                count_check(piece, STUDS),
            ),
            steps=_steps(requirement),
            cautions=cautions_for(requirement, Family.GUIDE_STUDS),
            notes=not_borne(requirement),
        )


def _lip(requirement: Requirement) -> Check:
    """Check that no seal lip is to be guided: studs show a part its way, and cover no edge."""
    lip = requirement.size(FeatureKind.LIP)
    told = "No seal lip is stated that has to pass splines or edges."
    if lip is not None:
        told = f"A seal lip for {lip:.4g} mm is stated: studs cover no splines or edges."
    return Check("lip", lip is None, told, STATED)


def _holes(requirement: Requirement) -> Check:
    count = requirement.count(FeatureKind.THREAD)
    if requirement.thread is None:
        return missing("holes", "thread", "State the tapped holes: thread and count.")
    told = f"{count} tapped holes; {STUDS} studs are needed, or the part turns on the one."
    return fits("holes", count, STUDS, told, COMMON_PRACTICE)


def _play(requirement: Requirement) -> Check:
    """Check that the part slides over the studs, and that it is guided well enough to align."""
    name, thread = "play", requirement.thread
    bore = requirement.size(FeatureKind.BORE)
    if thread is None:
        return missing(name, "thread", "State the thread of the holes.")
    if bore is None:
        return missing(name, "bore", "State the bore that slides over the studs.")
    play = bore - thread.major
    detail = f"Bore {bore:.4g} mm over studs of {thread.major:.4g} mm leaves {play:.4g} mm."
    slides = ratio(name, play, LEAST_PLAY, f"{detail} At least {LEAST_PLAY:g} mm.", COMMON_PRACTICE)
    if not slides.passes:
        return slides
    if requirement.function is not ToolFunction.ALIGN:
        wide = MOST_PLAY * thread.major
        told = f"{detail} At most {wide:.3g} mm: in a wider bore they guide nothing."
        return min(
            slides,
            ratio(name, wide, play, told, COMMON_PRACTICE),
            key=lambda check: check.margin or 0.0,
        )
    allowed = tolerance_of(requirement, name, "how far off the part may stand")
    if isinstance(allowed, Check):
        return allowed
    off = play + THREAD_PLAY * thread.pitch
    told = (
        f"{detail} With the play of the thread the part may stand {off:.4g} mm off; allowed"
        f" {allowed:.4g} mm."
    )
    aligns = ratio(name, allowed, off, told, COMMON_PRACTICE)
    return min(slides, aligns, key=lambda check: check.margin or 0.0)


def _shank(piece: Piece) -> Check:
    words = frozenset[str]() if piece.fastener is None else words_of(piece.fastener)
    wider = bool(words & _WIDER)
    detail = (
        "Its shank is wider than its thread: the bore may not slide over it."
        if wider
        else "No shank wider than the thread is named."
    )
    return Check("shank", not wider, detail, COMMON_PRACTICE)


def _length(requirement: Requirement, piece: Piece) -> Check:
    name, thread = "length", requirement.thread
    depth, reach = requirement.size(FeatureKind.DEPTH), requirement.size(FeatureKind.REACH)
    if thread is None:
        return missing(name, "thread", "State the thread of the holes.")
    if depth is None:
        return missing(name, "depth", "State the usable depth of thread in the holes.")
    if reach is None:
        return missing(name, "reach", "State how far the studs must stand out.")
    usable, threaded = _usable_length(piece), thread_length_of(piece)
    if usable is None or threaded is None:
        return missing(name, "length", f"State the length of {piece.name}.")
    return _stands(thread, depth, reach, usable, threaded)


def _stands(thread: Thread, depth: float, reach: float, usable: float, threaded: float) -> Check:
    """Check length, depth of thread in the hole, and that the shank stays out of it."""
    least = LEAST_ENGAGEMENT * thread.major
    wanted = reach + least + thread.pitch
    engaged = min(depth - 0.5 * thread.pitch, usable - reach)
    told = (
        f"{usable:.4g} mm for {wanted:.4g} mm; {engaged:.4g} mm of thread in the hole (at least"
        f" {least:.4g} mm) of {threaded:.4g} mm threaded."
    )
    margin = usable / wanted
    margin = min(margin, engaged / least, threaded / engaged) if engaged > 0 else 0.0
    return Check("length", margin >= 1, told, COMMON_PRACTICE, margin)


def _room(requirement: Requirement, piece: Piece, usable: float | None) -> Check:
    if usable is None:
        return missing("room", "length", f"State the length of {piece.name}.")
    return room_check(requirement, usable)


def _usable_length(piece: Piece) -> float | None:
    """Return what is left when the head is off, mm: a countersunk head is within the length."""
    length, fastener = piece.length, piece.fastener
    if length is None or fastener is None:
        return length
    return length - fastener.thread.major if words_of(fastener) & _IN_ITS_LENGTH else length


def _preparation(requirement: Requirement, piece: Piece, usable: float | None) -> str:
    said = [] if piece.form is ItemForm.THREADED_ROD else ["Cut the head off."]
    depth, reach = requirement.size(FeatureKind.DEPTH), requirement.size(FeatureKind.REACH)
    if usable is not None and depth is not None and reach is not None:
        wanted = reach + depth
        if usable > _LONG * wanted:
            said.append(f"Cut it to about {wanted:.4g} mm: what stands out further only leans.")
    said.append(
        "Round the outer end, saw a slot across it for a screwdriver, and deburr the thread."
    )
    return " ".join(said)


def _steps(requirement: Requirement) -> tuple[str, ...]:
    depth, thread = requirement.size(FeatureKind.DEPTH), requirement.thread
    into = "by hand"
    if depth is not None and thread is not None:
        most, least = max(depth - 0.5 * thread.pitch, 0.0), LEAST_ENGAGEMENT * thread.major
        into = f"by hand, at least {least:.4g} mm and at the most {most:.4g} mm deep"
    return (
        PROTECT,
        f"Turn the {STUDS} studs {into}, into holes as far apart as there are; they must stand"
        " straight and alike.",
        "Bring the part up on its own support, slide it over the studs without force, and keep it"
        " parallel. Stop when it binds: draw it back and look why; never pull it on with screws.",
        "Start every other screw by hand before the studs come out with a screwdriver; then put the"
        " last screws in. A stud that has seized is drawn with two nuts locked on it.",
    )
