"""Warehouse location with capacities, 5 customers and 3 facilities.

Source: teaching example of an open solver's textbook; data and the splittable optimum 5610 from
memory. Here a position has one source, so only its other two forms apply: one facility a customer
(6620, by three solvers) and without capacities (5510, by enumeration).
"""

from tests.published.facility_location import UNITS_PER_ONE, load, solve_exactly


def test_cflp_5x3_with_one_facility_a_customer():
    assert solve_exactly(load("cflp_5x3.json")).plan.objective == 6620 * UNITS_PER_ONE


def test_cflp_5x3_without_capacities():
    data = load("cflp_5x3.json")
    del data["capacity"]
    assert solve_exactly(data).plan.objective == 5510 * UNITS_PER_ONE
