"""Warehouse location with forbidden pairs, 5 x 8.

Source: a small instance kept in a public repository beside the OR-Library files (attributed, from
memory, to a branch-and-bound paper of 1972). No published optimum was found; 1235 is the value on
which full enumeration and three solvers agree.
"""

from tests.published.facility_location import UNITS_PER_ONE, load, solve_exactly


def test_forbidden_5x8_comes_to_the_value_of_its_enumeration():
    data = load("forbidden_5x8.json")
    plan = solve_exactly(data).plan
    assert plan.objective == 1235 * UNITS_PER_ONE
    assert list(plan.charge_ids) == [f"facility-{j:02}" for j in data["open_facilities"]]
