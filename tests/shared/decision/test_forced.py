"""Why each source that is not in the plan is not: the first reason, with its figures."""

from decimal import Decimal

import pytest

from shared.decision.building.build import Built, build
from shared.decision.building.routes import barred_on
from shared.decision.codec import from_builtins
from shared.decision.planning.budget import Budget
from shared.decision.planning.case import Query
from shared.decision.planning.solver import solve
from shared.decision.result import Exclusion, ReasonCode, Route
from shared.decision.snapshot import Snapshot
from shared.decision.weighing.forced import difference_by_class
from shared.decision.weighing.reasons import (
    infeasibility,
    planner_of,
    source_exclusions,
    why_no_plan,
)
from shared.decision.weighing.required import in_short, requirement, requirements_told
from tests.bench.typical_job import typical_job
from tests.snapshots import (
    Members,
    goods,
    job,
    looks,
    part,
    position,
    snapshot,
    supplier,
    work,
)


def built_of(members: Members) -> Built:
    return build(from_builtins(members, Snapshot))


def two_shops(**members) -> Members:
    """A bearing heavily worn: near 80 there in two days, freight 10; far 50 there in eight."""
    return snapshot(
        **{
            "parts": [part("bearing")],
            "positions": [position("bearing")],
            **looks(bearing="heavy"),
            "suppliers": [supplier("near", "10"), supplier("far", "5")],
            "offers": [
                goods("near", "near", "80", ("2", "2"), part_id="prt_bearing"),
                goods("far", "far", "50", ("8", "8"), part_id="prt_bearing"),
            ],
            "operations": [work("bearing", "renew", "1", position_id="pos_bearing")],
            **members,
        }
    )


def reasons_of(built: Built, budget: Budget | None = None) -> dict[str, Exclusion]:
    planner = planner_of(built, budget)
    best = solve(built.case, planner.query).plan
    return {one.source_id: one for one in source_exclusions(built, best, planner)}


def reason_for(built: Built, part_of_id: str) -> Exclusion:
    return next(one for key, one in reasons_of(built).items() if part_of_id in key)


def test_a_dearer_source_is_told_with_its_extra_split_by_class():
    told = reason_for(built_of(two_shops()), "ofr_near")
    assert told.code is ReasonCode.NOT_CHEAPEST
    assert told.detail == "35.00 EUR dearer in expected total"
    assert told.extra.minor == 3500
    assert {one.cost_class: one.price.minor for one in told.extra_by_class} == {
        "goods": 3000,
        "freight": 500,
    }


def test_what_cannot_be_there_in_time_is_told_with_its_chance():
    told = reason_for(built_of(two_shops(job=job(required_by_on="2031-03-10"))), "ofr_far")
    assert (told.code, told.probability) == (ReasonCode.TOO_LATE, Decimal(0))
    assert "with a chance of only 0%" in told.detail


def test_a_source_that_another_equals_wherever_it_could_be_used_needs_no_search():
    made = two_shops()
    made["offers"].append(goods("dear", "far", "55", ("8", "9"), part_id="prt_bearing"))
    told = reason_for(built_of(made), "ofr_dear")
    assert told.code is ReasonCode.DOMINATED
    assert told.better in told.detail
    assert "far" in told.better


@pytest.fixture(scope="module")
def typical() -> Built:
    return built_of(typical_job())


@pytest.fixture(scope="module")
def told(typical) -> dict[str, Exclusion]:
    return reasons_of(typical)


def test_every_unchosen_source_has_one_reason_the_whole_units_too(typical, told):
    best = solve(typical.case, Query(typical.confidence, typical.deadline)).plan
    fills = {
        s.id
        for s in typical.case.sources
        if not s.resolves_children and s.only_while_closed is None
    }
    assert set(told) == fills - set(best.source_ids)
    assert any(one.position_id == "whole" for one in told.values())


def test_extras_are_those_of_a_search_of_their_own_and_add_up(typical, told):
    query = Query(typical.confidence, typical.deadline)
    best = solve(typical.case, query).plan
    dearer = {key: one for key, one in told.items() if one.code is ReasonCode.NOT_CHEAPEST}
    for source_id in sorted(dearer)[::9]:
        forced = Query(typical.confidence, typical.deadline, forced_sources=frozenset({source_id}))
        plan = solve(typical.case, forced, breaks_ties=False).plan
        assert dearer[source_id].extra.minor == plan.objective - best.objective
    for one in dearer.values():
        assert sum(c.price.minor for c in one.extra_by_class) == one.extra.minor
        assert one.extra.minor >= 0


def test_what_is_called_dominated_is_never_cheaper_when_forced(typical, told):
    for source_id, one in told.items():
        if one.code is ReasonCode.DOMINATED:
            forced = Query(
                typical.confidence, typical.deadline, forced_sources=frozenset({source_id})
            )
            plan = solve(typical.case, forced, breaks_ties=False).plan
            best = solve(typical.case, Query(typical.confidence, typical.deadline)).plan
            assert plan is None or plan.objective >= best.objective


def test_what_fits_in_no_plan_is_told_with_what_contradicts_it(told):
    infeasible = [one for one in told.values() if one.code is ReasonCode.INFEASIBLE]
    assert infeasible
    for one in infeasible:
        assert one.requirements
        assert not any("is used" in requirement for requirement in one.requirements)


def pair_renewed_together(bearing: str = "bearing", ring: str = "ring") -> Members:
    """A worn seal, and a good bearing and ring renewed together; nobody sells a ring."""
    return snapshot(
        parts=[part(bearing, name="x"), part("seal")],
        positions=[
            {**position(bearing), "name": "bearing"},
            {**position(ring, part_id=None), "name": "ring"},
            position("seal"),
        ],
        position_sets=[
            {
                "id": "set_1",
                "assembly_id": "asm_1",
                "kind": "renewed-together",
                "name": "Output bearings",
                "position_ids": [f"pos_{bearing}", f"pos_{ring}"],
            }
        ],
        suppliers=[supplier("near")],
        offers=[goods(bearing, "near", "80"), goods("seal", "near", "9")],
        **looks(**{bearing: "none", ring: "none", "seal": "heavy"}),
    )


def test_the_rule_that_is_in_the_way_is_named_in_the_reason_itself():
    told = reason_for(built_of(pair_renewed_together()), "pos_bearing:new")
    assert told.detail == "no complete plan with it: Output bearings are renewed together"
    assert told.requirements[0] == "Output bearings are renewed together"
    assert told.relaxation.detail.startswith(
        "Leaving aside this one (Output bearings are renewed together), the cheapest plan comes to"
    )


def test_reasons_do_not_hang_on_what_the_records_are_numbered():
    def told(*keys: str) -> set[tuple[str, ...]]:
        found = reasons_of(built_of(pair_renewed_together(*keys))).values()
        return {(one.code, one.detail.replace(keys[0], "b"), *one.requirements) for one in found}

    assert told("a1", "z1") == told("z2", "a2")


def test_many_positions_are_told_in_one_phrase(typical):
    keys = [f"position:{p.id}" for p in typical.case.positions]
    assert requirements_told(typical, ["deadline", *keys]) == (
        requirement(typical, "deadline"),
        "everything else that must be done",
    )
    few = requirements_told(typical, [key for key in keys if key != "position:whole"][:3])
    assert len(few) == 3
    assert list(few) == sorted(few)
    assert in_short(few).count(" must be filled") == 3
    assert "(keep" not in in_short(few)


def test_in_one_line_rules_go_before_what_must_be_filled_and_names_stay_whole():
    filled = "bearing (2) must be filled (keep bearing (2): worn)"
    assert in_short([filled]) == "bearing (2) must be filled"
    assert in_short(["seals (both) are renewed together", filled]) == (
        "seals (both) are renewed together"
    )


def test_a_date_that_shuts_a_source_out_beside_the_work_can_be_given_up():
    """Each part in time by itself, the two together not: the date alone is the way out."""
    made = two_shops(
        job=job(required_by_on="2031-03-14", confidence="0.9"),
        parts=[part("bearing"), part("seal")],
        positions=[position("bearing"), position("seal")],
        **looks(bearing="heavy", seal="heavy"),
    )
    made["offers"] = [
        *made["offers"][:1],
        goods("far", "far", "50", ("5", "8"), part_id="prt_bearing"),
        goods("seal", "near", "9", ("5", "8"), part_id="prt_seal"),
    ]
    told = reason_for(built_of(made), "ofr_far")
    assert told.code is ReasonCode.INFEASIBLE
    assert "ready by 2031-03-14" in told.requirements
    assert told.relaxation.requirement == "ready by 2031-03-14"
    assert str(told.relaxation.promise_on) in told.relaxation.detail


def test_when_the_limit_is_reached_the_rest_is_called_not_worked_out(typical):
    planner = planner_of(typical)
    best = solve(typical.case, planner.query).plan
    budget = Budget(limit=0.05)
    found = source_exclusions(typical, best, planner_of(typical, budget))
    open_ones = [one for one in found if one.code is ReasonCode.NOT_WORKED_OUT]
    assert open_ones
    assert all(one.extra is None for one in open_ones)
    assert "what some of the other sources would cost more" in budget.left_out
    assert {one.code for one in found} >= {ReasonCode.TOO_LATE, ReasonCode.DOMINATED}


def test_the_same_reasons_come_out_again(typical, told):
    assert reasons_of(built_of(typical_job())) == told


def test_nothing_in_time_names_the_date_and_the_cheapest_plan_without_it():
    built = built_of(two_shops(job=job(required_by_on="2031-03-04")))
    told = infeasibility(built, 3)
    assert "ready by 2031-03-04" in told.requirements
    assert told.relaxation.requirement == "ready by 2031-03-04"
    assert told.relaxation.expected_total.minor == 5000 + 500 + 6000


def test_a_route_without_a_plan_tells_what_contradicts():
    built = built_of(two_shops())
    told = why_no_plan(built, Route.REFIT, barred_on(built, Route.REFIT))
    assert told.code is ReasonCode.INFEASIBLE
    assert told.requirements == told.reasons
    assert told.reasons[0].startswith("bearing must be filled (keep bearing: nonconforming")
    nothing = why_no_plan(built, Route.NEW, barred_on(built, Route.NEW))
    assert (nothing.code, nothing.requirements) == (ReasonCode.BARRED, ())
    assert nothing.reasons[0] == "no new unit is on offer"


def test_differences_by_class_leave_out_what_is_equal(typical):
    best = solve(typical.case, Query(typical.confidence, typical.deadline)).plan
    assert difference_by_class(typical, best, best) == ()
