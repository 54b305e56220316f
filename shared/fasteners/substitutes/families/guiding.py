"""What the families that guide, align and gauge have in common. Lengths in mm."""

from math import isfinite

from shared.fasteners.model import FeatureKind
from shared.fasteners.substitutes.common import COMMON_PRACTICE, missing, ratio, room_check
from shared.fasteners.substitutes.model import Check, Piece, Requirement


def gap_check(name: str, gap: float, least: float, most: float, what: str) -> Check:
    """Check that a play, mm, lies between two bounds; the margin is that of the nearer bound."""
    fits = isfinite(gap) and least > 0 and most > 0
    margin = min(gap / least, most / gap) if fits and gap > 0 else 0.0
    detail = f"{what} has {gap:.4g} mm of play; wanted {least:.4g} mm to {most:.4g} mm."
    return Check(name, margin >= 1, detail, COMMON_PRACTICE, margin)


def tolerance_of(requirement: Requirement, name: str, what: str) -> float | Check:
    """Return the tolerance stated, mm, or the check that fails for want of it."""
    stated = requirement.tolerance
    if stated is not None and isfinite(stated) and stated > 0:
        return stated
    return missing(name, "tolerance", f"State {what}, in mm.")


def length_and_room(
    requirement: Requirement, piece: Piece, beyond: float, what: str
) -> tuple[Check, Check]:
    """Check that a piece reaches as far as it must and ``beyond``, mm, and has room to go in.

    ``what`` says how far it must reach, for whoever has not stated it.
    """
    reach, length = requirement.size(FeatureKind.REACH), piece.length
    if length is None:
        told = f"State the length of {piece.name}."
        return missing("length", "length", told), missing("room", "length", told)
    room = room_check(requirement, length)
    if reach is None:
        return missing("length", "reach", f"State {what}."), room
    wanted = reach + beyond
    told = f"{length:.4g} mm for {wanted:.4g} mm."
    return ratio("length", length, wanted, told, COMMON_PRACTICE), room


def not_borne(requirement: Requirement) -> tuple[str, ...]:
    """Say which force or torque was stated and is not borne: these pieces only show the way."""
    found = []
    for word, unit, need in (
        ("force", "N", requirement.force),
        ("torque", "N·m", requirement.torque),
    ):
        if need is not None:
            found.append(
                f"The {word} stated, up to {need.amount.most:.4g} {unit}, was not checked: this"
                " carries and gives none."
            )
    return tuple(found)
