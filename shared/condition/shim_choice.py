"""One shim out of a list for a wanted thickness, by the maker's rule; exact lengths in one unit."""

from collections.abc import Sequence
from decimal import Decimal
from enum import StrEnum


class ChoiceRule(StrEnum):
    """Which of the shims there are is taken."""

    NEAREST = "nearest"
    NOT_THICKER = "nearest-not-thicker"
    NOT_THINNER = "nearest-not-thinner"


def choose_shim(
    wanted: Decimal, lengths: Sequence[Decimal], rule: ChoiceRule, finest: Decimal
) -> tuple[int | None, str]:
    """Index of the shim taken, or None with the reason; all lengths in one unit.

    Where the wanted thickness lies beyond the list by more than its last step there (or than
    ``finest``, if that is more), none is taken. Two equally near are not chosen
    between.

    >>> steps = [Decimal(text) for text in ("1.20", "1.22", "1.24")]
    >>> choose_shim(Decimal("1.239"), steps, ChoiceRule.NOT_THICKER, Decimal("0.001"))
    (1, '')
    """
    allowed = [
        length
        for length in sorted(set(lengths))
        if not (rule is ChoiceRule.NOT_THICKER and length > wanted)
        and not (rule is ChoiceRule.NOT_THINNER and length < wanted)
    ]
    if not allowed:
        return None, f"none is {'thin' if rule is ChoiceRule.NOT_THICKER else 'thick'} enough"
    off = min(abs(length - wanted) for length in allowed)
    nearest = [length for length in allowed if abs(length - wanted) == off]
    if len(nearest) > 1:
        return None, "two are equally near: ask the manual which to take"
    if off > max(_step_at_end(wanted, lengths), finest):
        return None, "the list ends before the thickness that is wanted"
    return lengths.index(nearest[0]), ""


def _step_at_end(wanted: Decimal, lengths: Sequence[Decimal]) -> Decimal:
    """By how much a wanted thickness may lie beyond the list: its last step there."""
    ordered = sorted(set(lengths))
    if ordered[0] <= wanted <= ordered[-1]:
        return ordered[-1] - ordered[0]
    if len(ordered) == 1:
        return Decimal(0)
    return ordered[1] - ordered[0] if wanted < ordered[0] else ordered[-1] - ordered[-2]
