"""Price against date, and the reasons where nothing is feasible, on cases worked by hand."""

from dataclasses import replace

import pytest

from shared.decision.planning.case import Capacity, CasePosition, CaseSet, Charge, Query
from shared.decision.planning.frontier import earliest_ready_day, frontier
from shared.decision.planning.infeasible import explain_infeasible
from shared.decision.planning.solver import SolverStopped, solve
from tests.shared.decision.small_case import (
    P90,
    case,
    fixed,
    keep,
    new,
    order,
    parts,
    two_suppliers,
)


def test_the_front_has_the_two_plans_worth_having_and_the_days_they_hold():
    points = frontier(two_suppliers(), P90)
    assert [(p.plan.objective, p.valid_from_day, p.valid_to_day) for p in points] == [
        (85, 3, 8),
        (53, 9, 30),
    ]


def test_a_plan_as_cheap_and_sooner_takes_the_place_of_the_later_one():
    tied = case(
        [new("a", "root", 10, ["late"]), new("b", "root", 10, ["soon"])],
        [order("late", 0, "nine"), order("soon", 0, "four")],
        [fixed("nine", 9), fixed("four", 4)],
        positions=(),
    )
    (point,) = frontier(tied, P90)
    assert (point.plan.source_ids, point.valid_from_day, point.valid_to_day) == (("b",), 4, 30)


def test_a_front_may_be_asked_of_one_route_alone():
    points = frontier(two_suppliers(), P90, barred_sources=frozenset({"seal-near"}))
    assert [p.plan.objective for p in points] == [53]
    points = frontier(two_suppliers(), P90, forced_sources=frozenset({"seal-near"}))
    assert [p.plan.objective for p in points] == [85, 70]


def test_where_nothing_is_feasible_the_front_is_empty_and_no_day_the_earliest():
    late = two_suppliers(last_day=2)
    assert frontier(late, P90) == ()
    assert earliest_ready_day(late, P90) is None
    assert earliest_ready_day(two_suppliers(), P90) == 3


def test_an_unfinished_search_gives_no_front():
    with pytest.raises(SolverStopped):
        frontier(two_suppliers(), P90, deterministic_limit=0.0)


def test_a_date_too_soon_is_named_with_the_position_that_cannot_make_it():
    assert explain_infeasible(two_suppliers(), Query(P90, deadline=1)) == (
        "deadline",
        "position:root",
        "position:seal",
    )


def test_a_query_that_can_be_met_has_no_reasons():
    assert explain_infeasible(two_suppliers(), Query(P90)) == ()


def test_a_part_that_exists_once_and_is_needed_twice_is_named():
    made = case(
        [
            parts(),
            new("x", "bearing", 1, physical_parts=("donor/shaft",)),
            new("y", "seal", 1, physical_parts=("donor/shaft",)),
        ]
    )
    assert explain_infeasible(made, Query(P90)) == (
        "physical:donor/shaft",
        "position:bearing",
        "position:root",
        "position:seal",
    )


def test_a_kit_too_small_is_named():
    made = case(
        [parts(), new("x", "bearing", 1), new("y", "seal", 1)],
        capacities=(Capacity("kit", 1, (("x", 1), ("y", 1))),),
    )
    assert "capacity:kit" in explain_infeasible(made, Query(P90))


def test_a_matched_set_that_no_unit_has_whole_is_named():
    made = case(
        [
            parts(),
            new("x", "bearing", 1, matched_unit="donor"),
            new("y", "seal", 1, matched_unit="set"),
        ],
        matched_sets=(CaseSet("pair", ("bearing", "seal")),),
    )
    assert explain_infeasible(made, Query(P90)) == (
        "matched:pair",
        "position:root",
        "position:seal",
    )
    together = replace(
        made, matched_sets=(), renewed_together=(CaseSet("pair", ("bearing", "seal")),)
    )
    assert explain_infeasible(together, Query(P90)) == ()


def test_a_seal_that_must_be_renewed_and_has_no_new_part_is_named():
    made = case(
        [parts(), new("x", "bearing", 1, ["case"]), keep("seal")],
        [Charge("case", "opening", "case")],
        positions=(
            CasePosition("bearing", "root"),
            CasePosition("seal", "root", always_renew_with="case"),
        ),
    )
    assert explain_infeasible(made, Query(P90)) == (
        "always:seal",
        "position:bearing",
        "position:root",
        "position:seal",
    )


def test_a_forced_source_that_spoils_the_plan_is_named():
    forced = frozenset({"seal-far"})
    query = Query(P90, deadline=3, forced_sources=forced)
    assert explain_infeasible(two_suppliers(), query) == ("deadline", "forced:seal-far")
    assert solve(two_suppliers(), Query(P90, deadline=3)).plan is not None


def test_refit_only_beside_a_renewal_is_named():
    made = case([parts(), keep("bearing", refit_only=True), new("y", "seal", 1)])
    assert explain_infeasible(made, Query(P90)) == (
        "position:bearing",
        "position:root",
        "position:seal",
        "refit",
    )
