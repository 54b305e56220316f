"""A small case worked by hand: two positions below a root, two suppliers, one group to open."""

from dataclasses import replace

from shared.decision.planning.case import (
    CHANCE_ONE,
    AmountLine,
    CasePosition,
    Charge,
    CostClass,
    LeadTable,
    PlanningCase,
    Source,
    StockItem,
    Tier,
)

P90 = 900_000_000


def goods(price: int, cost: int | None = None) -> tuple[AmountLine, ...]:
    return (AmountLine(CostClass.GOODS, "part", price if cost is None else cost, price),)


def fixed(table_id: str, days: int) -> LeadTable:
    """There for certain at the end of a day, not before."""
    return LeadTable(table_id, (0,) * days + (CHANCE_ONE,))


def parts(position_id: str = "root", **fields) -> Source:
    return Source(
        f"{position_id}-parts", position_id, "part-by-part", resolves_children=True, **fields
    )


def new(source_id: str, position_id: str, price: int, charges=(), **fields) -> Source:
    return Source(
        source_id,
        position_id,
        "new",
        goods(price),
        tuple(charges),
        **{"fits_another_part": True, "is_unused": True, **fields},
    )


def keep(position_id: str, **fields) -> Source:
    return Source(f"{position_id}-keep", position_id, "keep", is_keep=True, **fields)


def order(charge_id: str, freight: int, table_id: str | None = None, **fields) -> Charge:
    line = AmountLine(CostClass.FREIGHT, "freight", freight, freight)
    return Charge(charge_id, "order", charge_id, (line,), table_id, **fields)


def item(item_id: str, *tiers: tuple[int, int], **fields) -> StockItem:
    """Goods by the pack: (from so many packs, cost of each); price as cost."""
    return StockItem(item_id, item_id, tuple(Tier(n, cost, cost) for n, cost in tiers), **fields)


def takes(source_id: str, position_id: str, item_id: str, pieces: int, charges=(), **fields):
    """A new part taken from an item's packs."""
    purchases = ((item_id, pieces),)
    return replace(new(source_id, position_id, 0, charges, purchases=purchases, **fields), lines=())


def case(sources, charges=(), tables=(), positions=("bearing", "seal"), **fields) -> PlanningCase:
    return PlanningCase(
        positions=(
            CasePosition("root"),
            *(p if isinstance(p, CasePosition) else CasePosition(p, "root") for p in positions),
        ),
        sources=tuple(sources),
        charges=tuple(charges),
        lead_tables=tuple(tables),
        **{"last_day": 30, **fields},
    )


def two_suppliers(**fields) -> PlanningCase:
    """Near: dear, there on day 2. Far: cheap, there on day 8. One day of bench work either way.

    All near 60 + 20 + 5 = 85, ready on day 3; all far 30 + 8 + 15 = 53, ready on day 9; mixed costs
    both freights: bearing far, seal near 30 + 20 + 15 + 5 = 70, no sooner than all far.
    """
    made = case(
        [
            parts(bench_minutes=300),
            new("bearing-near", "bearing", 60, ["near"], bench_minutes=60),
            new("bearing-far", "bearing", 30, ["far"], bench_minutes=60),
            new("seal-near", "seal", 20, ["near"], bench_minutes=60),
            new("seal-far", "seal", 8, ["far"], bench_minutes=60),
        ],
        [order("near", 5, "two days"), order("far", 15, "eight days")],
        [fixed("two days", 2), fixed("eight days", 8)],
    )
    return replace(made, **fields)
