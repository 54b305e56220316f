"""Every pack there is: against trying all of them, and against a constraint solver."""

import random
from fractions import Fraction

import pytest
from ortools.sat.python import cp_model

from shared.condition.shims.choose import (
    Wanted,
    likeliest_packs,
    likely_packs,
    nearest_beside,
    packs_making,
    packs_within,
)
from shared.condition.shims.search import Choice, Sums, common_measure
from shared.errors import InvalidInput
from tests.shared.condition.shims.plain_packs import PlainChoice, best_first, every_pack, likelihood

MICROMETRE = Fraction(1, 1000)


def some_choices(rng, *, alike=True):
    sizes = rng.sample(range(40, 560, rng.choice((1, 5, 10))), rng.randint(1, 6))
    doubts = [0.002] if alike else [0.001, 0.004, 0.012]
    choices = []
    for size in sorted(sizes):
        on_hand, can_buy = rng.choice(((0, True), (1, True), (2, False), (1, False), (3, True)))
        choices.append(Choice(size * MICROMETRE, on_hand, can_buy, rng.choice(doubts)))
    return choices


def plain(choices):
    return [PlainChoice(one.size, one.on_hand, one.can_buy, one.u) for one in choices]


def same(found, wanted, most):
    assert [(pack.counts, pack.bought) for pack in found.packs] == [
        (pack.counts, pack.bought) for pack in wanted[:most]
    ]
    assert found.is_complete


@pytest.mark.parametrize("seed", range(40))
def test_packs_of_a_range_are_those_of_trying_all(seed):
    rng = random.Random(seed)
    choices, most = some_choices(rng), rng.randint(1, 4)
    lower = rng.randint(0, 1200) * MICROMETRE
    upper = lower + rng.randint(0, 80) * MICROMETRE
    aim = rng.choice(((lower + upper) / 2, lower, upper))
    wanted = Wanted(aim, lower, upper)
    sums = Sums(choices, most, 2 * upper + 1)
    every = list(every_pack(plain(choices), most))
    within = best_first([one for one in every if lower <= one.total <= upper], aim)
    same(packs_within(sums, wanted, 6), within, 6)
    below = [one.total for one in every if one.total < lower]
    above = [one.total for one in every if upper < one.total <= 2 * upper + 1]
    under, over = nearest_beside(sums, wanted, 2 * upper + 1)
    assert (under and under.total) == max(below, default=None)
    assert (over and over.total) == min(above, default=None)


@pytest.mark.parametrize("alike", [True, False])
@pytest.mark.parametrize("seed", range(25))
def test_likely_packs_are_those_of_trying_all(seed, alike):
    rng = random.Random(1000 + seed)
    choices, most = some_choices(rng, alike=alike), rng.randint(2, 4)
    lower = rng.randint(0, 900) * MICROMETRE
    upper = lower + rng.randint(10, 120) * MICROMETRE
    u = rng.choice((0.0, 0.004, 0.012))
    wanted = Wanted((lower + upper) / 2, lower, upper, u)
    sums = Sums(choices, most, 2 * upper)
    own = plain(choices)
    every = list(every_pack(own, most))

    def chance(pack):
        return likelihood(own, pack, (lower, upper), u)

    likely = best_first([one for one in every if chance(one) >= 0.95], wanted.aim)
    same(likely_packs(sums, wanted, 0.95, 5), likely, 5)
    within = [one for one in every if lower <= one.total <= upper]
    found = likeliest_packs(sums, wanted, 3).packs
    chances = sorted((chance(one) for one in within), reverse=True)[:3]
    assert [one.probability for one in found] == pytest.approx(chances, abs=1e-9)


def fewest_by_solver(choices, most, lower, upper):
    """Number of shims, of those to buy, and distance from the middle, each least in this order."""
    model = cp_model.CpModel()
    hand = [model.new_int_var(0, min(one.on_hand, most), "") for one in choices]
    buy = [model.new_int_var(0, most if one.can_buy else 0, "") for one in choices]
    length = [int(one.size / MICROMETRE) for one in choices]
    total = sum((a + b) * size for a, b, size in zip(hand, buy, length, strict=True))
    model.add(total >= int(lower / MICROMETRE))
    model.add(total <= int(upper / MICROMETRE))
    shims = sum(hand) + sum(buy)
    model.add(shims <= most)
    off = model.new_int_var(0, 10**6, "")
    model.add_abs_equality(off, 2 * total - int((lower + upper) / MICROMETRE))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    told = []
    for goal in (shims, sum(buy), off):
        model.minimize(goal)
        if solver.solve(model) != cp_model.OPTIMAL:
            return None
        told.append(int(solver.objective_value))
        model.add(goal == told[-1])
    return tuple(told)


@pytest.mark.parametrize("seed", range(6))
def test_the_first_pack_is_the_one_of_a_constraint_solver(seed):
    rng = random.Random(2000 + seed)
    sizes = rng.sample(range(50, 1000, 5), 12)
    choices = [
        Choice(size * MICROMETRE, rng.choice((0, 0, 1)), rng.random() < 0.8) for size in sizes
    ]
    lower = rng.randint(1000, 3000) * MICROMETRE
    upper = lower + rng.randint(5, 15) * MICROMETRE
    found = packs_within(Sums(choices, 5, 2 * upper), Wanted((lower + upper) / 2, lower, upper), 1)
    first = found.packs[0] if found.packs else None
    got = None
    if first is not None:
        off = abs(2 * first.total - lower - upper) / MICROMETRE
        got = (first.shims, first.bought, int(off))
    assert got == fewest_by_solver(choices, 5, lower, upper)


def test_inch_shims_beside_metric_ones_add_up_exactly():
    inch = Fraction("0.0508")  # 0.002 in
    choices = [Choice(inch, 3, can_buy=False), Choice(Fraction("0.1"), 3, can_buy=False)]
    sums = Sums(choices, 6, Fraction(1))
    assert sums.unit == Fraction("0.0004")
    total = 3 * inch + 3 * Fraction("0.1")
    (pack,) = packs_making(sums, Wanted(total), total, 5).packs
    assert (pack.counts, pack.total) == ((3, 3), Fraction("0.4524"))
    assert not packs_making(sums, Wanted(total), Fraction("0.4523"), 5).packs


def test_sizes_to_the_last_digit_are_refused_where_the_tables_would_not_hold():
    rng = random.Random(5)
    sizes = [Fraction(rng.randint(10**8, 10**10), 10**9) for _ in range(60)]
    assert common_measure(sizes) < Fraction(1, 10**6)
    with pytest.raises(InvalidInput) as refused:
        Sums([Choice(size, 0, can_buy=True) for size in sizes], 12, Fraction(20))
    assert (refused.value.pointer, refused.value.code) == ("/stock", "too-fine")


def test_sixty_sizes_of_a_hundredth_are_searched_whole():
    sizes = [Fraction(10 + step, 100) for step in range(60)]
    sums = Sums([Choice(size, 1, can_buy=True) for size in sizes], 12, Fraction(8))
    wanted = Wanted(Fraction("3.985"), Fraction("3.98"), Fraction("3.99"))
    found = packs_within(sums, wanted, 20)
    assert found.is_complete and len(found.packs) == 20
    assert {pack.shims for pack in found.packs} == {6}  # five of the thickest make 3.45, six 4.14
