"""Packs of shims by trying every one there is: nothing of it is shared with the house."""

from itertools import product
from math import erf, sqrt


def every_pack(choices, most):
    """Every pack of at most so many shims as (counts, total, bought); lengths in whole units.

    A choice is (size, on hand, whether more are had, u).
    """
    ranges = [
        range(most + 1) if can_buy else range(min(most, on_hand) + 1)
        for _, on_hand, can_buy, _ in choices
    ]
    for counts in product(*ranges):
        if sum(counts) <= most:
            total = sum(count * size for count, (size, *_) in zip(counts, choices, strict=True))
            bought = sum(
                max(0, count - on_hand)
                for count, (_, on_hand, *_) in zip(counts, choices, strict=True)
            )
            yield counts, total, bought


def chance_within(total, u, lower, upper):
    """Chance that a normal size lies within two ends."""
    if u == 0:
        return 1.0 if lower <= total <= upper else 0.0
    return (erf((upper - total) / u / sqrt(2)) - erf((lower - total) / u / sqrt(2))) / 2


def likely_in_order(choices, most, lower, upper, aim, u, wanted):
    """Packs likely enough: (counts, chance), fewest shims, fewest bought, nearest the aim.

    Of two totals equally near the thinner first, of one total that with more of the thickest.
    """
    found = []
    for counts, total, bought in every_pack(choices, most):
        variance = u * u + sum(n * one[3] ** 2 for n, one in zip(counts, choices, strict=True))
        chance = chance_within(total, sqrt(variance), lower, upper)
        if chance >= wanted:
            by_thickest = tuple(
                -n for _, n in sorted(zip(choices, counts, strict=True), reverse=True)
            )
            key = (sum(counts), bought, abs(total - aim), total, by_thickest)
            found.append((key, counts, chance))
    return [(counts, chance) for _, counts, chance in sorted(found)]
