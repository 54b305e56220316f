"""Units of one design that differ: in hand, ratio, generation or the maker's variant."""

from dataclasses import replace

from shared.assemblies.ratios import speed_change_told
from shared.assemblies.traits import Traits, is_same_ratio, why_of_another_kind

TRAITS = ("hand", "ratio", "generation", "variant")
"""Members of Traits that tell one kind from another."""


def why_other_traits(own: Traits, other: Traits) -> str | None:
    """Why what depends on the traits of its unit does not go over; what another ratio would do.

    None where it goes.
    """
    why_not = why_of_another_kind(own, other)
    change = ratio_change(own, other)
    return f"{why_not}; the other ratio {change}" if why_not and change else why_not


def ratio_change(own: Traits, other: Traits) -> str | None:
    """What the other unit's ratio does to the speed of the output; None: the same, or unknown."""
    if own.ratio is None or other.ratio is None or is_same_ratio(own.ratio, other.ratio):
        return None
    return speed_change_told(own.ratio, other.ratio)


def why_another_kind(own: Traits, other: Traits) -> str | None:
    """In what a stock unit is not of the kind that is wanted; None where all that is known agrees.

    What is not on record of the unit on the bench cannot be asked of another.
    """
    told = []
    for name in TRAITS:
        wanted, there = getattr(own, name), getattr(other, name)
        one, another = replace(Traits(), **{name: wanted}), replace(Traits(), **{name: there})
        if wanted is not None and why_of_another_kind(one, another) is not None:
            told.append(
                f"{name} '{'not on record' if there is None else there}', wanted '{wanted}'"
            )
    change = ratio_change(own, other)
    return "; ".join([*told, *([f"it {change}"] if change else [])]) or None
