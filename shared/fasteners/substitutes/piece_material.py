"""Of what a piece is, by the material stated of it and by its words; None where it is not known."""

import re
from functools import lru_cache
from typing import Final

from shared.errors import InvalidInput
from shared.fasteners.model import ItemForm
from shared.fasteners.substitutes.asked import ItemAsked
from shared.fasteners.substitutes.washer_text import OTHER_METAL
from shared.standards.hole_materials import HoleMaterial, MaterialKind, hole_material_of

THREADED: Final = frozenset({ItemForm.SCREW, ItemForm.THREADED_ROD, ItemForm.NUT})
_CACHED: Final = 16384
_WORD: Final = re.compile(r"[a-z]+")
_NAMED_METALS: Final = (
    (MaterialKind.COPPER, frozenset("brass bronze copper".split())),
    (MaterialKind.ALUMINIUM, frozenset({"aluminium", "aluminum"})),
    (MaterialKind.PLASTIC, frozenset("plastic nylon polyamide".split())),
    (MaterialKind.STAINLESS, frozenset({"stainless"})),
    (None, frozenset("wood wooden rubber plywood concrete".split())),
)
"""What a name may say of a bar or ring, whatever material is stated of it."""


def why_no_strength(item: ItemAsked, form: ItemForm) -> str | None:
    """Return why a screw, rod or nut of this material is not counted: no table has its strength."""
    if form not in THREADED or not item.material:
        return None
    found = _named(item.material)
    is_ferrous = found is not None and (found.is_steel or found.kind is MaterialKind.STAINLESS)
    if is_ferrous or (found is None and "steel" in item.material.casefold().split()):
        return None
    return f"the house has no strength of screws and nuts of {item.material[:40]}."


def is_stainless(item: ItemAsked) -> bool:
    """Whether the material stated of an item is stainless steel."""
    found = _named(item.material) if item.material else None
    return found is not None and found.kind is MaterialKind.STAINLESS


def material_of(
    item: ItemAsked, form: ItemForm, *, is_steel: bool
) -> tuple[HoleMaterial | None, tuple[str, ...]]:
    """Return the material that is counted, and what to tell of it.

    ``is_steel``: its standard is of steel pieces, so that nothing stated means steel.
    """
    if not item.material:
        named_other = OTHER_METAL.search(f"{item.kind} {item.name}")
        return (_named("S235") if is_steel and not named_other else None), ()
    # "brass" alone is the cast one, of which no strip is made.
    found = _named(f"{item.material} strip") if form is ItemForm.STRIP else None
    found = found or _named(item.material)
    named = {
        kind
        for words in (set(_WORD.findall(f"{item.kind} {item.name}".casefold())),)
        for kind, marks in _NAMED_METALS
        if words & marks
    }
    if found is not None and named and found.kind not in named and form not in THREADED:
        told = f"Its name says another material than {item.material[:40]}: counts as unknown."
        return None, (told,)
    if found is not None or form in THREADED:
        return found, ()
    return None, (f"{item.material[:40]} is not in the table of materials: counts as unknown.",)


@lru_cache(maxsize=_CACHED)
def _named(words: str) -> HoleMaterial | None:
    try:
        return hole_material_of(words)
    except InvalidInput:
        return None
