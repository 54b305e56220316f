"""Retaining rings as people write them: DIN 471 25x1.2, circlip 25, bore ring 52."""

import re
from types import MappingProxyType
from typing import Final

from shared.designations.measures import by_x, find_sizes, short, sorted_out, words_of
from shared.designations.model import RetainingRing
from shared.standards.retaining_rings import (
    FOR_BORES,
    FOR_SHAFTS,
    retaining_rings_by_nominal,
)

_STANDARD: Final = re.compile(r"\bDIN[ -]?(471|472)\b", re.IGNORECASE)
_ONE_SIZE: Final = re.compile(r"(?<![\w./])(\d{1,3}(?:\.\d{1,2})?)(?= ?mm\b|(?![\w./]))")
_RING: Final = "ring"
_RINGS: Final = ("circlip", "circlips", "retaining ring", "snap ring", "spring ring", "ring")
_KINDS: Final = MappingProxyType(
    dict.fromkeys(_RINGS, frozenset({_RING}))
    | {
        f"{side} {ring}": frozenset({_RING, standard})
        for sides, standard in (
            (("shaft", "external", "outer"), FOR_SHAFTS),
            (("bore", "internal", "inner"), FOR_BORES),
        )
        for side in sides
        for ring in _RINGS
    }
    | dict.fromkeys(
        ("external", "for shaft", "for shafts", "for a shaft", "shaft"), frozenset({FOR_SHAFTS})
    )
    | dict.fromkeys(
        ("internal", "for bore", "for bores", "for a bore", "bore", "hole"), frozenset({FOR_BORES})
    )
    | {"mm": frozenset()}
)
"""What words say: that it is such a ring, which standard it is by. A side alone names no ring."""

_KEPT: Final = MappingProxyType(
    {word: word for word in ("stainless", "steel", "spring steel", "phosphated", "zinc", "black")}
)


def read_retaining_ring(text: str) -> tuple[RetainingRing, ...]:
    """Return the rings that tidied text may name: two where shaft or bore is not said.

    A bare size is none: a standard or a word for the ring is needed.

    >>> [ring.canonical for ring in read_retaining_ring("circlip 25")]
    ['DIN 471 25x1.2', 'DIN 472 25x1.2']
    """
    standards = {f"DIN {number}" for number in _STANDARD.findall(text)}
    plain = _STANDARD.sub(" ", text)
    found = _sizes(plain)
    if found is None:
        return ()
    (nominal, thickness), left = found
    kinds, rest = sorted_out(words_of(left), _KINDS)
    kept, rest = sorted_out(rest, _KEPT)
    said = standards.union(*kinds)
    wanted = said - {_RING}
    if rest or not (standards or _RING in said) or len(wanted) > 1:
        return ()
    rings = (
        _ring(standard, nominal, thickness, kept)
        for standard in (sorted(wanted) or (FOR_SHAFTS, FOR_BORES))
    )
    return tuple(ring for ring in rings if ring is not None)


def _sizes(text: str) -> tuple[tuple[float, float | None], str] | None:
    found = find_sizes(text)
    if found is not None:
        sizes, before, behind = found
        return ((sizes[0], sizes[1]), f"{before} {behind}") if len(sizes) == 2 else None
    single = _ONE_SIZE.findall(text)
    if len(single) != 1 or not float(single[0]):
        return None
    return (float(single[0]), None), _ONE_SIZE.sub(" ", text)


def _ring(
    standard: str, nominal: float, thickness: float | None, words: tuple[str, ...]
) -> RetainingRing | None:
    row = retaining_rings_by_nominal().get((standard, nominal))
    if thickness is None and row is None:
        return None
    thick = row.thickness if thickness is None and row is not None else thickness
    if thick is None or not (0.1 <= thick <= 10 and 1 <= nominal <= 1000):
        return None
    notes: tuple[str, ...] = ()
    if row is None:
        notes = (f"The table of {standard} here holds no ring for {short(nominal)} mm.",)
    elif row.thickness != thick:
        notes = (
            f"{standard} gives {short(nominal)} a thickness of {short(row.thickness)} mm, and its"
            f" groove is {short(row.groove_width)} mm wide; {short(thick)} is another ring (the"
            " heavy type is not held here): measure.",
        )
    return RetainingRing(
        canonical=" ".join((f"{standard} {by_x(nominal, thick)}", *words)),
        standard=standard,
        is_external=standard == FOR_SHAFTS,
        nominal=nominal,
        thickness=thick,
        words=words,
        notes=notes,
    )
