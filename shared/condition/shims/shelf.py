"""The shims there are: on hand, left over from the old pack, sold; and packs of them in words."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from shared.condition.shims.asked import MOST_SHIMS, ShimPackAsked
from shared.condition.shims.choose import Pack
from shared.condition.shims.found import PackFound, ShimLine
from shared.condition.shims.lengths import exact_mm, half_width_mm, in_unit
from shared.condition.shims.old_pack import Listed
from shared.condition.shims.search import Choice
from shared.condition.shims.uncertainty import ShimDoubt
from shared.quantities import Quantity


@dataclass(slots=True)
class _Line:
    thickness: Quantity
    on_hand: int = 0
    can_buy: bool = False
    part_id: str | None = None
    doubts: list[float] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Shelf:
    """Every thickness there is, by rising thickness, as choices; and how each was given."""

    choices: tuple[Choice, ...]
    given: dict[Fraction, Quantity]
    part_ids: dict[Fraction, str | None]

    def up_to(self, thickest: Fraction) -> tuple[Choice, ...]:
        """Return the choices that are not thicker."""
        return tuple(one for one in self.choices if one.size <= thickest)

    def told(
        self,
        pack: Pack,
        choices: Sequence[Choice],
        unit: str,
        sets: Callable[[Fraction], Fraction] | None,
        acceptance: float,
    ) -> PackFound:
        """Return a pack of some of the choices as it is told."""
        lines = tuple(
            ShimLine(self.given[one.size], count, min(count, one.on_hand), self.part_ids[one.size])
            for one, count in zip(choices, pack.counts, strict=True)
            if count
        )
        probability = pack.probability
        return PackFound(
            lines,
            in_unit(pack.total, unit),
            None if sets is None else in_unit(sets(pack.total), unit),
            probability,
            None if probability is None else probability >= acceptance,
            pack.bought == 0,
        )


def listed_of(asked: ShimPackAsked) -> tuple[Listed, ...]:
    """Return the thicknesses of the list by rising thickness; those on hand are had."""
    had = {exact_mm(one.thickness, ""): one.quantity != 0 for one in asked.stock}
    for size in asked.sizes:
        thickness = exact_mm(size.thickness, "")
        had[thickness] = had.get(thickness, False) or not size.is_discontinued
    return tuple(Listed(size, had[size]) for size in sorted(had))


def shelf_of(asked: ShimPackAsked, doubt: ShimDoubt, listed: Sequence[Listed]) -> Shelf:
    """Return what there is to choose from.

    What is sold is had in any number, a discontinued thickness only as far as it is on hand. Shims
    of the old pack that are not broken are on hand, unless what they are is suspect. Of one
    thickness the greatest doubt counts.
    """
    lines: dict[Fraction, _Line] = {}

    def line_of(thickness: Quantity, part_id: str | None) -> _Line:
        line = lines.setdefault(exact_mm(thickness, ""), _Line(thickness))
        line.part_id = line.part_id or part_id
        line.doubts.append(doubt(thickness))
        return line

    for size in asked.sizes:
        line = line_of(size.thickness, size.part_id)
        line.can_buy = line.can_buy or not size.is_discontinued
    for shim in asked.stock:
        line = line_of(shim.thickness, shim.part_id)
        line.on_hand += MOST_SHIMS if shim.quantity is None else shim.quantity
    for old in asked.old_pack or ():
        if not old.is_broken and not _is_suspect(old.thickness, listed):
            line_of(old.thickness, None).on_hand += old.quantity
    choices = tuple(
        Choice(size, min(line.on_hand, MOST_SHIMS), line.can_buy, max(line.doubts))
        for size, line in sorted(lines.items())
        if line.on_hand or line.can_buy
    )
    return Shelf(
        choices,
        {size: line.thickness for size, line in lines.items()},
        {size: line.part_id for size, line in lines.items()},
    )


def _is_suspect(thickness: Quantity, listed: Sequence[Listed]) -> bool:
    """Whether an old shim, as it was measured, may be several of the list, or another one of it."""
    off = half_width_mm(thickness)
    if off is None:
        return False
    size = exact_mm(thickness, "")
    return any(size - off <= one.size <= size + off and one.size != size for one in listed)
