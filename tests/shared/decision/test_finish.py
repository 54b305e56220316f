"""When a plan may be ready: closed forms, simulation, and what the promise leaves out."""

from datetime import date, timedelta
from decimal import Decimal
from math import prod

import numpy as np
import pytest

from shared.decision.planning.case import CHANCE_ONE, Charge, LeadTable
from shared.decision.planning.evaluator import evaluate
from shared.decision.planning.timing import ready_day
from shared.decision.telling.finish import arrivals, certain_work, finish, finish_spread
from shared.decision.telling.hours import Labour, labour_of
from shared.sourcing.lead_time import Z_90, chance_by_day
from shared.sourcing.model import ArrivalDependence
from tests.shared.decision.small_case import case, fixed, new, parts
from tests.snapshots import (
    best,
    goods,
    looks,
    part,
    position,
    snapshot,
    supplier,
    work,
)

P90 = 900_000_000
DAYS = tuple(date(2031, 3, 3) + timedelta(days=day) for day in range(61))


def span(p50: str | float, p90: str | float) -> tuple[Decimal, Decimal]:
    return (Decimal(str(p50)), Decimal(str(p90)))


def awaiting(*quotes: tuple[str, str], hours=(), shipments=(), **fields):
    """A case of one plan that awaits deliveries of these quotes; and its operations."""
    tables = [
        LeadTable(f"t{n}", chance_by_day(*map(Decimal, quote), 0, 60))
        for n, quote in enumerate(quotes)
    ]
    charges = [
        Charge(f"c{n}", "delivery", "", lead_table_id=f"t{n}", shipment=shipment)
        for n, shipment in enumerate([*shipments, *[None] * (len(quotes) - len(shipments))])
    ]
    minutes = sum(int(p90 * 60) for _, p90 in hours)
    made = case(
        [parts(), new("part", "bearing", 10, [c.id for c in charges], bench_minutes=minutes)],
        charges,
        tables,
        ["bearing"],
        **{"last_day": 60, **fields},
    )
    plan = evaluate(made, ["root-parts", "part"], P90)
    labour = labour_of(made, plan, {"part": tuple(hours)} if hours else {})
    return made, plan, finish(made, labour, arrivals(made, plan))


@pytest.mark.parametrize("starts", [True, False])
@pytest.mark.parametrize(("days", "hours"), [(0, "0.5"), (0, "17"), (4, "8"), (4, "8.01")])
def test_what_is_certain_is_ready_on_one_day_as_the_promise_counts(days, hours, starts):
    made = case(
        [parts(), new("part", "bearing", 10, ["c"], bench_minutes=-int(-Decimal(hours) * 60 // 1))],
        [Charge("c", "delivery", "", lead_table_id="t")],
        [fixed("t", days)],
        ["bearing"],
        starts_on_day_zero=starts,
    )
    plan = evaluate(made, ["root-parts", "part"], P90)
    curve = finish(made, labour_of(made, plan, {}), arrivals(made, plan))
    day = ready_day(made, days, plan.bench_minutes)
    assert plan.ready_day == day
    assert (curve.by(day - 1), curve.by(day), curve.first_day(1)) == (0, 1, day)


def test_one_operation_takes_its_p50_and_p90_and_a_sum_is_that_of_its_logarithms():
    one = Labour(30, (span(4, 8),))
    assert one.chance_within(30 + 4 * 60) == pytest.approx(0.5, abs=1e-9)
    assert one.chance_within(30 + 8 * 60) == pytest.approx(0.9, abs=1e-9)
    assert one.chance_within(29) == 0
    assert Labour(30).chance_within(30) == 1


def test_hours_that_are_far_apart_go_on_a_coarser_grid_and_stay_on_the_safe_side():
    wide = Labour(0, (span(40, 160), span(30, 90)))
    assert wide.mean_excess_hours() == pytest.approx(
        40 * (np.exp((np.log(4) / Z_90) ** 2 / 2) - 1)
        + 30 * (np.exp((np.log(3) / Z_90) ** 2 / 2) - 1)
    )
    drawn = simulated(np.random.default_rng(3), wide.uncertain)
    for hours in (50, 70, 120, 250):
        true = float((drawn <= hours).mean())
        assert true - 0.02 < wide.chance_within(hours * 60) < true + 0.004


@pytest.mark.parametrize("uncertain", [((1, 20),), ((0.1, 10), (0.1, 10), (3, 40)), ((2, 3),) * 60])
def test_the_widest_spreads_and_the_most_operations_keep_the_middle_of_the_curve(uncertain):
    made = Labour(0, tuple(sorted(span(*one) for one in uncertain)))
    drawn = simulated(np.random.default_rng(8), made.uncertain)
    for level in (0.1, 0.5, 0.9):
        hours = float(np.quantile(drawn, level))
        # Rounded up to the grid: a little late, never early (0.005 is the simulation's own error).
        assert level - 0.01 < made.chance_within(round(hours * 60)) < level + 0.005
    hours, cumulated = made.excess()
    middle = hours[np.searchsorted(cumulated, 0.5)] + sum(p50 for p50, _ in uncertain)
    assert middle == pytest.approx(float(np.median(drawn)), rel=0.02, abs=0.02)


def simulated(random, uncertain, draws=200_000):
    """Hours of all operations together, simulated."""
    return sum(
        np.exp(random.normal(np.log(float(p50)), np.log(float(p90 / p50)) / Z_90, draws))
        for p50, p90 in uncertain
    )


@pytest.mark.parametrize("ratio", [1.05, 1.5, 2, 3, 4])
@pytest.mark.parametrize("hours", [(3,), (1, 1), (0.5, 2, 6), (1, 1, 1, 2, 2, 4, 8)])
def test_the_p90_of_every_operation_added_up_is_on_the_safe_side(hours, ratio):
    uncertain = tuple(sorted(span(p50, round(p50 * ratio, 4)) for p50 in hours))
    reckoned = sum(int(np.ceil(float(p90) * 60)) for _, p90 in uncertain)
    assert Labour(0, uncertain).chance_within(reckoned) >= 0.9 - 1e-5


def test_where_p90_is_many_times_p50_even_that_sum_is_passed_more_often():
    uncertain = tuple([span(1, 50)] * 3)
    assert Labour(0, uncertain).chance_within(150 * 60) < 0.89


def test_the_curve_agrees_with_a_simulation():
    quotes = (("3", "5"), ("2", "6"), ("4", "5"), ("1", "9"))
    hours = (span(2, 4), span(5, 9), span(1, 1), span(3, 7))
    made, _, curve = awaiting(*quotes, hours=hours, shipments=["a", "a"])
    random = np.random.default_rng(11)
    draws = 200_000
    levels = random.random((3, draws))
    tables = [np.array(t.chance_by_day) / CHANCE_ONE for t in made.lead_tables]
    # One parcel comes with its slowest line; the other deliveries are drawn apart.
    parcel = np.minimum(tables[0], tables[1])
    arrived = np.max(
        [np.searchsorted(t, level) for t, level in zip([parcel, *tables[2:]], levels, strict=True)],
        axis=0,
    )
    worked = np.ceil((simulated(random, [h for h in hours if h[0] != h[1]]) + 1) / 8)
    ready = np.where(arrived == 0, worked - 1, arrived + worked)
    for day in range(2, 25):
        assert curve.by(day) == pytest.approx(float((ready <= day).mean()), abs=0.006)


def test_where_arrivals_may_hang_together_the_least_joint_chance_stands():
    quotes = (("3", "5"), ("2", "6"))
    _, _, apart = awaiting(*quotes)
    made, _, bound = awaiting(*quotes, arrival_dependence=ArrivalDependence.ANY)
    for day in range(2, 20):
        singles = [t.chance_by_day[day] / CHANCE_ONE for t in made.lead_tables]
        assert bound.by(day) == pytest.approx(max(0, 1 - sum(1 - one for one in singles)), abs=1e-9)
        assert apart.by(day) == pytest.approx(prod(singles), abs=1e-9)
        assert bound.by(day) <= apart.by(day) + 1e-12


def test_a_chance_that_no_day_of_the_calendar_has_is_not_known():
    _, _, long = awaiting(("3", "5"), ("3", "30"))
    assert finish_spread(long, DAYS, None).p90_on is not None
    _, _, cut = awaiting(("3", "5"), ("3", "30"), last_day=20)
    told = finish_spread(cut, DAYS, deadline=-1)
    assert told.p50_on is not None
    assert told.p90_on is None
    assert told.chance_by_required == 0


def test_what_is_drawn_rises_is_short_and_holds_the_promised_and_the_required_day():
    _, plan, curve = awaiting(("3", "5"), ("2", "40"))
    told = finish_spread(curve, DAYS, 20, (plan.ready_day, 20))
    drawn = {point.on: point.probability for point in told.by_day}
    assert len(drawn) <= 62
    assert list(drawn.values()) == sorted(drawn.values())
    assert {DAYS[plan.ready_day], DAYS[20]} <= set(drawn)
    assert drawn[DAYS[20]] == told.chance_by_required


def one_bearing(p50: str, p90: str, days=("3", "5")):
    return snapshot(
        parts=[part("bearing")],
        positions=[position("bearing")],
        suppliers=[supplier("a")],
        offers=[goods("bearing", "a", "40", days)],
        operations=[work("b", "renew", p50, p90, position_id="pos_bearing")],
        **looks(bearing="heavy"),
    )


def test_a_promise_that_the_work_may_break_says_with_what_chance_it_is_kept():
    tight = best(one_bearing("4", "8"))
    # Arrival by its P90, and the day after one operation of 8 h at its P90, or two days for it
    # after an arrival a day sooner ...: little more than 0.81.
    assert "chance of 90%" not in tight.summary
    assert Decimal("0.81") < tight.customer.confidence < Decimal("0.9")
    assert any("may last longer still" in note for note in tight.notes)
    easy = best(one_bearing("1", "2"))
    assert easy.customer.confidence == pytest.approx(Decimal("0.9"), abs=Decimal("0.001"))


def test_with_certain_hours_the_spread_and_the_promise_are_one():
    quotes = (("3", "5"), ("2", "6"), ("4", "9"))
    made, plan, curve = awaiting(*quotes, hours=(span(5, 5), span("7.25", "7.25")))
    assert plan.bench_minutes == 735
    reckoned = certain_work(made, plan, arrivals(made, plan))
    assert [curve.by(day) for day in range(40)] == [reckoned.by(day) for day in range(40)]
    assert curve.first_day(0.9) == plan.ready_day


def test_a_promise_of_certain_work_is_kept_with_the_asked_chance():
    plan = best(one_bearing("2", "2"))
    assert plan.customer.confidence == Decimal("0.9")
    assert "with a chance of 90%." in plan.summary
    assert plan.finish_spread.p90_on == plan.readiness.promise_on
