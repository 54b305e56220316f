"""Parallel keys as people write them: DIN 6885 A 8x7x40, key 8x7x40, 8x7x40."""

import re
from types import MappingProxyType
from typing import Final

from shared.designations.measures import by_x, find_sizes, short, sorted_out, words_of
from shared.designations.model import Key
from shared.standards.keys import key_lengths, keys_by_section

STANDARD: Final = "DIN 6885-1"
_STANDARD: Final = re.compile(r"\bDIN[ -]?6885(?:-1)?(?::\d{4})?(?=[\s,-]|[A-Ja-j]\b|$)", re.I)
_NAMES: Final = MappingProxyType(
    dict.fromkeys(("key", "keys", "parallel key", "feather key", "shaft key", "mm", "form"), "")
)
_FORMS: Final = MappingProxyType({letter.casefold(): letter for letter in "ABCDEFGHJ"})
_KEPT: Final = MappingProxyType(
    {word: word for word in ("stainless", "steel", "c45", "c45k", "bright")}
)
_UNITS: Final = frozenset({"mm", "form"})


def read_key(text: str) -> tuple[Key, ...]:
    """Return the parallel key that tidied text names; nothing where it names none.

    Bare sizes are a key where width and height are listed together; two sizes need the word.

    >>> read_key("DIN 6885-1 A8x7x40")[0].canonical
    'DIN 6885 A 8x7x40'
    """
    has_standard = _STANDARD.search(text) is not None
    found = find_sizes(_STANDARD.sub(" ", text))
    if found is None:
        return ()
    (width, height, *more), before, behind = found
    length = more[0] if more else None
    words = words_of(f"{before} {behind}")
    names, left = sorted_out(words, _NAMES)
    is_named = has_standard or len(names) > sum(word.casefold() in _UNITS for word in words)
    forms, left = sorted_out(left, _FORMS)
    kept, left = sorted_out(left, _KEPT)
    is_listed = (width, height) in keys_by_section()
    if left or len(forms) > 1 or not (is_named or (is_listed and length is not None)):
        return ()
    if not (0.5 <= height <= width <= 200 and (length is None or width <= length <= 2000)):
        return ()
    form = forms[0] if forms else None
    size = by_x(width, height, *more)
    return (
        Key(
            canonical=" ".join(part for part in ("DIN 6885", form or "", size, *kept) if part),
            standard=STANDARD,
            form=form,
            width=width,
            height=height,
            length=length,
            words=kept,
            notes=tuple(_notes(width, height, length)),
        ),
    )


def _notes(width: float, height: float, length: float | None) -> list[str]:
    row = keys_by_section().get((width, height))
    if row is None:
        return ["DIN 6885-1 lists no key of this width and height."]
    notes = [
        f"For shafts over {short(row.shaft_over)} up to {short(row.shaft_up_to)} mm; keyway"
        f" {short(row.shaft_depth)} mm deep in the shaft, {short(row.hub_depth)} in the hub."
    ]
    if length is not None and length not in {row.length for row in key_lengths()}:
        notes.append(f"{short(length)} mm is no length of the list: cut from a longer key.")
    return notes
