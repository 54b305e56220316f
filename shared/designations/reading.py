"""Reads a designation the way people write it: every kind of part, every meaning, never a guess."""

from collections.abc import Collection
from dataclasses import replace
from typing import Final

from shared.designations.bearing_sizes import read_bearing_by_sizes
from shared.designations.bearings import read_bearing
from shared.designations.keys import read_key
from shared.designations.model import Designated, Fastener, PartKind
from shared.designations.near_parts import Reader, nearest_parts
from shared.designations.o_rings import read_o_ring
from shared.designations.offers import nearest_names, offers_for_figure, refused, shown
from shared.designations.retaining_rings import read_retaining_ring
from shared.designations.screws import read_screw
from shared.designations.shaft_seals import read_shaft_seal
from shared.designations.shims import read_shim
from shared.designations.text import tidy
from shared.designations.thread_names import MEANINGS
from shared.errors import Ambiguous, InvalidInput

ALL_KINDS: Final = frozenset(PartKind)

_READERS: Final[tuple[tuple[PartKind, Reader], ...]] = (
    (PartKind.BEARING, read_bearing),
    (PartKind.BEARING, read_bearing_by_sizes),
    (PartKind.SHAFT_SEAL, read_shaft_seal),
    (PartKind.O_RING, read_o_ring),
    (PartKind.RETAINING_RING, read_retaining_ring),
    (PartKind.KEY, read_key),
    (PartKind.SHIM, read_shim),
)


def readings_of(
    text: str, kinds: Collection[PartKind] = ALL_KINDS, pointer: str = "/text"
) -> tuple[Designated, ...]:
    """Return every part that ``text`` may name, of these kinds, the likeliest of a kind first.

    Never empty: raises InvalidInput (``pointer``) for text that names none, with the nearest
    readable forms, or naming the piece that could not be read.

    >>> [part.canonical for part in readings_of("1/4-26")]
    ['1/4-26 BSF', '1/4-26 BSC']
    """
    plain = tidy(text, pointer)
    found: list[Designated] = []
    refusal: InvalidInput | None = None
    if PartKind.FASTENER in kinds:
        try:
            found += read_screw(plain, pointer)
        except InvalidInput as error:
            refusal = error
    for kind, read in _READERS:
        if kind in kinds:
            found += read(plain)
    if not found:
        raise refusal or _unknown(plain, pointer, kinds)
    return _named_exactly(plain, found) or tuple(dict.fromkeys(found))


def read_designation(
    text: str, pointer: str = "/text", kinds: Collection[PartKind] = ALL_KINDS
) -> Designated:
    """Return the one part that ``text`` names.

    Raises InvalidInput (``pointer``) for text that names none, Ambiguous with all readings for text
    that has several.
    """
    found = readings_of(text, kinds, pointer)
    if len(found) == 1:
        return found[0]
    raise Ambiguous(
        pointer,
        f"'{shown(text.strip())}' has {len(found)} meanings.",
        "Write the one name that is meant, without what stands in brackets.",
        [f"{part.canonical} ({meaning_of(part)})" for part in found],
    )


def read_fastener(text: str, pointer: str = "/designation") -> Fastener:
    """Return the one screw, nut or thread that ``text`` names.

    Raises InvalidInput (``pointer``) for text that names none, Ambiguous with all readings for text
    that has several.

    >>> read_fastener("M8 x 1,25 x 40 - 8.8").canonical
    'M8x1.25x40 8.8'
    """
    found = read_designation(text, pointer, {PartKind.FASTENER})
    assert isinstance(found, Fastener)
    return found


def canonical(text: str) -> str | None:
    """Return the one name of the part that ``text`` names; None if it names none or several.

    >>> canonical("8x1.25"), canonical("3/8"), canonical("left-handed smoke shifter")
    ('M8x1.25', None, None)
    """
    try:
        return read_designation(text).canonical
    except InvalidInput:
        return None


def meaning_of(part: Designated) -> str:
    """Say in a few words what a reading is: the series of a thread, else the kind of part."""
    if isinstance(part, Fastener):
        return MEANINGS[part.thread.series]
    return str(part.kind)


def _named_exactly(plain: str, found: list[Designated]) -> tuple[Designated, ...]:
    """Return the one whose very name was written: R 2 is a pipe thread, though R2 is a bearing."""
    for part in found:
        if part.canonical == plain and len(found) > 1:
            others = ", ".join(other.canonical for other in found if other is not part)
            return (replace(part, notes=(*part.notes, f"Near it, but named otherwise: {others}.")),)
    return ()


def _unknown(plain: str, pointer: str, kinds: Collection[PartKind]) -> InvalidInput:
    readers = [read for kind, read in _READERS if kind in kinds]
    return refused(
        pointer,
        f"'{shown(plain)}' names no part that the house can read.",
        nearest_parts(plain, readers) or offers_for_figure(plain) or nearest_names(plain),
        "Bearings are written 6205-2RS, shaft seals 25x47x7, O-rings AS568-214 or O-ring 25x3.5.",
    )
