"""Every pack that can be put together: sums of shims, complete and exact.

Lengths are whole multiples of one unit, the greatest of which all thicknesses are multiples; the
sums that can be made are bits of whole numbers, one per number of shims and number to be bought. A
pack is read back from the tables, so no branch is entered that leads nowhere.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import reduce
from math import ceil, floor, gcd, lcm

from shared.errors import InvalidInput

MOST_BITS = 400_000_000
"""What the tables may hold: some 50 MB."""
MOST_STEPS = 200_000
"""Steps of reading packs back, for one question; beyond it the answer says it is not complete."""


@dataclass(frozen=True, slots=True)
class Choice:
    """Shims of one thickness, mm: how many are on hand, whether more are had, their doubt."""

    size: Fraction
    on_hand: int
    can_buy: bool
    u: float = 0.0


Counts = tuple[int, ...]
"""How many of each choice, in the order of the choices."""
MayLead = Callable[[Counts, int, int], bool]
"""Whether counts of the choices from a place on may still become a pack that is wanted."""


class Steps:
    """Counts the work of one question, so that it ends on every machine at the same step."""

    def __init__(self) -> None:
        """Start at none."""
        self.taken = 0

    @property
    def is_spent(self) -> bool:
        """Whether no more may be taken."""
        return self.taken >= MOST_STEPS


class Sums:
    """The sums of packs of at most ``most`` shims, up to ``ceiling`` mm.

    Raises InvalidInput ("too-fine") where the thicknesses have so small a common measure that the
    tables would not hold.
    """

    def __init__(self, choices: Sequence[Choice], most: int, ceiling: Fraction) -> None:
        """Fill the tables."""
        self.choices = tuple(sorted(choices, key=lambda one: one.size))
        self.most = most
        self.unit = common_measure([one.size for one in self.choices])
        self._lengths = [int(one.size / self.unit) for one in self.choices]
        self._bits = max(0, floor(ceiling / self.unit)) + 1
        self._check_size()
        self._tables: list[dict[tuple[int, int], int]] = [{(0, 0): 1}]
        for place in range(len(self.choices)):
            self._tables.append(self._with(place))

    def kinds(self) -> Iterator[tuple[int, int]]:
        """Yield number of shims and number to be bought, fewest first, of all packs there are."""
        yield from sorted(self._tables[-1])

    def nearest(
        self, shims: int, bought: int, lower: Fraction, upper: Fraction, aim: Fraction
    ) -> Iterator[Fraction]:
        """Yield the sums within ``lower`` and ``upper``, both included, nearest ``aim`` first.

        Of two that are equally near the thinner comes first.
        """
        first = max(0, ceil(lower / self.unit))
        last = min(self._bits - 1, floor(upper / self.unit))
        if last < first:
            return
        bits = (self._tables[-1].get((shims, bought), 0) >> first) & ((1 << (last - first + 1)) - 1)
        text = f"{bits:b}"[::-1]
        middle = aim / self.unit - first
        start = max(0, ceil(middle))
        above, below = text.find("1", start), text.rfind("1", 0, start)
        while above >= 0 or below >= 0:
            if below >= 0 and (above < 0 or middle - below <= above - middle):
                yield (first + below) * self.unit
                below = text.rfind("1", 0, below)
            else:
                yield (first + above) * self.unit
                above = text.find("1", above + 1)

    def packs(
        self, shims: int, bought: int, total: Fraction, steps: Steps, may_lead: MayLead
    ) -> Iterator[Counts]:
        """Yield the packs of one sum, those with the thickest shims first."""
        yield from self._back(
            len(self.choices), shims, bought, int(total / self.unit), (), steps, may_lead
        )

    def _with(self, place: int) -> dict[tuple[int, int], int]:
        """Return the table with shims of one more thickness."""
        choice, length = self.choices[place], self._lengths[place]
        before, after = self._tables[place], dict(self._tables[place])
        mask = (1 << self._bits) - 1
        for (shims, bought), bits in before.items():
            for count, buys in _ways(choice, self.most - shims):
                moved = (bits << (count * length)) & mask
                if not moved:
                    break
                key = (shims + count, bought + buys)
                after[key] = after.get(key, 0) | moved
        return after

    def _back(
        self,
        place: int,
        shims: int,
        bought: int,
        total: int,
        after: Counts,
        steps: Steps,
        may_lead: MayLead,
    ) -> Iterator[Counts]:
        steps.taken += 1
        if steps.is_spent or not may_lead(after, place, shims):
            return
        if place == 0:
            yield after
            return
        choice, length = self.choices[place - 1], self._lengths[place - 1]
        before = self._tables[place - 1]
        for count, buys in reversed([(0, 0), *_ways(choice, shims)]):
            left = total - count * length
            if left < 0 or buys > bought:
                continue
            bits = before.get((shims - count, bought - buys), 0)
            if (bits >> left) & 1:
                yield from self._back(
                    place - 1,
                    shims - count,
                    bought - buys,
                    left,
                    (count, *after),
                    steps,
                    may_lead,
                )

    def _check_size(self) -> None:
        kinds = self.most + 1
        if any(one.on_hand for one in self.choices) and any(one.can_buy for one in self.choices):
            kinds = kinds * (self.most + 2) // 2
        if self._bits * kinds * (len(self.choices) + 1) > MOST_BITS:
            raise InvalidInput(
                "/stock",
                "The thicknesses are so finely graded that their sums cannot all be looked at.",
                "Give thicknesses with fewer digits, fewer of them, or a smaller max_shims.",
                "too-fine",
            )


def common_measure(sizes: Sequence[Fraction]) -> Fraction:
    """Return the greatest length of which all sizes are whole multiples; 1 for none.

    >>> common_measure([Fraction("0.0508"), Fraction("0.1")])
    Fraction(1, 2500)
    """
    if not sizes:
        return Fraction(1)
    scale = lcm(*(size.denominator for size in sizes))
    return Fraction(reduce(gcd, (int(size * scale) for size in sizes)), scale)


def _ways(choice: Choice, most: int) -> list[tuple[int, int]]:
    """Return count and number to be bought, from one shim on; those on hand are taken first."""
    last = most if choice.can_buy else min(most, choice.on_hand)
    return [(count, max(0, count - choice.on_hand)) for count in range(1, last + 1)]
