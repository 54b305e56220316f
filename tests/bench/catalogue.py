"""A catalogue of any size, invented, and the same in every run of the same size and seed.

Parts lie in families of 2 to 20; three claims each, most within the family, a third of them under a
condition; a tenth have a designation by a standard, of which there are a few hundred, so that many
share one. Beside them what makes a walk long: hubs with thousands of stand-ins, chains of a
thousand supersessions, loops.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property
from itertools import chain
from random import Random
from time import perf_counter
from typing import Any, Final

from sqlalchemy.orm import Session

from db.engine import Sessions, make_engine
from db.migrate import upgrade
from db.models.access import shops
from db.queries.access import Principal, make_shop_and_key, now
from db.queries.assemblies import ASSEMBLIES, POSITIONS, RULINGS
from db.queries.condition import UNITS
from db.queries.interchange import CLAIMS, NUMBER_RULES, PARTS, SUPERSESSIONS
from db.queries.sourcing import OFFERS, SUPPLIERS
from shared.assemblies.model import Assembly, Position, Ruling, ServiceabilityRuling
from shared.interchange.model import (
    Part,
    Supersession,
)
from shared.money import Money
from shared.sourcing.model import GoodsCondition, Offer, OfferKind, Supplier
from tests.bench.bulk import Loader, loading
from tests.bench.catalogue_records import (
    MAKERS,
    PLAIN_SHAPES,
    assembly_id,
    claim_shapes,
    family_link,
    part_id,
    part_of,
    position_id,
    rules,
    superseded,
    unit_of,
    written,
)

HUBS: Final = 3
HUB_SUCCESSORS: Final = 5_000
CHAINS: Final = 2
CHAIN_LENGTH: Final = 1_000
LOOPS: Final = 20
LOOP_LENGTH: Final = 3
OTHER_SHOPS: Final = tuple(f"shp_{number:026}" for number in range(1, 10))
CLAIMS_OF_A_PART: Final = 3
PARTS_OF_AN_ASSEMBLY: Final = 10
OFFERED: Final = 1_000
DONORS: Final = 200


@dataclass(frozen=True)
class Size:
    """How many parts, and how long the unusual shapes are: shorter only for a small catalogue."""

    parts: int
    seed: int = 1

    @property
    def successors(self) -> int:
        return min(HUB_SUCCESSORS, self.parts // 3)

    @property
    def chain(self) -> int:
        return min(CHAIN_LENGTH, self.parts // 20)


@dataclass(frozen=True)
class Catalogue:
    """What is in it; parts count from 0: hubs first, then chains, loops, families.

    ``shop_id`` is the shop that asks: a tenth of the claims and all offers and donors are its own.
    """

    size: Size
    shop_id: str

    @property
    def hubs(self) -> range:
        return range(HUBS)

    @property
    def chains(self) -> tuple[range, ...]:
        length = self.size.chain
        return tuple(range(HUBS + n * length, HUBS + (n + 1) * length) for n in range(CHAINS))

    @property
    def loops(self) -> tuple[range, ...]:
        start = HUBS + CHAINS * self.size.chain
        return tuple(
            range(start + n * LOOP_LENGTH, start + (n + 1) * LOOP_LENGTH) for n in range(LOOPS)
        )

    @property
    def first_ordinary(self) -> int:
        return HUBS + CHAINS * self.size.chain + LOOPS * LOOP_LENGTH

    @property
    def ordinary(self) -> range:
        """The parts in families."""
        return range(self.first_ordinary, self.size.parts)

    @property
    def assemblies(self) -> range:
        return range(max(2, self.size.parts // 200))

    @property
    def positions(self) -> range:
        return range(len(self.assemblies) * PARTS_OF_AN_ASSEMBLY)

    @cached_property
    def families(self) -> tuple[range, ...]:
        random, found, start = Random(self.size.seed), [], self.first_ordinary
        while start < self.size.parts:
            end = min(start + random.randint(2, 20), self.size.parts)
            found.append(range(start, end))
            start = end
        return tuple(found)

    def position_part(self, position: int) -> int:
        """The part that a position calls for: any ordinary one, the same in every run."""
        return self.first_ordinary + position * 7_919 % len(self.ordinary)

    # --- parts ---------------------------------------------------------------------------

    def parts(self) -> Iterator[Part]:
        """Every part, by rising number."""
        random = Random(self.size.seed + 1)
        for number in range(self.size.parts):
            yield part_of(number, random)

    def number_of(self, number: int) -> str:
        """The maker's number of one part, as it is written."""
        return written(number)

    # --- what one part has to do with another --------------------------------------------

    def supersessions(self) -> Iterator[Supersession]:
        """A tenth as many as there are parts, and those of chains and loops."""
        links = chain(self._chain_links(), self._loop_links(), self._family_links())
        for count, one in enumerate(links):
            yield replace(one, id=f"sps_{count:026}")

    def _chain_links(self) -> Iterator[Supersession]:
        for numbers in self.chains:
            for number in numbers[:-1]:
                yield superseded(number, number + 1)

    def _loop_links(self) -> Iterator[Supersession]:
        for loop in self.loops:
            for number in loop:
                yield superseded(number, number + 1 if number + 1 in loop else loop[0])

    def _family_links(self) -> Iterator[Supersession]:
        random = Random(self.size.seed + 2)
        for family in self.families:
            for number in family:
                if random.random() >= 0.1:
                    continue
                others = [one for one in family if one != number]
                if others:
                    yield family_link(number, others, random)

    def fill(self, loader: Loader) -> None:
        """Put everything into a database, whose asking shop is there already."""
        for part in self.parts():
            loader.add(PARTS, part, self.shop_id)
        for rule in rules():
            loader.add(NUMBER_RULES, rule, self.shop_id)
        self._fill_assemblies(loader)
        self._fill_claims(loader)
        for one in self.supersessions():
            loader.add(SUPERSESSIONS, one, OTHER_SHOPS[0])
        self._fill_offers(loader)
        self._fill_units(loader)

    def _fill_assemblies(self, loader: Loader) -> None:
        position_shape = Position(position_id(0), assembly_id(0), "Place of the bench")
        ruling_shape = ServiceabilityRuling(f"rul_{0:026}", position_id(0), Ruling.SERVICEABLE)
        for number in self.assemblies:
            maker = MAKERS[number % len(MAKERS)]
            assembly = Assembly(assembly_id(number), maker, f"Drive {number}", "gearbox")
            loader.add(ASSEMBLIES, assembly, self.shop_id)
        for number in self.positions:
            position = replace(
                position_shape,
                id=position_id(number),
                assembly_id=assembly_id(number // PARTS_OF_AN_ASSEMBLY),
                name=f"Place {number % PARTS_OF_AN_ASSEMBLY}",
                part_id=part_id(self.position_part(number)),
                reference=f"{number // 90 + 1}-{number // 9 % 10 + 1}-{number % 9 + 1}",
            )
            loader.add(POSITIONS, position, self.shop_id)
            ids = {"id": f"rul_{number:026}", "position_id": position.id}
            loader.add_like(RULINGS, ruling_shape, self.shop_id, **ids)

    def _fill_claims(self, loader: Loader) -> None:
        random, shapes = Random(self.size.seed + 3), claim_shapes()
        authors = (self.shop_id, *OTHER_SHOPS)
        assemblies = len(self.assemblies)
        for count, (called, stand_in) in enumerate(self._claimed_pairs(random)):
            shape = random.choice(shapes[:PLAIN_SHAPES] if called in self.hubs else shapes)
            columns: dict[str, Any] = {
                "id": f"clm_{count:026}",
                "part_id": part_id(called),
                "stand_in_part_id": part_id(stand_in),
            }
            if shape.assembly_id is not None:
                columns["assembly_id"] = assembly_id(random.randrange(assemblies))
            author = random.choice(authors)
            if shape.companion_lines:
                # Its lines repeat the claim's own parts: no two are alike.
                loader.add(CLAIMS, replace(shape, **columns), author)
            else:
                loader.add_like(CLAIMS, shape, author, **columns)

    def _claimed_pairs(self, random: Random) -> Iterator[tuple[int, int]]:
        for hub in self.hubs:
            for number in range(self.size.successors):
                yield hub, self.first_ordinary + (number * 31 + hub) % len(self.ordinary)
        for family in self.families:
            for number in family:
                for _ in range(CLAIMS_OF_A_PART):
                    is_far = len(family) == 1 or random.random() < 0.02
                    among = self.ordinary if is_far else family
                    other = random.choice(among)
                    if other != number:
                        yield number, other
                    else:
                        yield number, among[0] if number != among[0] else among[-1]

    def _fill_offers(self, loader: Loader) -> None:
        """What the asking shop can buy does not grow with the catalogue."""
        loader.add(
            SUPPLIERS, Supplier("sup_bench", "Bench", Money(Decimal("9.50"), "EUR")), self.shop_id
        )
        shape = Offer(
            "ofr_bench",
            "sup_bench",
            OfferKind.GOODS,
            "A part",
            Money(Decimal("20.00"), "EUR"),
            Decimal(2),
            Decimal(4),
            part_id=part_id(0),
            condition=GoodsCondition.NEW,
        )
        for count, number in enumerate(self.ordinary[:: max(1, len(self.ordinary) // OFFERED)]):
            ids = {"id": f"ofr_{count:026}", "part_id": part_id(number)}
            loader.add_like(OFFERS, shape, self.shop_id, **ids)

    def _fill_units(self, loader: Loader) -> None:
        """The yards of the asking shop and of five others, each of as many donors."""
        random = Random(self.size.seed + 4)
        for number in range(6 * min(DONORS, self.size.parts // 20)):
            owner = self.shop_id if number % 6 == 0 else OTHER_SHOPS[number % len(OTHER_SHOPS)]
            loader.add(UNITS, unit_of(number, random.choice(self.assemblies), random), owner)


def filled(url: str, size: Size) -> tuple[Catalogue, Principal, str]:
    """Migrate a database, put a catalogue in, say how long that took."""
    upgrade(url)
    sessions = Sessions(make_engine(url))
    with sessions.writing() as session:
        principal, key = make_shop_and_key(session, "Workshop on the bench")
        _add_other_shops(session)
    sessions.close()
    catalogue = Catalogue(size, principal.shop_id)
    start = perf_counter()
    with loading(url) as loader:
        catalogue.fill(loader)
    taken = perf_counter() - start
    print(f"  {size.parts:,} parts, {loader.records:,} records, put in within {taken:.0f} s")
    return catalogue, principal, key


def _add_other_shops(session: Session) -> None:
    """Put in the shops that wrote most of the catalogue."""
    moment = now()
    session.execute(
        shops.insert(),
        [
            {"id": one, "name": f"Bench shop {one}", "name_key": one, "created_at": moment}
            for one in OTHER_SHOPS
        ],
    )
