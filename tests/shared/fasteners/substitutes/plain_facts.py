"""The plain side: every rule written a second time, from the rules and from mechanics.

Nothing here uses the house's own formulas for threads, torque or strip. mm, N, MPa; torque in N·m
where it is a screw's, and in N·mm inside the formulas of beams and pins.
"""

from shared.errors import InvalidInput
from shared.fasteners.model import FeatureKind, ItemForm, ScrewTip, ToolUse
from shared.fasteners.shapes import check_can_be_tightened

NEARLY = 1e-9
"""Two ways to compute one figure differ in the last digits: so much is no difference."""
HEADLESS = {"stud", "studs", "studding", "rod"}
SUNK = {"countersunk", "csk", "flat", "flat-head", "fhcs", "oval", "raised"}
WEAK_HEADS = set(
    "button low low-profile thin slotted cross pan cheese truss mushroom round dome domed thumb"
    " wing carriage eye hook".split()
)
FULL = ("full", "fully", "ISO 4017", "DIN 933", "ISO 4018", "ISO 8676", "DIN 961")


class Plain:
    """What does not hold, and what may be turned to (N·m) and counted on (N)."""

    def __init__(self):
        """Begin with nothing against it."""
        self.reasons = []
        self.torque = None
        self.force = None
        self.is_on_the_limit = False

    def no(self, why):
        """Refuse."""
        self.reasons.append(why)

    def at_least(self, has, wanted, why):
        """Refuse unless ``has`` is ``wanted`` or more."""
        slack = NEARLY * max(abs(wanted), abs(has))
        if 0 < abs(has - wanted) <= slack:
            self.is_on_the_limit = True
        if not has >= wanted - slack:
            self.no(f"{why}: {has:.6g} is less than {wanted:.6g}")

    def known(self, **facts):
        """Refuse for every fact that is not stated; tell whether all are."""
        for name, fact in facts.items():
            if fact is None:
                self.no(f"{name} is not stated")
        return None not in facts.values()


def begin(requirement):
    """Refuse where a life may hang on it or nobody said that none does."""
    plain = Plain()
    if requirement.uses is None:
        plain.no("nobody said what hangs on it")
    elif requirement.uses - {ToolUse.STORED_ENERGY}:
        plain.no("refused whatever the numbers")
    return plain


def room(plain, requirement, height):
    """Refuse without clear height."""
    clear = requirement.size(FeatureKind.CLEAR_HEIGHT)
    if clear is not None:
        plain.at_least(clear, height, "room")
    elif not requirement.nothing_in_the_way:
        plain.no("nobody said what stands in the way")


def enough(plain, parts, wanted):
    """Refuse too few pieces, or more than there are."""
    plain.at_least(sum(count for _, count in parts), wanted, "count")
    for piece, count in parts:
        plain.at_least(piece.quantity, count, f"quantity of {piece.key}")


def words(fastener):
    """Return the words beside a designation, one by one."""
    return set(" ".join(fastener.words).casefold().split())


def fits_thread(plain, requirement, piece, *, has_head):
    """Refuse another thread or hand, and what has no head where a head is turned."""
    wanted, own = requirement.fastener, piece.fastener
    if wanted is None or own is None:
        plain.no("thread not stated")
        return False
    if wanted.thread.designation != own.thread.designation or wanted.hand is not own.hand:
        plain.no("another thread or hand")
        return False
    try:
        check_can_be_tightened(own)
    except InvalidInput:
        plain.no("no plain screw")
        return False
    if has_head and (piece.form is not ItemForm.SCREW or words(own) & HEADLESS):
        plain.no("no head to turn")
    return True


def has_sound_head(plain, fastener):
    """Refuse a head that wedges, and one that no spanner turns hard."""
    if words(fastener) & (SUNK | WEAK_HEADS):
        plain.no("no head that seats flat and is turned hard")


def head_height(fastener):
    """Return how high a head stands, mm."""
    return fastener.thread.major * (1.0 if "socket" in words(fastener) else 0.8)


def without_sunk_head(piece):
    """Return the length under a head, mm: a countersunk one is part of the nominal length."""
    return piece.length - (piece.fastener.thread.major if words(piece.fastener) & SUNK else 0.0)


def thread_length(piece):
    """Return how much of a screw is threaded, mm."""
    stated = piece.size(FeatureKind.THREAD_LENGTH)
    if stated is not None:
        return stated
    length, thread = piece.length, piece.fastener.thread
    if length is None:
        return None
    if piece.form is ItemForm.THREADED_ROD:
        return length
    most = length - 3 * thread.pitch
    joined = " ".join(piece.fastener.words)
    if any(word in joined for word in FULL):
        return most
    if thread.is_metric:
        more = 6 if length <= 125 else 12 if length <= 200 else 25
    else:
        more = 6.35 if length <= 152.4 else 12.7
    return min(most, 2 * thread.major + more)


def tip_lost(piece):
    """Return what is cut off a screw's end before a point is ground, mm."""
    sound = (ScrewTip.DOG, ScrewTip.FLAT, ScrewTip.CHAMFERED, ScrewTip.ROUNDED)
    return 0.0 if piece.tip in sound else piece.fastener.thread.major
