"""Packs, price breaks, minimum orders, free freight: planner and evaluator, worked by hand."""

from dataclasses import replace
from itertools import product

import pytest

from shared.decision.planning.case import (
    AmountLine,
    Charge,
    CostClass,
    OrderTerms,
    PlanningCase,
    Query,
    StockItem,
    Tier,
)
from shared.decision.planning.evaluator import PlanError, broken_rules, evaluate
from shared.decision.planning.infeasible import explain_infeasible
from shared.decision.planning.solver import Planner, solve
from shared.errors import InvalidInput, OutOfRange
from shared.sourcing.model import BelowMinimum
from tests.shared.decision.small_case import P90, case, goods, item, new, order, parts, takes

TOP_UP, FEE, REFUSED = BelowMinimum.TOP_UP, BelowMinimum.FEE, BelowMinimum.REFUSED


def best(made: PlanningCase, **query):
    """The planner's cheapest plan, which the evaluator finds to be what it is said to be."""
    plan = solve(made, Query(P90, **query)).plan
    return plan and evaluate(made, plan.source_ids, P90)


def amounts(plan, *kinds: CostClass) -> list[int]:
    return [line.price for line in plan.lines if line.cost_class in kinds]


def pieces(count: int, stock: StockItem, **fields) -> PlanningCase:
    """So many pieces of one item, and nothing else to choose."""
    return case([takes("x", "root", stock.id, count)], positions=(), items=(stock,), **fields)


# --- packs and breaks ------------------------------------------------------------------------


def test_a_pack_serves_every_position_that_takes_from_it_and_is_paid_once():
    made = case(
        [parts(), takes("x", "bearing", "rings", 2), takes("y", "seal", "rings", 3)],
        items=(item("rings", (1, 400), pack_quantity=10),),
    )
    plan = best(made)
    assert (plan.objective, plan.packs) == (400, (("rings", 1),))
    assert [line.label for line in plan.lines] == ["rings: 1 pack of 10, 5 left over"]


@pytest.mark.parametrize(("count", "packs"), [(1, 1), (10, 1), (11, 2), (20, 2), (21, 3)])
def test_a_begun_pack_is_bought_whole(count, packs):
    plan = best(pieces(count, item("rings", (1, 400), pack_quantity=10)))
    assert (plan.packs, plan.objective) == ((("rings", packs),), 400 * packs)


@pytest.mark.parametrize(
    ("count", "bought", "total"),
    [(1, 1, 100), (3, 3, 300), (4, 5, 350), (5, 5, 350), (6, 6, 420), (8, 8, 560), (9, 20, 600)],
)
def test_more_than_is_needed_is_bought_where_a_break_makes_it_cheaper(count, bought, total):
    """100 each, 70 from 5, 30 from 20: four cost 400, five 350; nine cost 630, twenty 600."""
    plan = best(pieces(count, item("seal", (1, 100), (5, 70), (20, 30))))
    assert (plan.packs, plan.objective) == ((("seal", bought),), total)


def test_less_than_the_least_quantity_is_not_sold():
    stock = item("wire", (6, 10), (12, 9), pack_quantity=5)
    assert best(pieces(4, stock)).packs == (("wire", 6),)
    assert best(pieces(31, stock)).packs == (("wire", 7),)


@pytest.mark.parametrize(
    ("available", "bought"), [(None, 5), (5, 5), (4, 4)], ids=["any", "five", "four"]
)
def test_a_break_beyond_what_is_available_is_out_of_reach(available, bought):
    plan = best(pieces(4, item("seal", (1, 100), (5, 70), available=available)))
    assert plan.packs == (("seal", bought),)


def test_what_is_not_available_in_that_number_rules_the_choice_out_and_is_named():
    stock = item("seal", (1, 100), available=3)
    made = pieces(4, stock)
    assert broken_rules(made, ["x"]) == ("available:seal",)
    assert best(made) is None
    assert explain_infeasible(made, Query(P90)) == ("available:seal", "position:root")
    assert Planner(made, Query(P90)).is_feasible(None, frozenset({"available:seal"}))
    either = case(
        [
            parts(),
            takes("x", "bearing", "seal", 2),
            takes("y", "seal", "seal", 2),
            new("dear", "seal", 900),
        ],
        items=(stock,),
    )
    assert best(either).source_ids == ("dear", "root-parts", "x")


def test_packs_that_hold_more_than_is_available_are_not_sold():
    assert best(pieces(1, item("seal", (1, 100), pack_quantity=4, available=3))) is None
    assert best(pieces(5, item("seal", (1, 100), pack_quantity=4, available=7))) is None
    assert best(pieces(5, item("seal", (1, 100), pack_quantity=4, available=8))) is not None


def test_the_break_is_weighed_by_what_the_customer_pays_unless_cost_is_asked():
    stock = StockItem("seal", "seal", (Tier(1, 100, 150), Tier(3, 60, 149)))
    assert best(pieces(2, stock)).packs == (("seal", 2),)
    assert best(pieces(2, stock, counts_price=False)).packs == (("seal", 3),)


def test_a_source_of_two_items_and_two_sources_of_one_are_added_up():
    both = replace(takes("x", "bearing", "a", 1), purchases=(("a", 1), ("b", 2), ("a", 1)))
    made = case(
        [parts(), both, takes("y", "seal", "a", 1)],
        items=(item("a", (1, 10), (3, 5)), item("b", (1, 7))),
    )
    assert (best(made).packs, best(made).objective) == ((("a", 3), ("b", 2)), 15 + 14)


def test_of_two_numbers_of_packs_that_cost_the_same_the_smaller_is_bought():
    assert best(pieces(1, item("seal", (1, 100), (2, 50)))).packs == (("seal", 1),)


# --- minimum orders --------------------------------------------------------------------------


def ordered(value: int, freight: int = 0, **terms) -> PlanningCase:
    """One part of a value, from one order with terms."""
    return case(
        [new("x", "root", value, ["near"], goods_values=(("near", value),))],
        [order("near", freight, order=OrderTerms(**terms))],
        positions=(),
    )


@pytest.mark.parametrize(
    ("terms", "added"),
    [
        ({"below": TOP_UP}, [40]),
        ({"below": FEE, "fee_cost": 39, "fee_price": 39}, [39]),
        ({"below": FEE, "fee_cost": 41, "fee_price": 41}, [40]),
    ],
)
def test_an_order_below_the_minimum_is_topped_up_or_taken_for_a_fee(terms, added):
    plan = best(ordered(60, minimum=100, **terms))
    assert amounts(plan, CostClass.TOP_UP, CostClass.SMALL_ORDER_FEE) == added
    assert plan.objective == plan.billed_price == 60 + added[0]


def test_an_order_that_reaches_the_minimum_is_left_as_it_is():
    for below in BelowMinimum:
        assert best(ordered(100, minimum=100, below=below, fee_price=5)).objective == 100


def test_an_order_below_the_minimum_is_refused_where_the_supplier_refuses_it():
    made = ordered(99, minimum=100, below=REFUSED)
    assert broken_rules(made, ["x"]) == ("minimum:near",)
    with pytest.raises(PlanError):
        evaluate(made, ["x"], P90)
    assert best(made) is None
    assert explain_infeasible(made, Query(P90)) == ("minimum:near", "position:root")
    assert Planner(made, Query(P90)).is_feasible(None, frozenset({"minimum:near"}))


def test_the_need_itself_must_reach_a_refused_minimum_and_packs_up_to_a_break_are_need():
    made = case(
        [takes("x", "root", "seal", 4, ["near"])],
        [order("near", 0, order=OrderTerms(minimum=480, below=REFUSED))],
        positions=(),
        items=(item("seal", (1, 100), (5, 99), (9, 90), order_charge="near"),),
    )
    plan = best(made)
    assert (plan.packs, plan.objective) == ((("seal", 5),), 495)


def test_a_dearer_choice_that_fills_one_order_may_beat_two_small_ones():
    """Each supplier asks for 100 of goods: 60 + 60 at two come to 200, 60 + 70 at one to 130."""
    minimum = OrderTerms(minimum=100)
    made = case(
        [
            parts(),
            new("a1", "bearing", 60, ["a"], goods_values=(("a", 60),)),
            new("b1", "seal", 60, ["b"], goods_values=(("b", 60),)),
            new("a2", "seal", 70, ["a"], goods_values=(("a", 70),)),
        ],
        [order("a", 0, order=minimum), order("b", 0, order=minimum)],
    )
    assert (best(made).source_ids, best(made).objective) == (("a1", "a2", "root-parts"), 130)


def test_an_opened_kit_counts_toward_the_order_it_is_on():
    kit = Charge("kit", "kit", "kit", goods(80), requires=("near",), goods_values=(("near", 80),))
    made = case(
        [new("x", "root", 0, ["kit"])],
        [kit, order("near", 0, order=OrderTerms(minimum=100))],
        positions=(),
    )
    assert best(made).objective == 100
    uncounted = replace(made, charges=(replace(kit, goods_values=()), made.charges[1]))
    assert best(uncounted).objective == 180


def test_goods_values_of_an_order_that_is_not_placed_or_has_no_terms_count_for_nothing():
    made = case(
        [new("x", "root", 10, ["plain"], goods_values=(("plain", 10), ("other", 10)))],
        [order("plain", 3), order("other", 5, order=OrderTerms(minimum=100))],
        positions=(),
    )
    assert best(made).objective == 13


def test_the_terms_are_on_what_the_goods_cost_the_shop_not_on_what_the_customer_pays():
    stock = StockItem("seal", "seal", (Tier(1, 60, 200),), order_charge="near")
    made = case(
        [takes("x", "root", "seal", 1, ["near"])],
        [order("near", 0, order=OrderTerms(minimum=100))],
        positions=(),
        items=(stock,),
    )
    plan = best(made)
    assert amounts(plan, CostClass.TOP_UP) == [40]
    assert (plan.objective, plan.billed_cost) == (240, 100)


# --- freight ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "total", "top_up", "freight"),
    [(100, 100, [], []), (85, 100, [15], []), (80, 100, [], [20]), (79, 99, [], [20])],
    ids=["reached", "topped up", "as cheap without what nobody needs", "not worth it"],
)
def test_freight_is_free_from_a_value_on_which_topping_up_may_reach(value, total, top_up, freight):
    plan = best(ordered(value, freight=20, free_from=100))
    assert plan.objective == total
    assert amounts(plan, CostClass.TOP_UP) == top_up
    assert amounts(plan, CostClass.FREIGHT) == freight


def test_only_freight_is_waived_and_other_lines_of_the_order_stay():
    made = ordered(100, freight=20, free_from=100)
    handling = AmountLine(CostClass.SUPPLIES, "handling", 7, 7)
    (charge,) = made.charges
    made = replace(made, charges=(replace(charge, lines=(*charge.lines, handling)),))
    assert best(made).objective == 107


def test_minimum_and_free_freight_are_reached_by_one_top_up():
    plan = best(ordered(60, freight=50, minimum=100, free_from=120))
    assert (amounts(plan, CostClass.TOP_UP), plan.objective) == ([60], 120)
    plan = best(ordered(60, freight=5, minimum=100, free_from=120))
    assert (amounts(plan, CostClass.TOP_UP), plan.objective) == ([40], 105)


def test_topping_up_may_serve_free_freight_though_not_a_refused_minimum():
    plan = best(ordered(100, freight=50, minimum=100, below=REFUSED, free_from=120))
    assert (amounts(plan, CostClass.TOP_UP), plan.objective) == ([20], 120)


def test_a_fee_is_paid_and_the_freight_still_free_where_that_mark_is_lower():
    plan = best(ordered(60, freight=50, minimum=500, below=FEE, fee_price=10, free_from=70))
    assert plan.objective == 60 + 10 + 10
    assert amounts(plan, CostClass.TOP_UP, CostClass.SMALL_ORDER_FEE) == [10, 10]


def test_buying_up_to_a_break_may_be_worth_it_for_the_freight_alone():
    """Three pieces cost 30, five 35; with five the order is free of its freight of 10."""
    made = case(
        [
            parts(),
            new("x", "bearing", 65, ["near"], goods_values=(("near", 65),)),
            takes("y", "seal", "rings", 3, ["near"]),
        ],
        [order("near", 10, order=OrderTerms(free_from=100))],
        items=(item("rings", (1, 10), (5, 7), order_charge="near"),),
    )
    plan = best(made)
    assert (plan.packs, plan.objective) == ((("rings", 5),), 65 + 35)
    alone = replace(made, charges=(order("near", 10),))
    assert (best(alone).packs, best(alone).objective) == ((("rings", 3),), 65 + 30 + 10)


def test_what_nobody_needs_is_not_bought_to_reach_a_mark():
    made = case(
        [
            new("x", "root", 10, ["near"], goods_values=(("near", 10),)),
            takes("y", "root", "rings", 1, ["near"]),
        ],
        [order("near", 90, order=OrderTerms(free_from=50))],
        positions=(),
        items=(item("rings", (1, 45), order_charge="near"),),
    )
    assert (best(made).packs, best(made).objective) == ((), 50)


def test_several_items_of_one_order_are_weighed_together_as_trying_all_numbers_would():
    """Four items, each as needed or up to its break, one mark for all: sixteen ways."""
    made_items = [
        item(f"i{n}", (1, 20 + n), (4, 14 + 2 * n), order_charge="near") for n in range(4)
    ]
    sources = [takes(f"s{n}", f"p{n}", f"i{n}", 2 + n % 2, ["near"]) for n in range(4)]
    for mark, freight in product(range(150, 300, 7), (15, 40)):
        made = case(
            [parts(), *sources],
            [order("near", freight, order=OrderTerms(free_from=mark))],
            positions=[f"p{n}" for n in range(4)],
            items=made_items,
        )
        ways = product(
            *([(2 + n % 2) * (20 + n), 4 * (14 + 2 * n)] for n in range(4)),
        )
        totals = [sum(way) for way in ways]
        expected = min(min(t + freight, max(t, mark)) for t in totals)
        plan = evaluate(made, [s.id for s in made.sources], P90)
        assert plan.objective == expected, (mark, freight)


# --- refused cases ---------------------------------------------------------------------------

STOCK = item("seal", (1, 100))


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ({"items": (replace(STOCK, tiers=()),)}, "/items/tiers"),
        ({"items": (item("seal", (1, 9), (1, 8)),)}, "/items/tiers"),
        ({"items": (item("seal", (5, 9), (2, 8)),)}, "/items/tiers"),
        ({"items": (item("seal", (0, 9)),)}, "/items/tiers/from_packs"),
        ({"items": (item("seal", (1, -1)),)}, "/items/tiers"),
        ({"items": (item("seal", (1, 10**12), (2, 10**12)),)}, "/items/tiers"),
        ({"items": (replace(STOCK, pack_quantity=0),)}, "/items/pack_quantity"),
        ({"items": (replace(STOCK, available=-1),)}, "/items/available"),
        ({"items": (replace(STOCK, order_charge="nowhere"),)}, "/items/order_charge"),
        ({"items": (STOCK, STOCK)}, "/items"),
        ({"items": ()}, "/sources/purchases"),
        ({"sources": (takes("x", "root", "seal", 0),)}, "/sources/purchases"),
        ({"sources": (new("x", "root", 1, risk=-1),)}, "/sources/risk"),
        ({"sources": (new("x", "root", 1, goods_values=(("a", 1),)),)}, "/goods_values"),
        ({"charges": (order("a", 1, order=OrderTerms(minimum=-1)),)}, "/charges/order"),
        ({"charges": (order("a", -1, order=OrderTerms(free_from=5)),)}, "/charges/lines"),
        ({"charges": (order("a", 1, order=OrderTerms(), is_open=True),)}, "/charges/order"),
        ({"charges": (order("a", 1, goods_values=(("a", -1),)),)}, "/charges/goods_values"),
    ],
)
def test_an_unsound_purchase_is_refused_by_field(changes, pointer):
    with pytest.raises((InvalidInput, OutOfRange)) as raised:
        solve(replace(pieces(1, STOCK), **changes), Query(P90))
    assert raised.value.pointer == pointer
