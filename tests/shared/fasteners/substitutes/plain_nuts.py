"""The plain side of a rod and its nuts: which go together and what they bear."""

from functools import cache
from math import inf

from shared.errors import InvalidInput
from shared.fasteners.friction import friction_for
from shared.fasteners.metals import Metal, metal_of
from shared.fasteners.model import FeatureKind as Kind
from shared.fasteners.model import ItemForm
from shared.fasteners.nut import nut_used
from shared.fasteners.shapes import check_can_be_tightened
from shared.standards.hole_materials import MaterialKind
from shared.standards.nuts import NutStyle, nut_class_names
from tests.shared.fasteners.substitutes.plain_facts import (
    HEADLESS,
    SUNK,
    WEAK_HEADS,
    thread_length,
    words,
)
from tests.shared.fasteners.substitutes.plain_threads import (
    friction,
    own_thread_holds,
    strength,
)

_NO_PLAIN_NUT = set(
    "nylon plastic insert locking self-locking prevailing castle castellated slotted slit crown"
    " acorn cap dome domed weld clinch captive flange flanged wing square serrated round lock"
    " locknut".split()
)
_STEELS = {MaterialKind.STEEL, MaterialKind.STAINLESS}
_THIN = {"thin", "half", "jam"}


def is_rod(plain, rod):
    """Refuse what is no rod to pull with."""
    fastener = rod.fastener
    is_steel = rod.material is None or rod.material.kind in _STEELS
    if fastener is None or strength(fastener) is None or thread_length(rod) is None or not is_steel:
        plain.no("the rod's strength or thread is not known")
        return False
    try:
        check_can_be_tightened(fastener)
    except InvalidInput:
        plain.no("no plain rod")
        return False
    if rod.form is ItemForm.SCREW and words(fastener) & (SUNK | WEAK_HEADS | HEADLESS):
        plain.no("its head does not seat")
        return False
    return True


def is_nut(plain, nut, rod):
    """Refuse what is no plain nut of the rod."""
    own = nut.fastener
    is_of_it = own is not None and (own.thread.designation, own.hand) == (
        rod.fastener.thread.designation,
        rod.fastener.hand,
    )
    if not is_of_it or words(own) & _NO_PLAIN_NUT:
        plain.no("the nut is not of the rod, or no plain one")
        return False
    try:
        metal_of(own)
    except InvalidInput:
        plain.no("the nut's metal has no figures")
        return False
    if nut.material is not None and nut.material.kind not in _STEELS:
        plain.no("the nut is of no steel")
    own_height = nut.size(Kind.THICKNESS)
    if own_height is not None:
        is_high = own.property_class is not None and not _is_thin(nut)
        plain.at_least(own_height, (0.72 if is_high else 0.45) * own.thread.major, "nut's height")
    if nut_bears(rod, nut) == 0:
        plain.no("the nut's class has no figures")
        return False
    return True


def friction_of_set(requirement, rod, nuts):
    """Return least and most friction of a rod with its nuts."""
    found = friction(requirement, rod, in_hole=False)
    if requirement.friction is not None or found is None:
        return found
    ranges = [found]
    for nut, _ in nuts:
        is_stainless = metal_of(nut.fastener) is Metal.STAINLESS or (
            nut.material is not None and nut.material.kind is MaterialKind.STAINLESS
        )
        told = friction_for(
            requirement.lubrication, is_stainless=is_stainless, finish=nut.fastener.words
        )
        ranges.append((told.least, told.most))
    return min(one[0] for one in ranges), max(one[1] for one in ranges)


def _is_thin(nut):
    name = nut.fastener.property_class or ""
    return bool(
        words(nut.fastener) & _THIN
        or name in {"04", "05"}
        or name.partition("-")[2].startswith("0")
    )


def nut_bears(rod, nut):
    """Return the proof load of a nut, N; unmarked: the least of its size."""
    return _nut_load(rod.fastener, nut.fastener)


@cache
def _nut_load(rod, nut):
    style = NutStyle.THIN if words(nut) & _THIN else None
    loads = []
    for name in nut_class_names() if nut.property_class is None else (nut.property_class,):
        try:
            loads.append(nut_used(rod, name, style).proof_load)
        except InvalidInput:
            continue
    return min(loads, default=0.0)


def rod_thread_bears(rod, nut):
    """Return what the rod's thread bears in a nut, N."""
    thread = rod.fastener.thread
    is_high = nut.fastener.property_class is not None and not _is_thin(nut)
    high = (0.72 if is_high else 0.45) * thread.major - thread.pitch
    if high <= 0:
        return -inf
    return own_thread_holds(rod, min(high, 2.5 * thread.major))
