"""Five positions, six suppliers with freight and lognormal lead times, and a donor unit.

Source: constructed; the front by enumeration of all 1,280 choices and by two solvers, at a service
level of 0.9. Here days are whole: a front point is ready on the first whole day by which its
suppliers reach 0.9 together, so each published P90 is rounded up, and the published point of 304 at
14.01 days falls to that of 301 at 14.51, both being ready on day 15.
"""

from decimal import Decimal
from math import ceil

import pytest

from shared.decision.planning.case import (
    AmountLine,
    CasePosition,
    Charge,
    CostClass,
    LeadTable,
    PlanningCase,
    Query,
    Source,
)
from shared.decision.planning.frontier import earliest_ready_day, frontier
from shared.decision.planning.solver import solve
from shared.sourcing.lead_time import chance_by_day
from tests.published.facility_location import load

LAST_DAY = 40
SERVICE_LEVEL = 900_000_000
DATA = load("sourcing_5pos.json")
# Cost and first whole day, from the published points; 304 @ 14.0076 is ready no sooner than 301.
FRONT = [(741, 5), (722, 6), (489, 9), (323, 14), (301, 15), (278, 25), (250, 27)]


def sourcing_case() -> PlanningCase:
    suppliers = DATA["suppliers"]
    return PlanningCase(
        positions=(
            CasePosition("root"),
            *(CasePosition(name, "root") for name in sorted(DATA["option_cost"])),
        ),
        sources=(
            Source("each", "root", "part-by-part", resolves_children=True),
            *(
                Source(f"{name}/{supplier}", name, "new", line(cost), (supplier,))
                for name, costs in DATA["option_cost"].items()
                for supplier, cost in costs.items()
            ),
        ),
        charges=tuple(
            Charge(name, "order", name, line(terms["fixed_cost"]), lead_table_id=name)
            for name, terms in suppliers.items()
        ),
        lead_tables=tuple(
            LeadTable(
                name,
                chance_by_day(Decimal(terms["p50_days"]), Decimal(terms["p90_days"]), 0, LAST_DAY),
            )
            for name, terms in suppliers.items()
        ),
        last_day=LAST_DAY,
    )


def line(cost: int) -> tuple[AmountLine, ...]:
    return (AmountLine(CostClass.GOODS, "", cost, cost),)


def test_the_front_is_the_published_one_in_whole_days():
    points = frontier(sourcing_case(), SERVICE_LEVEL)
    assert [(point.plan.objective, point.plan.ready_day) for point in points] == FRONT


def test_each_point_has_the_published_suppliers_and_choice():
    published = {point["cost"]: point for point in DATA["pareto_front"]}
    for point in frontier(sourcing_case(), SERVICE_LEVEL):
        expected = published[point.plan.objective]
        choice = dict(i.split("/") for i in point.plan.source_ids if "/" in i)
        assert choice == expected["choice"]
        assert sorted(point.plan.charge_ids) == sorted(expected["suppliers"])
        assert point.plan.ready_day == ceil(expected["p90_days"])


@pytest.mark.parametrize(
    ("deadline", "cost"), [(row["deadline"], row["min_cost"]) for row in DATA["deadline_table"]]
)
def test_a_deadline_between_whole_days_costs_what_is_published(deadline, cost):
    """14.5 days is no whole day: on day 14 the published 304 @ 14.0076 is not ready yet."""
    plan = solve(sourcing_case(), Query(SERVICE_LEVEL, int(deadline))).plan
    expected = 323 if cost == 304 else cost
    assert (plan and plan.objective) == expected


def test_nothing_is_ready_before_the_published_fastest_point():
    assert earliest_ready_day(sourcing_case(), SERVICE_LEVEL) == 5
