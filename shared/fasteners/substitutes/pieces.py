"""Turns what a shop has into pieces that can be computed with, or says why it is not counted.

Nothing here raises for an item: what cannot be read is told. Sizes in mm.
"""

import re
from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache
from typing import Final, NamedTuple

from shared.designations.fastener_names import name_of
from shared.designations.model import Fastener, FastenerForm
from shared.designations.reading import read_fastener
from shared.errors import Ambiguous, InvalidInput
from shared.fasteners.equivalence_traps import words_of
from shared.fasteners.model import FeatureKind, ItemForm, ScrewTip
from shared.fasteners.substitutes.answer import Unread
from shared.fasteners.substitutes.asked import ItemAsked
from shared.fasteners.substitutes.checking import in_words
from shared.fasteners.substitutes.form_words import form_of_words, is_other
from shared.fasteners.substitutes.hardness_text import read_hardness
from shared.fasteners.substitutes.model import Hardness, Piece
from shared.fasteners.substitutes.piece_material import (
    THREADED,
    is_stainless,
    material_of,
    why_no_strength,
)
from shared.fasteners.substitutes.piece_sizes import sizes_of
from shared.fasteners.substitutes.piece_words import (
    why_spoilt,
    why_words_contradict,
    with_class,
    with_words,
)
from shared.fasteners.substitutes.washer_text import WasherRead, read_washer
from shared.money import Money

_CACHED: Final = 16384
_WORD: Final = re.compile(r"[a-z]+")
_STATE_IT: Final = "State its designation, such as M8x1.25x40 8.8, or M10x1000 of a rod."
_RODS: Final = frozenset({"rod", "rods", "studding"})


class _Unfit(Exception):
    """Why an item is not counted."""


class _Read(NamedTuple):
    form: ItemForm
    fastener: Fastener | None = None
    washer: WasherRead | None = None
    notes: tuple[str, ...] = ()


class ReadItems(NamedTuple):
    """The pieces of a list of items, in its order, and those not counted."""

    pieces: tuple[Piece, ...]
    unread: tuple[Unread, ...]


def read_items(items: Iterable[ItemAsked]) -> ReadItems:
    """Return the pieces that ``items`` are; one with none in stock is left out silently.

    The key of a piece is its ``id``, else "items/<index>".
    """
    pieces, unread = [], []
    for index, item in enumerate(items):
        if item.quantity < 1:
            continue
        key = item.id or f"items/{index}"
        found = piece_of(item, key)
        if isinstance(found, str):
            unread.append(Unread(key, item.name, found))
        else:
            pieces.append(found)
    return ReadItems(tuple(pieces), tuple(unread))


def piece_of(item: ItemAsked, key: str) -> Piece | str:
    """Return the piece that an item is, or why it is not counted."""
    try:
        read = _read(item)
    except _Unfit as error:
        return str(error)
    no_strength = why_no_strength(item, read.form)
    if no_strength is not None:
        return f"Not counted: {no_strength}"
    sizes = sizes_of(item, read.form, read.washer)
    longer = None if read.fastener is None else _longer(read.fastener, sizes.sizes)
    if longer is not None:
        return longer
    is_of_steel = read.washer is not None and read.washer.is_of_steel
    material, about_material = material_of(item, read.form, is_steel=is_of_steel)
    hardness, about_hardness = _hardness(item)
    price, about_price = _price(item)
    notes = (*read.notes, *sizes.notes, *about_material, *about_hardness, *about_price)
    return Piece(
        key=key,
        name=item.name,
        form=read.form,
        quantity=item.quantity,
        is_on_hand=item.is_on_hand,
        fastener=read.fastener,
        sizes=sizes.sizes,
        material=material,
        hardness=hardness,
        tip=item.tip or _tip(item),
        certificate=(item.certificate or "").strip() or None,
        uncertainty=sizes.uncertainty,
        price=price,
        notes=notes,
    )


def _read(item: ItemAsked) -> _Read:
    """Return what the item is and what its designation names; raises _Unfit."""
    fastener = _named(item)
    said = item.form or form_of_words(item.kind, item.name)
    if isinstance(fastener, Fastener) and said not in _WITHOUT_THREAD:
        return _threaded(item, fastener, said)
    if said in THREADED:
        why = fastener if isinstance(fastener, str) else "no designation names its thread"
        raise _Unfit(f"Not counted: {why}")
    if said is None:
        said = form_of_words(item.designation or "")
    if said is None:
        raise _Unfit(
            "Not counted: nothing says what plain form of hardware it is. State its form, such as"
            " screw, washer, bar, tube."
        )
    if is_other(said, item.kind, item.name, item.designation or ""):
        raise _Unfit(f"Not counted: its words say that it is no plain {said}.")
    spoilt = why_spoilt(item)
    if spoilt is not None:
        raise _Unfit(f"Not counted: {spoilt}")
    if said is ItemForm.WASHER:
        return _washer(item)
    return _Read(said)


def _longer(fastener: Fastener, sizes: tuple[tuple[FeatureKind, float], ...]) -> str | None:
    """Say why a stated length is not believed: screws are cut shorter, never longer."""
    stated, named = dict(sizes).get(FeatureKind.LENGTH), fastener.length
    if stated is None or named is None or stated <= named + _LENGTH_TOLERANCE * named + 1:
        return None
    return (
        f"Not counted: {stated:.4g} mm long are stated of {fastener.canonical}, which is"
        f" {named:.4g} mm. Measure it."
    )


_LENGTH_TOLERANCE: Final = 0.02
"""Of a screw's length; one mm beside it. Common practice, no source."""
_WITHOUT_THREAD: Final = frozenset(ItemForm) - THREADED


def _named(item: ItemAsked) -> Fastener | str:
    """Return what the designation, a thread among the features, or the name alone names."""
    threads = [
        feature.designation
        for feature in item.features
        if feature.kind is FeatureKind.THREAD and feature.designation
    ]
    text = item.designation or (threads[0] if len(threads) == 1 else item.name)
    return _fastener(text)


@lru_cache(maxsize=_CACHED)
def _fastener(text: str) -> Fastener | str:
    try:
        return read_fastener(text)
    except Ambiguous as error:
        return in_words(error)
    except InvalidInput as error:
        return f"{error.detail} {_STATE_IT}"


def _threaded(item: ItemAsked, fastener: Fastener, said: ItemForm | None) -> _Read:
    is_bare = not fastener.words and fastener.property_class is item.property_class is None
    # "M8x40" alone may be a rubber mount, a spacer or an insert as well as a screw.
    is_anything = said is None and is_bare and fastener.form is FastenerForm.SCREW
    form = None if is_anything else _form_of(fastener, said)
    if form is None:
        raise _Unfit(
            f"Not counted: {fastener.canonical} is read, and not whether it is a screw, a rod or a"
            " nut. State its form."
        )
    if form is ItemForm.NUT and is_other(form, item.kind, item.name, item.designation or ""):
        raise _Unfit("Not counted: its words say that it is no plain nut.")
    opposite = FastenerForm.SCREW if form is ItemForm.NUT else FastenerForm.NUT
    if fastener.form is opposite:
        raise _Unfit(
            f"Not counted: {fastener.canonical} and the form {form} contradict each other."
        )
    if fastener.form is FastenerForm.THREAD:
        made = FastenerForm.NUT if form is ItemForm.NUT else FastenerForm.SCREW
        fastener = replace(fastener, form=made)
        fastener = replace(fastener, canonical=name_of(fastener))
    why = why_words_contradict(item, fastener)
    if why is not None:
        raise _Unfit(f"Not counted: {why}")
    worded = with_words(item, fastener, is_stainless=is_stainless(item))
    found = with_class(item.property_class, worded, f"{item.kind} {item.name}")
    if isinstance(found, str):
        raise _Unfit(f"Not counted: {found}")
    return _Read(form, found.fastener, notes=found.notes)


def _form_of(fastener: Fastener, said: ItemForm | None) -> ItemForm | None:
    if said in {ItemForm.THREADED_ROD, ItemForm.NUT}:
        return said
    if fastener.form is FastenerForm.NUT:
        return ItemForm.NUT if said is None else said
    if fastener.form is FastenerForm.SCREW or said is ItemForm.SCREW:
        return ItemForm.THREADED_ROD if words_of(fastener) & _RODS else ItemForm.SCREW
    return None


def _washer(item: ItemAsked) -> _Read:
    kinds = {feature.kind for feature in item.features if feature.size is not None}
    has_sizes = {FeatureKind.OUTSIDE_DIAMETER, FeatureKind.BORE, FeatureKind.THICKNESS} <= kinds
    read = _washer_read(item.designation or item.name)
    if isinstance(read, str):
        if has_sizes:
            return _Read(ItemForm.WASHER)
        raise _Unfit(f"Not counted: {read}")
    return _Read(ItemForm.WASHER, read.fastener, read)


@lru_cache(maxsize=_CACHED)
def _washer_read(text: str) -> WasherRead | str:
    try:
        return read_washer(text)
    except InvalidInput as error:
        return error.detail


def _hardness(item: ItemAsked) -> tuple[Hardness | None, tuple[str, ...]]:
    if not item.hardness:
        return None, ()
    try:
        return read_hardness(item.hardness, highest=True), ()
    except InvalidInput:
        return None, (f"The hardness {item.hardness[:40]} is not read: counts as unknown.",)


def _price(item: ItemAsked) -> tuple[Money | None, tuple[str, ...]]:
    """Return what one is worth; unknown where it is below 0 or finer than its currency."""
    try:
        if item.worth is None or item.worth.minor >= 0:
            return item.worth, ()
        why = "it is below 0"
    except InvalidInput as error:
        why = error.detail
    return None, (f"Its worth is not counted: {why}",)


def _tip(item: ItemAsked) -> ScrewTip | None:
    """Return the point that an item's words name, one of them."""
    words = set(_WORD.findall(f"{item.kind} {item.name} {item.designation or ''}".casefold()))
    if not words & {"point", "pointed", "tip", "mushroomed"}:
        return None
    found = [tip for tip in ScrewTip if tip.value in words]
    return found[0] if len(found) == 1 else None
