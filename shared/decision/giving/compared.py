"""The traits of two units side by side, and every one that keeps a part from going across."""

from collections.abc import Iterator
from dataclasses import fields
from decimal import Decimal

from shared.assemblies.ratios import output_speed_change
from shared.assemblies.traits import Traits, why_of_another_kind
from shared.decision.building.kinds import why_other_traits
from shared.decision.giving.found import Likeness, TraitCompared

_TOLD_APART = tuple(
    field.name for field in fields(Traits) if field.name not in {"serial_number", "built_on"}
)
"""The traits on which a part may depend."""


def compared(own: Traits, other: Traits) -> tuple[TraitCompared, ...]:
    """Each trait that is on record of either unit."""
    return tuple(_compared(name, own, other) for name in _on_record(own, other))


def trait_reasons(own: Traits, other: Traits) -> tuple[str, ...]:
    """Every trait that keeps what depends on them from going from one unit to the other."""
    names = tuple(_on_record(own, other))
    if not names:
        return tuple(filter(None, [why_other_traits(own, other)]))
    singly = (why_other_traits(_only(own, name), _only(other, name)) for name in names)
    return tuple(reason for reason in singly if reason is not None)


def _on_record(own: Traits, other: Traits) -> Iterator[str]:
    for name in _TOLD_APART:
        if getattr(own, name) is not None or getattr(other, name) is not None:
            yield name


def _only(traits: Traits, name: str) -> Traits:
    return Traits(**{name: getattr(traits, name)})


def _compared(name: str, own: Traits, other: Traits) -> TraitCompared:
    mine, theirs = getattr(own, name), getattr(other, name)
    likeness = Likeness.CANNOT_BE_TOLD
    if mine is not None and theirs is not None:
        reason = why_of_another_kind(_only(own, name), _only(other, name))
        likeness = Likeness.SAME if reason is None else Likeness.DIFFERS
    speed = None
    if isinstance(mine, Decimal) and isinstance(theirs, Decimal):
        speed = output_speed_change(mine, theirs)
    return TraitCompared(name, _told(mine), _told(theirs), likeness, speed)


def _told(value: object) -> str | None:
    if value is None:
        return None
    return f"{value:f}" if isinstance(value, Decimal) else str(value)
