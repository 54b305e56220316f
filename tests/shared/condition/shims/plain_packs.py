"""Packs by trying every one: nothing shared with the search but the words."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations_with_replacement

from scipy.stats import norm


@dataclass(frozen=True)
class PlainChoice:
    size: Fraction
    on_hand: int
    can_buy: bool
    u: float


@dataclass(frozen=True)
class PlainPack:
    counts: tuple[int, ...]
    total: Fraction
    shims: int
    bought: int


def every_pack(choices: Sequence[PlainChoice], most: int) -> Iterator[PlainPack]:
    for shims in range(most + 1):
        for picked in combinations_with_replacement(range(len(choices)), shims):
            counts = tuple(picked.count(place) for place in range(len(choices)))
            lacking = [max(0, n - one.on_hand) for n, one in zip(counts, choices, strict=True)]
            if any(n and not one.can_buy for n, one in zip(lacking, choices, strict=True)):
                continue
            total = sum((one.size * n for n, one in zip(counts, choices, strict=True)), Fraction(0))
            yield PlainPack(counts, total, shims, sum(lacking))


def likelihood(
    choices: Sequence[PlainChoice], pack: PlainPack, ends: tuple[Fraction, Fraction], u: float
) -> float:
    own = sum(n * one.u**2 for n, one in zip(pack.counts, choices, strict=True))
    scale = (u * u + own) ** 0.5
    lower, upper = (float(end) for end in ends)
    if scale == 0:
        return float(ends[0] <= pack.total <= ends[1])
    return float(
        norm.cdf(upper, float(pack.total), scale) - norm.cdf(lower, float(pack.total), scale)
    )


def best_first(
    packs: Sequence[PlainPack], aim: Fraction, key: Callable[[PlainPack], float] = lambda _: 0.0
) -> list[PlainPack]:
    """Fewest shims, fewest to buy, nearest the aim, thinner, thickest shims first."""
    return sorted(
        packs,
        key=lambda pack: (
            key(pack),
            pack.shims,
            pack.bought,
            abs(pack.total - aim),
            pack.total,
            tuple(-n for n in reversed(pack.counts)),
        ),
    )
