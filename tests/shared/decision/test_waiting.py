"""What waiting costs, how arrivals hang together, and how much risk is too much: worked by hand."""

from dataclasses import replace

import pytest

from shared.decision.planning.case import (
    CHANCE_ONE,
    CostClass,
    LeadTable,
    PlanningCase,
    Query,
    Waiting,
)
from shared.decision.planning.evaluator import PlanError, arrival_chance, evaluate, ready_chance
from shared.decision.planning.frontier import frontier
from shared.decision.planning.infeasible import explain_infeasible
from shared.decision.planning.solver import Planner, solve
from shared.errors import InvalidInput, OutOfRange
from shared.sourcing.model import ArrivalDependence
from tests.shared.decision.small_case import P90, case, fixed, new, order, parts, two_suppliers

LAST_DAY = 30
ANY = ArrivalDependence.ANY


def hire(per_day: int, *, is_billed: bool = True, free_days: int = 0) -> Waiting:
    """So much for each day until the unit is ready, the first days left out."""
    amounts = tuple(per_day * max(0, day - free_days) for day in range(LAST_DAY + 1))
    kind = CostClass.WAITING if is_billed else CostClass.STANDSTILL
    return Waiting(f"w{per_day}", kind, "waiting", amounts, amounts, is_billed)


def chosen(made: PlanningCase, **query) -> tuple[str, ...] | None:
    plan = solve(made, Query(**{"confidence": P90, **query})).plan
    return plan and tuple(i for i in plan.source_ids if not i.endswith("-parts"))


@pytest.mark.parametrize(
    ("per_day", "supplier"), [(0, "far"), (5, "far"), (6, "near"), (1000, "near")]
)
def test_the_sooner_plan_is_taken_once_waiting_costs_more_than_it_saves(per_day, supplier):
    """Near 85 on day 3, far 53 on day 9: six days apart, 32 dearer, so 5 and a third a day."""
    made = two_suppliers(waiting=(hire(per_day),))
    assert chosen(made) == (f"bearing-{supplier}", f"seal-{supplier}")


def test_what_waiting_costs_is_a_line_of_the_plan_and_part_of_its_total():
    made = two_suppliers(waiting=(hire(2), hire(1, is_billed=False)))
    plan = solve(made, Query(P90)).plan
    waited = [line for line in plan.lines if line.label == "waiting"]
    assert [(line.cost_class, line.price, line.is_billed) for line in waited] == [
        (CostClass.STANDSTILL, 9, False),
        (CostClass.WAITING, 18, True),
    ]
    assert (plan.objective, plan.billed_price) == (53 + 27, 53 + 18)


def test_bench_days_are_waited_too():
    """A day and a half of bench work for the cheap part, none for the dear one."""
    made = case(
        [new("cheap", "root", 10, bench_minutes=700), new("dear", "root", 19)],
        positions=(),
        starts_on_day_zero=False,
    )
    assert chosen(replace(made, waiting=(hire(4),))) == ("cheap",)
    assert chosen(replace(made, waiting=(hire(5),))) == ("dear",)
    at_once = replace(made, starts_on_day_zero=True, waiting=(hire(5),))
    assert chosen(at_once) == ("cheap",)


def test_days_that_cost_nothing_more_are_waited_for_nothing():
    made = two_suppliers(waiting=(hire(1000, free_days=9),))
    assert chosen(made) == ("bearing-far", "seal-far")
    made = two_suppliers(waiting=(hire(1000, free_days=8),))
    assert chosen(made) == ("bearing-near", "seal-near")


def test_waiting_that_costs_the_same_on_every_day_is_counted_all_the_same():
    flat = Waiting("w", CostClass.WAITING, "tow", (40,) * 31, (50,) * 31)
    plan = solve(two_suppliers(waiting=(flat,)), Query(P90)).plan
    assert (plan.objective, plan.billed_cost) == (53 + 50, 53 + 40)


def test_waiting_counts_as_cost_where_cost_is_asked():
    none_to_the_shop = replace(hire(1000), cost_by_day=(0,) * 31)
    made = two_suppliers(waiting=(none_to_the_shop,), counts_price=False)
    assert chosen(made) == ("bearing-far", "seal-far")


def test_a_surer_promise_is_a_later_one_and_so_a_dearer_one():
    table = LeadTable("a", (0, 500_000_000, 600_000_000, 900_000_000, 990_000_000))
    made = case(
        [new("x", "root", 10, ["a"])],
        [order("a", 0, "a")],
        [table],
        positions=(),
        waiting=(hire(7),),
    )
    totals = [solve(made, Query(c * 10**7)).plan.objective for c in (50, 60, 90, 99)]
    assert totals == [10 + 7 * day for day in (1, 2, 3, 4)]


def test_the_front_counts_the_waiting_of_each_of_its_plans():
    points = frontier(two_suppliers(waiting=(hire(2),)), P90)
    assert [(p.plan.objective, p.valid_from_day) for p in points] == [(85 + 6, 3), (53 + 18, 9)]
    points = frontier(two_suppliers(waiting=(hire(9),)), P90)
    assert [(p.plan.objective, p.valid_from_day) for p in points] == [(85 + 27, 3)]


def test_a_plan_that_only_rounded_weights_would_allow_waits_a_day_longer():
    """Twenty chances of 0.995011527 by day 1: their weights allow it, their product does not."""
    names = [f"c{i:02}" for i in range(20)]
    chances = (0, 995_011_527, 995_011_527, 999_999_999)
    made = case(
        [new("many", "root", 1, names)],
        [order(name, 0, name) for name in names],
        [LeadTable(name, chances) for name in names],
        positions=(),
        waiting=(hire(5),),
    )
    plan = solve(made, Query(904_837_418)).plan
    assert (plan.arrival_day, plan.objective) == (3, 1 + 15)


@pytest.mark.parametrize(
    "amounts", [(1,) * LAST_DAY, (5, *(4,) * LAST_DAY), ()], ids=["short", "falling", "none"]
)
def test_waiting_that_ends_early_or_falls_is_refused(amounts):
    for field in ("cost_by_day", "price_by_day"):
        bad = replace(hire(1), **{field: amounts})
        with pytest.raises(InvalidInput) as raised:
            solve(two_suppliers(waiting=(bad,)), Query(P90))
        assert raised.value.pointer == "/waiting"


def test_waiting_below_nought_is_refused():
    bad = replace(hire(1), cost_by_day=(-1, *(0,) * LAST_DAY))
    with pytest.raises(OutOfRange):
        solve(two_suppliers(waiting=(bad,)), Query(P90))


# --- how arrivals hang together -----------------------------------------------------------------


def both(one: int, other: int, **fields) -> PlanningCase:
    """Two suppliers, with chances in percent by day 1, certain on day 4."""
    tables = [
        LeadTable(name, (0, percent * 10**7, percent * 10**7, percent * 10**7, CHANCE_ONE))
        for name, percent in (("a", one), ("b", other))
    ]
    return case(
        [parts(), new("x", "bearing", 1, ["a"]), new("y", "seal", 1, ["b"])],
        [order("a", 0, "a"), order("b", 0, "b")],
        tables,
        **fields,
    )


@pytest.mark.parametrize(
    ("chances", "independent", "under_any"),
    [((95, 95), 1, 1), ((95, 94), 4, 4), ((93, 97), 1, 1), ((92, 98), 1, 1), ((90, 100), 1, 1)],
)
def test_chances_of_being_late_are_added_up_where_nothing_is_known_of_them(
    chances, independent, under_any
):
    ids = ("root-parts", "x", "y")
    assert evaluate(both(*chances), ids, P90).arrival_day == independent
    assert evaluate(both(*chances, arrival_dependence=ANY), ids, P90).arrival_day == under_any


def test_what_only_independence_would_allow_is_not_promised_under_any_dependence():
    """0.72 x 0.72 = 0.5184 reaches a half; 1 - 0.28 - 0.28 = 0.44 does not."""
    asked = 500_000_000
    plan = solve(both(72, 72), Query(asked)).plan
    assert plan.arrival_day == 1
    made = both(72, 72, arrival_dependence=ANY)
    plan = solve(made, Query(asked)).plan
    assert plan.arrival_day == 4
    assert solve(made, Query(asked, deadline=2)).plan is None
    assert arrival_chance(made, plan, 1) == pytest.approx(0.44)
    assert ready_chance(made, plan, 1) == pytest.approx(0.44)
    assert arrival_chance(both(40, 40, arrival_dependence=ANY), plan, 1) == 0.0


def test_the_p90_of_one_supplier_meets_90_percent_on_its_day_under_any_dependence_too():
    one = case(
        [new("x", "root", 1, ["a"])],
        [order("a", 0, "a")],
        [LeadTable("a", (0, 899_999_999, 950_000_000))],
        positions=(),
        arrival_dependence=ANY,
    )
    assert solve(one, Query(P90)).plan.arrival_day == 1
    assert solve(one, Query(900_020_000)).plan.arrival_day == 2


def test_certainty_takes_certain_arrivals_only_under_any_dependence_too():
    made = both(72, 72, arrival_dependence=ANY)
    almost = replace(
        made,
        lead_tables=(LeadTable("a", (0, CHANCE_ONE - 1, CHANCE_ONE)), fixed("b", 1)),
    )
    assert solve(almost, Query(CHANCE_ONE)).plan.arrival_day == 2
    never = replace(made, lead_tables=(LeadTable("a", (0,)), fixed("b", 1)))
    with pytest.raises(PlanError):
        evaluate(never, ("root-parts", "x", "y"), 1)


# --- how much risk ------------------------------------------------------------------------------


def risky(**fields) -> PlanningCase:
    return case(
        [
            parts(),
            new("bearing-bad", "bearing", 10, risk=50_000),
            new("bearing-good", "bearing", 90, risk=1_000),
            new("seal-bad", "seal", 10, risk=40_000),
            new("seal-good", "seal", 30, risk=2_000),
        ],
        **fields,
    )


@pytest.mark.parametrize(
    ("limit", "ids"),
    [
        (None, ("bearing-bad", "seal-bad")),
        (90_000, ("bearing-bad", "seal-bad")),
        (89_999, ("bearing-bad", "seal-good")),
        (51_999, ("bearing-good", "seal-bad")),
        (40_999, ("bearing-good", "seal-good")),
        (2_999, None),
        (-1, None),
    ],
)
def test_a_limit_on_the_risk_is_kept_at_the_least_price(limit, ids):
    assert chosen(risky(), risk_limit=limit) == ids


def test_the_risk_of_a_plan_is_that_of_its_sources_and_a_limit_too_low_is_named():
    plan = solve(risky(), Query(P90, risk_limit=51_999)).plan
    assert plan.risk == 41_000
    query = Query(P90, risk_limit=2_999)
    assert "risk" in explain_infeasible(risky(), query)
    assert Planner(risky(), query).is_feasible(None, frozenset({"risk"}))
