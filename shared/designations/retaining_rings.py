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
_EITHER: Final = "either"
_UNIT: Final = "unit"
_KINDS: Final = MappingProxyType(
    dict.fromkeys(
        ("circlip", "circlips", "retaining ring", "snap ring", "spring ring", "ring"), _EITHER
    )
    | dict.fromkeys(
        ("shaft ring", "shaft circlip", "external", "external circlip", "outer circlip",
         "external ring", "external retaining ring", "for shaft", "for shafts", "shaft",
         "external snap ring"), FOR_SHAFTS)
    | dict.fromkeys(
        ("bore ring", "bore circlip", "internal", "internal circlip", "inner circlip",
         "internal ring", "internal retaining ring", "for bore", "for bores", "bore", "hole",
         "internal snap ring"), FOR_BORES)
    | dict.fromkeys(("mm",), _UNIT)
)  # fmt: skip
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
    named = (standards | set(kinds)) - {_UNIT}
    wanted = named - {_EITHER}
    if rest or not named or len(wanted) > 1:
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
