"""What a list calls a bearing against what its number says: two witnesses, neither overwritten."""

from collections.abc import Collection
from typing import Final

_KIND_WORDS: Final = (
    ("tapered roller", ("taper",)),
    ("needle", ("needle",)),
    ("cylindrical roller", ("cylindrical",)),
    ("spherical roller", ("spherical roller",)),
    ("self-aligning", ("self-aligning", "self aligning")),
    ("angular contact", ("angular",)),
    ("thrust", ("thrust",)),
    ("ball", ("ball", "deep groove")),
    ("roller", ("roller",)),
)
"""A word of ``type_name``, and what a description says for it; the most particular first."""


def type_conflict(described: str, number: str, type_names: Collection[str]) -> str | None:
    """Return why a description and the kinds that a number can mean contradict, else None.

    >>> type_conflict("ball bearing", "6205", ["deep groove ball bearing"]) is None
    True
    """
    text = described.lower()
    said = next((kind for kind, words in _KIND_WORDS if any(word in text for word in words)), None)
    if said is None or not type_names or any(said in name for name in type_names):
        return None
    return (
        f"Stop, the type conflicts: the description says a {said} bearing, {number} is a"
        f" {' or '.join(sorted(type_names))}. Look inside (balls or rollers, shoulders) and ask"
        " whether the shaft pushes along its axis before ordering; let neither overwrite the other."
    )
