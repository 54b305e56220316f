"""Friction as a range: its low end for what a screw may be turned to, its high end for what force
it surely gives. Coefficients without unit."""

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from shared.errors import InvalidInput
from shared.standards.friction import FrictionRow, friction_named, friction_of
from shared.standards.reader import Basis

LEAST: Final = 0.02
MOST: Final = 0.8
_LIKE_A_NUT_FACTOR: Final = 0.18

_FOR_STAINLESS: Final = {
    "unknown": ("stainless, paste", "stainless, dry"),
    "dry": ("stainless, dry",),
    "lubricated": ("lubricated", "stainless, oiled"),
    "oiled": ("stainless, oiled",),
    "greased": ("stainless, oiled",),
    "molybdenum disulfide": ("molybdenum disulfide", "stainless, paste"),
    "wax or ptfe": ("wax or ptfe", "stainless, paste"),
    "anti-seize, copper": ("anti-seize, copper", "stainless, paste"),
    "anti-seize, nickel": ("anti-seize, nickel", "stainless, paste"),
    "threadlocker, wet": ("threadlocker, wet", "stainless, oiled"),
}
"""Words of the table that mean something else on stainless steel: together the widest range."""


@dataclass(frozen=True, slots=True)
class FrictionRange:
    """Least and most friction of thread and head alike; ``basis`` says where they are from."""

    least: float
    most: float
    basis: str
    notes: tuple[str, ...] = ()


def stated_friction(least: float, most: float, pointer: str = "/friction") -> FrictionRange:
    """Return a range that the caller states; raises InvalidInput where it is none.

    Below 0.02 and above 0.8 no thread is known to lie.
    """
    for member, value in (("lowest", least), ("highest", most)):
        if not LEAST <= value <= MOST:
            raise InvalidInput(
                f"{pointer}/{member}",
                f"{member} is {value:g}; wanted a coefficient of friction from {LEAST} to {MOST}.",
                "Give the coefficient itself (0.12), not the nut factor K.",
                "out-of-range",
            )
    if least > most:
        raise InvalidInput(
            f"{pointer}/lowest",
            f"lowest is {least:g}, above highest, {most:g}.",
            "Exchange them.",
            "upside-down",
        )
    notes: tuple[str, ...] = ()
    if most < 1.15 * least:
        notes = ("The range of friction is narrow: screws of one box differ by more.",)
    if least >= _LIKE_A_NUT_FACTOR:
        notes = (
            *notes,
            f"{least:g} is much for the lowest friction: a nut factor K is no coefficient (K 0.20"
            " is about 0.15), and a film of oil makes it less.",
        )
    return FrictionRange(least, most, "as stated", notes)


def friction_for(
    words: str | None,
    *,
    is_stainless: bool,
    pointer: str = "/lubrication",
    finish: tuple[str, ...] = (),
) -> FrictionRange:
    """Return the range that a condition of thread and head has; None: nothing is known.

    ``finish`` are the words beside a designation: one that names a condition ("waxed") widens the
    range by it where nothing else is known, and where it is the more slippery. On stainless steel
    a word of the table may mean a wider range (oil does not keep it from galling), and a steel
    screw in stainless steel may be as slippery as any dry one. Raises InvalidInput for words not in
    the table. Source: the table.
    """
    row = friction_of("unknown" if words is None else words, pointer)
    told = [row]
    for named in _named(finish):
        # A lubricant told in words does not take away the film that the screw bears already.
        if words is None or named.mu_least < row.mu_least:
            told.append(named)
    used = tuple(
        dict.fromkeys(found for one in told for found in _meant(one, is_stainless=is_stainless))
    )
    return FrictionRange(
        least=min(one.mu_least for one in used),
        most=max(one.mu_most for one in used),
        basis=_basis(row, used),
        notes=tuple(f"{one.title}: {one.note}." for one in used if one.note),
    )


def _named(finish: tuple[str, ...]) -> tuple[FrictionRow, ...]:
    """Return the conditions that words beside a designation name, alone or two together."""
    pairs = (" ".join(two) for two in pairwise(finish))
    return tuple(filter(None, map(friction_named, (*finish, *pairs))))


def _meant(row: FrictionRow, *, is_stainless: bool) -> tuple[FrictionRow, ...]:
    """Return the rows that a condition stands for on the screw at hand."""
    is_of_stainless = row.condition.startswith("stainless")
    if is_stainless is is_of_stainless:
        return (row,)
    if is_of_stainless:
        return row, friction_of("dry")
    names = _FOR_STAINLESS.get(row.condition, (row.condition, "stainless, dry"))
    return tuple(friction_of(name) for name in names)


def _basis(row: FrictionRow, used: tuple[FrictionRow, ...]) -> str:
    names = " and ".join(dict.fromkeys(one.condition for one in used))
    sources = "; ".join(dict.fromkeys(_source(one) for one in used))
    return f"{names} ({sources})" if used != (row,) else f"{row.condition} ({sources})"


_FROM: Final = {Basis.MEMORY: "from memory"}


def _source(row: FrictionRow) -> str:
    if row.basis is Basis.COMMON_PRACTICE:
        return "common practice, no source"
    return f"{row.source}, {_FROM.get(row.basis, row.basis.value)}"
