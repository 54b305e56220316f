"""Invented planning cases of a given size, the same in every run."""

from dataclasses import replace
from decimal import Decimal
from random import Random

from shared.decision.planning.case import (
    AmountLine,
    CasePosition,
    Charge,
    CostClass,
    LeadTable,
    PlanningCase,
    Source,
    Waiting,
)
from shared.sourcing.lead_time import chance_by_day

LAST_DAY = 60
POSITIONS_PER_GROUP = 12


def bench_case(positions: int, options: int, seed: int = 1) -> PlanningCase:
    """So many leaf positions in sub-assemblies, so many sources each, half as many suppliers."""
    random = Random(seed)
    orders, tables, premium = _suppliers(random, max(4, options // 2))
    groups = [f"sub-{k:02}" for k in range(max(1, positions // POSITIONS_PER_GROUP))]
    openings = tuple(
        Charge(
            f"opening-{k}",
            "opening",
            "opening",
            _line(CostClass.OPENING, 5000),
            requires=(f"opening-{k - 1}",) if k else (),
            bench_minutes=60,
        )
        for k in range(3)
    )
    tree = [CasePosition("root"), *(CasePosition(group, "root") for group in groups)]
    sources = [
        Source(f"{name}-parts", name, "part-by-part", resolves_children=True)
        for name in ("root", *groups)
    ]
    for number in range(positions):
        name, worth = f"position-{number:03}", random.randint(2_000, 30_000)
        tree.append(CasePosition(name, random.choice(["root", *groups])))
        for option in range(options):
            order = random.choice(orders)
            price = int(worth * random.uniform(0.7, 1.3) * premium[order.id])
            sources.append(
                Source(
                    f"{name}-{option:02}",
                    name,
                    "new",
                    _line(CostClass.GOODS, price),
                    (order.id, *([f"opening-{number % 3}"] if option else [])),
                    random.choice((10, 15, 20)),
                )
            )
    return PlanningCase(
        positions=tuple(tree),
        sources=tuple(sources),
        charges=(*orders, *openings),
        lead_tables=tables,
        last_day=LAST_DAY,
    )


def with_waiting(case: PlanningCase, per_day: int = 1_500) -> PlanningCase:
    """The same case where every day until the unit is ready costs that much."""
    costs = tuple(per_day * day for day in range(case.last_day + 1))
    waiting = Waiting("standstill", CostClass.STANDSTILL, "standstill", costs, costs)
    return replace(case, waiting=(waiting,))


def _suppliers(
    random: Random, count: int
) -> tuple[list[Charge], tuple[LeadTable, ...], dict[str, float]]:
    """Orders with freight and lead time; the quicker a supplier, the dearer its goods."""
    orders, tables, premium = [], [], {}
    for number in range(count):
        name, p50 = f"order-{number:02}", round(random.uniform(1, 15), 1)
        p90 = round(p50 * random.uniform(1.2, 2.5), 1)
        chances = chance_by_day(Decimal(str(p50)), Decimal(str(p90)), 0, LAST_DAY)
        tables.append(LeadTable(name, chances))
        freight = _line(CostClass.FREIGHT, random.randint(800, 4_000))
        orders.append(Charge(name, "order", name, freight, name))
        premium[name] = 1 + 0.15 * (15 / p50) ** 0.5
    return orders, tuple(tables), premium


def _line(cost_class: CostClass, amount: int) -> tuple[AmountLine, ...]:
    return (AmountLine(cost_class, "", amount, amount),)
