"""The sizes of a piece, mm, as its item states them; what cannot be counted is told."""

import re
from math import isfinite
from types import MappingProxyType
from typing import Final, NamedTuple

from shared.errors import InvalidInput
from shared.fasteners.model import FeatureKind, ItemForm
from shared.fasteners.substitutes.asked import ItemAsked
from shared.fasteners.substitutes.washer_text import WasherRead
from shared.quantities import Quantity, canonical, standard_uncertainty

_MEASURED_ALONG: Final = MappingProxyType(
    {
        ItemForm.WASHER: FeatureKind.THICKNESS,
        ItemForm.STRIP: FeatureKind.THICKNESS,
        ItemForm.PLATE: FeatureKind.THICKNESS,
        ItemForm.SCREW: FeatureKind.LENGTH,
        ItemForm.THREADED_ROD: FeatureKind.LENGTH,
    }
)
"""What the one size of an item is of, where its form leaves no doubt."""
_PIN: Final = re.compile(
    r"(?:^|[ -])([0-9]{1,2}(?:\.[0-9])?) ?(?:[a-z][0-9]{1,2})? ?x ?([0-9]{1,3})(?:$|[ -])",
    re.IGNORECASE,
)


class Sizes(NamedTuple):
    """Sizes by kind, how well the one of a measured piece is known, and what is not counted."""

    sizes: tuple[tuple[FeatureKind, float], ...]
    uncertainty: float | None
    notes: tuple[str, ...]


def sizes_of(item: ItemAsked, form: ItemForm, washer: WasherRead | None) -> Sizes:
    """Return what an item's features, its one size and its designation say of its sizes."""
    found: dict[FeatureKind, float] = {}
    doubtful: set[FeatureKind] = set()
    uncertainties: dict[FeatureKind, float] = {}
    notes: list[str] = []
    for kind, quantity in _stated(item, form, notes):
        size, uncertainty, why = _size(quantity, is_measured=form is ItemForm.MEASURED_PIECE)
        if size is None:
            notes.append(f"Its {kind} is not counted: {why}")
            doubtful.add(kind)
        elif kind in found and abs(found[kind] - size) > _SAME * size:
            notes.append(f"Its {kind} is stated twice and differently: not counted.")
            doubtful.add(kind)
        else:
            found[kind] = size
            if uncertainty is not None:
                uncertainties[kind] = uncertainty
    for kind, size in _named(item, form, washer):
        found.setdefault(kind, size)
    if form is ItemForm.WASHER and FeatureKind.THICKNESS not in found:
        notes.append("How thick it is does not follow from its name: state thickness or standard.")
    sizes = tuple((kind, size) for kind, size in found.items() if kind not in doubtful)
    return Sizes(sizes, max(uncertainties.values(), default=None), tuple(notes))


_SAME: Final = 1e-9


def _stated(
    item: ItemAsked, form: ItemForm, notes: list[str]
) -> list[tuple[FeatureKind, Quantity]]:
    stated = [(feature.kind, feature.size) for feature in item.features if feature.size is not None]
    if item.size is None:
        return stated
    along = _MEASURED_ALONG.get(form)
    if along is not None:
        return [*stated, (along, item.size)]
    if not stated:
        notes.append("Which of its sizes is stated is not said: state it as a feature.")
    return stated


def _size(quantity: Quantity, *, is_measured: bool) -> tuple[float | None, float | None, str]:
    """Return a size in mm with its standard uncertainty, or why it is not counted."""
    try:
        size, uncertainty = canonical(quantity, "length"), standard_uncertainty(quantity, "length")
    except InvalidInput as error:
        return None, None, error.detail
    if not (isfinite(size) and size > 0):
        return None, None, "it is not above 0."
    if uncertainty is not None and not is_measured:
        return None, None, "it states an uncertainty. Give the least favourable value."
    return size, uncertainty, ""


def _named(
    item: ItemAsked, form: ItemForm, washer: WasherRead | None
) -> list[tuple[FeatureKind, float]]:
    if washer is not None:
        ring = [
            (FeatureKind.BORE, washer.inside),
            (FeatureKind.OUTSIDE_DIAMETER, washer.outside),
        ]
        thick = washer.thickness
        return ring if thick is None else [*ring, (FeatureKind.THICKNESS, thick)]
    named = _PIN.search(item.designation or "") if form is ItemForm.PIN else None
    if named is None:
        return []
    return [
        (FeatureKind.OUTSIDE_DIAMETER, float(named[1])),
        (FeatureKind.LENGTH, float(named[2])),
    ]
