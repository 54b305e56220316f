"""The warehouse-location file form, read as a planning case.

Facility = an order with its freight, customer = a position, assignment cost = the price of the
part (null: that pair is forbidden), capacity = at most so many pieces of a facility. Amounts are
ten-thousandths, so that every figure of the file is a whole number.
"""

import json
from decimal import Decimal
from pathlib import Path

from shared.decision.planning.case import (
    CHANCE_ONE,
    AmountLine,
    Capacity,
    CasePosition,
    Charge,
    CostClass,
    PlanningCase,
    Query,
    Source,
)
from shared.decision.planning.solver import Solution, solve

DATA = Path(__file__).parent / "data"
UNITS_PER_ONE = 10_000


def load(name: str) -> dict:
    """A published data file, decimals kept exact."""
    return json.loads((DATA / name).read_text(), parse_float=Decimal)


def solve_exactly(data: dict) -> Solution:
    return solve(warehouse_case(data), Query(CHANCE_ONE))


def warehouse_case(data: dict) -> PlanningCase:
    customers = range(data["n_customers"])
    return PlanningCase(
        positions=(
            CasePosition("root"),
            *(CasePosition(f"customer-{i:02}", "root") for i in customers),
        ),
        sources=(
            Source("each", "root", "part-by-part", resolves_children=True),
            *(
                Source(
                    f"customer-{i:02}-from-{j:02}",
                    f"customer-{i:02}",
                    "new",
                    (_line(CostClass.GOODS, cost),),
                    (f"facility-{j:02}",),
                )
                for i in customers
                for j, cost in enumerate(data["assign_cost"][i])
                if cost is not None
            ),
        ),
        capacities=tuple(
            Capacity(
                f"capacity-{j:02}",
                capacity,
                tuple((f"customer-{i:02}-from-{j:02}", data["demand"][i]) for i in customers),
            )
            for j, capacity in enumerate(data.get("capacity", ()))
        ),
        charges=tuple(
            Charge(f"facility-{j:02}", "order", "facility", (_line(CostClass.FREIGHT, cost),))
            for j, cost in enumerate(data["fixed_cost"])
        ),
    )


def _line(cost_class: CostClass, cost: Decimal) -> AmountLine:
    units = cost * UNITS_PER_ONE
    assert units == int(units)
    return AmountLine(cost_class, "", int(units), int(units))
