"""Laws of the repair-or-replace arithmetic, over seeded random figures."""

from random import Random

import pytest

from shared.decision.economics.economics import (
    annuity_factor,
    comeback_cost,
    core_deposit_net_cost,
    discount_factor,
    equivalent_annual_cost,
    pays_from_jobs,
    present_value,
)
from shared.decision.economics.outlay import NOTHING, Range, compare_outlay
from shared.decision.economics.repair_limit import AgeClass, repair_limits
from shared.decision.economics.replacement_age import OnFailure, replacement_age
from shared.errors import InvalidInput, OutOfRange
from shared.life.weibull import WeibullLife

SEEDS = range(25)


@pytest.mark.parametrize("seed", SEEDS)
def test_even_yearly_costs_are_worth_what_they_stand_for(seed):
    random = Random(seed)
    rate, years = random.choice((0.0, 1e-12, random.uniform(0, 0.5))), random.randint(1, 60)
    worth = random.uniform(1, 1e6)
    yearly = equivalent_annual_cost(worth, rate, years)
    by_hand = sum(yearly / (1 + rate) ** year for year in range(1, years + 1))
    assert by_hand == pytest.approx(worth)
    assert present_value(0, yearly, years, rate) == pytest.approx(worth)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_machine_and_the_same_twice_in_a_row_cost_the_same_per_year(seed):
    random = Random(seed)
    rate, years = random.uniform(0, 0.3), random.randint(1, 20)
    once = present_value(random.uniform(1, 1e5), random.uniform(0, 1e4), years, rate, 100.0)
    twice = once * (1 + discount_factor(rate, years))
    assert equivalent_annual_cost(twice, rate, 2 * years) == pytest.approx(
        equivalent_annual_cost(once, rate, years)
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_an_outlay_pays_from_the_number_told_and_not_one_sooner(seed):
    random = Random(seed)
    outlay, saved = random.randint(0, 500_000), random.randint(1, 60_000)
    jobs = pays_from_jobs(outlay, saved)
    assert outlay < jobs * saved
    assert jobs == 1 or outlay >= (jobs - 1) * saved


@pytest.mark.parametrize("seed", SEEDS)
def test_the_verdict_is_that_of_both_ends(seed):
    random = Random(seed)

    def some(most):
        return Range(*sorted((random.randint(0, most), random.randint(0, most))))

    outlay, own, other, parts = some(90_000), some(9_000), some(40_000), some(20_000)
    jobs = random.randint(1, 12)
    found = compare_outlay(outlay, own, other, parts, jobs)
    best, worst = found.pays_from_jobs_at_best, found.pays_from_jobs_at_worst
    pays_surely = worst is not None and jobs >= worst
    may_pay = best is not None and jobs >= best
    assert (found.verdict == "pays") is pays_surely
    assert (found.verdict == "does-not-pay") is not may_pay
    assert compare_outlay(outlay, own, other, NOTHING, jobs).extra == found.extra


@pytest.mark.parametrize("seed", SEEDS)
def test_dearer_by_a_factor_the_age_stays_and_longer_lived_it_is_later_by_it(seed):
    random = Random(seed)
    life = WeibullLife(random.uniform(1.2, 6), random.uniform(100, 9000))
    planned, failed = 100.0, random.uniform(150, 3000)
    on_failure = random.choice(tuple(OnFailure))
    found = replacement_age(life, planned, failed, on_failure)
    dearer = replacement_age(life, planned * 7, failed * 7, on_failure)
    longer = replacement_age(
        WeibullLife(life.shape, life.scale_hours * 3), planned, failed, on_failure
    )
    assert dearer.hours == pytest.approx(found.hours, rel=1e-6)
    assert dearer.cost_per_hour == pytest.approx(found.cost_per_hour * 7)
    assert longer.hours == pytest.approx(found.hours * 3, rel=1e-6)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_limits_beat_the_plainer_rules(seed):
    random = Random(seed)
    ages = [AgeClass(random.random(), random.uniform(0, 800)) for _ in range(random.randint(1, 12))]
    found = repair_limits(1000.0, ages)
    assert found.limits[-1] == 0, "after the last age it is replaced in any case"
    assert found.cost_per_year <= found.always_repair_per_year + 1e-9
    assert found.cost_per_year <= found.age_only_per_year + 1e-9
    thrice = [AgeClass(age.failure_probability, age.mean_repair_cost * 3) for age in ages]
    assert repair_limits(3000.0, thrice).cost_per_year == pytest.approx(found.cost_per_year * 3)


@pytest.mark.parametrize("seed", SEEDS)
def test_where_units_wear_out_the_limits_fall_from_below_the_replacement(seed):
    random = Random(seed)
    count = random.randint(2, 12)
    chances = sorted(random.random() for _ in range(count))
    means = sorted(random.uniform(0, 800) for _ in range(count))
    limits = repair_limits(1000.0, list(map(AgeClass, chances, means))).limits
    assert limits[0] <= 1000
    assert list(limits) == sorted(limits, reverse=True)


def test_the_older_part_comes_back_more_often_and_repeating_costs_more():
    life = WeibullLife(2.0, 8000.0)
    costs = [comeback_cost(life, age, 1000, 650) for age in (0, 1000, 3000, 9000)]
    assert [c.once for c in costs] == sorted(c.once for c in costs)
    assert all(c.repeating > c.once for c in costs)


def test_a_comeback_that_is_certain_never_ends():
    assert comeback_cost(WeibullLife(50.0, 10.0), 0, 1000, 650).repeating is None


def test_a_deposit_surely_and_at_once_returned_costs_nothing_and_a_lost_one_all():
    assert core_deposit_net_cost(300, 1, 0.1, 0) == 0
    assert core_deposit_net_cost(300, 0, 0.1, 30) == 300


@pytest.mark.parametrize(
    ("work", "pointer"),
    [
        (lambda: annuity_factor(-0.01, 3), "/rate"),
        (lambda: annuity_factor(float("nan"), 3), "/rate"),
        (lambda: discount_factor(0.1, float("inf")), "/years"),
        (lambda: equivalent_annual_cost(1, 0.1, 0), "/years"),
        (lambda: pays_from_jobs(-1, 1), "/outlay"),
        (lambda: core_deposit_net_cost(1, 1.1, 0, 0), "/acceptance_probability"),
        (lambda: comeback_cost(WeibullLife(2, 10), 0, 1, -1), "/cost_per_comeback"),
        (lambda: replacement_age(WeibullLife(2, 10), 0, 1, OnFailure.REPLACE), "/planned_cost"),
        (lambda: repair_limits(0, [AgeClass(0.1, 1)]), "/replacement_cost"),
        (lambda: repair_limits(1, [AgeClass(1.1, 1)]), "/ages/0/failure_probability"),
        (lambda: repair_limits(1, [AgeClass(0.1, -1)]), "/ages/0/mean_repair_cost"),
        (lambda: compare_outlay(NOTHING, NOTHING, NOTHING, NOTHING, 0), "/jobs"),
    ],
)
def test_what_makes_no_sense_is_out_of_range(work, pointer):
    with pytest.raises(OutOfRange) as caught:
        work()
    assert caught.value.pointer == pointer


def test_no_age_at_all_is_refused():
    with pytest.raises(InvalidInput) as caught:
        repair_limits(1, [])
    assert caught.value.pointer == "/ages"
