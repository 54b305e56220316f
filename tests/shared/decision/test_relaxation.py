"""The cheapest single way out of a contradiction, and reasons found by trying likely ones first."""

from dataclasses import replace
from random import Random

import pytest

from shared.decision.planning.budget import Budget
from shared.decision.planning.case import (
    Capacity,
    CasePosition,
    CaseSet,
    Charge,
    OrderTerms,
    Query,
    StockItem,
    Tier,
)
from shared.decision.planning.infeasible import Relaxing, explain_infeasible, requirements, without
from shared.decision.planning.solver import Planner
from shared.sourcing.model import BelowMinimum
from tests.shared.decision.oracle import all_choices, best_by
from tests.shared.decision.random_cases import CONFIDENCES, random_case
from tests.shared.decision.small_case import P90, case, keep, new, order, parts, two_suppliers

REFUSED = OrderTerms(minimum=50, below=BelowMinimum.REFUSED)
PAIR = ("bearing", "seal")


def one_each(**fields):
    """A bearing for 3 and a seal for 4, with something in the way."""
    return case(
        [parts(), new("x", "bearing", 3, **fields), new("y", "seal", 4, **fields)],
        [order("shop", 0), Charge("case", "opening", "case")],
    )


IN_THE_WAY = {
    "physical:donor/shaft": one_each(physical_parts=("donor/shaft",)),
    "capacity:kit": replace(one_each(), capacities=(Capacity("kit", 1, (("x", 1), ("y", 1))),)),
    "available:rings": replace(
        one_each(purchases=(("rings", 1),)),
        items=(StockItem("rings", "rings", (Tier(1, 0, 0),), available=1),),
    ),
    "minimum:shop": replace(
        one_each(charges=("shop",)), charges=(order("shop", 0, order=REFUSED),)
    ),
    "matched:pair": replace(one_each(), matched_sets=(CaseSet("pair", PAIR),)),
    "always:seal": case(
        [parts(), new("x", "bearing", 7, ["case"]), keep("seal")],
        [Charge("case", "opening", "case")],
        positions=(
            CasePosition("bearing", "root"),
            CasePosition("seal", "root", always_renew_with="case"),
        ),
    ),
    "refit": case([parts(), keep("bearing", refit_only=True), new("y", "seal", 7)]),
}


@pytest.mark.parametrize("key", IN_THE_WAY)
def test_what_is_in_the_way_is_named_and_is_the_way_out(key):
    made, query = IN_THE_WAY[key], Query(P90)
    keys = explain_infeasible(made, query)
    assert key in keys
    relaxed = Relaxing(Planner(made, query)).cheapest(query, keys)
    assert (relaxed.key, relaxed.plan.objective) == (key, 7)


def test_without_the_date_the_cheapest_plan_is_given_not_the_soonest():
    query = Query(P90, deadline=1)
    keys = explain_infeasible(two_suppliers(), query)
    relaxed = Relaxing(Planner(two_suppliers(), query)).cheapest(query, keys)
    assert (relaxed.key, relaxed.plan.objective, relaxed.plan.ready_day) == ("deadline", 53, 9)


def test_a_limit_on_the_risk_may_be_the_way_out():
    made = case([new("x", "root", 9, risk=500)], positions=())
    query = Query(P90, risk_limit=499)
    assert explain_infeasible(made, query) == ("position:root", "risk")
    relaxed = Relaxing(Planner(made, query)).cheapest(query, ("position:root", "risk"))
    assert (relaxed.key, relaxed.plan.risk) == ("risk", 500)


def test_that_a_position_stays_empty_is_no_way_out():
    made = case([parts(), new("x", "bearing", 1)])
    keys = explain_infeasible(made, Query(P90))
    assert keys == ("position:root", "position:seal")
    assert Relaxing(Planner(made, Query(P90))).cheapest(Query(P90), keys) is None


def forced_at_random(seed):
    made, confidence = random_case(seed), CONFIDENCES[seed % len(CONFIDENCES)]
    source_id = Random(seed).choice(made.sources).id
    return made, Query(
        confidence, Random(seed).randint(0, made.last_day), forced_sources=frozenset({source_id})
    )


def test_likely_reasons_tried_first_are_irreducible_as_well():
    tried = hit = 0
    for seed in range(0, 300):
        made, query = forced_at_random(seed)
        planner = Planner(made, query)
        free = replace(query, forced_sources=frozenset())
        if planner.is_feasible(query.deadline) or not planner.asking(free).is_feasible(
            query.deadline
        ):
            continue
        tried += 1
        forced = frozenset(f"forced:{source_id}" for source_id in query.forced_sources)
        likely = [forced | {"deadline"}, forced | {"refit"}]
        keys = explain_infeasible(made, query, planner=planner, likely=likely, needed=forced)
        hit += set(keys) <= likely[0]
        everything = frozenset(requirements(made, query))
        assert forced <= set(keys) <= everything, seed
        assert not planner.is_feasible(query.deadline, everything - set(keys)), seed
        for key in keys:
            dropped = everything - set(keys) | {key}
            assert planner.is_feasible(query.deadline, dropped), (seed, key)
    assert tried > 10
    assert hit > 3


def test_the_way_out_is_the_cheapest_of_enumeration():
    told = 0
    for seed in range(0, 900, 10):
        made, confidence = random_case(seed), CONFIDENCES[seed % len(CONFIDENCES)]
        deadline = Random(seed).randint(0, made.last_day)
        query = Query(confidence, deadline)
        keys = explain_infeasible(made, query)
        if not keys:
            continue
        relaxed = Relaxing(Planner(made, query)).cheapest(query, keys)
        wanted = []
        for key in keys:
            lacking = made if key == "deadline" else without(made, key)
            if lacking is not None:
                by = made.last_day if key == "deadline" else deadline
                best = best_by(all_choices(lacking, confidence), by)
                wanted += [(best.objective, key, best.source_ids)] if best else []
        found = relaxed and (relaxed.plan.objective, relaxed.key, relaxed.plan.source_ids)
        assert found == min(wanted, default=None), seed
        told += relaxed is not None
    assert told > 5


def test_what_the_limit_leaves_open_is_not_called_a_contradiction():
    budget = Budget(limit=0.0)
    assert explain_infeasible(two_suppliers(), Query(P90, deadline=1), budget=budget) == ()
    assert budget.left_out == ("which requirements contradict each other",)
