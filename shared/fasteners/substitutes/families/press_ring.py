"""A ring, socket or tube under a press: what it bears on, and how far the press may go. mm, N."""

from collections.abc import Iterator
from math import ceil, floor
from typing import Final

from shared.fasteners.model import FeatureKind, ItemForm, TightRing
from shared.fasteners.substitutes.cautions import cautions_for, estimate_note
from shared.fasteners.substitutes.common import (
    COMMON_PRACTICE,
    count_check,
    force_text,
    missing,
    ratio,
    room_check,
    symmetry_check,
    use_check,
)
from shared.fasteners.substitutes.families.ring_fit import (
    along_of,
    asked_size,
    face_checks,
    ring_cautions,
    ring_checks,
    ring_parts,
)
from shared.fasteners.substitutes.instructions import PROTECT, STOP_RULES
from shared.fasteners.substitutes.model import (
    Candidate,
    Check,
    Drawer,
    Family,
    PartUsed,
    Piece,
    Requirement,
)
from shared.fasteners.substitutes.screw_work import PartAllows
from shared.fasteners.substitutes.stresses import tool_material_check

_FORMS: Final = (ItemForm.RING, ItemForm.SOCKET, ItemForm.TUBE)
_STANDS_OUT: Final = 5.0
"""Length, mm, that a ring keeps outside the bore at the end. Common practice, no source."""


def candidates(requirement: Requirement, drawer: Drawer) -> Iterator[Candidate]:
    """Return every ring, socket and tube of the drawer, tested under a press.

    The press gives the force, so no torque and no force of its own is told. Sources: see the
    checks.
    """
    asked = (
        use_check(requirement),
        symmetry_check(requirement),
        *face_checks(requirement),
        *_travel_checks(requirement),
    )
    is_known = not face_checks(requirement)
    for piece in drawer.of(*_FORMS):
        yield _candidate(requirement, piece, asked, is_known=is_known)


def _candidate(
    requirement: Requirement, piece: Piece, asked: tuple[Check, ...], *, is_known: bool
) -> Candidate:
    checks = [*asked, count_check(piece, 1)]
    along = along_of(piece)
    if is_known:
        checks += ring_checks(requirement, piece)
    else:
        checks.append(tool_material_check(piece, bends=False))
    if along is None:
        checks.append(missing("length", FeatureKind.LENGTH.value, f"State how long {piece.name}."))
    else:
        checks += [*_length_checks(requirement, piece, along), room_check(requirement, along)]
    parts = ring_parts(requirement, piece) if is_known else ()
    checks += _force_checks(requirement, parts)
    notes = [
        "The press gives the force: what its gauge shows at the most is told under steps.",
        "Whether the shaft bears the force as a whole is not computed: support it itself."
        if requirement.tight_ring is TightRing.INNER
        else "Whether the housing bears the force as a whole is not computed: support it close to"
        " the bore.",
    ]
    said = estimate_note(requirement.force)
    if said is not None:
        notes.append(said)
    return Candidate(
        Family.PRESS_RING,
        (PartUsed(piece, 1),),
        tuple(checks),
        steps=_steps(requirement, parts),
        cautions=(*cautions_for(requirement, Family.PRESS_RING), *ring_cautions(piece)),
        notes=tuple(notes),
    )


def _travel_checks(requirement: Requirement) -> tuple[Check, ...]:
    if asked_size(requirement, FeatureKind.TRAVEL) is not None:
        return ()
    return (missing("length", FeatureKind.TRAVEL.value, "State how far the part has to go."),)


def _length_checks(requirement: Requirement, piece: Piece, along: float) -> tuple[Check, ...]:
    travel = asked_size(requirement, FeatureKind.TRAVEL)
    if travel is None:
        return ()
    wanted = travel + _STANDS_OUT
    detail = f"{piece.name} is {along:.4g} mm long; {wanted:.4g} mm wanted, the travel and"
    detail += f" {_STANDS_OUT:g} mm."
    return (ratio("length", along, wanted, detail, COMMON_PRACTICE),)


def _force_checks(requirement: Requirement, parts: tuple[PartAllows, ...]) -> tuple[Check, ...]:
    if not parts:
        detail = "What it bears cannot be told before its sizes, its material and the face are."
        return (Check("force", False, detail, "cannot be computed"),)
    need = requirement.force
    least = min(part.force for part in parts)
    checks = []
    for part in parts:
        detail = f"Bears {force_text(part.force)}."
        if need is None:
            checks.append(Check(part.name, True, detail, part.basis))
        else:
            checks.append(ratio(part.name, part.force, need.amount.most, detail, part.basis))
    if need is None:
        detail = f"State the force needed; it bears {force_text(least)}."
        return *checks, missing("force", "force", detail)
    detail = f"It bears {force_text(least)}; {force_text(need.amount.most)} may be needed"
    detail += f" ({need.basis})."
    return *checks, ratio("force", least, need.amount.most, detail, "the least of the parts")


def _steps(requirement: Requirement, parts: tuple[PartAllows, ...]) -> tuple[str, ...]:
    need = requirement.force
    if need is None or not parts:
        return ()
    most, bears = need.amount.most, min(part.force for part in parts)
    if not bears >= most:
        return ()
    # Rounded up to what a gauge can show, never beyond what the weakest part bears.
    limit = floor(min(ceil(most / 100) * 100, bears))
    stand = (
        "Support the housing square on the press bed, close to the bore, with room for the part to"
        " pass."
    )
    if requirement.tight_ring is TightRing.INNER:
        stand = (
            "Support the shaft itself square on the press bed, never the housing: held by the"
            " housing, the load goes through the balls of a bearing and ruins it."
        )
    return (
        stand,
        "See that nothing inside the ring, such as the shaft's end, meets the ram before the part"
        " has gone its way.",
        "Deburr the ring's ends, see that they are square, and set it on the face that takes the"
        " load, and on nothing else.",
        "Where the ram does not cover all of the ring, lay a thick plate of steel over it: a ring"
        " pressed on one side alone slips off.",
        PROTECT,
        "Bring the press down by hand, look from two sides that everything stands straight, then"
        " press slowly and without a jerk.",
        f"Watch the press's gauge: stop at {limit} N, and at once when the force rises"
        " suddenly or anything tilts.",
        "If it does not move at that force, take the load off and look for a ring, pin or screw"
        " still holding; press no harder.",
        *STOP_RULES[1:],
    )
