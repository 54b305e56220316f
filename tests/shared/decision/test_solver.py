"""The cheapest plan: rules in force, ties, refusals, and what is said of an unfinished search."""

from dataclasses import replace
from itertools import pairwise

import pytest

from shared.decision.planning.case import (
    CHANCE_ONE,
    CasePosition,
    CaseSet,
    Charge,
    LeadTable,
    PlanningCase,
    Query,
)
from shared.decision.planning.case_check import AMOUNT_LIMIT
from shared.decision.planning.solver import P0, SETTINGS, Planner, SolverStopped, solve
from shared.errors import InvalidInput, OutOfRange
from tests.shared.decision.small_case import (
    P90,
    case,
    fixed,
    goods,
    keep,
    new,
    order,
    parts,
    two_suppliers,
)


def chosen(made: PlanningCase, **query) -> tuple[str, ...] | None:
    plan = solve(made, Query(**{"confidence": P90, **query})).plan
    return plan and tuple(i for i in plan.source_ids if not i.endswith("-parts"))


def test_without_a_date_the_cheapest_supplier_takes_the_whole_order():
    assert chosen(two_suppliers()) == ("bearing-far", "seal-far")


def test_a_date_before_the_cheap_supplier_can_deliver_costs_more():
    assert chosen(two_suppliers(), deadline=8) == ("bearing-near", "seal-near")
    assert chosen(two_suppliers(), deadline=9) == ("bearing-far", "seal-far")
    assert chosen(two_suppliers(), deadline=2) is None
    assert chosen(two_suppliers(), deadline=-1) is None


def test_the_end_of_the_calendar_binds_when_no_date_is_asked():
    assert chosen(two_suppliers(last_day=8)) == ("bearing-near", "seal-near")


def test_bench_time_counts_against_the_date():
    busy = two_suppliers(bench_minutes_per_day=100)
    assert chosen(busy, deadline=12) == ("bearing-near", "seal-near")
    assert chosen(busy, deadline=13) == ("bearing-far", "seal-far")


def test_forced_and_barred_sources_are_heeded():
    assert chosen(two_suppliers(), forced_sources=frozenset({"seal-near"})) == (
        "bearing-far",
        "seal-near",
    )
    assert chosen(two_suppliers(), barred_sources=frozenset({"seal-far", "bearing-far"})) == (
        "bearing-near",
        "seal-near",
    )
    both = frozenset({"seal-far"})
    assert chosen(two_suppliers(), forced_sources=both, barred_sources=both) is None


def test_a_report_says_how_the_answer_was_proven():
    report = solve(two_suppliers(), Query(P90)).report
    assert (report.status, report.is_proven, report.bound) == ("optimal", True, 53)
    assert report.settings.startswith("P0: num_workers=1 random_seed=0")
    assert report.solver == "CP-SAT 9.15.6755"
    none = solve(two_suppliers(), Query(P90, deadline=2)).report
    assert (none.status, none.is_proven) == ("infeasible", True)


def test_presolve_as_shipped_is_never_used():
    assert P0["cp_model_presolve"] is False
    assert SETTINGS["P1"]["presolve_inclusion_work_limit"] == 0
    assert {settings["num_workers"] for settings in SETTINGS.values()} == {1}


def test_an_unfinished_search_is_not_called_infeasible():
    leaves = [f"n{i:02}" for i in range(12)]
    hard = case(
        [parts()]
        + [
            new(f"{n}-{s}", n, 7 + i * s % 5, [f"o{s}"])
            for i, n in enumerate(leaves)
            for s in range(9)
        ],
        [order(f"o{s}", 9 + s % 3) for s in range(9)],
        positions=leaves,
    )
    solution = solve(hard, Query(P90), deterministic_limit=1e-9)
    assert not solution.report.is_proven
    assert solution.report.status in ("unknown", "feasible")
    with pytest.raises(SolverStopped):
        Planner(hard, Query(P90), 1e-9).is_feasible(None)


def test_of_equal_plans_the_earliest_is_taken():
    tied = case(
        [new("a-late", "root", 10, ["late"]), new("b-soon", "root", 10, ["soon"])],
        [order("late", 0, "nine"), order("soon", 0, "four")],
        [fixed("nine", 9), fixed("four", 4)],
        positions=(),
    )
    assert chosen(tied) == ("b-soon",)


def test_of_equal_plans_on_one_day_the_one_with_fewest_charges_is_taken():
    tied = case(
        [
            parts(),
            new("bearing-a", "bearing", 10, ["a"]),
            new("bearing-b", "bearing", 10, ["b"]),
            new("seal-b", "seal", 10, ["b"]),
        ],
        [order("a", 0), order("b", 0)],
    )
    assert chosen(tied) == ("bearing-b", "seal-b")


def test_charges_are_counted_even_where_one_source_alone_needs_them():
    tied = case(
        [new("a", "root", 10, ["one", "two"]), new("b", "root", 10, ["three"])],
        [order("one", 0), order("two", 0), order("three", 0)],
        positions=(),
    )
    assert chosen(tied) == ("b",)


def test_of_equal_plans_with_as_many_charges_the_smallest_ids_are_taken():
    leaves = [f"n{i:02}" for i in range(40)]
    tied = case(
        [parts()] + [new(f"{n}-{letter}", n, 3) for n in leaves for letter in "cba"],
        positions=leaves,
    )
    assert chosen(tied) == tuple(f"{n}-a" for n in leaves)


def test_a_charge_with_a_negative_amount_is_not_opened_for_its_own_sake():
    """Worth got back from a donor counts only if a part of it is used."""
    made = case(
        [keep("root"), new("x", "root", 80, ["donor"])],
        [
            Charge("donor", "donor", "donor", goods(-50), requires=("stripping",)),
            Charge("stripping", "labour", "stripping", goods(10)),
        ],
        positions=(),
    )
    assert solve(made, Query(P90)).plan.objective == 0


def test_a_part_is_kept_rather_than_a_group_opened_when_that_is_cheaper():
    made = case(
        [
            parts(),
            keep("bearing", charges=("case",)),
            new("x", "bearing", 30),
            keep("seal"),
            new("y", "seal", 60, ["case"]),
        ],
        [Charge("case", "opening", "case", goods(40))],
    )
    assert chosen(made) == ("seal-keep", "x")


def test_a_plan_that_only_rounded_weights_would_allow_is_not_given():
    """Twenty chances of 0.995011527 by day 1: their weights allow it, their product does not."""
    names = [f"c{i:02}" for i in range(20)]
    made = case(
        [new("many", "root", 1, names), new("sure", "root", 50, ["d"])],
        [*(order(name, 0, name) for name in names), order("d", 0, "d")],
        [
            *(LeadTable(name, (0, 995_011_527, 995_011_527, 999_999_999)) for name in names),
            fixed("d", 1),
        ],
        positions=(),
    )
    asked = 904_837_418
    assert solve(made, Query(asked, deadline=2)).plan.source_ids == ("sure",)
    assert solve(made, Query(asked, deadline=3)).plan.source_ids == ("many",)
    unsure = replace(made, sources=made.sources[:1])
    assert solve(unsure, Query(asked, deadline=2)).plan is None
    assert not Planner(unsure, Query(asked)).is_feasible(2)


def test_amounts_as_large_as_are_allowed_are_summed_exactly():
    leaves = [f"n{i}" for i in range(6)]
    large = AMOUNT_LIMIT - 1
    made = case(
        [parts()]
        + [
            new(f"{n}-{i}", n, large - i * k, ["o"]) for k, n in enumerate(leaves) for i in range(3)
        ],
        [order("o", large)],
        positions=leaves,
    )
    assert solve(made, Query(P90)).plan.objective == 7 * large - 2 * sum(range(6))


@pytest.mark.parametrize("amount", [AMOUNT_LIMIT + 1, -AMOUNT_LIMIT - 1, 10**30])
def test_an_amount_out_of_range_is_refused(amount):
    made = case([new("x", "root", amount)], positions=())
    with pytest.raises(OutOfRange):
        solve(made, Query(P90))


@pytest.mark.parametrize("confidence", [0, -1, CHANCE_ONE + 1])
def test_a_confidence_outside_nought_to_one_is_refused(confidence):
    with pytest.raises(OutOfRange) as raised:
        solve(two_suppliers(), Query(confidence))
    assert raised.value.pointer == "/confidence"


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ({"positions": ()}, "/sources/position_id"),
        ({"charges": ()}, "/sources/charges"),
        ({"lead_tables": ()}, "/charges/lead_table_id"),
        ({"lead_tables": (LeadTable("two days", (5, 4)), fixed("eight days", 8))}, "/lead_tables"),
        ({"matched_sets": (CaseSet("m", ("nowhere",)),)}, "/sets/position_ids"),
        ({"bench_minutes_per_day": 0}, "/bench_minutes_per_day"),
        (
            {"charges": (order("near", 5, requires=("far",)), order("far", 5, requires=("near",)))},
            "/charges/requires",
        ),
    ],
)
def test_an_unsound_case_is_refused_by_field(changes, pointer):
    with pytest.raises(InvalidInput) as raised:
        solve(two_suppliers(**changes), Query(P90))
    assert raised.value.pointer == pointer


def test_a_position_below_itself_is_refused():
    made = two_suppliers()
    root, bearing, seal = made.positions
    loop = (root, replace(bearing, parent_id="seal"), replace(seal, parent_id="bearing"))
    with pytest.raises(InvalidInput) as raised:
        solve(replace(made, positions=loop), Query(P90))
    assert raised.value.pointer == "/positions"


def test_forcing_a_source_that_is_not_there_is_refused():
    with pytest.raises(InvalidInput) as raised:
        solve(two_suppliers(), Query(P90, forced_sources=frozenset({"nothing"})))
    assert raised.value.pointer == "/forced_sources"


def test_a_hundred_levels_are_solved():
    names = ["root", *(f"level{i:03}" for i in range(1, 100))]
    deep = case(
        [*(parts(name) for name in names[:-1]), keep(names[-1])],
        positions=[CasePosition(name, parent) for parent, name in pairwise(names)],
    )
    assert len(solve(deep, Query(P90)).plan.source_ids) == 100
