"""Numbers one error of typing or reading away from another. All of it on normal forms."""

from collections.abc import Iterator
from itertools import groupby
from string import ascii_uppercase, digits
from typing import Final

from shared.interchange.part_numbers.normal import folded_form

SHORTEST: Final = 4
"""Shorter keys have no near forms: one error in three characters is another number."""

LONGEST: Final = 40
"""Of longer keys only look-alikes and exchanged neighbours are near."""

_CHARACTERS: Final = ascii_uppercase + digits + "/"
_READ_FOR_EACH_OTHER: Final = tuple(
    "".join(group) for _, group in groupby(sorted(_CHARACTERS, key=folded_form), key=folded_form)
)


def near_forms(key: str) -> tuple[str, ...]:
    """Return every normal form one error away from ``key``, by rising text, without itself.

    One character another, more or less, or two neighbours exchanged. None has fewer than 4
    characters, and none comes of a key that has fewer.

    >>> "716804" in near_forms("7168O4"), "716804" in near_forms("716840"), near_forms("716")
    (True, True, ())
    """
    if len(key) < SHORTEST:
        return ()
    found = set(_exchanged(key))
    if len(key) > LONGEST:
        found |= set(_misread(key))
    else:
        characters = sorted({*_CHARACTERS, *key})
        found |= {_put(key, at, one) for at in range(len(key)) for one in characters}
        if len(key) < LONGEST:
            found |= {key[:at] + one + key[at:] for at in range(len(key) + 1) for one in characters}
        if len(key) > SHORTEST:
            found |= {_put(key, at, "") for at in range(len(key))}
    return tuple(sorted(found - {key}))


def told(key: str, other: str) -> str | None:
    """Say how ``other``, which was found, differs from ``key``, which was asked; None: by too much.

    Characters are counted in normal form, from 1. Look-alikes are told however many they are.

    >>> told("7168O4", "716804"), told("716840", "716804")
    ('look-alike O/0 at character 5', 'two characters exchanged at 5-6')
    >>> told("71684", "716804"), told("716894", "716804"), told("7168", "9999")
    ('one character more at 5: 0', 'another character at 5: 9 for 0', None)
    """
    if key == other:
        return None
    if len(key) == len(other):
        return _told_of_equal_length(key, other)
    short, long = sorted((key, other), key=len)
    if len(long) - len(short) != 1:
        return None
    at = next((at for at, one in enumerate(short) if long[at] != one), len(short))
    if _put(long, at, "") != short:
        return None
    return f"one character {'more' if long == other else 'less'} at {at + 1}: {long[at]}"


def _told_of_equal_length(key: str, other: str) -> str | None:
    differing = [at for at, pair in enumerate(zip(key, other, strict=True)) if len(set(pair)) > 1]
    first = differing[0]
    if folded_form(key) == folded_form(other):
        pairs = [f"{key[at]}/{other[at]} at character {at + 1}" for at in differing]
        return "look-alike " + ", ".join(pairs)
    if len(differing) == 1:
        return f"another character at {first + 1}: {key[first]} for {other[first]}"
    if len(differing) == 2 and other in set(_exchanged(key)):
        return f"two characters exchanged at {first + 1}-{first + 2}"
    return None


def _exchanged(key: str) -> Iterator[str]:
    for at in range(len(key) - 1):
        yield key[:at] + key[at + 1] + key[at] + key[at + 2 :]


def _misread(key: str) -> Iterator[str]:
    """The key with one character for which another is read."""
    for at, character in enumerate(key):
        for group in _READ_FOR_EACH_OTHER:
            if character in group:
                yield from (_put(key, at, one) for one in group)


def _put(key: str, at: int, text: str) -> str:
    """The key with ``text`` in place of one character."""
    return key[:at] + text + key[at + 1 :]
