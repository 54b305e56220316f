"""Shim and supporting rings as people write them: DIN 988 25x35x0.1, shim 25x35x0.1."""

import re
from types import MappingProxyType
from typing import Final

from shared.designations.measures import by_x, find_sizes, short, sorted_out, words_of
from shared.designations.model import Shim
from shared.standards.shims import shim_thicknesses, shims_by_size

STANDARD: Final = "DIN 988"
_STANDARD: Final = re.compile(r"\bDIN[ -]?988(?::\d{4})?(?=\b|[A-Za-z])", re.IGNORECASE)
_SHIM, _SUPPORTING, _UNIT = "shim", "supporting", "unit"
_NAMES: Final = MappingProxyType(
    dict.fromkeys(
        ("shim", "shims", "shim ring", "shim rings", "shim washer", "ps", "shim disc"), _SHIM
    )
    | dict.fromkeys(
        ("supporting ring", "support ring", "supporting washer", "s", "ss"), _SUPPORTING
    )
    | dict.fromkeys(("mm",), _UNIT)
)
_KEPT: Final = MappingProxyType({word: word for word in ("stainless", "steel", "brass", "bronze")})


def read_shim(text: str) -> tuple[Shim, ...]:
    """Return the shim or supporting ring that tidied text names; nothing where it names none.

    Bare sizes are a shim where size and thickness are listed.

    >>> read_shim("shim 25 x 35 x 0.10")[0].canonical
    'DIN 988 25x35x0.1'
    """
    has_standard = _STANDARD.search(text) is not None
    found = find_sizes(_STANDARD.sub(" ", text))
    if found is None or len(found[0]) != 3:
        return ()
    (inside, outside, thickness), before, behind = found
    names, left = sorted_out(words_of(f"{before} {behind}"), _NAMES)
    kept, left = sorted_out(left, _KEPT)
    is_supporting = _SUPPORTING in names
    if left or (is_supporting and _SHIM in names):
        return ()
    is_listed = _is_listed(inside, outside, thickness, is_supporting)
    if not (has_standard or set(names) - {_UNIT} or is_listed):
        return ()
    if not (1 <= inside < outside <= 1000 and 0.01 <= thickness <= 10):
        return ()
    letter = "S " if is_supporting else ""
    return (
        Shim(
            canonical=" ".join((f"{STANDARD} {letter}{by_x(inside, outside, thickness)}", *kept)),
            standard=STANDARD,
            is_supporting=is_supporting,
            inside=inside,
            outside=outside,
            thickness=thickness,
            words=kept,
            notes=_notes(inside, outside, thickness, is_supporting, is_listed),
        ),
    )


def _is_listed(inside: float, outside: float, thickness: float, is_supporting: bool) -> bool:
    row = shims_by_size().get((inside, outside))
    if row is None:
        return False
    if is_supporting:
        return thickness == row.supporting_thickness
    return thickness in {one.thickness for one in shim_thicknesses()}


def _notes(
    inside: float, outside: float, thickness: float, is_supporting: bool, is_listed: bool
) -> tuple[str, ...]:
    row = shims_by_size().get((inside, outside))
    if row is None:
        return ("DIN 988 lists no ring of this inside and outside diameter.",)
    if not is_listed:
        return (f"{short(thickness)} mm is no thickness of the list for this ring.",)
    if not is_supporting and thickness == row.supporting_thickness:
        return ("A supporting ring (DIN 988 S) has the same sizes, and is hard: say S for it.",)
    return ()
