"""The best plans that differ: against sorted enumeration, and by hand."""

from shared.decision.planning.alternatives import best_plans, ways_of_plan
from shared.decision.planning.budget import Budget
from shared.decision.planning.case import Query
from shared.decision.planning.solver import Planner
from tests.shared.decision.oracle import all_choices
from tests.shared.decision.random_cases import CONFIDENCES, random_case
from tests.shared.decision.small_case import P90, case, new, order, parts, two_suppliers

SEEDS = range(0, 360, 8)


def enumerated(case, choices, way_of, count, differ_in):
    """Down the sorted list of all plans, taking each that is apart enough from those taken."""
    at = {source.id: source for source in case.sources}

    def ways(choice):
        chosen = [at[source_id] for source_id in choice.source_ids]
        return {(s.position_id, way_of[s.id]) for s in chosen if not s.resolves_children}

    taken = []
    for choice in choices:
        mine = ways(choice)
        if all(len(mine & ways(t)) <= max(0, len(ways(t)) - differ_in) for t in taken):
            taken.append(choice)
        if len(taken) == count:
            break
    return [choice.source_ids for choice in taken]


def test_the_best_plans_are_those_of_sorted_enumeration():
    several = 0
    for seed in SEEDS:
        made, confidence = random_case(seed), CONFIDENCES[seed % len(CONFIDENCES)]
        choices = [c for c in all_choices(made, confidence) if c.ready_day <= made.last_day]
        by_kind = {source.id: source.kind for source in made.sources}
        singly = {source.id: source.id for source in made.sources}
        for way_of, differ_in in ((by_kind, 1), (singly, 1), (by_kind, 2), (singly, 3)):
            plans = best_plans(made, Query(confidence), 4, way_of, differ_in)
            wanted = enumerated(made, choices, way_of, 4, differ_in)
            assert [plan.source_ids for plan in plans] == wanted, (seed, differ_in)
            costs = [plan.objective for plan in plans]
            assert costs == sorted(costs), seed
            several += len(plans) > 2
    assert several > len(SEEDS)


def test_the_same_goods_from_another_supplier_are_the_same_way():
    made = two_suppliers()
    plans = best_plans(made, Query(P90), 5, {s.id: "new" for s in made.sources})
    assert [plan.objective for plan in plans] == [53]
    plans = best_plans(made, Query(P90), 5, {})
    assert [plan.objective for plan in plans] == [53, 70, 85, 88]


def test_a_date_binds_every_alternative():
    plans = best_plans(two_suppliers(), Query(P90, deadline=8), 5, {})
    assert [plan.objective for plan in plans] == [85]


def test_the_best_plan_may_be_handed_over_and_the_planner_shared():
    made = two_suppliers()
    planner = Planner(made, Query(P90))
    best = planner.cheapest().plan
    before = planner.budget.solves
    given = best_plans(made, Query(P90), 1, {}, planner=planner, best=best)
    assert given == (best,)
    assert planner.budget.solves == before
    assert best_plans(made, Query(P90), 3, {}, planner=planner, best=best) == best_plans(
        made, Query(P90), 3, {}
    )


def test_where_the_limit_is_reached_fewer_come_back_and_it_is_told():
    budget = Budget(limit=0.0)
    assert best_plans(two_suppliers(), Query(P90), 3, {}, budget=budget) == ()
    assert budget.left_out == ("alternatives beyond the first 0",)


def test_a_position_resolved_part_by_part_is_no_way_of_its_own():
    made = case(
        [parts(), new("whole", "root", 90), new("x", "bearing", 1), new("y", "seal", 1)],
        [order("o", 1)],
    )
    first, second = best_plans(made, Query(P90), 3, {}, differ_in=2)
    assert ways_of_plan(made, first, {}) == (("bearing", "x"), ("seal", "y"))
    assert ways_of_plan(made, second, {}) == (("root", "whole"),)
