"""Rotary shaft seals as people write them: 25x47x7, 25-47-7 NBR, DIN 3760 AS 25x47x7, TC letters.

The order is shaft, housing, width. Types by ISO 6194-1 and DIN 3760; the letters of the trade (TC,
SC, ...) are no standard's and are kept as written, with what they commonly mean.
"""

import re
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Final

from shared.designations.measures import (
    by_x,
    find_sizes,
    is_in_inches,
    joined_by_x,
    sorted_out,
    words_of,
)
from shared.designations.model import ShaftSeal
from shared.standards.seal_materials import materials_by_word
from shared.standards.shaft_seals import shaft_seals_by_size
from shared.standards.thread_geometry import MM_PER_INCH

RUBBER: Final = "rubber-covered"
METAL: Final = "metal-cased"
REINFORCED: Final = "metal-cased reinforced"
ARROW: Final = "arrow"
"""The word kept where a seal carries an arrow whose direction is not said: it is handed."""


@dataclass(frozen=True, slots=True)
class _Said:
    """What a word says of a seal; ``word`` is kept as written where it is more than that."""

    lip_type: str | None = None
    has_dust_lip: bool | None = None
    spin: str | None = None
    material: str | None = None
    word: str | None = None


_STANDARD: Final = re.compile(r"\b(?:ISO[ -]?6194(?:-1)?|DIN[ -]?3760)(?::\d{4})?\b", re.IGNORECASE)
_NOTHING: Final = _Said()
_NAMES: Final = (
    "shaft seal", "oil seal", "rotary shaft seal", "rotary shaft lip seal", "radial shaft seal",
    "rotary seal", "lip seal", "grease seal", "seal", "shaft seal ring", "mm", "in", "inch", "type",
)  # fmt: skip
_STANDARD_FORMS: Final = MappingProxyType(
    {
        "a": _Said(RUBBER, False), "as": _Said(RUBBER, True),
        "b": _Said(METAL, False), "bs": _Said(METAL, True),
        "c": _Said(REINFORCED, False), "cs": _Said(REINFORCED, True),
    }
)  # fmt: skip
_TYPES: Final = MappingProxyType(
    {f"type {number}": said for number, said in zip(
        "123456",
        (_Said(RUBBER, False), _Said(METAL, False), _Said(REINFORCED, False),
         _Said(RUBBER, True), _Said(METAL, True), _Said(REINFORCED, True)),
        strict=True,
    )}
)  # fmt: skip
_TRADE_LETTERS: Final = MappingProxyType(
    {
        "TC": (RUBBER, True, ""), "SC": (RUBBER, False, ""),
        "TB": (METAL, True, ""), "SB": (METAL, False, ""),
        "TA": (REINFORCED, True, ""), "SA": (REINFORCED, False, ""),
        "KC": (RUBBER, True, ", no spring"), "VC": (RUBBER, False, ", no spring"),
        "KB": (METAL, True, ", no spring"), "VB": (METAL, False, ", no spring"),
    }
)  # fmt: skip
_WORDS: Final = MappingProxyType(
    {
        RUBBER: _Said(RUBBER), "rubber covered": _Said(RUBBER), "rubber cased": _Said(RUBBER),
        "rubber outside": _Said(RUBBER), METAL: _Said(METAL), "metal cased": _Said(METAL),
        "metal case": _Said(METAL), "metal outside": _Said(METAL), REINFORCED: _Said(REINFORCED),
        "metal cased reinforced": _Said(REINFORCED), "metal case reinforced": _Said(REINFORCED),
        "dust lip": _Said(None, True), "with dust lip": _Said(None, True),
        "double lip": _Said(None, True), "without dust lip": _Said(None, False),
        "no dust lip": _Said(None, False), "single lip": _Said(None, False),
    }
    | {
        phrase: _Said(spin=way)
        for way, short_way in (("right", "rh"), ("left", "lh"))
        for phrase in (
            f"arrow {way}", f"{way} arrow", f"{way} spin", f"spin {way}", f"{way} hand",
            f"{way}-hand", f"{way} rotation", f"{way}-hand rotation", f"arrow {short_way}",
            short_way, f"{short_way} rotation",
        )
    }
    | dict.fromkeys(("either way", "both ways", "arrow both ways", "two arrows"),
                    _Said(spin="either"))
    | {"arrow": _Said(word=ARROW), "with arrow": _Said(word=ARROW), "arrows": _Said(word=ARROW)}
    | {letters.casefold(): _Said(lip, dust, word=letters)
       for letters, (lip, dust, _) in _TRADE_LETTERS.items()}
)  # fmt: skip
# A maker's mark: capitals, digits, or few letters; a longer small word is no mark.
_PRIVATE: Final = re.compile(r"(?=[0-9/+-]*[A-Za-z])(?:[A-Z0-9/+-]{1,8}|[A-Za-z0-9/+-]{1,3})")
_BY_BLANKS: Final = re.compile(
    r"(?<![\w./-])(\d{1,3}(?:\.\d+)?) (\d{1,3}(?:\.\d+)?) (\d{1,2}(?:\.\d+)?)(?![\w./-])"
)
_SIZE: Final = re.compile(r"[xX/+-]\d")
"""A further size, not a mark: 25x47x7x10 is no seal of width 7."""
_NO_MARKS: Final = frozenset({"LEFT", "RIGHT", "SIDE", "FRONT", "REAR", "INNER", "OUTER", "X"})
_MOST_PRIVATE: Final = 2
_STEM: Final = "shaft seal"


def read_shaft_seal(text: str) -> tuple[ShaftSeal, ...]:
    """Return the shaft seal that tidied text names; nothing where it names none.

    Three bare sizes are a seal where they are listed, or could be one: then ``is_listed`` is False.
    Sizes in inches are turned into millimetres.

    >>> read_shaft_seal("25-47-7 TC")[0].canonical
    'shaft seal 25x47x7 TC'
    """
    has_standard = _STANDARD.search(text) is not None
    plain = _STANDARD.sub(" ", text)
    if has_standard or "seal" in text.casefold():
        plain = _BY_BLANKS.sub(r"\1x\2x\3", plain, count=1)
    found = find_sizes(joined_by_x(plain))
    if found is None or len(found[0]) != 3:
        return ()
    sizes, before, behind = found
    factor = MM_PER_INCH if is_in_inches(text) else 1.0
    shaft, housing, width = (round(size * factor, 4) for size in sizes)
    front, end = words_of(before), words_of(behind)
    forms, rest_front = sorted_out(front[-1:] if front else (), _STANDARD_FORMS)
    more, rest_end = sorted_out(end, _STANDARD_FORMS) if has_standard else ((), list(end))
    phrases = _phrases()
    said_front, odd_front = sorted_out((*front[:-1], *rest_front), phrases)
    said_end, odd_end = sorted_out(rest_end, phrases)
    is_named = has_standard or any("seal" in word.casefold() for word in (*front, *end))
    if odd_front or len(odd_end) > _MOST_PRIVATE or not all(map(_could_be_mark, odd_end)):
        return ()
    is_listed = (shaft, housing, width) in shaft_seals_by_size()
    if not is_listed and not _could_be(shaft, housing, width, is_named):
        return ()
    if odd_end and not (is_named or is_listed):
        return ()
    told = _told((*forms, *said_front, *more, *said_end))
    return () if told is None else (_seal((shaft, housing, width), is_listed, told, odd_end),)


@cache
def _phrases() -> MappingProxyType[str, _Said]:
    materials = {word: _Said(material=row.code) for word, row in materials_by_word().items()}
    names = dict.fromkeys(_NAMES, _NOTHING)
    return MappingProxyType(materials | names | dict(_TYPES) | dict(_WORDS))


def _could_be_mark(word: str) -> bool:
    if _SIZE.match(word) is not None:
        return False
    return _PRIVATE.fullmatch(word) is not None and word.upper() not in _NO_MARKS


def _could_be(shaft: float, housing: float, width: float, is_named: bool) -> bool:
    """Whether a seal of these sizes can be made at all; an unnamed one has to look like one."""
    wall = (housing - shaft) / 2
    if not (1 <= shaft <= 2000 and 1 < wall <= 60 and 1 <= width <= 60):
        return False
    return is_named or (3 <= shaft <= 500 and 2 <= wall <= 30 and 4 <= width <= 25)


def _told(said: tuple[_Said, ...]) -> _Said | None:
    """Put together what the words say; None where they contradict each other."""
    values: dict[str, str | bool] = {}
    for one in said:
        for name in ("lip_type", "has_dust_lip", "spin", "material", "word"):
            value = getattr(one, name)
            if value is None:
                continue
            if values.setdefault(name, value) != value and name != "word":
                return None
            if name == "word" and values[name] != value:
                values[name] = f"{values[name]} {value}"
    return _Said(**values)  # type: ignore[arg-type]


def _seal(
    sizes: tuple[float, float, float], is_listed: bool, told: _Said, odd: list[str]
) -> ShaftSeal:
    kept = tuple(told.word.split() if told.word else ()) + tuple(odd)
    lettered = {word for word in kept if word in _TRADE_LETTERS}
    parts = [f"{_STEM} {by_x(*sizes)}"]
    if told.lip_type and not lettered:
        parts.append(told.lip_type)
    if told.has_dust_lip is not None and not lettered:
        parts.append("dust lip" if told.has_dust_lip else "without dust lip")
    if told.spin:
        parts.append("arrow both ways" if told.spin == "either" else f"{told.spin} spin")
    if told.material:
        parts.append(told.material)
    return ShaftSeal(
        canonical=" ".join((*parts, *kept)),
        shaft=sizes[0],
        housing=sizes[1],
        width=sizes[2],
        lip_type=told.lip_type,
        has_dust_lip=told.has_dust_lip,
        spin=told.spin,
        material=told.material,
        is_listed=is_listed,
        words=kept,
        notes=tuple(_notes(kept, odd, is_listed, told)),
    )


def _notes(kept: tuple[str, ...], odd: list[str], is_listed: bool, told: _Said) -> list[str]:
    notes = []
    for word in kept:
        if word in _TRADE_LETTERS:
            lip, dust, more = _TRADE_LETTERS[word]
            lips = "with dust lip" if dust else "without dust lip"
            notes.append(f"{word}: {lip}, {lips}{more}, by common trade letters; no standard's.")
    if odd:
        marks = ", ".join(odd)
        notes.append(f"{marks}: some maker's own marks; what they mean is not known here.")
    if not is_listed:
        notes.append(
            "Not a size of the lists held. Three sizes alone may also name a bearing's bore,"
            " outside and width: look at the part."
        )
    if told.spin in {"right", "left"} or ARROW in kept:
        notes.append(
            "The arrow means ribs that pump oil back for one direction of rotation: it must agree"
            " with the shaft's, and the two ends of a shaft need opposite hands."
        )
    return notes
