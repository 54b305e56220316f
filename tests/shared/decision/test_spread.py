"""How the total may turn out: closed forms, simulation, and what it says it leaves out."""

from decimal import Decimal
from itertools import pairwise
from math import exp, log

import numpy as np
import pytest

from shared.decision.telling.finish import DayCurve
from shared.decision.telling.hours import Labour
from shared.decision.telling.spread import OUTCOMES_AT_MOST, Bill, Gamble, outcomes, total_spread
from shared.sourcing.lead_time import Z_90
from tests.shared.decision.small_case import case, parts
from tests.snapshots import (
    best,
    donor,
    eur,
    goods,
    job,
    looks,
    own_unit,
    part,
    position,
    settings,
    snapshot,
    supplier,
    work,
)

CASE = case([parts()], positions=())
NOW = DayCurve((1.0,))


def bill(**fields) -> Bill:
    base = {
        "to_pay": 50_000,
        "tax_percent": Decimal(20),
        "labour_per_hour": Decimal(6000),
        "labour": Labour(0),
        "arrived": NOW,
    }
    return Bill(**{**base, **fields})


def spread(**fields):
    return total_spread(CASE, bill(**fields), "EUR")


def minor(money) -> int:
    return money.minor


def test_a_total_that_nothing_moves_is_the_amount_to_pay():
    told = spread(limit=50_000)
    assert {minor(m) for m in (told.p10, told.p50, told.p90, told.mean)} == {50_000}
    assert [(minor(p.amount), p.probability) for p in told.points] == [(50_000, 1)]
    assert told.chance_within_limit == 1
    assert spread(limit=49_999).chance_within_limit == 0


def test_one_part_that_may_prove_bad_gives_two_totals():
    told = spread(gambles=(Gamble(0.8, 10_000),), limit=60_000)
    assert [(minor(p.amount), p.probability) for p in told.points] == [
        (50_000, Decimal("0.8")),
        (62_000, Decimal(1)),
    ]
    assert (minor(told.p10), minor(told.p50), minor(told.p90)) == (50_000, 50_000, 62_000)
    assert minor(told.mean) == 50_000 + round(0.2 * 12_000)
    assert told.chance_within_limit == Decimal("0.8")


def test_hours_of_one_operation_move_the_total_as_their_quantiles_do():
    told = spread(labour=Labour(0, ((Decimal(4), Decimal(6)),)))
    sigma = log(1.5) / Z_90
    per_minute = 6000 * 1.2 / 60
    for level, found in ((-Z_90, told.p10), (0, told.p50), (Z_90, told.p90)):
        expected = 50_000 + (4 * exp(sigma * level) - 4) * 7200
        assert abs(minor(found) - expected) <= per_minute
    assert minor(told.mean) == round(50_000 + 4 * (exp(sigma**2 / 2) - 1) * 7200)
    assert len(told.points) <= 41
    assert all(a.amount.minor < b.amount.minor for a, b in pairwise(told.points))
    assert all(a.probability < b.probability for a, b in pairwise(told.points))


GAMBLES = tuple(
    Gamble(chance, amount)
    for chance, amount in ((0.7, 9_000), (0.8, 14_500), (0.9, 31_000), (0.95, 2_300), (0.6, 5_000))
)
HOURS = tuple((Decimal(a), Decimal(b)) for a, b in (("1", "2"), ("2", "3"), ("3.5", "8")))


def test_the_total_agrees_with_a_simulation_waiting_and_all():
    waiting = (0, 0, 4_000, 8_000, 20_000, 24_000)
    arrived = DayCurve((0.1, 0.4, 0.8, 1.0))
    made = case([parts()], positions=(), last_day=60)
    given = bill(
        labour=Labour(30, HOURS),
        gambles=GAMBLES,
        arrived=arrived,
        waiting_by_day=waiting,
        waiting_quoted=8_000,
        limit=60_000,
    )
    told = total_spread(made, given, "EUR")
    random = np.random.default_rng(5)
    draws = 200_000
    hours = sum(
        np.exp(random.normal(log(float(a)), log(float(b / a)) / Z_90, draws)) for a, b in HOURS
    )
    worked = np.ceil((hours + 0.5) / 8).astype(int)
    came = np.searchsorted(np.array(arrived.chances), random.random(draws))
    ready = np.where(came == 0, worked - 1, came + worked)
    more = sum(g.amount * (random.random(draws) > g.chance) for g in GAMBLES)
    more = more + np.array(waiting)[np.minimum(ready, 5)] - 8_000
    total = 50_000 + 1.2 * (more + (hours - 6.5) * 6000)
    assert minor(told.mean) == pytest.approx(total.mean(), abs=4 * total.std() / draws**0.5)
    assert float(told.chance_within_limit) == pytest.approx((total <= 60_000).mean(), abs=0.005)
    for point in told.points:
        true = (total <= minor(point.amount)).mean()
        assert float(point.probability) == pytest.approx(true, abs=0.006)


def test_many_proofs_are_put_on_a_grid_that_keeps_their_mean():
    many = tuple(Gamble(0.5 + n / 40, 1_000 + 777 * n * n) for n in range(15))
    found = outcomes(many)
    assert len(found) <= OUTCOMES_AT_MOST
    assert sum(found.values()) == pytest.approx(1)
    mean = sum(amount * chance for amount, chance in found.items())
    assert mean == pytest.approx(sum(g.amount * (1 - g.chance) for g in many))
    few = outcomes(GAMBLES)
    assert len(few) == 32
    assert few[0] == pytest.approx(0.7 * 0.8 * 0.9 * 0.95 * 0.6)


# --- of a whole plan --------------------------------------------------------------------------


def harvest(**members):
    """A bearing from a donor that may prove bad; a new one would come in its place."""
    rules = settings(
        pricing={"tax_percent": "10", "supplies_percent_of_labour": "5"},
        salvage_experience=[{"prior_mean": "0.8", "prior_weight": "10", "basis": "assumed"}],
    )
    return snapshot(
        **{
            "settings": rules,
            "units": [own_unit(), donor("d", worth="5")],
            "parts": [part("bearing")],
            "positions": [position("bearing")],
            "suppliers": [supplier("a", "10")],
            "offers": [goods("bearing", "a", "90", ("3", "5"))],
            "operations": [work("b", "renew", "2", "3", position_id="pos_bearing")],
            "job": job(inspection_price=eur(30), spending_limit=eur(250)),
            **looks(bearing="heavy"),
            **members,
        }
    )


def test_the_mean_is_the_expectation_of_the_lines_it_covers():
    plan = best(harvest())
    fallback = next(a for a in plan.amounts if a.cost_class == "fallback")
    sigma = log(1.5) / Z_90
    overrun = 2 * (exp(sigma**2 / 2) - 1) * 60 * 1.05
    expected = (float(plan.net_total.amount + fallback.price.amount) + overrun) * 1.1
    assert float(plan.total_spread.mean.amount) == pytest.approx(expected, abs=0.02)


def test_with_certain_hours_only_the_proof_moves_the_total():
    plan = best(harvest(operations=[work("b", "renew", "2", position_id="pos_bearing")]))
    points = plan.total_spread.points
    assert [p.probability for p in points] == [Decimal("0.8"), 1]
    assert points[0].amount == plan.to_pay
    # In full: 90 + 10 freight + 2 h at 60 with 5 % supplies, and 10 % tax on it.
    assert points[1].amount.amount - points[0].amount.amount == Decimal("248.60")
    assert plan.total_spread.chance_within_limit == Decimal("0.8")


def test_work_that_is_on_no_quote_is_told_and_takes_its_p90():
    plan = best(harvest(operations=[work("b", "renew", "0", "3", position_id="pos_bearing")]))
    assert "Work that is quoted at 0 h and may take 3 h (P90)." in plan.total_spread.not_counted
    assert plan.readiness.bench_hours == 3


def test_what_is_not_counted_is_told():
    kept = best(harvest(**looks(bearing=None), offers=[], suppliers=[]))
    told = " ".join(kept.total_spread.not_counted)
    assert "without proof: bearing (not-inspected)" in told
    assert "Failures after" in told
    assert "by the hours worked" in " ".join(best(harvest()).total_spread.not_counted)
