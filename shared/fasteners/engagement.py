"""How much thread a screw needs in a hole, and what load the hole bears. Lengths in mm, loads in N.

The screw may be stronger than its class promises, the hole weaker than its material's test bar.
"""

from dataclasses import dataclass

from shared.designations.model import Fastener
from shared.fasteners.cautions import MAKER_FIRST, NEVER_BY_THIS, cautions_of
from shared.fasteners.shapes import check_is_screw
from shared.fasteners.strength import MOST_OVER_LEAST_TENSILE, ScrewStrength, screw_strength
from shared.fasteners.stripping import (
    CHAMFER_PITCHES,
    INCOMPLETE_PITCHES,
    MOST_COUNTED,
    SOUND_HOLE,
    Engagement,
    ShearAreas,
    check_within_length,
    effective_engagement,
    equal_strength_engagement,
    full_strength_engagement,
    hole_strip_load,
    screw_strip_load,
    shear_areas,
    weaker_hole_factor,
)
from shared.standards.hole_materials import HoleMaterial


@dataclass(frozen=True, slots=True)
class EngagementAnswer:
    """What a tapped hole bears and how deep a screw has to stand in it.

    ``full_strength`` is the engagement, chamfer and incomplete threads included, from which the
    screw breaks before a thread strips; None where no length does. ``equal_strength`` is the one
    for a hole as strong as the screw, full threads only. ``weaker_hole_factor`` is J.
    ``gives_first`` names what gives first at the engagement asked, the screw taken 1.2 times as
    strong as promised. These are None where the screw's class is not known, but for
    ``equal_strength``; ``gives_first`` and the strip loads where no engagement was given.
    """

    areas: ShearAreas
    engaged: Engagement | None
    hole_strip_load: float | None
    screw_strip_load: float | None
    tensile_load: float
    gives_first: str | None
    full_strength: float | None
    equal_strength: float
    weaker_hole_factor: float | None
    counted_class: str
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


def engagement_needed(
    fastener: Fastener,
    material: HoleMaterial,
    engagement: float | None = None,
    chamfer: float | None = None,
    incomplete: float | None = None,
) -> EngagementAnswer:
    """Return the strip loads at ``engagement`` and the engagement for full strength.

    Raises InvalidInput as ``effective_engagement`` and ``screw_strength`` do. Sources: see
    ``stripping``.
    """
    check_is_screw(fastener)
    screw, thread = screw_strength(fastener), fastener.thread
    tensile = screw.strength.tensile_least
    if engagement is not None:
        check_within_length(fastener, engagement)
    engaged = (
        None
        if engagement is None
        else effective_engagement(thread, engagement, chamfer, incomplete)
    )
    in_hole = hole_strip_load(thread, engaged.counted, material) if engaged else None
    on_screw = screw_strip_load(thread, engaged.counted, tensile) if engaged else None
    full, notes = _full_strength(fastener, screw, material, chamfer, incomplete)
    if material.note:
        notes = (*notes, f"{material.title}: {material.note}.")
    return EngagementAnswer(
        areas=shear_areas(thread),
        engaged=engaged,
        hole_strip_load=in_hole,
        screw_strip_load=on_screw,
        tensile_load=screw.tensile_load,
        gives_first=_first(in_hole, on_screw, screw),
        full_strength=full,
        equal_strength=equal_strength_engagement(thread, screw.area),
        weaker_hole_factor=(
            None
            if screw.is_assumed
            else weaker_hole_factor(thread, tensile, material.tensile_least)
        ),
        counted_class=screw.counted_class,
        notes=(*screw.notes, *(engaged.notes if engaged else ()), SOUND_HOLE, *notes),
        cautions=(MAKER_FIRST, NEVER_BY_THIS, *cautions_of(fastener, screw)),
    )


def _full_strength(
    fastener: Fastener,
    screw: ScrewStrength,
    material: HoleMaterial,
    chamfer: float | None,
    incomplete: float | None,
) -> tuple[float | None, tuple[str, ...]]:
    thread = fastener.thread
    if screw.is_assumed:
        # The lowest class would make the shortest engagement: here that is the unsafe side.
        return None, ("Without the screw's class the engagement for full strength is not told.",)
    needed = full_strength_engagement(thread, screw.area, screw.strength.tensile_least, material)
    if needed is None:
        return None, (
            f"Even {MOST_COUNTED:g} diameters of full thread in {material.title} strip before the"
            " screw breaks: a thread insert, a larger thread or a through bolt with nut does not.",
        )
    mouth = CHAMFER_PITCHES * thread.pitch if chamfer is None else chamfer
    point = INCOMPLETE_PITCHES * thread.pitch if incomplete is None else incomplete
    return needed + mouth + point, ()


def _first(in_hole: float | None, on_screw: float | None, screw: ScrewStrength) -> str | None:
    if in_hole is None or on_screw is None or screw.is_assumed:
        return None
    # A screw stronger than its class has a thread stronger in proportion; the hole has not.
    loads = {
        "hole thread": in_hole / MOST_OVER_LEAST_TENSILE,
        "screw thread": on_screw,
        "screw": screw.tensile_load,
    }
    return min(loads, key=lambda part: loads[part])
