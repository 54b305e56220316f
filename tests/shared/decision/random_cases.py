"""Invented small planning cases from a seed: every rule of the planner turns up in some of them."""

from dataclasses import replace
from random import Random

from shared.decision.planning.case import (
    CHANCE_ONE,
    AmountLine,
    Capacity,
    CasePosition,
    CaseSet,
    Charge,
    CostClass,
    LeadTable,
    OrderTerms,
    PlanningCase,
    Source,
    StockItem,
    Tier,
    Waiting,
)
from shared.sourcing.model import ArrivalDependence, BelowMinimum

FEWEST_CHOICES, MOST_CHOICES = 12, 900
CONFIDENCES = (300_000_000, 500_000_000, 800_000_000, 900_000_000, 950_000_000, CHANCE_ONE)
NEAR_A_CONFIDENCE = tuple(
    chance * 100_000
    for chance in (5800, 6300, 7200, 7300, 8100, 8200, 8950, 8970, 9000, 9310, 9490, 9660, 9748)
)
"""Among them chances of which two or three multiplied reach a confidence that their sum misses."""


def random_case(seed: int) -> PlanningCase:
    """The case of a seed; ``FEWEST_CHOICES`` to ``MOST_CHOICES`` ways to choose sources."""
    random = Random(seed)
    while True:
        case = _Maker(random).case()
        if FEWEST_CHOICES <= count_choices(case) <= MOST_CHOICES:
            return case


def shuffled(case: PlanningCase, seed: int) -> PlanningCase:
    """The same case with its records in another order; lines of one record keep theirs."""
    random = Random(seed)

    def mixed(records):
        return tuple(random.sample(records, len(records)))

    return replace(
        case,
        positions=mixed(case.positions),
        sources=tuple(
            replace(
                s,
                charges=mixed(s.charges),
                purchases=mixed(s.purchases),
                goods_values=mixed(s.goods_values),
            )
            for s in mixed(case.sources)
        ),
        charges=mixed(case.charges),
        lead_tables=mixed(case.lead_tables),
        capacities=tuple(replace(c, uses=mixed(c.uses)) for c in mixed(case.capacities)),
        matched_sets=tuple(
            replace(g, position_ids=mixed(g.position_ids)) for g in mixed(case.matched_sets)
        ),
        renewed_together=mixed(case.renewed_together),
        items=mixed(case.items),
        waiting=mixed(case.waiting),
    )


def risk_limit(seed: int, case: PlanningCase) -> int | None:
    """A limit on the risk for every third seed, within what the case can come to."""
    if seed % 3:
        return None
    positions = {source.position_id for source in case.sources}
    return Random(seed).randint(0, 45_000 * len(positions))


def count_choices(case: PlanningCase) -> int:
    def count(position_id):
        total = 0
        for source in case.sources:
            if source.position_id == position_id:
                product = 1
                if source.resolves_children:
                    for child in case.positions:
                        if child.parent_id == position_id:
                            product *= count(child.id)
                total += product
        return total

    return count("p0")


class _Maker:
    def __init__(self, random: Random) -> None:
        self.random = random
        self.often_tied = random.random() < 0.3
        self.often_awaits = random.random() < 0.3
        self.last_day = random.randint(5, 16)

    def chance(self, probability: float) -> bool:
        return self.random.random() < probability

    def amount(self, high: int = 400) -> int:
        if self.often_tied:
            return self.random.choice((0, 5, 5, 10))
        return self.random.randint(0, high)

    def lines(self, label: str, high: int = 400, low: int | None = None) -> tuple[AmountLine, ...]:
        made = []
        for cost_class in self.random.sample(list(CostClass), self.random.randint(1, 2)):
            cost = self.amount(high) if low is None else self.random.randint(low, high)
            price = cost + self.random.randint(0, 20) * (not self.often_tied)
            made.append(AmountLine(cost_class, label, cost, price, self.chance(0.8)))
        return tuple(made)

    def case(self) -> PlanningCase:
        self.positions = self.tree()
        self.leaves = [
            p.id for p in self.positions if all(c.parent_id != p.id for c in self.positions)
        ]
        self.tables = [self.table(f"t{i}") for i in range(self.random.randint(2, 5))]
        self.orders = self.order_charges()
        self.items = self.stock_items()
        self.groups = self.group_charges()
        self.donors = self.donor_charges()
        self.kits: list[Charge] = []
        self.capacities: list[Capacity] = []
        self.always = {
            leaf: self.random.choice(self.groups).id
            for leaf in self.leaves
            if self.groups and self.chance(0.25)
        }
        self.positions = [
            replace(p, always_renew_with=self.always.get(p.id)) for p in self.positions
        ]
        self.matched = self.some_set("m", 0.4, self.leaves)
        self.together = self.some_set("r", 0.4, [p.id for p in self.positions[1:]])
        sources = [s for p in self.positions for s in self.sources_at(p)]
        sources += self.kit_sources()
        sources = [self.maybe_left_in_place(source) for source in sources]
        charges = [*self.orders, *self.groups, *self.donors, *self.kits]
        return PlanningCase(
            positions=tuple(sorted(self.positions, key=lambda p: p.id)),
            sources=tuple(sorted(sources, key=lambda s: s.id)),
            charges=tuple(sorted(charges, key=lambda c: c.id)),
            lead_tables=tuple(self.tables),
            capacities=tuple(self.capacities),
            matched_sets=self.matched,
            renewed_together=self.together,
            bench_minutes_per_day=self.random.choice((100, 240, 480)),
            starts_on_day_zero=self.chance(0.7),
            last_day=self.last_day,
            counts_price=self.chance(0.7),
            items=tuple(self.items),
            waiting=self.waiting(),
            arrival_dependence=self.random.choice(list(ArrivalDependence)),
        )

    def waiting(self) -> tuple[Waiting, ...]:
        made = []
        for number in range(self.random.choice((0, 0, 1, 1, 2))):
            sides: list[tuple[int, ...]] = []
            for _ in range(2):
                amount, amounts = 0, []
                for _ in range(self.last_day + 1):
                    amount += self.random.choice((0, 0, self.amount(40), self.amount(40)))
                    amounts.append(amount)
                sides.append(tuple(amounts))
            is_billed = self.chance(0.5)
            kind = CostClass.WAITING if is_billed else CostClass.STANDSTILL
            made.append(Waiting(f"waiting{number}", kind, "waiting", *sides, is_billed))
        return tuple(made)

    def stock_items(self) -> list[StockItem]:
        """Items with breaks, packs, least and available quantities, most of them ordered."""
        made = []
        for number in range(self.random.choice((0, 1, 2, 2))):
            tiers, begins, cost = [], self.random.choice((1, 1, 1, 2, 3)), self.amount(90)
            for _ in range(self.random.choice((1, 2, 2, 3))):
                price = cost + self.random.randint(0, 9) * (not self.often_tied)
                tiers.append(Tier(begins, cost, price))
                begins += self.random.randint(1, 3)
                cost = cost * self.random.choice((20, 30, 50, 70, 110)) // 100
            order = self.random.choice(self.order_ids) if self.chance(0.9) else None
            available = self.random.choice((None, None, 1, 2, 3, 5, 8))
            size = self.random.choice((1, 1, 2, 3, 4))
            made.append(StockItem(f"item{number}", "o-ring", tuple(tiers), size, available, order))
        return made

    def terms(self) -> OrderTerms | None:
        if self.chance(0.3):
            return None
        return OrderTerms(
            minimum=self.random.choice((0, self.amount(500), self.amount(500))),
            below=self.random.choice((BelowMinimum.TOP_UP, *BelowMinimum)),
            fee_cost=self.amount(60),
            fee_price=self.amount(60),
            free_from=self.random.choice((None, self.amount(600), self.amount(600))),
        )

    def maybe_left_in_place(self, source: Source) -> Source:
        if not self.groups or not source.is_keep or not self.chance(0.6):
            return source
        return replace(source, only_while_closed=self.random.choice(self.groups).id)

    def tree(self) -> list[CasePosition]:
        depth = {"p0": 0}
        made = [CasePosition("p0")]
        for number in range(1, self.random.randint(2, 6)):
            parent = self.random.choice([p for p in depth if depth[p] < 2])
            made.append(CasePosition(f"p{number}", parent))
            depth[f"p{number}"] = depth[parent] + 1
        return made

    def table(self, table_id: str) -> LeadTable:
        chances, chance = [], 0
        if self.often_awaits or self.chance(0.6):
            return self.slow_table(table_id)
        for _ in range(self.random.randint(1, self.last_day + 2)):
            if self.chance(0.5):
                step = self.random.choice((50, 100, 300, 500, 900, 1000)) * 1_000_000
                chance = min(CHANCE_ONE, chance + step)
            chances.append(chance)
        if self.chance(0.6):
            chances.append(max(chance, CHANCE_ONE - self.random.choice((0, 0, 0, 1, 400))))
        return LeadTable(table_id, tuple(chances))

    def slow_table(self, table_id: str) -> LeadTable:
        """Rises by little, past chances at which it matters what else is awaited."""
        chances = [0] * self.random.randint(0, 3)
        for chance in sorted(self.random.sample(NEAR_A_CONFIDENCE, 4)):
            chances += [chance] * self.random.randint(1, 4)
        return LeadTable(table_id, (*chances, CHANCE_ONE)[: self.last_day + 1])

    def table_id(self, probability: float) -> str | None:
        is_awaited = self.often_awaits or self.chance(probability)
        return self.random.choice(self.tables).id if is_awaited else None

    def order_charges(self) -> list[Charge]:
        made = []
        for number in range(self.random.randint(1, 3)):
            order = Charge(
                f"order{number}",
                "order",
                "freight",
                self.freight(),
                self.table_id(0.9),
                order=self.terms(),
            )
            if self.chance(0.4):
                order = replace(order, shipment=f"van{self.random.randint(0, 1)}")
            made.append(order)
            for line in range(self.random.randint(1, 3)):
                made.append(
                    Charge(
                        f"line{number}{line}",
                        "line",
                        "order line",
                        lead_table_id=self.table_id(0.9),
                        shipment=order.shipment,
                        requires=(order.id,) if self.chance(0.8) else (),
                    )
                )
        return made

    @property
    def order_ids(self) -> list[str]:
        return [charge.id for charge in self.orders if charge.kind == "order"]

    def freight(self) -> tuple[AmountLine, ...]:
        high = 30 if self.often_awaits else 100
        paid = AmountLine(CostClass.FREIGHT, "freight", self.amount(high), self.amount(high))
        return (*self.lines("handling", 30), paid) if self.chance(0.4) else (paid,)

    def group_charges(self) -> list[Charge]:
        made: list[Charge] = []
        for number in range(self.random.choice((0, 1, 2, 2, 3))):
            made.append(
                Charge(
                    f"group{number}",
                    "opening",
                    "opening",
                    self.lines("opening", 120),
                    requires=tuple(c.id for c in made[-1:]) if self.chance(0.8) else (),
                    bench_minutes=self.random.choice((0, 30, 90)),
                    is_open=self.chance(0.25),
                )
            )
        return made

    def donor_charges(self) -> list[Charge]:
        return [
            Charge(
                f"donor{number}",
                "donor",
                "donor",
                self.lines("donor", 150, low=-60),
                self.table_id(0.7),
                bench_minutes=self.random.choice((0, 60)),
            )
            for number in range(self.random.randint(0, 2))
        ]

    def some_set(self, name: str, probability: float, among: list[str]) -> tuple[CaseSet, ...]:
        if len(among) < 2 or not self.chance(probability):
            return ()
        size = self.random.randint(2, min(3, len(among)))
        return (CaseSet(f"{name}0", tuple(sorted(self.random.sample(among, size)))),)

    def sources_at(self, position: CasePosition) -> list[Source]:
        if position.id in self.leaves:
            return [
                self.source(position, f"{position.id}-{letter}")
                for letter in "abcd"[: self.random.randint(2, 4)]
            ]
        made = [
            self.source(position, f"{position.id}-w{number}", is_whole=True)
            for number in range(self.random.randint(0, 2))
        ]
        if self.chance(0.93) or not made:
            made.append(
                Source(
                    f"{position.id}-parts",
                    position.id,
                    "part-by-part",
                    self.lines("dismantling", 30) if self.chance(0.3) else (),
                    tuple(c.id for c in self.groups[:1]) if self.chance(0.2) else (),
                    self.random.choice((0, 0, 20)),
                    resolves_children=True,
                )
            )
        return made

    def source(self, position: CasePosition, source_id: str, is_whole: bool = False) -> Source:
        kind = self.random.choice(
            ("keep", "keep", "new", "new", "new", "used", "salvaged", "salvaged", "salvaged")
        )
        is_sure = kind == "keep" and self.often_awaits and self.chance(0.7)
        if is_sure or (kind == "salvaged" and not self.donors):
            kind = "new"
        charges: list[str] = []
        parts: tuple[str, ...] = ()
        unit = None
        bought: dict[str, tuple[tuple[str, int], ...]] = {}
        if kind == "keep":
            unit = "own"
        elif kind == "salvaged":
            donor = self.random.choice(self.donors)
            charges.append(donor.id)
            parts = (f"{donor.id}/{position.id if self.chance(0.2) else 'shared'}",)
            unit = donor.id
        else:
            charges.append(self.random.choice(self.orders).id)
            bought = self.bought(charges[0])
            unit = self.random.choice(("set1", "set2", "set2", None))
        if kind != "keep" and self.groups and self.chance(0.6):
            charges.append(self.random.choice(self.groups).id)
        core = self.random.choice(self.donors).id if self.donors and self.chance(0.3) else None
        return Source(
            source_id,
            position.id,
            kind,
            () if bought.get("purchases") else self.lines(kind, self.highest(kind, is_whole)),
            tuple(dict.fromkeys(charges)),
            self.random.choice((0, 15, 45, 120, 260)),
            fits_another_part=kind != "keep" and self.chance(0.9),
            is_unused=kind == "new" and self.chance(0.9),
            is_keep=kind == "keep",
            refit_only=(kind == "keep" and self.chance(0.4)) or self.chance(0.01),
            matched_unit=unit,
            physical_parts=parts,
            core_charge=core,
            core_credit_price=self.amount(80) if core else 0,
            core_credit_cost=self.amount(80) if core else 0,
            risk=self.random.choice((0, 5_000, 20_000, 60_000, 90_000)),
            **bought,
        )

    @staticmethod
    def highest(kind: str, is_whole: bool) -> int:
        return 900 if is_whole else 120 if kind == "salvaged" else 400

    def bought(self, charge_id: str) -> dict:
        """Pieces of an item, or goods that count toward an order of their own."""
        if self.items and self.chance(0.6):
            items = self.random.sample(
                self.items, min(len(self.items), self.random.choice((1, 1, 2)))
            )
            return {"purchases": tuple((item.id, self.random.randint(1, 4)) for item in items)}
        if charge_id in self.order_ids and self.chance(0.6):
            return {"goods_values": ((charge_id, self.amount(400)),)}
        return {}

    def kit_sources(self) -> list[Source]:
        if len(self.leaves) < 2 or not self.chance(0.6):
            return []
        order = self.random.choice([charge for charge in self.orders if charge.kind == "order"])
        worth = ((order.id, self.amount(400)),) * self.chance(0.8)
        kit = Charge("kit0", "kit", "kit", self.lines("kit", 300), requires=(order.id,))
        self.kits.append(replace(kit, goods_values=worth))
        made = [
            Source(
                f"{leaf}-kit",
                leaf,
                "kit",
                charges=("kit0",),
                bench_minutes=30,
                fits_another_part=True,
                is_unused=True,
                matched_unit="kit0",
            )
            for leaf in self.random.sample(self.leaves, self.random.randint(2, len(self.leaves)))
        ]
        uses = tuple((source.id, self.random.randint(1, 2)) for source in made)
        self.capacities.append(Capacity("kit0-contents", self.random.randint(1, 4), uses))
        return made
