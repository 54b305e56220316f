"""Nuts on a threaded rod: which will do, what they and the rod's thread in them bear. mm, N."""

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import combinations, islice, starmap
from typing import Final

from shared.designations.model import Fastener
from shared.errors import InvalidInput
from shared.fasteners.equivalence_traps import words_of
from shared.fasteners.faces import face_of
from shared.fasteners.friction import FrictionRange, friction_for
from shared.fasteners.limits import STRIP_SAFETY
from shared.fasteners.metals import Metal, metal_of
from shared.fasteners.model import FeatureKind
from shared.fasteners.nut import nut_used
from shared.fasteners.strength import ScrewStrength
from shared.fasteners.stripping import effective_engagement, screw_strip_load
from shared.fasteners.substitutes.families.ring_fit import size_of
from shared.fasteners.substitutes.model import PartUsed, Piece, Requirement
from shared.fasteners.substitutes.screw_work import Arms, PartAllows, pulling_arms
from shared.fasteners.turning import BearingFace
from shared.standards.hole_materials import MaterialKind
from shared.standards.nuts import NutStyle, nut_class_names

_NO_PLAIN_NUT: Final = frozenset(
    "nylon plastic insert locking self-locking prevailing castle castellated slotted slit crown"
    " acorn cap dome domed weld clinch captive flange flanged wing square serrated round lock"
    " locknut long coupling connecting extension collar spherical".split()
)
"""Words of nuts that turn stiffly, stand on another face, close the hole or are far higher than
counted: the torque then says nothing of the force, or the rod does not pass, or is too short."""
_HIGH: Final = frozenset("d high".split())
"""Words of the titles of nuts that are 1.5 or 3 diameters high."""
_THIN: Final = frozenset("thin half jam".split())
_THIN_CLASSES: Final = ("04", "05")
_METALS: Final = (MaterialKind.STEEL, MaterialKind.STAINLESS)
_HEIGHT: Final = 0.9
"""Height of a nut per major diameter. ISO 4032, from memory."""
_LEAST_HEIGHT: Final = 0.72
_LEAST_THIN: Final = 0.45
"""The lowest regular and thin nuts, per major diameter. ISO 4032, DIN 934, ISO 4035, from
memory."""
_ENDS: Final = 0.5
"""Pitches at each end of a nut that do not carry. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Nuts:
    """The nuts of one set-up: ``proof`` the least proof load, N, ``engaged`` the least height."""

    used: tuple[PartUsed, ...]
    proof: float
    engaged: float
    height: float
    friction: FrictionRange
    arms: Arms
    face: BearingFace
    is_stainless: bool
    basis: str

    @property
    def is_on_hand(self) -> bool:
        """Whether they lie in the shop."""
        return all(part.piece.is_on_hand for part in self.used)


def why_no_nut(piece: Piece, rod: Fastener) -> str | None:
    """Return why a nut does not do on a rod; None where it does."""
    nut = piece.fastener
    if nut is None or nut.thread.designation != rod.thread.designation or nut.hand is not rod.hand:
        return "another thread or hand"
    words = words_of(nut) & _NO_PLAIN_NUT
    if words_of(nut) >= _HIGH:
        words |= _HIGH
    if words:
        return f"no plain nut: {', '.join(sorted(words))}"
    if piece.material is not None and piece.material.kind not in _METALS:
        return f"a nut of {piece.material.title}"
    try:
        metal_of(nut)
        _proof(nut)
    except InvalidInput as error:
        return error.detail
    stated = size_of(piece, FeatureKind.THICKNESS)
    least = _LEAST_THIN if _is_thin(nut) else _LEAST_HEIGHT
    if stated is not None and stated < least * nut.thread.major:
        return f"only {stated:.4g} mm high, too low for its class"
    return None


def sets_of_nuts(
    requirement: Requirement,
    rod: Fastener,
    friction: FrictionRange,
    nuts: tuple[Piece, ...],
    wanted: int,
) -> Iterator[Nuts]:
    """Yield ``wanted`` nuts that do on a rod: of each sort the strongest, one lot or two together.

    ``friction`` is the rod's own. What is left out is no better in anything than what is given.
    """
    # Nuts that differ in strength alone are one sort: the strongest of it stand for the rest.
    sorts: dict[tuple[object, ...], list[Nuts]] = {}
    for piece in nuts:
        if piece.quantity >= 1:
            one = _nuts(requirement, rod, friction, piece)
            sort = (one.arms, one.engaged, one.height, piece.is_on_hand)
            sorts.setdefault(sort, []).append(one)
    strongest: list[Nuts] = []
    for same in sorts.values():
        same.sort(key=lambda one: -one.proof)
        enough = (one for one in same if one.used[0].piece.quantity >= wanted)
        yield from (_times(one, wanted) for one in islice(enough, 1))
        strongest += same[:2]
    if wanted == 2:
        yield from starmap(_together, combinations(strongest, 2))


def nut_parts(rod: Fastener, strength: ScrewStrength, nuts: Nuts) -> tuple[PartAllows, ...]:
    """Return what the nuts and the rod's own thread in them bear, N.

    Raises InvalidInput where nothing of the thread carries.
    """
    ends = _ENDS * rod.thread.pitch
    engaged = effective_engagement(rod.thread, nuts.engaged, ends, ends)
    strips = screw_strip_load(rod.thread, engaged.counted, strength.strength.tensile_least)
    return (
        PartAllows("nut", nuts.proof, nuts.basis),
        PartAllows(
            "rod thread",
            strips / STRIP_SAFETY,
            f"its own strip load on {engaged.counted:.3g} mm in the nut, over {STRIP_SAFETY:g}",
        ),
    )


def _times(nuts: Nuts, wanted: int) -> Nuts:
    return replace(nuts, used=(PartUsed(nuts.used[0].piece, wanted),))


def _together(first: Nuts, second: Nuts) -> Nuts:
    weak = min(first, second, key=lambda one: one.proof)
    small = min(first, second, key=lambda one: one.face.area)
    return Nuts(
        (*first.used, *second.used),
        weak.proof,
        min(first.engaged, second.engaged),
        max(first.height, second.height),
        _widest(first.friction, second.friction),
        Arms(min(first.arms.least, second.arms.least), max(first.arms.most, second.arms.most)),
        small.face,
        first.is_stainless or second.is_stainless,
        weak.basis,
    )


def _nuts(requirement: Requirement, rod: Fastener, friction: FrictionRange, piece: Piece) -> Nuts:
    nut = piece.fastener
    assert nut is not None, "asked before"
    is_stainless = metal_of(nut) is Metal.STAINLESS or (
        piece.material is not None and piece.material.kind is MaterialKind.STAINLESS
    )
    if requirement.friction is None:
        own = friction_for(requirement.lubrication, is_stainless=is_stainless, finish=nut.words)
        friction = _widest(friction, own)
    major = rod.thread.major
    stated = size_of(piece, FeatureKind.THICKNESS)
    proof, basis = _proof(nut)
    return Nuts(
        (PartUsed(piece, 1),),
        proof,
        (_LEAST_THIN if _is_thin(nut) else _LEAST_HEIGHT) * major,
        max(_HEIGHT * major, stated or 0.0),
        friction,
        pulling_arms(nut, friction),
        face_of(nut),
        is_stainless,
        basis,
    )


def _widest(one: FrictionRange, other: FrictionRange) -> FrictionRange:
    if one.least <= other.least and one.most >= other.most:
        return one
    return FrictionRange(
        min(one.least, other.least),
        max(one.most, other.most),
        "; ".join(dict.fromkeys((one.basis, other.basis))),
        tuple(dict.fromkeys((*one.notes, *other.notes))),
    )


def _is_thin(nut: Fastener) -> bool:
    """Whether a nut is low, or may be: one without a mark is."""
    name = nut.property_class
    if name is None or words_of(nut) & _THIN:
        return True
    return name in _THIN_CLASSES or "-0" in name


@lru_cache(maxsize=4096)
def _proof(nut: Fastener) -> tuple[float, str]:
    style = NutStyle.THIN if words_of(nut) & _THIN else None
    if nut.property_class is not None:
        used = nut_used(nut, nut.property_class, style)
        return used.proof_load, f"proof load of class {used.name}"
    loads = []
    for name in nut_class_names():
        for height in {style, None}:
            with suppress(InvalidInput):
                used = nut_used(nut, name, height)
                loads.append((used.proof_load, used.name))
    if not loads:
        raise InvalidInput(
            "/nut_class", "No table has nuts of this size.", "Take another thread.", "nut-class"
        )
    load, name = min(loads)
    return load, f"no class marked: counted as the lowest of the size, {name}"
