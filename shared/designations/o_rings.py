"""O-rings as people write them: AS568-214, dash 214, 24.99x3.53, P22A, O-ring 1 x 1/8 in NBR 70."""

import re
from types import MappingProxyType
from typing import Final

from shared.designations.measures import by_x, find_sizes, is_in_inches, sorted_out, words_of
from shared.designations.model import ORing
from shared.standards.o_rings import (
    AS568,
    TRADE_SIZE,
    ORingSize,
    millimetres,
    o_rings,
    o_rings_by_inch_size,
    o_rings_by_number,
    o_rings_by_size,
)
from shared.standards.seal_materials import materials_by_word

_DASH: Final = re.compile(
    r"(?:\bAS[ -]?568[A-D]?\b[ -]*|\bdash[ -]*(?:no\.? ?)?|(?<![\w.])-)(\d{3})(?![\w./])",
    re.IGNORECASE,
)
_BARE_DASH: Final = re.compile(r"(?<![\w./-])(\d{3})(?![\w./-])")
_JIS: Final = re.compile(
    r"(?:\bJIS\b[ -]*)?(?:\bB ?2401\b[ -]*)?\b([PG])[ -]?(\d{1,3}(?:\.\d)?A?)(?![\w./])",
    re.IGNORECASE,
)
_JIS_WORDS: Final = re.compile(r"\bJIS\b|\bB ?2401\b", re.IGNORECASE)
_ISO: Final = re.compile(r"\bISO[ -]?3601(?:-1)?(?::\d{4})?\b", re.IGNORECASE)
_NAME: Final = re.compile(r"\bO[ -]?rings?\b", re.IGNORECASE)
_FILLERS: Final = re.compile(
    r"\b(?:ID|CS|c/s|inside diameter|inside|cross section|section|cord|by size)\b", re.IGNORECASE
)
_UNITS: Final = frozenset({"mm", "in", "inch", "size", "no"})
_COLOURS: Final = frozenset({"black", "brown", "green", "red", "blue", "white", "orange"})
_HARD: Final = MappingProxyType(
    dict.fromkeys(("shore", "shore a", "sh", "sh a", "sha", "irhd", "duro", "durometer"), 0)
)
_GLUED: Final = re.compile(r"([A-Za-z]{2,4})-?(\d{2})")
_FRACTION: Final = re.compile(r"\d/\d")
_LEAST_HARD, _MOST_HARD = 30, 98
_NEAR: Final = 0.05


def read_o_ring(text: str) -> tuple[ORing, ...]:
    """Return the O-ring that tidied text names; nothing where it names none.

    Two bare sizes are a ring only where a list holds them; with the word O-ring any sane size is.

    >>> [ring.canonical for ring in read_o_ring("dash 214 NBR 70")]
    ['AS568-214 NBR 70']
    >>> read_o_ring("O-ring 24.99 x 3.53")[0].dash
    '214'
    """
    is_named = _NAME.search(text) is not None or _ISO.search(text) is not None
    plain = _FILLERS.sub(" ", _ISO.sub(" ", _NAME.sub(" ", text)))
    for find in (_by_dash, _by_jis, _by_size):
        found = find(plain, is_named)
        if found is not None:
            size, left = found
            said = _said(words_of(left))
            return () if said is None else (_ring(size, *said),)
    return ()


_Size = ORingSize | tuple[float, float]


def _by_dash(text: str, _: bool) -> tuple[_Size, str] | None:
    found = _DASH.search(text) or _BARE_DASH.search(text)
    ring = o_rings_by_number().get(found.group(1)) if found else None
    if ring is None or found is None:
        return None
    left = text[: found.start()] + " " + text[found.end() :]
    # A number with a unit is a length.
    return None if _has_unit(left) else (ring, left)


def _by_jis(text: str, _: bool) -> tuple[_Size, str] | None:
    found = _JIS.search(text)
    if found is None:
        return None
    ring = o_rings_by_number().get(f"{found.group(1)}{found.group(2)}".upper())
    if ring is None:
        return None
    left = _JIS_WORDS.sub(" ", text[: found.start()] + " " + text[found.end() :])
    return None if _has_unit(left) else (ring, left)


def _has_unit(text: str) -> bool:
    return is_in_inches(text) or "mm" in (word.casefold() for word in words_of(text))


def _by_size(text: str, is_named: bool) -> tuple[_Size, str] | None:
    found = find_sizes(text)
    if found is None:
        return None
    sizes, before, behind = found
    inside, section = sizes[0], sizes[-1]
    if len(sizes) == 3 and not (is_named and abs(sizes[1] - inside - 2 * section) < 0.3):
        return None
    left = f"{before} {behind}"
    if is_in_inches(text) or (is_named and _FRACTION.search(text) and "mm" not in text):
        # Fractions are said of inch rings only: 1 x 1/8.
        ring = o_rings_by_inch_size().get((inside, section))
        inside, section = millimetres(inside), millimetres(section)
    else:
        ring = o_rings_by_size().get((inside, section))
    if ring is not None:
        return ring, left
    is_sane = 0.5 <= section <= 25 and 0.5 <= inside <= 3000 and section <= 3 * inside
    return ((inside, section), left) if is_named and is_sane else None


_Extras = tuple[str | None, int | None, tuple[str, ...]]


def _said(words: tuple[str, ...]) -> _Extras | None:
    """Return material, hardness and colours; None where a word is none of these."""
    split: list[str] = []
    for word in words:
        glued = _GLUED.fullmatch(word)
        is_material = glued is not None and glued.group(1).casefold() in materials_by_word()
        split.extend(glued.groups() if glued and is_material else (word,))
    materials, left = sorted_out(split, materials_by_word())
    _, left = sorted_out(left, _HARD)
    hardness = [int(word) for word in left if word.isdigit() and len(word) == 2]
    colours = tuple(word.casefold() for word in left if word.casefold() in _COLOURS)
    others = [
        word
        for word in left
        if not (word.isdigit() and len(word) == 2) and word.casefold() not in _COLOURS | _UNITS
    ]
    codes = {row.code for row in materials}
    if others or len(codes) > 1 or len(hardness) > 1:
        return None
    if hardness and not _LEAST_HARD <= hardness[0] <= _MOST_HARD:
        return None
    return next(iter(codes), None), hardness[0] if hardness else None, colours


def _ring(size: _Size, material: str | None, hardness: int | None, words: tuple[str, ...]) -> ORing:
    listed = size if isinstance(size, ORingSize) else None
    inside, section = (listed.inside, listed.section) if listed else size  # type: ignore[misc]
    name = listed.name if listed else f"O-ring {by_x(inside, section)}"
    parts = (name, material or "", str(hardness or ""), *words)
    return ORing(
        canonical=" ".join(part for part in parts if part),
        inside=inside,
        section=section,
        standard=None if listed is None or listed.standard == TRADE_SIZE else listed.standard,
        dash=listed.number if listed and listed.standard == AS568 else None,
        material=material,
        hardness=hardness,
        words=words,
        notes=_notes(listed, inside, section),
    )


def _notes(listed: ORingSize | None, inside: float, section: float) -> tuple[str, ...]:
    if listed is not None:
        called = f"The trade calls it {listed.nominal_inches} in." if listed.nominal_inches else ""
        practice = "A size that the trade stocks; no standard's list holds it."
        return tuple(note for note in (called, practice if listed.standard == TRADE_SIZE else "")
                     if note)  # fmt: skip
    near = [
        ring
        for ring in o_rings()
        if abs(ring.section - section) <= _NEAR
        and abs(ring.inside - inside) <= ring.inside_tolerance
    ]
    near.sort(key=lambda ring: abs(ring.inside - inside) + 5 * abs(ring.section - section))
    names = ", ".join(f"{ring.name} ({by_x(ring.inside, ring.section)})" for ring in near[:3])
    return (f"No list holds this size. Near it: {names}." if near else "No list holds this size.",)
