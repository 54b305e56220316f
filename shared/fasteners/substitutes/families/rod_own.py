"""The rod itself: whether it is one, whether it passes, how long it has to be. mm."""

from typing import Final

from shared.designations.model import Fastener
from shared.errors import InvalidInput
from shared.fasteners.equivalence_traps import words_of
from shared.fasteners.model import FeatureKind, ItemForm
from shared.fasteners.shapes import check_can_be_tightened, is_stud
from shared.fasteners.substitutes.common import (
    COMMON_PRACTICE,
    STATED,
    head_check,
    missing,
    ratio,
    thread_length_of,
)
from shared.fasteners.substitutes.families.ring_fit import size_of
from shared.fasteners.substitutes.families.rod_model import Facts
from shared.fasteners.substitutes.model import Check, Piece
from shared.standards.hole_materials import MaterialKind

_PLAY: Final = 0.5
"""Play, mm, of the rod in the part's hole. Common practice, no source."""
_NO_FLAT_HEAD: Final = frozenset("eye eyebolt hook t-head hanger".split())
_STANDS_OUT: Final = 2.0
"""Pitches that each end stands out of its nut. Common practice, no source."""
_PLAIN_ENDS: Final = 3.0
"""Pitches of a rod that may have no full thread. Common practice, no source."""
_METALS: Final = (MaterialKind.STEEL, MaterialKind.STAINLESS)


def rod_checks(facts: Facts, piece: Piece, rod: Fastener) -> tuple[Check, ...]:
    """Return whether a piece is a rod or screw to pull with, and passes through the part."""
    through = min(facts.through, facts.face_inside, facts.bore)
    wanted = rod.thread.major + _PLAY
    detail = f"{rod.thread.designation} wants {wanted:.4g} mm; the narrowest hole stated is"
    detail += f" {through:.4g} mm."
    return (
        _is_rod(piece, rod),
        ratio("rod passes", through, wanted, detail, COMMON_PRACTICE),
    )


def ends_of(piece: Piece, rod: Fastener, nut_height: float) -> float:
    """Return what of a rod's length is taken by nuts and by ends that stand out, mm."""
    ends = 1 if piece.form is ItemForm.SCREW else 2
    return ends * (nut_height + _STANDS_OUT * rod.thread.pitch)


def least_between(facts: Facts, piece: Piece) -> float:
    """Return how much has to lie between head and nut so that the nut never reaches the shank.

    mm, the reach left out; 0 or less where there is thread all along.
    """
    length, threaded = piece.length, thread_length_of(piece)
    if length is None or threaded is None:
        return 0.0
    return length - threaded - facts.reach + facts.travel


def length_checks(
    facts: Facts, piece: Piece, rod: Fastener, nut_height: float, between: float
) -> tuple[Check, ...]:
    """Return whether a rod is long enough, its thread too, and whether the part has its way.

    ``between`` is what lies between the nuts besides the reach.
    """
    length = size_of(piece, FeatureKind.LENGTH) or piece.length
    if length is None:
        return (
            missing("rod length", FeatureKind.LENGTH.value, f"State how long {piece.name} is."),
        )
    wanted = facts.reach + between + ends_of(piece, rod, nut_height)
    detail = f"{length:.4g} mm long; {wanted:.4g} mm reach through everything and both nuts."
    found = [ratio("rod length", length, wanted, detail, COMMON_PRACTICE)]
    threaded = thread_length_of(piece)
    if threaded is not None:
        plain, at_the_end = length - threaded, facts.reach - facts.travel + between
        passes = plain <= at_the_end
        detail = f"{plain:.4g} mm without thread; the nut comes to {at_the_end:.4g} mm from the"
        detail += " other end."
        if piece.form is ItemForm.THREADED_ROD:
            # Either end takes a nut.
            passes = threaded >= length - _PLAIN_ENDS * rod.thread.pitch
            detail = f"{threaded:.4g} mm of {length:.4g} mm have thread; a rod wants it all along."
        found.append(Check("thread length", passes, detail, STATED))
    if facts.travel >= facts.reach and not facts.is_pull:
        detail = f"The part goes {facts.travel:.4g} mm of a reach of {facts.reach:.4g} mm: it meets"
        found.append(Check("travel", False, f"{detail} the bar.", STATED))
    return tuple(found)


def _is_rod(piece: Piece, rod: Fastener) -> Check:
    why = None
    if piece.material is not None and piece.material.kind not in _METALS:
        why = f"{piece.name} is of {piece.material.title}."
    elif piece.form is ItemForm.SCREW:
        words = words_of(rod)
        if is_stud(rod) or words & _NO_FLAT_HEAD:
            why = f"{piece.name} has no head that seats on a washer."
        elif not head_check(piece).passes:
            why = head_check(piece).detail
    try:
        check_can_be_tightened(rod)
    except InvalidInput as error:
        why = error.detail
    return Check("rod", why is None, why or f"{piece.name} to pull with.", COMMON_PRACTICE)
