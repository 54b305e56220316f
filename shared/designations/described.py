"""What a list calls a bearing against what its number says: two witnesses, neither overwritten."""

from collections.abc import Collection
from typing import Final

_TWO_ROWS: Final = ("double row", "self-aligning", "spherical")
_KIND_WORDS: Final = (
    ("tapered roller", ("taper",), ("tapered roller",)),
    ("needle", ("needle",), ("needle",)),
    ("cylindrical roller", ("cylindrical",), ("cylindrical roller",)),
    ("spherical roller", ("spherical roller",), ("spherical roller",)),
    ("self-aligning", ("self-aligning", "self aligning"), ("self-aligning", "spherical")),
    ("angular contact", ("angular",), ("angular contact",)),
    ("thrust", ("thrust",), ("thrust",)),
    ("double row", ("double row", "double-row", "two row"), _TWO_ROWS),
    ("deep groove ball", ("deep groove", "deep-groove", "grooved ball"), ("deep groove",)),
    ("ball", ("ball",), ("ball",)),
    ("roller", ("roller",), ("roller",)),
)
"""A kind, what a description says for it, what stands in ``type_name``; most particular first."""


def type_conflict(described: str, number: str, type_names: Collection[str]) -> str | None:
    """Return why a description and the kinds that a number can mean contradict, else None.

    >>> type_conflict("ball bearing", "6205", ["deep groove ball bearing"]) is None
    True
    >>> type_conflict("deep groove", "7205", ["angular contact ball bearing"]) is None
    False
    """
    text = described.lower()
    found = next((row for row in _KIND_WORDS if any(word in text for word in row[1])), None)
    if found is None or not type_names:
        return None
    said, _, kinds = found
    if any(kind in name for kind in kinds for name in type_names):
        return None
    return (
        f"Stop, the type conflicts: the description says"
        f" {_with_article(said)} bearing, {number} is"
        f" {' or '.join(map(_with_article, sorted(type_names)))}."
        " Look inside (balls or rollers, shoulders) and ask whether the shaft pushes along its axis"
        " before ordering; let neither overwrite the other."
    )


def _with_article(name: str) -> str:
    return f"{'an' if name[:1] in 'aeio' else 'a'} {name}"
