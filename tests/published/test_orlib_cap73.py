"""Warehouse location, 16 warehouses and 50 customers: cap73 of the OR-Library.

Source: OR-Library, uncapacitated warehouse location, cap73 and its file of optimal values. The
optimum is printed as 1010641.450; the tolerance is half its last digit.
"""

import pytest

from tests.published.facility_location import UNITS_PER_ONE, load, solve_exactly

PUBLISHED_OPTIMUM = 1010641.450


def test_cap73_is_solved_to_its_published_optimum():
    solution = solve_exactly(load("orlib_cap73.json"))
    assert solution.report.is_proven
    optimum = solution.plan.objective / UNITS_PER_ONE
    assert optimum == pytest.approx(PUBLISHED_OPTIMUM, abs=0.0005)


def test_cap73_opens_the_warehouses_of_its_only_optimal_set():
    data = load("orlib_cap73.json")
    opened = [f"facility-{j:02}" for j in data["open_facilities"]]
    assert list(solve_exactly(data).plan.charge_ids) == opened
