"""Laws of the planner on invented small cases: brute force and a second solver agree with it.

``PLANNER_CASES`` (environment) sets how many seeds are tried; each failure names its seed.
"""

import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest

from shared.decision.planning.case import (
    CHANCE_ONE,
    LeadTable,
    PlanningCase,
    Query,
    Source,
    Tier,
)
from shared.decision.planning.evaluator import arrival_chance, broken_rules, evaluate
from shared.decision.planning.frontier import earliest_ready_day, frontier
from shared.decision.planning.infeasible import explain_infeasible
from shared.decision.planning.solver import Planner, solve
from shared.sourcing.model import ArrivalDependence, BelowMinimum
from tests.shared.decision.oracle import Choice, all_choices, best_by, front
from tests.shared.decision.random_cases import CONFIDENCES, random_case, risk_limit, shuffled
from tests.shared.decision.second_solver import cheapest_objective

CASES = int(os.environ.get("PLANNER_CASES", "3000"))
BLOCKS = 20


def block(number: int, share: int = 1) -> range:
    """Seeds of one block; every ``share``-th of them."""
    return range(number, CASES, BLOCKS * share)


def confidence_of(seed: int) -> int:
    return CONFIDENCES[seed % len(CONFIDENCES)]


def deadline_of(seed: int, case: PlanningCase) -> int:
    return Random(seed).randint(0, case.last_day)


def found(plan) -> tuple | None:
    return plan and (plan.objective, plan.ready_day, len(plan.charge_ids), plan.source_ids)


def expected(choice: Choice | None) -> tuple | None:
    return choice and (
        choice.objective,
        choice.ready_day,
        choice.charge_count,
        choice.source_ids,
    )


@pytest.mark.parametrize("number", range(BLOCKS))
def test_planner_brute_force_and_second_solver_agree_on_cost_and_feasibility(number):
    for seed in block(number):
        case, confidence = random_case(seed), confidence_of(seed)
        deadline, limit = deadline_of(seed, case), risk_limit(seed, case)
        best = best_by(all_choices(case, confidence, limit), deadline)
        least = best and best.objective
        query = Query(confidence, deadline, risk_limit=limit)
        solution = Planner(case, query).step(deadline)
        assert solution.report.is_proven, seed
        assert (solution.plan and solution.plan.objective) == least, seed
        assert cheapest_objective(case, confidence, deadline, limit) == least, seed


@pytest.mark.parametrize("number", range(BLOCKS))
def test_the_plan_and_the_front_are_those_of_brute_force(number):
    for seed in block(number, share=4):
        case, confidence = random_case(seed), confidence_of(seed)
        choices = all_choices(case, confidence)
        points = frontier(case, confidence)
        wanted = front(choices, case.last_day)
        assert [found(point.plan) for point in points] == [expected(w) for w in wanted], seed
        deadline = deadline_of(seed, case)
        plan = solve(case, Query(confidence, deadline)).plan
        assert found(plan) == expected(best_by(choices, deadline)), seed
        earliest = min((choice.ready_day for choice in choices), default=case.last_day + 1)
        assert earliest_ready_day(case, confidence) == (
            earliest if earliest <= case.last_day else None
        ), seed


def test_every_choice_has_the_cost_and_the_day_that_brute_force_gives_it():
    for seed in range(0, CASES, 40):
        case, confidence = random_case(seed), confidence_of(seed)
        for choice in all_choices(case, confidence):
            plan = evaluate(case, choice.source_ids, confidence)
            assert found(plan) == expected(choice), seed


def test_what_brute_force_rules_out_breaks_a_rule_of_the_evaluator():
    for seed in range(7, CASES, 60):
        case = random_case(seed)
        sound = {choice.source_ids for choice in all_choices(case, 1)}
        timeless = replace(
            case,
            lead_tables=tuple(replace(t, chance_by_day=(CHANCE_ONE,)) for t in case.lead_tables),
        )
        arriving = {choice.source_ids for choice in all_choices(timeless, 1)}
        assert sound <= arriving
        random = Random(seed)
        for _ in range(40):
            some = random.sample(case.sources, random.randint(1, min(6, len(case.sources))))
            ids = tuple(sorted(source.id for source in some))
            assert (not broken_rules(case, ids)) == (ids in arriving), (seed, ids)


def test_both_settings_of_the_solver_agree():
    for seed in range(3, CASES, 15):
        case, confidence = random_case(seed), confidence_of(seed)
        deadline = deadline_of(seed, case)
        query = Query(confidence, deadline)
        one = Planner(case, query, order=("P0", "P1")).cheapest().plan
        other = Planner(case, query, order=("P1", "P0")).cheapest().plan
        assert one == other, seed


def scaled(case: PlanningCase, factor: int) -> PlanningCase:
    def lines(item):
        return tuple(
            replace(line, cost=line.cost * factor, price=line.price * factor) for line in item.lines
        )

    def values(holder):
        return tuple((charge_id, amount * factor) for charge_id, amount in holder.goods_values)

    def terms(order):
        return replace(
            order,
            minimum=order.minimum * factor,
            fee_cost=order.fee_cost * factor,
            fee_price=order.fee_price * factor,
            free_from=None if order.free_from is None else order.free_from * factor,
        )

    return replace(
        case,
        sources=tuple(
            replace(
                source,
                lines=lines(source),
                core_credit_price=source.core_credit_price * factor,
                core_credit_cost=source.core_credit_cost * factor,
                goods_values=values(source),
            )
            for source in case.sources
        ),
        charges=tuple(
            replace(
                charge,
                lines=lines(charge),
                goods_values=values(charge),
                order=charge.order and terms(charge.order),
            )
            for charge in case.charges
        ),
        items=tuple(
            replace(
                item,
                tiers=tuple(
                    Tier(t.from_packs, t.cost * factor, t.price * factor) for t in item.tiers
                ),
            )
            for item in case.items
        ),
        waiting=tuple(
            replace(
                waiting,
                cost_by_day=tuple(amount * factor for amount in waiting.cost_by_day),
                price_by_day=tuple(amount * factor for amount in waiting.price_by_day),
            )
            for waiting in case.waiting
        ),
    )


@pytest.mark.parametrize("settings", [("P0", "P1"), ("P1", "P0")])
def test_money_times_a_factor_gives_the_same_plan_at_that_factor_of_the_cost(settings):
    for seed in range(5, CASES, 30):
        case, confidence = random_case(seed), confidence_of(seed)
        query = Query(confidence)
        plan = Planner(case, query, order=settings).cheapest().plan
        for factor in (10**6, 4 * 10**8):
            large = Planner(scaled(case, factor), query, order=settings).cheapest().plan
            assert (large and large.source_ids) == (plan and plan.source_ids), seed
            assert (large and large.objective) == (plan and plan.objective * factor), seed


def test_the_order_of_the_records_changes_nothing():
    for seed in range(1, CASES, 20):
        case, confidence = random_case(seed), confidence_of(seed)
        mixed = shuffled(case, seed)
        assert frontier(mixed, confidence) == frontier(case, confidence), seed
        query = Query(confidence, deadline_of(seed, case))
        assert solve(mixed, query).plan == solve(case, query).plan, seed
        assert explain_infeasible(mixed, query) == explain_infeasible(case, query), seed


def least(case: PlanningCase, query: Query) -> float:
    plan = Planner(case, query).step(query.deadline).plan
    return float("inf") if plan is None else plan.objective


def test_a_later_deadline_or_a_lower_confidence_never_costs_more():
    for seed in range(2, CASES, 60):
        case, deadline = random_case(seed), deadline_of(seed, random_case(seed))
        by_confidence = [least(case, Query(confidence, deadline)) for confidence in CONFIDENCES]
        assert by_confidence == sorted(by_confidence), seed
        by_day = [least(case, Query(900_000_000, day)) for day in range(case.last_day + 1)]
        assert by_day == sorted(by_day, reverse=True), seed


def without(case: PlanningCase, source_ids: set[str]) -> PlanningCase:
    """The case without some of its sources."""
    return replace(
        case,
        sources=tuple(source for source in case.sources if source.id not in source_ids),
        capacities=tuple(
            replace(c, uses=tuple(use for use in c.uses if use[0] not in source_ids))
            for c in case.capacities
        ),
    )


def test_one_more_source_never_makes_it_dearer():
    for seed in range(4, CASES, 20):
        case, confidence = random_case(seed), confidence_of(seed)
        dropped = Random(seed).choice(case.sources)
        fewer = without(case, {dropped.id})
        query = Query(confidence, deadline_of(seed, case))
        barred = replace(query, barred_sources=frozenset({dropped.id}))
        assert least(fewer, query) == least(case, barred) >= least(case, query), seed


def test_without_the_sources_that_were_not_chosen_the_plan_is_the_same():
    for seed in range(10, CASES, 30):
        case, query = random_case(seed), Query(confidence_of(seed))
        plan = solve(case, query).plan
        if plan is not None:
            unchosen = {source.id for source in case.sources} - set(plan.source_ids)
            assert solve(without(case, unchosen), query).plan == plan, seed


def test_any_dependence_is_never_cheaper_nor_sooner_than_independence():
    for seed in range(12, CASES, 30):
        case, query = random_case(seed), Query(confidence_of(seed))
        query = replace(query, deadline=deadline_of(seed, case))
        under_any = replace(case, arrival_dependence=ArrivalDependence.ANY)
        independent = replace(case, arrival_dependence=ArrivalDependence.INDEPENDENT)
        assert least(under_any, query) >= least(independent, query), seed
        plan = Planner(under_any, query).step(query.deadline).plan
        if plan is not None:
            same = evaluate(independent, plan.source_ids, query.confidence)
            assert same.arrival_day <= plan.arrival_day, seed
            chance = arrival_chance(under_any, plan, plan.arrival_day)
            assert query.confidence / CHANCE_ONE - 1e-5 <= chance, seed
            assert chance <= arrival_chance(independent, plan, plan.arrival_day) + 1e-9, seed


def test_delivered_together_or_singly_is_the_same_where_nothing_is_waited_for():
    for seed in range(13, CASES, 60):
        case, confidence = random_case(seed), confidence_of(seed)
        at_once = replace(
            case,
            lead_tables=tuple(replace(t, chance_by_day=(CHANCE_ONE,)) for t in case.lead_tables),
        )
        singly = tuple(replace(charge, shipment=None) for charge in case.charges)
        together = tuple(replace(charge, shipment="one van") for charge in case.charges)
        assert frontier(replace(at_once, charges=singly), confidence) == frontier(
            replace(at_once, charges=together), confidence
        ), seed


def test_packs_are_the_least_that_serve_or_as_many_as_a_break_asks():
    bought = up_to_a_break = 0
    for seed in range(14, CASES, 10):
        case = random_case(seed)
        plan = solve(case, Query(confidence_of(seed)), breaks_ties=False).plan
        for item_id, packs in plan.packs if plan else ():
            item = next(item for item in case.items if item.id == item_id)
            pieces = sum(
                n
                for source in case.sources
                if source.id in plan.source_ids
                for used, n in source.purchases
                if used == item_id
            )
            needed = -(-pieces // item.pack_quantity)
            later = {tier.from_packs for tier in item.tiers if tier.from_packs > needed}
            assert packs == needed or packs in later, seed
            assert item.available is None or packs * item.pack_quantity <= item.available, seed
            bought, up_to_a_break = bought + 1, up_to_a_break + (packs > needed)
    assert bought >= CASES // 100
    assert up_to_a_break >= CASES // 1000


def test_a_front_falls_strictly_and_answers_every_date_query():
    for seed in range(6, CASES, 60):
        case, confidence = random_case(seed), confidence_of(seed)
        points = frontier(case, confidence)
        costs = [point.plan.objective for point in points]
        days = [point.valid_from_day for point in points]
        assert costs == sorted(set(costs), reverse=True), seed
        assert days == sorted(set(days)), seed
        answered = {
            day: point.plan
            for point in points
            for day in range(point.valid_from_day, point.valid_to_day + 1)
        }
        for day in range(case.last_day + 1):
            assert solve(case, Query(confidence, day)).plan == answered.get(day), (seed, day)


def test_certain_lead_times_give_the_same_front_at_every_confidence():
    for seed in range(8, CASES, 60):
        case = random_case(seed)
        steps = {t.id: Random(f"{seed}{t.id}").randint(0, 6) for t in case.lead_tables}
        certain = replace(
            case,
            lead_tables=tuple(
                LeadTable(table_id, (0,) * days + (CHANCE_ONE,)) for table_id, days in steps.items()
            ),
        )
        fronts = [frontier(certain, confidence) for confidence in CONFIDENCES]
        assert all(points == fronts[0] for points in fronts), seed
        tables = {charge.id: charge.lead_table_id for charge in case.charges}
        for point in fronts[0]:
            waits = [steps[tables[c]] for c in point.plan.charge_ids if tables[c]]
            assert point.plan.arrival_day == max(waits, default=0), seed


def test_cost_classes_add_up_and_what_is_billed_is_part_of_it():
    for seed in range(9, CASES, 30):
        case, confidence = random_case(seed), confidence_of(seed)
        plan = solve(case, Query(confidence)).plan
        if plan is None:
            continue
        by_class: dict = {}
        for line in plan.lines:
            amount = line.price if case.counts_price else line.cost
            by_class[line.cost_class] = by_class.get(line.cost_class, 0) + amount
        assert sum(by_class.values()) == plan.objective, seed
        assert plan.billed_price == sum(line.price for line in plan.lines if line.is_billed)
        assert plan.billed_cost == sum(line.cost for line in plan.lines if line.is_billed)
        assert arrival_chance(case, plan, plan.arrival_day) >= confidence / CHANCE_ONE - 1e-5


def test_a_forced_or_forbidden_source_is_never_cheaper_and_one_of_the_two_is_the_best():
    for seed in range(11, CASES, 30):
        case, confidence = random_case(seed), confidence_of(seed)
        source_id = Random(seed).choice(case.sources).id
        query = Query(confidence, deadline_of(seed, case))
        forced = least(case, replace(query, forced_sources=frozenset({source_id})))
        barred = least(case, replace(query, barred_sources=frozenset({source_id})))
        assert min(forced, barred) == least(case, query), seed


def kept_only(case: PlanningCase, deadline: int, keys: set[str]) -> PlanningCase:
    """The case with only these requirements: what need not be filled may be skipped for nothing."""
    positions = tuple(
        replace(
            p,
            always_renew_with=p.always_renew_with if f"always:{p.id}" in keys else None,
        )
        for p in case.positions
    )
    skips = tuple(
        Source(f"skip-{p.id}", p.id, "keep", is_keep=True, is_unused=True)
        for p in case.positions
        if f"position:{p.id}" not in keys
    )
    free = {p.id for p in case.positions if p.always_renew_with is not None}
    sources = tuple(
        replace(
            source,
            refit_only=source.refit_only and "refit" in keys,
            # Which positions are free of the refit rule is a fact, not a requirement.
            is_keep=source.is_keep or source.position_id in free,
            physical_parts=tuple(
                part for part in source.physical_parts if f"physical:{part}" in keys
            ),
        )
        for source in case.sources
    )
    return replace(
        case,
        positions=positions,
        sources=(*sources, *skips),
        capacities=tuple(c for c in case.capacities if f"capacity:{c.id}" in keys),
        items=tuple(
            item if f"available:{item.id}" in keys else replace(item, available=None)
            for item in case.items
        ),
        charges=tuple(
            charge
            if charge.order is None or f"minimum:{charge.id}" in keys
            else replace(charge, order=replace(charge.order, below=BelowMinimum.TOP_UP))
            for charge in case.charges
        ),
        matched_sets=(),
        renewed_together=(),
        last_day=deadline if "deadline" in keys else 10**4,
    )


def test_the_reasons_of_an_infeasible_query_contradict_and_none_is_idle():
    explained = 0
    for seed in range(0, CASES, 24):
        case, confidence = random_case(seed), confidence_of(seed)
        deadline = deadline_of(seed, case)
        best = best_by(all_choices(case, confidence), deadline)
        if best is not None:
            continue
        query = Query(confidence, deadline)
        keys = set(explain_infeasible(case, query))
        assert keys, seed
        planner = Planner(case, query)
        if any(key.startswith(("matched:", "together:")) for key in keys):
            continue
        explained += 1
        for dropped in [None, *keys]:
            kept = kept_only(case, deadline, keys - {dropped})
            feasible = any(
                choice.ready_day <= kept.last_day for choice in all_choices(kept, confidence)
            )
            is_timeless = "deadline" not in keys - {dropped}
            if is_timeless and not feasible:
                timeless = replace(
                    kept,
                    lead_tables=tuple(
                        replace(t, chance_by_day=(CHANCE_ONE,)) for t in kept.lead_tables
                    ),
                )
                feasible = bool(all_choices(timeless, confidence))
            assert feasible == (dropped is not None), (seed, dropped, keys)
        assert not planner.is_feasible(deadline), seed
    assert explained > CASES / 600


SCRIPT = """
from shared.decision.planning.frontier import frontier
from tests.shared.decision.random_cases import random_case
for seed in range(40, 52):
    print(repr(frontier(random_case(seed), 900_000_000)))
"""


def test_a_fresh_process_gives_the_same_bytes():
    outputs = {
        subprocess.run(
            [sys.executable, "-c", SCRIPT],
            env={**os.environ, "PYTHONHASHSEED": hash_seed},
            capture_output=True,
            check=True,
            cwd=Path(__file__).parents[3],
        ).stdout
        for hash_seed in ("1", "2")
    }
    here = "".join(f"{frontier(random_case(seed), 900_000_000)!r}\n" for seed in range(40, 52))
    assert outputs == {here.encode()}
