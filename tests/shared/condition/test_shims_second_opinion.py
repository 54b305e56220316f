"""The order of shim packs against trying every pack there is, on random inputs."""

import random
from fractions import Fraction

import pytest

from shared.condition.shims.choose import Wanted, likeliest_packs, likely_packs
from shared.condition.shims.search import Choice, Sums
from tests.shared.condition.plain_shims import chance_within, every_pack, likely_in_order

UNIT = Fraction(1, 100)


def random_case(rng, *, is_alike):
    sizes = rng.sample(range(5, 40), rng.randrange(2, 6))
    one_u = rng.choice([0.0, 0.3, 0.6])
    choices = sorted(
        (size, rng.choice([0, 1, 3]), rng.random() < 0.6, one_u if is_alike else rng.random())
        for size in sizes
    )
    lower = rng.randrange(5, 110)
    upper = lower + rng.randrange(2, 16)
    aim = rng.choice([Fraction(lower + upper, 2), Fraction(lower), Fraction(upper)])
    return choices, rng.randrange(1, 5), lower, upper, aim, rng.choice([0.0, 0.8, 1.5])


def housed(case):
    choices, most, lower, upper, aim, u = case
    sums = Sums(
        [Choice(size * UNIT, on_hand, buy, u1 / 100) for size, on_hand, buy, u1 in choices],
        most,
        Fraction(upper + 60) * UNIT,
    )
    return sums, Wanted(aim * UNIT, lower * UNIT, upper * UNIT, u / 100)


@pytest.mark.parametrize("is_alike", [True, False])
def test_likely_packs_come_in_the_order_of_a_full_enumeration(is_alike):
    rng = random.Random(11)
    with_packs = 0
    for _ in range(150):
        case = random_case(rng, is_alike=is_alike)
        choices, most, lower, upper, aim, u = case
        wanted = rng.choice([0.6, 0.9, 0.95])
        expected = likely_in_order(choices, most, lower, upper, aim, u, wanted)
        if any(abs(chance - wanted) < 1e-9 for _, chance in expected):
            continue
        found = likely_packs(*housed(case), wanted, 10)
        assert [pack.counts for pack in found.packs] == [counts for counts, _ in expected[:10]]
        for pack, (_, chance) in zip(found.packs, expected, strict=False):
            assert pack.probability == pytest.approx(chance, abs=1e-9)
        with_packs += bool(expected)
    assert with_packs > 40


def test_the_likeliest_pack_is_the_likeliest_of_all_within_the_range():
    rng = random.Random(12)
    for _ in range(150):
        case = random_case(rng, is_alike=False)
        choices, most, lower, upper, _, u = case
        chances = [
            chance_within(
                total,
                (u * u + sum(n * one[3] ** 2 for n, one in zip(counts, choices, strict=True)))
                ** 0.5,
                lower,
                upper,
            )
            for counts, total, _ in every_pack(choices, most)
            if lower <= total <= upper
        ]
        found = likeliest_packs(*housed(case), 3)
        assert [pack.probability for pack in found.packs] == pytest.approx(
            sorted(chances, reverse=True)[:3], abs=1e-9
        )
