"""A thin sleeve over splines, threads or edges: the lip of a seal slides over it unhurt.

Lengths in mm. Common practice, no source; a lip borne 2 % wider than its shaft for a moment comes
back.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from shared.fasteners.model import FeatureKind, ItemForm
from shared.fasteners.substitutes.cautions import cautions_for
from shared.fasteners.substitutes.common import (
    COMMON_PRACTICE,
    count_check,
    missing,
    ratio,
    use_check,
)
from shared.fasteners.substitutes.families.guiding import gap_check, length_and_room, not_borne
from shared.fasteners.substitutes.model import (
    Candidate,
    Check,
    Drawer,
    Family,
    PartUsed,
    Piece,
    Requirement,
)
from shared.fasteners.substitutes.softness import softness_check
from shared.standards.hole_materials import HoleMaterial, MaterialKind

LEAST_PLAY: Final = 0.05
MOST_PLAY: Final = 1.0
MOST_STRETCH: Final = 1.02
"""Of the lip, against the shaft that it is made for."""
LEAST_WALL: Final = 0.2
"""Outside less inside diameter: 0.1 mm of wall."""
BEYOND: Final = 3.0
"""How much longer than what it covers, to be drawn off again."""

_HARD_SHAFTS: Final = frozenset(
    {MaterialKind.STEEL, MaterialKind.STAINLESS, MaterialKind.CAST_IRON}
)
_BRASS: Final = "CuZn"
_PREPARATION: Final = (
    "Round and polish the leading edge and the whole outside, without burr or scratch; oil it."
)
_STEPS: Final = (
    "Clean the shaft, and look at the sleeve's edge under light: what a fingernail catches on cuts"
    " the lip.",
    "Push the sleeve over the splines or edges by hand, up to the shaft's own seat or chamfer.",
    "Oil the lip and the sleeve with what the maker names, and slide the seal over straight, lip"
    " first.",
    "Stop when the lip catches or turns over: draw it back, look at it, and never push on; a lip"
    " that has caught is renewed.",
    "Draw the sleeve off, look at the lip all round, and only then press the seal home.",
)


def candidates(requirement: Requirement, drawer: Drawer) -> Iterator[Candidate]:
    """Yield every sleeve and tube of the drawer, tested for the seal and the shaft."""
    use = use_check(requirement)
    for piece in drawer.of(ItemForm.SLEEVE, ItemForm.TUBE):
        yield Candidate(
            Family.GUIDE_SLEEVE,
            (PartUsed(piece, 1, _PREPARATION),),
            (
                use,
                _bore(requirement, piece),
                _lip(requirement, piece),
                _wall(piece),
                *length_and_room(
                    requirement, piece, BEYOND, "how far the sleeve must reach over the edges"
                ),
                _softness(requirement, piece),
                count_check(piece, 1),
            ),
            steps=_STEPS,
            cautions=cautions_for(requirement, Family.GUIDE_SLEEVE),
            notes=not_borne(requirement),
        )


def _bore(requirement: Requirement, piece: Piece) -> Check:
    name = "bore"
    over = requirement.size(FeatureKind.OUTSIDE_DIAMETER)
    inside = piece.size(FeatureKind.BORE)
    if over is None:
        told = "State the greatest diameter that the sleeve goes over."
        return missing(name, "outside-diameter", told)
    if inside is None:
        return missing(name, "bore", f"State the bore of {piece.name}.")
    what = f"A bore of {inside:.4g} mm over {over:.4g} mm"
    return gap_check(name, inside - over, LEAST_PLAY, MOST_PLAY, what)


def _lip(requirement: Requirement, piece: Piece) -> Check:
    name = "lip"
    shaft = requirement.size(FeatureKind.LIP)
    outside = piece.size(FeatureKind.OUTSIDE_DIAMETER)
    if shaft is None:
        return missing(name, "lip", "State the shaft diameter that the lip is made for.")
    if outside is None:
        told = f"State the outside diameter of {piece.name}."
        return missing(name, "outside-diameter", told)
    most = MOST_STRETCH * shaft
    told = (
        f"Outside {outside:.4g} mm under a lip made for {shaft:.4g} mm, which bears {most:.4g} mm."
    )
    return ratio(name, most, outside, told, COMMON_PRACTICE)


def _wall(piece: Piece) -> Check:
    name = "sleeve wall"
    inside, outside = piece.size(FeatureKind.BORE), piece.size(FeatureKind.OUTSIDE_DIAMETER)
    if inside is None:
        return missing(name, "bore", f"State the bore of {piece.name}.")
    if outside is None:
        told = f"State the outside diameter of {piece.name}."
        return missing(name, "outside-diameter", told)
    wall = outside - inside
    told = f"The wall is {wall / 2:.3g} mm; at least {LEAST_WALL / 2:g} mm."
    return ratio(name, wall, LEAST_WALL, told, COMMON_PRACTICE)


def _softness(requirement: Requirement, piece: Piece) -> Check:
    """Check that the sleeve cannot score the shaft: by its kind, else as measured on both."""
    name, material, shaft = "softness", piece.material, requirement.workpiece
    if material is None:
        return missing(name, "material", f"State what {piece.name} is made of.")
    if material.kind is MaterialKind.PLASTIC:
        return Check(name, True, f"{material.title}: softer than any shaft.", COMMON_PRACTICE)
    if not _is_soft(material):
        return softness_check(piece, requirement)
    if shaft is not None and shaft.kind in _HARD_SHAFTS:
        told = f"{material.title} on a shaft of {shaft.title} does not score it."
        return Check(name, True, told, COMMON_PRACTICE)
    measured = softness_check(piece, requirement)
    if measured.passes or shaft is not None:
        return measured
    return replace(measured, detail="State what the shaft is made of.", missing="workpiece")


def _is_soft(material: HoleMaterial) -> bool:
    is_brass = material.kind is MaterialKind.COPPER and material.material.startswith(_BRASS)
    return is_brass or material.kind is MaterialKind.ALUMINIUM
