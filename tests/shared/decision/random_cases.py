"""Invented small planning cases from a seed: every rule of the planner turns up in some of them."""

from dataclasses import replace
from random import Random

from shared.decision.case import (
    CHANCE_ONE,
    AmountLine,
    Capacity,
    CasePosition,
    CaseSet,
    Charge,
    CostClass,
    LeadTable,
    PlanningCase,
    Source,
)

FEWEST_CHOICES, MOST_CHOICES = 12, 900
CONFIDENCES = (500_000_000, 800_000_000, 900_000_000, 950_000_000, CHANCE_ONE)


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
        sources=tuple(replace(s, charges=mixed(s.charges)) for s in mixed(case.sources)),
        charges=mixed(case.charges),
        lead_tables=mixed(case.lead_tables),
        capacities=tuple(replace(c, uses=mixed(c.uses)) for c in mixed(case.capacities)),
        matched_sets=tuple(
            replace(g, position_ids=mixed(g.position_ids)) for g in mixed(case.matched_sets)
        ),
        renewed_together=mixed(case.renewed_together),
    )


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
        self.tables = [self.table(f"t{i}") for i in range(self.random.randint(1, 4))]
        self.orders = self.order_charges()
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
        )

    def maybe_left_in_place(self, source: Source) -> Source:
        if not self.groups or not source.is_keep or not self.chance(0.4):
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
        for _ in range(self.random.randint(1, self.last_day + 2)):
            if self.chance(0.5):
                step = self.random.choice((50, 100, 300, 500, 900, 1000)) * 1_000_000
                chance = min(CHANCE_ONE, chance + step)
            chances.append(chance)
        if self.chance(0.6):
            chances.append(max(chance, CHANCE_ONE - self.random.choice((0, 0, 0, 1, 400))))
        return LeadTable(table_id, tuple(chances))

    def table_id(self, probability: float) -> str | None:
        return self.random.choice(self.tables).id if self.chance(probability) else None

    def order_charges(self) -> list[Charge]:
        made = []
        for number in range(self.random.randint(1, 3)):
            order = Charge(
                f"order{number}", "order", "freight", self.lines("freight", 100), self.table_id(0.6)
            )
            if self.chance(0.5):
                order = replace(order, shipment=f"van{self.random.randint(0, 1)}")
            made.append(order)
            for line in range(self.random.randint(0, 2)):
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

    def group_charges(self) -> list[Charge]:
        made: list[Charge] = []
        for number in range(self.random.randint(0, 2)):
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
                self.table_id(0.4),
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
        kind = self.random.choice(("keep", "new", "new", "new", "used", "salvaged", "salvaged"))
        if kind == "salvaged" and not self.donors:
            kind = "new"
        charges: list[str] = []
        parts: tuple[str, ...] = ()
        unit = None
        if kind == "keep":
            unit = "own"
        elif kind == "salvaged":
            donor = self.random.choice(self.donors)
            charges.append(donor.id)
            parts = (f"{donor.id}/{position.id if self.chance(0.4) else 'shared'}",)
            unit = donor.id
        else:
            charges.append(self.random.choice(self.orders).id)
            unit = self.random.choice(("set1", "set2", "set2", None))
        if kind != "keep" and self.groups and self.chance(0.5):
            charges.append(self.random.choice(self.groups).id)
        core = self.random.choice(self.donors).id if self.donors and self.chance(0.3) else None
        return Source(
            source_id,
            position.id,
            kind,
            self.lines(kind, 900 if is_whole else 120 if kind == "salvaged" else 400),
            tuple(charges),
            self.random.choice((0, 15, 45, 120, 260)),
            fits_another_part=kind != "keep" and self.chance(0.9),
            is_unused=kind == "new" and self.chance(0.9),
            is_keep=kind == "keep",
            refit_only=(kind == "keep" and self.chance(0.25)) or self.chance(0.01),
            matched_unit=unit,
            physical_parts=parts,
            core_charge=core,
            core_credit_price=self.amount(80) if core else 0,
            core_credit_cost=self.amount(80) if core else 0,
        )

    def kit_sources(self) -> list[Source]:
        if len(self.leaves) < 2 or not self.chance(0.4):
            return []
        order = self.random.choice(self.orders)
        self.kits.append(Charge("kit0", "kit", "kit", self.lines("kit", 300), requires=(order.id,)))
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
