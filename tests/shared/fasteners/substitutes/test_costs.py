"""Buying, hiring and making do, over the jobs to come."""

from decimal import Decimal

import pytest

from shared.errors import InvalidInput, OutOfRange
from shared.fasteners.model import ItemForm
from shared.fasteners.substitutes.answer import WayKind
from shared.fasteners.substitutes.asked import OfferKind, ToolOfferAsked
from shared.fasteners.substitutes.costs import ALL_GO_BACK, compare_costs, cost_of
from shared.fasteners.substitutes.model import Candidate, Family, PartUsed, Piece
from shared.money import Money


def money(amount, currency="EUR"):
    return None if amount is None else Money(Decimal(amount), currency)


def part(price, count=2, preparation=None, *, is_on_hand=True, currency="EUR"):
    piece = Piece("p", "Hexagon screw M8x60", ItemForm.SCREW, 9, is_on_hand=is_on_hand)
    priced = Piece(**{**_members(piece), "price": money(price, currency)})
    return PartUsed(priced, count, preparation)


def _members(piece):
    return {name: getattr(piece, name) for name in Piece.__dataclass_fields__}


def candidate(*parts):
    return Candidate(Family.JACKING_SCREWS, parts, ())


def buy(price, currency="EUR"):
    return ToolOfferAsked(OfferKind.BUY, "from a dealer", money(price, currency))


def hire(price, currency="EUR"):
    return ToolOfferAsked(OfferKind.HIRE, "from a hirer", money(price, currency))


@pytest.mark.parametrize(
    ("parts", "amount"),
    [
        ([part("0.45")], "0"),
        ([part("0.45", preparation="grind a dog point")], "0.90"),
        ([part("0.45", is_on_hand=False)], "0.90"),
        ([part("0.45", 3, "cut"), part("12.10", 1, is_on_hand=False)], "13.45"),
    ],
)
def test_what_is_bought_or_cut_costs_and_what_goes_back_does_not(parts, amount):
    assert cost_of(candidate(*parts)) == Money(Decimal(amount).quantize(Decimal("0.01")), "EUR")


@pytest.mark.parametrize(
    ("parts", "why"),
    [
        ([part(None, preparation="cut")], "for Hexagon screw M8x60: state its worth"),
        ([part("0.45"), part(None, is_on_hand=False)], "no price known"),
        ([part("0.45"), part("0.45", currency="USD")], "several currencies"),
        ([], "no pieces"),
    ],
)
def test_a_price_that_is_not_known_is_never_nothing(parts, why):
    assert why in cost_of(candidate(*parts))


def test_the_ways_are_compared_over_the_jobs_to_come():
    made = candidate(part("0.45", preparation="grind a dog point"))
    found = compare_costs(made, (buy("80.00"), hire("25.00")), 3)
    assert [(way.kind, way.total) for way in found.ways] == [
        (WayKind.SUBSTITUTE, money("0.90")),
        (WayKind.BUY, money("80.00")),
        (WayKind.HIRE, money("75.00")),
    ]
    assert found.cheapest.kind is WayKind.SUBSTITUTE
    # 3 hires cost 75, 4 cost 100: from the fourth job on the bought one has cost less.
    assert found.buying_pays_from == 4
    assert "not counted" in found.notes[0]


@pytest.mark.parametrize(("jobs", "kind"), [(1, WayKind.HIRE), (3, WayKind.HIRE), (5, WayKind.BUY)])
def test_without_a_substitute_the_offers_alone_are_compared(jobs, kind):
    found = compare_costs(None, (buy("80.00"), hire("25.00")), jobs)
    assert found.cheapest.kind is kind
    assert "No substitute" in found.notes[0]


@pytest.mark.parametrize(
    ("offers", "pays"),
    [
        ((buy("75.00"), hire("25.00")), 4),
        ((buy("10.00"), hire("25.00")), 1),
        ((buy("80.00"),), None),
        ((hire("25.00"),), None),
        ((buy("80.00"), hire("0.00")), None),
        ((buy("80.00"), hire("25.00", "USD")), None),
        ((buy("90.00"), buy("80.00"), hire("25.00"), hire("30.00")), 4),
    ],
)
def test_from_which_job_buying_pays(offers, pays):
    assert compare_costs(None, offers, 1).buying_pays_from == pays


def test_other_currencies_and_unknown_prices_are_told_and_not_compared():
    unpriced = candidate(part(None, preparation="cut"))
    found = compare_costs(unpriced, (buy("80.00"), hire("1.00", "USD")), 2)
    assert [way.total for way in found.ways] == [None, money("80.00"), None]
    assert found.cheapest.kind is WayKind.BUY
    assert any("no price known" in note for note in found.notes)
    assert any("cheaper is not told" in note for note in found.notes)
    assert any("USD" in note for note in found.notes)
    other = compare_costs(candidate(part("1.00", is_on_hand=False)), (buy("8.00", "USD"),), 2)
    assert other.ways[0].total is None
    assert other.cheapest.kind is WayKind.BUY


def test_what_goes_back_to_the_drawer_costs_nothing_without_a_price():
    free = candidate(part(None), part(None))
    assert cost_of(free) == ALL_GO_BACK
    found = compare_costs(free, (buy("80.00"),), 2)
    assert (found.cheapest.kind, found.cheapest.total) == (WayKind.SUBSTITUTE, money("0.00"))
    assert cost_of(candidate(part(None), part("0.45", is_on_hand=False))) == money("0.90")


def test_without_offers_there_is_nothing_to_compare():
    assert compare_costs(candidate(part("0.45")), (), 1) is None


@pytest.mark.parametrize("jobs", [0, -1, 10**9])
def test_a_number_of_jobs_that_cannot_be_is_refused(jobs):
    with pytest.raises(OutOfRange) as refused:
        compare_costs(None, (), jobs)
    assert refused.value.pointer == "/jobs_to_come"


@pytest.mark.parametrize("price", ["-1.00", "1.005"])
def test_a_price_that_cannot_be_is_refused(price):
    with pytest.raises(InvalidInput) as refused:
        compare_costs(None, (buy("80.00"), hire(price)), 1)
    assert refused.value.pointer == "/offers/1/price/amount"
