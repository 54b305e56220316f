"""Which pack: likely enough, then fewest shims, then on hand, then nearest what is aimed at."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import islice
from math import inf

from shared.condition.conformity import conformity_probability, guard_band
from shared.condition.halving import narrowed
from shared.condition.shims.search import Choice, Counts, Steps, Sums
from shared.condition.shims.uncertainty import pack_doubt

_HALVINGS = 60


@dataclass(frozen=True, slots=True)
class Wanted:
    """The thickness aimed at and its range, mm; no range: both ends None.

    ``u``: doubt of the range as a whole, shims left aside; None: not known. ``common``: what the
    doubts of all shims share. ``leeway``: how far off a pack may be where there is no range.
    """

    aim: Fraction
    lower: Fraction | None = None
    upper: Fraction | None = None
    u: float | None = None
    common: float = 0.0
    leeway: Fraction = Fraction(0)

    @property
    def first(self) -> Fraction:
        """The thinnest that counts."""
        return self.aim - self.leeway if self.lower is None else self.lower

    @property
    def last(self) -> Fraction:
        """The thickest that counts."""
        return self.aim + self.leeway if self.upper is None else self.upper


@dataclass(frozen=True, slots=True)
class Pack:
    """Shims put together: how many of each choice, their sum in mm, the number to be bought.

    ``probability``: that what is set lies within its range; None: no range, or no doubt known.
    """

    counts: Counts
    total: Fraction
    bought: int
    probability: float | None

    @property
    def shims(self) -> int:
        """How many shims."""
        return sum(self.counts)


@dataclass(frozen=True, slots=True)
class Chosen:
    """Packs, best first; ``is_complete``: every one there is was looked at."""

    packs: tuple[Pack, ...]
    is_complete: bool = True


NOTHING_CHOSEN = Chosen(())
"""No pack."""


def probability_of(wanted: Wanted, total: Fraction, doubts: list[float]) -> float | None:
    """Return the probability that what a pack sets lies within its range; None: cannot be told.

    Normal around the sum, u by ``pack_doubt`` (JCGM 106:2012 7.3, from memory).
    """
    if wanted.u is None or wanted.lower is None or wanted.upper is None:
        return None
    u = pack_doubt(wanted.u, doubts, wanted.common)
    if u == 0:
        return float(wanted.lower <= total <= wanted.upper)
    return conformity_probability(float(total), u, float(wanted.lower), float(wanted.upper))


def likely_packs(sums: Sums, wanted: Wanted, acceptance: float, most: int) -> Chosen:
    """Return at most so many packs that are likely enough, best first.

    Fewest shims, then fewest to be bought, then nearest the aim; those of one sum with the thickest
    shims first. Empty where none is likely enough or no probability can be told.
    """
    if wanted.u is None or wanted.lower is None or wanted.upper is None:
        return Chosen(())
    steps = Steps()

    def enough() -> Iterator[Pack]:
        for shims, bought in sums.kinds():
            ends = _acceptable(sums, wanted, acceptance, shims)
            if ends is None:
                continue
            for total in sums.nearest(shims, bought, *ends, wanted.aim):
                yield from _packs_of(sums, wanted, shims, bought, total, steps, acceptance)

    packs = tuple(islice(enough(), most))
    return Chosen(packs, not steps.is_spent)


def likeliest_packs(sums: Sums, wanted: Wanted, most: int) -> Chosen:
    """Return the packs within the range that are the likeliest, the likeliest first.

    Between equally likely ones: fewest shims, on hand, nearest the aim.
    """
    steps = Steps()
    is_alike = len({one.u for one in sums.choices}) <= 1
    best: list[Pack] = []
    middle = (wanted.first + wanted.last) / 2
    for shims, bought in sums.kinds():
        for total in sums.nearest(shims, bought, wanted.first, wanted.last, middle):
            bar = (best[most - 1].probability or 0.0) if len(best) >= most else 0.0
            bound = _best_at(sums, wanted, total, shims)
            if bound is not None and bound < bar:
                break
            found = _packs_of(sums, wanted, shims, bought, total, steps, bar)
            # Packs of one sum are equally likely unless shims differ in their doubt.
            looked_at = islice(found, most) if is_alike else found
            best = sorted([*best, *looked_at], key=lambda pack: _likelier(pack, wanted))[:most]
    return Chosen(tuple(best), not steps.is_spent)


def packs_within(sums: Sums, wanted: Wanted, most: int) -> Chosen:
    """Return the packs within the range, or the leeway, whose probability cannot be told."""
    steps = Steps()

    def within() -> Iterator[Pack]:
        for shims, bought in sums.kinds():
            for total in sums.nearest(shims, bought, wanted.first, wanted.last, wanted.aim):
                yield from _packs_of(sums, wanted, shims, bought, total, steps, 0.0)

    return Chosen(tuple(islice(within(), most)), not steps.is_spent)


def packs_making(sums: Sums, wanted: Wanted, total: Fraction, most: int) -> Chosen:
    """Return the packs that make a thickness exactly: fewest shims, then on hand."""
    steps = Steps()

    def making() -> Iterator[Pack]:
        for shims, bought in sums.kinds():
            for one in sums.nearest(shims, bought, total, total, total):
                yield from _packs_of(sums, wanted, shims, bought, one, steps, 0.0)

    return Chosen(tuple(islice(making(), most)), not steps.is_spent)


def nearest_beside(
    sums: Sums, wanted: Wanted, ceiling: Fraction
) -> tuple[Pack | None, Pack | None]:
    """Return the thickest pack below what counts and the thinnest above it, up to ``ceiling``."""
    zero = Fraction(0)
    under = _first_of(sums, wanted, (zero, wanted.first), wanted.first, lambda t: t < wanted.first)
    over = _first_of(sums, wanted, (wanted.last, ceiling), wanted.last, lambda t: t > wanted.last)
    return under, over


def _first_of(
    sums: Sums,
    wanted: Wanted,
    ends: tuple[Fraction, Fraction],
    beside: Fraction,
    is_beyond: Callable[[Fraction], bool],
) -> Pack | None:
    """Return the pack within the ends that is nearest ``beside`` of those beyond it."""
    found = []
    for shims, bought in sums.kinds():
        total = next(filter(is_beyond, sums.nearest(shims, bought, *ends, beside)), None)
        if total is not None:
            found.append((abs(total - beside), shims, bought, total))
    if not found:
        return None
    _, shims, bought, total = min(found)
    return next(_packs_of(sums, wanted, shims, bought, total, Steps(), 0.0), None)


def _acceptable(
    sums: Sums, wanted: Wanted, acceptance: float, shims: int
) -> tuple[Fraction, Fraction] | None:
    """Return the ends beyond which no sum of so many shims is likely enough; None: none is."""
    if wanted.u is None or wanted.lower is None or wanted.upper is None:
        return None
    smallest = min((one.u for one in sums.choices), default=0.0)
    u = pack_doubt(wanted.u, [smallest] * shims, wanted.common)
    band = guard_band(u, acceptance, float(wanted.lower), float(wanted.upper))
    if band == inf:
        return None
    drawn_in = Fraction(band) * (1 - Fraction(1, 10**9))  # a hair wider: each sum is judged itself
    return wanted.lower + drawn_in, wanted.upper - drawn_in


def _packs_of(
    sums: Sums,
    wanted: Wanted,
    shims: int,
    bought: int,
    total: Fraction,
    steps: Steps,
    least: float,
) -> Iterator[Pack]:
    """Yield the packs of one sum whose probability, where it can be told, is at least so much."""
    most_own = inf if least <= 0 else _most_own(sums, wanted, total, shims, least)
    if most_own < 0:
        return
    smallest = _smallest_own(sums.choices, wanted.common)
    own_of = [_own(one, wanted.common) for one in sums.choices]

    def may_lead(after: Counts, place: int, left: int) -> bool:
        if most_own == inf:
            return True
        own = sum(count * u2 for count, u2 in zip(after, own_of[place:], strict=True))
        return own + left * smallest[place] <= most_own * (1 + 1e-12)

    for counts in sums.packs(shims, bought, total, steps, may_lead):
        doubts = [
            one.u for count, one in zip(counts, sums.choices, strict=True) for _ in range(count)
        ]
        probability = probability_of(wanted, total, doubts)
        if probability is None or probability >= least:
            yield Pack(counts, total, bought, probability)


def _own(choice: Choice, common: float) -> float:
    return max(0.0, choice.u**2 - common**2)


def _smallest_own(choices: tuple[Choice, ...], common: float) -> list[float]:
    """Return, per place, the smallest own u^2 of the choices before it."""
    smallest = [0.0]
    for one in choices:
        own = _own(one, common)
        smallest.append(own if len(smallest) == 1 else min(smallest[-1], own))
    return smallest


def _best_at(sums: Sums, wanted: Wanted, total: Fraction, shims: int) -> float | None:
    """Return the probability of a sum if all its shims had the smallest doubt there is."""
    smallest = min((one.u for one in sums.choices), default=0.0)
    return probability_of(wanted, total, [smallest] * shims)


def _most_own(sums: Sums, wanted: Wanted, total: Fraction, shims: int, least: float) -> float:
    """Return the greatest sum of own u^2 with which a pack is likely enough; below 0: none.

    Within the range the probability falls as u rises, so halving finds it.
    """
    bound = _best_at(sums, wanted, total, shims)
    if bound is None:
        return inf
    if bound < least:
        return -1.0
    greatest = max((_own(one, wanted.common) for one in sums.choices), default=0.0)
    most = max(0.0, shims * greatest)

    def is_enough(own: float) -> bool:
        u2 = (wanted.u or 0.0) ** 2 + own + (shims * wanted.common) ** 2
        p = conformity_probability(float(total), u2**0.5, float(wanted.first), float(wanted.last))
        return p >= least

    if is_enough(most):
        return inf
    _, too_much = narrowed(is_enough, 0.0, most, _HALVINGS)
    return too_much


def _likelier(pack: Pack, wanted: Wanted) -> tuple[float, int, int, Fraction, Fraction]:
    probability = -1.0 if pack.probability is None else pack.probability
    return (-probability, pack.shims, pack.bought, abs(pack.total - wanted.aim), pack.total)
