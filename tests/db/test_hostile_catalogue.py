"""What another shop records in the catalogue makes no plan fail, and every plan ends."""

from collections.abc import Callable
from decimal import Decimal
from itertools import pairwise

import pytest

from db.queries.snapshot import load_snapshot
from shared.decision.check import check_snapshot
from shared.decision.check.interchange import MOST_PIECES
from shared.decision.decide import decide
from shared.decision.snapshot import Aim
from shared.interchange.model import ClaimSays, Part, PartLine
from shared.money import Money
from tests.db.test_reach import AS_OF, Bench
from tests.db.workshop import Workshop, euro


def totals(bench: Bench) -> list[Money]:
    """What each plan of the job comes to."""
    with bench.w.sessions.reading() as session:
        snapshot = load_snapshot(session, bench.w.principal, bench.job.id, AS_OF, Aim.PRICE)
    check_snapshot(snapshot)
    return [plan.expected_total for plan in decide(snapshot).plans]


def way(bench: Bench, neighbour: Workshop, length: int) -> list[tuple[Part, Part]]:
    """A way from the part called for, over parts of the neighbour's, to one that is offered."""
    parts = [bench.part, *(neighbour.part() for _ in range(length - 1)), bench.offered()]
    return list(pairwise(parts))


def in_another_currency(bench: Bench, neighbour: Workshop) -> None:
    for one, other in way(bench, neighbour, 1):
        neighbour.claim(one, other, rework_cost=Money(Decimal(5), "SEK"))


def claims_of_most_pieces(bench: Bench, neighbour: Workshop) -> None:
    for one, other in way(bench, neighbour, 4):
        along = (PartLine(bench.offered().id, MOST_PIECES),)
        neighbour.claim(one, other, stand_in_quantity=MOST_PIECES, companion_lines=along)


def claims_of_a_billion_pieces(bench: Bench, neighbour: Workshop) -> None:
    for one, other in way(bench, neighbour, 2):
        neighbour.claim(one, other, part_quantity=10**9)
        neighbour.claim(one, other, stand_in_quantity=10**9)
        neighbour.claim(one, other, companion_lines=(PartLine(bench.offered().id, 10**9),))


def rules_of_a_billion_pieces(bench: Bench, neighbour: Workshop) -> None:
    for one, other in way(bench, neighbour, 3):
        lines = (PartLine(other.id, 10**9), PartLine(bench.offered().id, 10**9))
        neighbour.supersession(one, other, later_lines=lines)
    along = (PartLine(bench.offered().id, 10**9),)
    neighbour.supersession(bench.part, bench.offered(), companion_lines=along)


def rules_that_multiply(bench: Bench, neighbour: Workshop) -> None:
    for one, other in way(bench, neighbour, 6):
        lines = (PartLine(other.id, MOST_PIECES), PartLine(bench.offered().id, MOST_PIECES))
        neighbour.supersession(one, other, later_lines=lines)


def rework_without_end(bench: Bench, neighbour: Workshop) -> None:
    for one, other in way(bench, neighbour, 2):
        for hours in (1_000, 1_000_000):
            fields = {"rework_p50_hours": Decimal(hours), "rework_p90_hours": Decimal(hours)}
            neighbour.claim(one, other, rework_cost=euro("9999999.00"), **fields)


def loops(bench: Bench, neighbour: Workshop) -> None:
    made = [bench.part, *(bench.offered() for _ in range(5))]
    for one in made:
        for other in made:
            if one is not other:
                neighbour.claim(one, other)
                neighbour.supersession(one, other, may_go_back=True)


def a_long_chain(bench: Bench, neighbour: Workshop) -> None:
    for one, other in way(bench, neighbour, 80):
        neighbour.supersession(one, other)


def a_heap_of_claims(bench: Bench, neighbour: Workshop) -> None:
    end = bench.offered()
    for _ in range(25):
        between = neighbour.part()
        neighbour.claim(bench.part, between)
        neighbour.claim(between, end)
        neighbour.claim(bench.part, neighbour.part(), says=ClaimSays.DOES_NOT_FIT)
        neighbour.supersession(between, neighbour.part())


UNUSABLE = (
    in_another_currency,
    claims_of_most_pieces,
    claims_of_a_billion_pieces,
    rules_of_a_billion_pieces,
    rules_that_multiply,
)
MAY_ADD_A_PLAN = (rework_without_end, loops, a_long_chain, a_heap_of_claims)
"""What leads, or may lead, to a stand-in that the shop can buy."""


# What is read is compared on both engines elsewhere; here it is about what comes of it.
@pytest.mark.engines("sqlite")
@pytest.mark.parametrize("spoil", [*UNUSABLE, *MAY_ADD_A_PLAN])
def test_a_plan_is_there_whatever_another_shop_records(
    workshop: Workshop, neighbour: Workshop, spoil: Callable[[Bench, Workshop], None]
) -> None:
    bench = Bench(workshop, quantity=10_000)
    workshop.offer(workshop.supplier(), part_id=bench.part.id, description="The part itself")
    before = totals(bench)
    assert before
    spoil(bench, neighbour)
    after = totals(bench)
    assert after
    if spoil in UNUSABLE:
        assert after == before
