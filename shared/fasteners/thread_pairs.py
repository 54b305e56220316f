"""Look-alikes asked by designation: the text read, the hand minded, the cautions added.

Lengths in mm.
"""

import re
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from shared.designations.model import Fastener, FastenerForm, Hand
from shared.designations.reading import read_fastener
from shared.errors import Ambiguous, InvalidInput, UnknownUnit, WrongDimension
from shared.fasteners.equivalence_traps import DIPPED, words_of
from shared.fasteners.look_alike_model import CAUTIONS, LookAlike, Outcome, Starts, StoppedBy
from shared.fasteners.look_alikes import look_alikes, would_run
from shared.quantities import UNIT_CODES, Quantity, canonical, kind_of, read_text

_BARE: Final = re.compile(r"[0-9.,/ -]{1,30}")
_NUMBER: Final = re.compile(r"[0-9]{1,9}(?:[.,][0-9]{1,9})?")
_LONGEST: Final = 60

_OTHER_HAND: Final = (
    "Does not start: one thread is left-hand, the other right-hand. Look at the helix of both: seen"
    " upright, a right-hand thread rises to the right."
)
_OF_A_COAT: Final = (
    "One of the two is galvanised: a screw dipped in zinc enters only a nut or hole tapped over"
    " size for it, and an over-size nut holds less on a plain screw (ISO 10684, from memory). Fit"
    " both from one supply; a thin electroplated coat is not meant."
)
_OF_A_TAPER: Final = (
    "One of the two is written as taper: a taper screw starts in the parallel hole and jams, a"
    " parallel one in a taper hole hangs on its mouth. Nothing here tells how far it goes."
)
_TAPERS: Final = frozenset({"taper", "tapered"})
_SPOILT: Final = frozenset({"used", "stretch", "stretched", "special", "weld"})
_OF_THE_PART: Final = (
    "The thread is the same, but the part is used, special or made to stretch: whether this one"
    " enters and holds is not told by its thread."
)


@dataclass(frozen=True, slots=True)
class Asked:
    """A thread, its hand, and the pairs of it that start."""

    thread: str
    hand: str
    engagement: float | None
    pairs: tuple[LookAlike, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Paired:
    """A screw in a hole; ``fits`` if it is the hole's own thread and any two parts of it enter."""

    fits: bool
    pair: LookAlike
    cautions: tuple[str, ...]


def look_alikes_of(text: str, engagement: Quantity | None = None) -> Asked:
    """Read a thread and return its look-alikes.

    Raises InvalidInput for text that names no thread of the house, Ambiguous for text that names
    several, WrongDimension for an engagement that is no length, OutOfRange for one not above 0 or
    above 1000 mm.
    """
    part = read_fastener(text, pointer="/thread")
    length = _length(engagement)
    pairs = look_alikes(part.thread, length)
    return Asked(part.thread.designation, part.hand.value, length, pairs, _cautions(part))


def thread_pair(screw: str, hole: str, engagement: Quantity | None = None) -> Paired:
    """Read a screw's and a hole's thread and tell what comes of turning the one into the other.

    Raises as ``look_alikes_of``, and InvalidInput for a series that has no such side.
    """
    a, b = read_fastener(screw, pointer="/screw"), read_fastener(hole, pointer="/hole")
    _check_sides(a, b)
    pair = would_run(a.thread, b.thread, _length(engagement))
    if a.hand is not b.hand:
        pair = replace(
            pair,
            starts=Starts.NEVER,
            outcome=Outcome.BLOCKED,
            reverse_starts=Starts.NEVER if pair.reverse else None,
            reverse=Outcome.BLOCKED if pair.reverse else None,
            stopped_by=StoppedBy.HAND,
            turns_least=0.0,
            turns_most=0.0,
            strip_share=None,
            note=_OTHER_HAND,
        )
    pair, doubts = _by_words(a, b, pair)
    fits = pair.outcome is Outcome.RUNS_HOLDS and pair.starts is Starts.ALWAYS and not doubts
    return Paired(fits, pair, (*doubts, *_cautions(a, b)))


def _check_sides(screw: Fastener, hole: Fastener) -> None:
    """Raise InvalidInput for a nut as the screw, a screw as the hole, by form or limits."""
    if screw.form is FastenerForm.NUT or _is_of_a_hole(screw):
        raise InvalidInput(
            "/screw",
            f"'{screw.canonical}' is a nut or a hole.",
            "Name the part with the outside thread here, the nut or hole in hole.",
        )
    if hole.form is FastenerForm.SCREW or _is_of_a_hole(hole) is False:
        raise InvalidInput(
            "/hole",
            f"'{hole.canonical}' is a screw: it takes no other.",
            "Name the nut or tapped hole here, its thread alone is enough.",
        )


def _is_of_a_hole(part: Fastener) -> bool | None:
    """Whether the tolerance class is that of a hole (6H, 2B); None: none is written."""
    name = part.tolerance_class
    if name is None or not name[-1].isalpha() or part.thread.designation.startswith("G "):
        return None
    if name[-1] in "AB":
        return name[-1] == "B"
    return name[-1].isupper()


def _by_words(a: Fastener, b: Fastener, pair: LookAlike) -> tuple[LookAlike, tuple[str, ...]]:
    """Return the pair as the words beside the threads leave it, and what they put in doubt."""
    if pair.outcome is not Outcome.RUNS_HOLDS:
        return pair, ()
    words = words_of(a) | words_of(b)
    if pair.stopped_by is not StoppedBy.TAPER and words & _TAPERS:
        pair = replace(
            pair,
            outcome=Outcome.BINDS,
            reverse=pair.reverse and Outcome.BINDS,
            stopped_by=StoppedBy.TAPER,
            strip_share=None,
            note=_OF_A_TAPER,
        )
        return pair, ()
    if words & DIPPED:
        pair = replace(
            pair,
            starts=Starts.SOMETIMES,
            reverse_starts=pair.reverse_starts and Starts.SOMETIMES,
            strip_share=None,
            note=_OF_A_COAT,
        )
        return pair, ()
    return pair, (_OF_THE_PART,) if words & _SPOILT else ()


def read_engagement(text: str, unit: str | None = None) -> Quantity:
    """Read an engagement as the trade writes it; a bare number has ``unit``, mm if None.

    Raises InvalidInput (pointer "/engagement"; "/unit" for a unit that is none of length) and
    Ambiguous for a bare fraction without a unit.

    >>> read_engagement("7/16 in").value, read_engagement("0.25", "in").value
    (Decimal('11.1125'), Decimal('6.35'))
    """
    if unit is not None and (unit not in UNIT_CODES or kind_of(unit) != "length"):
        raise UnknownUnit("/unit", f"'{unit[:40]}' is no unit of length.", "Give mm or in.")
    written = text.strip()
    if len(text) > _LONGEST:
        raise InvalidInput(
            "/engagement", f"The text has {len(text)} characters.", "Give one length, such as 6 mm."
        )
    if _BARE.fullmatch(written) and (unit is not None or _NUMBER.fullmatch(written)):
        written = f"{written} {unit or 'mm'}"
    elif _BARE.fullmatch(written):
        raise Ambiguous(
            "/engagement",
            f"'{written}' has no unit.",
            "Write the unit behind it, or give unit.",
            [f"{written} in", f"{written} mm"],
        )
    try:
        reading = read_text(written)
    except InvalidInput as error:
        error.pointer = "/engagement"
        raise
    if reading.kind != "length":
        raise WrongDimension(
            "/engagement",
            f"'{text[:40]}' is no length: {reading.kind}.",
            "Give a length, such as 6 mm.",
        )
    if reading.value is None or reading.then:
        raise InvalidInput(
            "/engagement", f"'{text[:40]}' is more than one figure.", "Give one, such as 6 mm."
        )
    return Quantity(Decimal(reading.value.value), reading.value.unit)


def _length(engagement: Quantity | None) -> float | None:
    if engagement is None:
        return None
    try:
        return canonical(engagement, "length")
    except InvalidInput as error:
        raise error.below("/engagement") from None


def _cautions(*parts: Fastener) -> tuple[str, ...]:
    left = tuple(
        f"{part.thread.designation} is marked left-hand: its look-alikes are left-hand too."
        for part in parts
        if part.hand is Hand.LEFT
    )
    return tuple(dict.fromkeys(left + CAUTIONS))
