"""Warehouse location with capacities, one warehouse a store: problem 034 of the CSPLib.

Source: CSPLib problem 034, its 5 x 10 example and its printed optimum 383. The value without
capacities (328) is not printed there: enumeration and three solvers agree on it.
"""

from tests.published.facility_location import UNITS_PER_ONE, load, solve_exactly


def test_csplib034_is_solved_to_its_published_optimum():
    solution = solve_exactly(load("csplib034.json"))
    assert solution.report.is_proven
    assert solution.plan.objective == 383 * UNITS_PER_ONE


def test_csplib034_serves_each_store_as_published():
    data = load("csplib034.json")
    chosen = [
        f"customer-{store:02}-from-{warehouse:02}"
        for store, warehouse in enumerate(data["published_assignment"])
    ]
    plan = solve_exactly(data).plan
    assert [source for source in plan.source_ids if source != "each"] == chosen


def test_csplib034_without_its_capacities():
    data = load("csplib034.json")
    del data["capacity"]
    assert solve_exactly(data).plan.objective == 328 * UNITS_PER_ONE
