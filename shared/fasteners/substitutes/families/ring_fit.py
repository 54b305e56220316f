"""A ring, socket, tube or washer that bears on the ring-shaped face which takes the load.

mm, N, MPa. A bearing is pushed and pulled by the ring that sits tight, and by nothing else.
"""

from math import inf, isfinite, pi
from typing import Final

from shared.fasteners.model import FeatureKind, ItemForm, TightRing, ToolFunction
from shared.fasteners.substitutes.common import (
    COMMON_PRACTICE,
    STATED,
    face_allows,
    missing,
    weaker,
)
from shared.fasteners.substitutes.model import Check, Piece, Requirement
from shared.fasteners.substitutes.screw_work import PartAllows
from shared.fasteners.substitutes.stresses import (
    BASIS,
    COLUMN_BASIS,
    allowed_bending,
    allowed_compression,
    allowed_shear,
    column_force,
    column_yield,
    round_gyration,
    tool_material_check,
)
from shared.standards.hole_materials import HoleMaterial

RING_FORMS: Final = (ItemForm.RING, ItemForm.SOCKET, ItemForm.TUBE, ItemForm.WASHER)
FIT: Final = "press ring"
SOCKET_CAUTION: Final = (
    "A socket is hardened and bursts into splinters: only a sound one without cracks or wear, its"
    " open end square on the face, pressed slowly, never struck, and with a shield before it."
)
FACE: Final = "ring face"
COMPRESSION: Final = "ring compression"
COLUMN: Final = "ring column"
BENDING: Final = "ring bending"
ON_THE_RING: Final = 0.2
"""Share of a ring's wall by which it is held or loaded at the least. Common practice, no source."""
TO_THE_BORE: Final = 0.88
"""Share of the housing's bore that the face of an outer ring reaches, and that of an inner one does
not. From the proportions of ball and roller bearings, from memory; common practice, no source."""
INTO_THE_BORE: Final = 0.2
"""Play, mm, that what follows into a bore has in it. Common practice, no source."""


def size_of(piece: Piece, kind: FeatureKind) -> float | None:
    """Return a size of a piece, mm; None where it is not stated or is no length."""
    found = piece.size(kind)
    return found if found is not None and isfinite(found) and found > 0 else None


def along_of(piece: Piece) -> float | None:
    """Return how long a ring is along its axis, mm: its length, else its thickness."""
    return size_of(piece, FeatureKind.LENGTH) or size_of(piece, FeatureKind.THICKNESS)


def asked_size(requirement: Requirement, kind: FeatureKind) -> float | None:
    """Return a size of the work, mm; None where it is not stated or is no length."""
    found = requirement.size(kind)
    return found if found is not None and isfinite(found) and found > 0 else None


def face_checks(requirement: Requirement) -> tuple[Check, ...]:
    """Return the checks that fail because the face, its bore or the tight ring is not known."""
    found = [
        missing(FIT, kind.value, f"State {what}.")
        for kind, what in (
            (FeatureKind.BORE, "the bore of the housing"),
            (FeatureKind.FACE_INSIDE, "the inside diameter of the face that takes the load"),
            (FeatureKind.FACE_OUTSIDE, "the outside diameter of the face that takes the load"),
        )
        if asked_size(requirement, kind) is None
    ]
    inside = asked_size(requirement, FeatureKind.FACE_INSIDE)
    outside = asked_size(requirement, FeatureKind.FACE_OUTSIDE)
    if inside is not None and outside is not None and not inside < outside:
        detail = f"A face from {inside:.4g} mm to {outside:.4g} mm is no ring."
        found.append(Check(FIT, False, detail, STATED))
    if requirement.tight_ring is None:
        detail = "Say which ring of the bearing sits tight, or that it is no bearing."
        found.append(missing("tight ring", "tight_ring", detail))
    elif requirement.tight_ring is TightRing.BOTH:
        detail = "Both rings sit tight: it needs a face over both rings at once, made for it."
        found.append(Check("tight ring", False, detail, COMMON_PRACTICE))
    else:
        found += _of_the_other_ring(requirement.tight_ring, outside, requirement)
    return tuple(found)


def _of_the_other_ring(
    tight: TightRing, outside: float | None, requirement: Requirement
) -> tuple[Check, ...]:
    """Return the check that fails where the face stated is not that of the ring that sits tight."""
    bore = asked_size(requirement, FeatureKind.BORE)
    if outside is None or bore is None:
        return ()
    reaches = outside >= TO_THE_BORE * bore
    told = f"the face stated ends at {outside:.4g} mm in a bore of {bore:.4g} mm"
    if tight is TightRing.OUTER and not reaches:
        detail = f"The outer ring sits tight, but {told}: that is not the outer ring's."
    elif tight is TightRing.INNER and reaches:
        detail = f"The inner ring sits tight, but {told}: that is the outer ring's."
    else:
        return ()
    detail += " State the face of the ring that sits tight: pressed by the other, it is ruined."
    return (Check("tight ring", False, detail, COMMON_PRACTICE),)


def ring_checks(requirement: Requirement, piece: Piece) -> tuple[Check, ...]:
    """Return whether a piece meets the face and nothing else, and is of metal that may bear load.

    Asks that ``face_checks`` found nothing.
    """
    inside, face = _diameters(piece)[1], asked_size(requirement, FeatureKind.FACE_INSIDE)
    reaches_over = inside is not None and face is not None and inside < face
    return (_fit(requirement, piece), tool_material_check(piece, bends=reaches_over))


def ring_parts(requirement: Requirement, piece: Piece) -> tuple[PartAllows, ...]:
    """Return what the face and the ring itself bear, N; nothing where a size is not known."""
    outside, inside = _diameters(piece)
    along, material = along_of(piece), piece.material
    least, most = _overlap(requirement, piece)
    if outside is None or inside is None or material is None or along is None or least >= most:
        return ()
    face = face_allows(FACE, pi / 4 * (most**2 - least**2), weaker(requirement.workpiece, material))
    bends = _bending(material, (outside, inside, along), least)
    return (face, *tube_parts(material, outside, inside, along, (COMPRESSION, COLUMN)), *bends)


def _bending(
    material: HoleMaterial, sizes: tuple[float, float, float], held: float
) -> tuple[PartAllows, ...]:
    """Return what a ring bears, N, that reaches inwards over its face; nothing where none does.

    Loaded near its bore, it is bent like a washer: half of it is turned about its diameter by
    F (R - r) / pi. ``held`` is the inside diameter of the face. Equilibrium of a half ring; what
    is allowed on it is common practice, no source.
    """
    outside, inside, along = sizes
    if inside >= held:
        return ()
    loaded, bears = inside + ON_THE_RING * (outside - inside), held + ON_THE_RING * (outside - held)
    apart = (bears - loaded) / 2
    bends = allowed_bending(material) * (outside - inside) * along**2 / 6 * pi / apart
    sheared = pi * loaded * along * allowed_shear(material)
    told = (
        f"{along:.4g} mm of {material.title}, {held - inside:.4g} mm over a face of {held:.4g} mm"
    )
    return (PartAllows(BENDING, min(bends, sheared), f"{told}; {BASIS}"),)


def tube_parts(
    material: HoleMaterial, outside: float, inside: float, along: float, names: tuple[str, str]
) -> tuple[PartAllows, PartAllows]:
    """Return what a ring or tube bears along its axis, N: pressed short, and as a column."""
    area = pi / 4 * (outside**2 - inside**2)
    squeezed = allowed_compression(material) * area
    column = column_force(
        area,
        round_gyration(outside, inside),
        along,
        column_yield(material),
        material.elastic_modulus,
    )
    told = f"{area:.4g} mm2 of {material.title}"
    return (
        PartAllows(names[0], squeezed, f"{told}; {BASIS}"),
        PartAllows(
            names[1],
            column,
            f"{told}, {along:.4g} mm long: {COLUMN_BASIS}",
        ),
    )


def ring_cautions(piece: Piece) -> tuple[str, ...]:
    """Return what to mind with a ring besides what the family says."""
    return (SOCKET_CAUTION,) if piece.form is ItemForm.SOCKET else ()


def _fit(requirement: Requirement, piece: Piece) -> Check:
    outside, inside = _diameters(piece)
    bore = asked_size(requirement, FeatureKind.BORE)
    face_inside = asked_size(requirement, FeatureKind.FACE_INSIDE)
    face_outside = asked_size(requirement, FeatureKind.FACE_OUTSIDE)
    assert bore is not None and face_inside is not None and face_outside is not None, "asked before"
    if outside is None or inside is None:
        kind = FeatureKind.OUTSIDE_DIAMETER if outside is None else FeatureKind.BORE
        return missing(FIT, kind.value, f"{piece.name}: state its {kind.value}.")
    margin, wanted = face_outside / outside, f"at most {face_outside:.4g} mm outside"
    if requirement.function is not ToolFunction.COMPRESS:
        margin = min(margin, (bore - INTO_THE_BORE) / outside)
        wanted = f"at most {min(face_outside, bore - INTO_THE_BORE):.4g} mm outside"
    if requirement.tight_ring is not TightRing.NO_BEARING:
        # Less than this, and it pushes on the seal or through the balls.
        margin = min(margin, inside / face_inside)
        wanted += f", at least {face_inside:.4g} mm inside"
    least, most = _overlap(requirement, piece)
    detail = f"{piece.name} is {inside:.4g} mm inside, {outside:.4g} mm outside; wanted: {wanted}."
    if not inside < outside or not least < most:
        return Check(FIT, False, f"{detail} It does not meet the face.", STATED)
    basis = f"{STATED}; play in the bore {COMMON_PRACTICE}"
    # What fits, fits: how closely says nothing of what it bears.
    return Check(FIT, margin >= 1, detail, basis, None if margin >= 1 else margin)


def _overlap(requirement: Requirement, piece: Piece) -> tuple[float, float]:
    """Return inside and outside diameter of where ring and face meet, mm."""
    outside, inside = _diameters(piece)
    face_inside = asked_size(requirement, FeatureKind.FACE_INSIDE)
    face_outside = asked_size(requirement, FeatureKind.FACE_OUTSIDE)
    if outside is None or inside is None or face_inside is None or face_outside is None:
        return inf, 0.0
    return max(inside, face_inside), min(outside, face_outside)


def _diameters(piece: Piece) -> tuple[float | None, float | None]:
    return size_of(piece, FeatureKind.OUTSIDE_DIAMETER), size_of(piece, FeatureKind.BORE)
