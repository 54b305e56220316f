"""Packs, breaks, least and available quantities, and what suppliers ask of an order."""

from decimal import Decimal

import pytest

from shared.decision.building.build import build
from shared.decision.codec import from_builtins
from shared.decision.snapshot import Snapshot
from shared.sourcing.model import BelowMinimum
from tests.snapshots import (
    answer,
    best,
    breaks,
    chosen,
    donor,
    eur,
    goods,
    group,
    looks,
    part,
    position,
    recommended,
    service,
    settings,
    snapshot,
    supplier,
    why,
)


def worn(*offers, quantity=1, suppliers=None, **members):
    """One worn ring (or several in one position) and what is on offer for it."""
    return snapshot(
        **{
            "parts": [part("ring")],
            "positions": [position("ring", quantity=quantity)],
            "suppliers": suppliers or [supplier("a"), supplier("b")],
            "offers": list(offers),
            **looks(ring="heavy"),
            **members,
        }
    )


def two_rings(*offers, first=1, second=1, **members):
    """Two positions that take the same part."""
    return worn(
        *offers,
        positions=[
            position("ring", quantity=first),
            position("other", part_id="prt_ring", quantity=second),
        ],
        **looks(ring="heavy", other="heavy"),
        **members,
    )


def total(plan):
    return plan.expected_total.amount


def built(members):
    return build(from_builtins(members, Snapshot))


# --- packs, breaks, quantities ------------------------------------------------------------------


def test_an_offer_by_the_piece_stays_a_plain_line():
    case = built(worn(goods("ring", "a", "5"))).case
    assert case.items == ()
    assert all(not source.purchases and not source.goods_values for source in case.sources)


def test_a_pack_is_paid_whole_and_what_is_left_over_is_told():
    plan = best(worn(goods("ring", "a", "5", pack_quantity=4)))
    assert total(plan) == Decimal("20.00")
    told = " ".join(plan.lines[0].notes)
    assert "sold in packs of 4" in told
    assert "3 left over" in told


def test_positions_share_a_pack():
    members = two_rings(goods("ring", "a", "5", pack_quantity=4), second=3)
    assert total(best(members)) == Decimal("20.00")
    assert total(best(two_rings(goods("ring", "a", "5", pack_quantity=4), second=4))) == 40


def test_pieces_of_one_position_that_are_told_apart_share_a_pack():
    members = worn(goods("ring", "a", "5", pack_quantity=4), quantity=2)
    members["findings"] = [
        {**members["findings"][0], "id": f"fnd_{piece}", "piece": piece} for piece in (1, 2)
    ]
    plan = best(members)
    assert chosen(plan) == {"ring (1)": "new", "ring (2)": "new"}
    assert total(plan) == Decimal("20.00")


def test_a_price_break_is_reached_by_two_positions_together():
    offer = goods("ring", "a", "10", price_breaks=breaks(from_4="7"))
    assert total(best(two_rings(offer, first=2, second=2))) == Decimal("28.00")
    assert total(best(worn(offer, quantity=2))) == Decimal("20.00")


def test_more_are_bought_where_the_break_comes_cheaper():
    plan = best(worn(goods("ring", "a", "10", price_breaks=breaks(from_4="7")), quantity=3))
    assert total(plan) == Decimal("28.00")
    assert "1 left over" in " ".join(plan.lines[0].notes)


def test_each_break_is_marked_up_by_what_the_piece_costs_there():
    rules = settings(
        pricing={"parts_markup": [{"percent": "50"}, {"percent": "10", "cost_from": eur("8")}]}
    )
    offer = goods("ring", "a", "10", price_breaks=breaks(from_2="6"))
    members = worn(offer, quantity=2, settings=rules)
    assert total(best(members)) == Decimal("18.00")  # 2 x 6 and a half
    members["positions"][0]["quantity"] = 1
    assert total(best(members)) == Decimal("11.00")  # 1 x 10 and a tenth


def test_the_least_quantity_is_paid_for():
    assert total(best(worn(goods("ring", "a", "5", minimum_quantity=3)))) == Decimal("15.00")
    pack = goods("ring", "a", "5", minimum_quantity=3, pack_quantity=2)
    assert total(best(worn(pack))) == Decimal("20.00")


def test_no_more_is_taken_than_the_supplier_has():
    few = goods("ring", "a", "5", available_quantity=3)
    dear = goods("ring_b", "b", "9", part_id="prt_ring")
    plan = best(two_rings(few, dear, first=2, second=2))
    assert sorted(line.offer_id for line in plan.lines) == ["ofr_ring", "ofr_ring_b"]
    assert total(plan) == Decimal("28.00")


def test_an_offer_that_has_too_few_is_barred_with_the_figures():
    members = worn(
        goods("ring", "a", "5", available_quantity=3),
        goods("dear", "b", "9", part_id="prt_ring"),
        quantity=4,
    )
    assert why(answer(members), "ring from Supplier a") == "4 are needed, 3 at hand"
    members = worn(
        goods("ring", "a", "5", available_quantity=3, pack_quantity=4),
        goods("dear", "b", "9", part_id="prt_ring"),
    )
    assert "1 is needed, 3 at hand (sold in packs of 4)" in why(answer(members), "ring from")


def test_a_kit_sold_by_the_pair_is_paid_twice_and_holds_twice_as_much():
    kit = goods("kit", "a", "6", part_id="prt_kit", pack_quantity=2)
    members = worn(kit, goods("ring", "b", "50"), quantity=2)
    members["parts"].append(part("kit", kit_lines=[{"part_id": "prt_ring"}]))
    assert total(best(members)) == Decimal("12.00")


def test_a_kit_that_holds_too_few_is_barred():
    members = worn(goods("kit", "a", "6"), goods("ring", "b", "50"), quantity=2)
    members["parts"].append(part("kit", kit_lines=[{"part_id": "prt_ring"}]))
    assert "the kit holds 1, 2 are needed" in why(answer(members), "kit")


def test_a_whole_unit_is_bought_in_the_least_number_that_is_sold():
    unit = goods("unit", "a", "100", assembly_id="asm_1", minimum_quantity=2)
    assert total(best(worn(unit))) == Decimal("200.00")


# --- what a supplier asks of an order -------------------------------------------------------------


def terms(minimum="50", below="top-up", fee=None, free=None, freight="0"):
    return supplier(
        "a",
        freight,
        minimum_order=eur(minimum) if minimum else None,
        below_minimum=below,
        small_order_fee=eur(fee) if fee else None,
        free_freight_from=eur(free) if free else None,
    )


def test_an_order_below_the_minimum_is_topped_up():
    plan = best(worn(goods("ring", "a", "20"), suppliers=[terms()]))
    assert total(plan) == Decimal("50.00")
    assert "top-up" in {line.cost_class for line in plan.amounts}


def test_the_minimum_may_send_the_order_elsewhere():
    cheap, dear = goods("ring", "a", "20"), goods("dear", "b", "49", part_id="prt_ring")
    plan = best(worn(cheap, dear, suppliers=[terms(), supplier("b")]))
    assert chosen(plan) == {"ring": "new"}
    assert plan.lines[0].offer_id == "ofr_dear"


def test_the_fee_is_paid_where_it_comes_cheaper_than_goods_for_the_rest():
    rules = settings(pricing={"freight_markup_percent": "10"})
    plan = best(
        worn(goods("ring", "a", "20"), suppliers=[terms(below="fee", fee="10")], settings=rules)
    )
    assert total(plan) == Decimal("31.00")  # passed on like freight
    fee = next(line for line in plan.amounts if line.cost_class == "small-order-fee")
    assert (fee.price.amount, fee.cost.amount) == (11, 10)
    near = best(worn(goods("ring", "a", "45"), suppliers=[terms(below="fee", fee="10")]))
    assert total(near) == Decimal("50.00")


def test_an_order_that_is_refused_below_its_minimum_is_no_plan():
    members = worn(
        goods("ring", "a", "20"),
        goods("dear", "b", "90", part_id="prt_ring"),
        suppliers=[terms(below="refused"), supplier("b")],
    )
    assert best(members).lines[0].offer_id == "ofr_dear"
    members["positions"][0]["quantity"] = 3
    assert best(members).lines[0].offer_id == "ofr_ring"


def test_a_refused_minimum_is_reached_by_kit_pack_and_whole_unit():
    refused = [terms("30", below="refused")]
    pack = goods("ring", "a", "8", pack_quantity=4)
    assert total(best(worn(pack, suppliers=refused))) == Decimal("32.00")
    kit = worn(goods("kit", "a", "30"), suppliers=refused)
    kit["parts"].append(part("kit", kit_lines=[{"part_id": "prt_ring"}]))
    assert total(best(kit)) == Decimal("30.00")
    unit = goods("unit", "a", "30", assembly_id="asm_1")
    assert total(best(worn(unit, suppliers=refused))) == Decimal("30.00")
    work = service("bush", "a", "30", position_id="pos_ring")
    assert total(best(worn(work, suppliers=refused))) == Decimal("30.00")


def test_freight_is_not_paid_from_the_suppliers_threshold_on():
    free = [terms(None, free="40", freight="15")]
    assert total(best(worn(goods("ring", "a", "40"), suppliers=free))) == Decimal("40.00")
    assert total(best(worn(goods("ring", "a", "20"), suppliers=free))) == Decimal("35.00")
    topped_up = best(worn(goods("ring", "a", "30"), suppliers=free))
    assert total(topped_up) == Decimal("40.00")


def test_deposits_and_freight_do_not_count_toward_the_threshold():
    core = {"deposit": eur("100"), "acceptance_probability": "1", "refund": eur("100")}
    offer = goods("ring", "a", "5", condition="rebuilt", core=core)
    plan = best(worn(offer, suppliers=[terms(None, free="90", freight="15")]))
    assert total(plan) == Decimal("20.00")


def test_the_terms_are_told():
    plan_assumptions = answer(worn(goods("ring", "a", "20"), suppliers=[terms()])).assumptions
    assert "An order to Supplier a below 50.00 EUR: goods for the rest are bought besides." in (
        plan_assumptions
    )


@pytest.mark.parametrize("below", list(BelowMinimum))
def test_a_fallback_pays_what_its_order_asks_or_is_none(below):
    fee = "10" if below is BelowMinimum.FEE else None
    members = worn(
        goods("ring", "a", "20"),
        suppliers=[terms(below=below, fee=fee)],
        units=[
            {"id": "unt_1", "assembly_id": "asm_1", "kind": "customer"},
            donor("d", worth="0"),
        ],
        settings=settings(salvage_experience=[{"prior_mean": "0.5", "prior_weight": "1"}]),
    )
    case = built(members).case
    fallback = [line.price for charge in case.charges for line in charge.lines]
    expected = {
        BelowMinimum.TOP_UP: 25_00,
        BelowMinimum.FEE: 15_00,
        BelowMinimum.REFUSED: None,
    }[below]
    if expected is None:
        assert not [s for s in case.sources if s.kind == "salvaged"]
    else:
        assert expected in fallback


def test_the_part_bought_again_after_a_failure_is_bought_by_the_pack():
    experience = [{"kind": "new", "prior_mean": "0.5", "prior_weight": "1"}]
    rules = settings(comeback_experience=experience)
    single = best(worn(goods("ring", "a", "5"), settings=rules))
    pack = best(worn(goods("ring", "a", "5", pack_quantity=2), settings=rules))
    assert [comeback(plan) for plan in (single, pack)] == [Decimal("2.50"), Decimal("5.00")]


def comeback(plan):
    return sum(line.price.amount for line in plan.amounts if line.cost_class == "comeback")


def test_a_group_that_is_opened_for_two_takes_one_pack():
    members = two_rings(goods("ring", "a", "5", pack_quantity=2))
    members["access_groups"] = [group("cover")]
    for one in members["positions"]:
        one["access_group_id"] = "grp_cover"
    assert total(recommended(answer(members))) == Decimal("10.00")
