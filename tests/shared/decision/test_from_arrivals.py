"""Goods that may prove bad on arrival, and services that may fail: what follows, and when."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from shared.decision.building.arrivals import here_and_good, replaced_chance
from shared.decision.building.build import build
from shared.decision.codec import from_builtins
from shared.decision.planning.case import CHANCE_ONE
from shared.decision.planning.evaluator import arrival_chance, evaluate
from shared.decision.snapshot import Snapshot
from shared.sourcing.lead_time import chance_by_day
from tests.snapshots import (
    answer,
    best,
    chosen,
    donor,
    eur,
    goods,
    job,
    looks,
    own_unit,
    part,
    position,
    recommended,
    service,
    settings,
    snapshot,
    supplier,
    why,
    work,
)


def worn(*offers, suppliers=None, **members):
    return snapshot(
        **{
            "parts": [part("ring")],
            "positions": [position("ring")],
            "suppliers": suppliers or [supplier("a"), supplier("b")],
            "offers": list(offers),
            **looks(ring="heavy"),
            **members,
        }
    )


def chance(members, day, *source_ids):
    """True chance that all of the plan of these sources is here and good by a day."""
    case = build(from_builtins(members, Snapshot)).case
    plan = evaluate(case, ("whole:part-by-part", *source_ids), CHANCE_ONE // 100)
    return arrival_chance(case, plan, day)


# --- goods -----------------------------------------------------------------------------------


def test_a_fixed_delivery_is_good_on_its_day_or_replaced_from_the_day_after():
    members = worn(goods("ring", "a", "5", ("2", "2"), reject_probability="0.15"))
    found = [chance(members, day, "pos_ring:new:ofr_ring:prt_ring") for day in range(7)]
    # Here on day 2; found bad, ordered on day 3, here on day 5.
    # What is bad a second time counts as never there: 1 - 0.15 x 0.15.
    assert found == pytest.approx([0, 0, 0.85, 0.85, 0.85, 0.9775, 0.9775], abs=1e-8)


def test_what_lies_on_the_suppliers_shelf_is_replaced_on_the_day_after():
    members = worn(goods("ring", "a", "5", ("0", "0"), reject_probability="0.15"))
    found = [chance(members, day, "pos_ring:new:ofr_ring:prt_ring") for day in range(2)]
    assert found == pytest.approx([0.85, 0.9775], abs=1e-8)


def test_the_chance_is_the_sum_over_the_days_on_which_it_may_be_found_bad():
    first = chance_by_day(Decimal(3), Decimal(6), 1, 30)
    again = chance_by_day(Decimal(3), Decimal(6), 0, 30)
    good = (CHANCE_ONE * 8 // 10, CHANCE_ONE * 96 // 100)
    found = here_and_good(first, replaced_chance(first, again), good)
    for day in range(31):
        exact = Fraction(8, 10) * Fraction(first[day], CHANCE_ONE)
        for k in range(day):
            f = first[k] - (first[k - 1] if k else 0)
            exact += (
                Fraction(16, 100)
                * Fraction(f, CHANCE_ONE)
                * Fraction(again[day - k - 1], CHANCE_ONE)
            )
        assert 0 <= exact - Fraction(found[day], CHANCE_ONE) < Fraction(3, CHANCE_ONE)
    members = worn(goods("ring", "a", "5", ("3", "6"), reject_probability="0.2"))
    members["suppliers"][0]["order_cutoff"] = "06:00"  # it is past: ordered on day 1
    for day in (4, 9, 15):
        taken = chance(members, day, "pos_ring:new:ofr_ring:prt_ring")
        assert taken == pytest.approx(found[day] / CHANCE_ONE, abs=1e-8)


def test_all_pieces_of_a_position_must_be_good():
    members = worn(goods("ring", "a", "5", ("2", "2"), reject_probability="0.1"))
    members["positions"][0]["quantity"] = 3
    found = chance(members, 2, "pos_ring:new:ofr_ring:prt_ring")
    assert found == pytest.approx(0.729, abs=1e-8)
    found = chance(members, 5, "pos_ring:new:ofr_ring:prt_ring")
    assert found == pytest.approx(0.99**3, abs=1e-8)


def test_a_rejectable_offer_promises_later_and_may_lose_by_it():
    safe = goods("safe", "b", "9", ("2", "2"), part_id="prt_ring")
    doubtful = goods("ring", "a", "5", ("2", "2"), reject_probability="0.15")
    in_time = job(required_by_on="2031-03-06")
    assert best(worn(safe, doubtful)).lines[0].offer_id == "ofr_ring"
    assert best(worn(safe, doubtful, job=in_time)).lines[0].offer_id == "ofr_safe"
    sure = goods("ring", "a", "5", ("2", "2"), reject_probability="0.05")
    assert best(worn(safe, sure, job=in_time)).lines[0].offer_id == "ofr_ring"


def test_a_line_in_one_parcel_with_a_slower_one_is_found_bad_only_then():
    members = worn(
        goods("ring", "a", "5", ("0", "0"), reject_probability="0.5"),
        goods("shaft", "a", "5", ("10", "10")),
    )
    members["parts"].append(part("shaft"))
    members["positions"].append(position("shaft"))
    members |= looks(ring="heavy", shaft="heavy")
    both = ("pos_ring:new:ofr_ring:prt_ring", "pos_shaft:new:ofr_shaft:prt_shaft")
    assert chance(members, 10, *both) == pytest.approx(0.5, abs=1e-8)
    assert chance(members, 11, *both) == pytest.approx(0.75, abs=1e-8)
    members["suppliers"][0]["delivery"] = "separate"
    assert chance(members, 10, *both) == pytest.approx(0.75, abs=1e-8)


def test_a_kit_and_a_whole_unit_may_prove_bad_as_well():
    kit = worn(goods("kit", "a", "5", ("2", "2"), reject_probability="0.15"))
    kit["parts"].append(part("kit", kit_lines=[{"part_id": "prt_ring"}]))
    unit = worn(goods("unit", "a", "5", ("2", "2"), assembly_id="asm_1", reject_probability="0.15"))
    for members in (kit, unit):
        assert best(members).readiness.promise_on == date(2031, 3, 10)
        assert "15%" in " ".join(best(members).lines[0].notes)


def test_nothing_is_left_uncounted():
    members = worn(goods("ring", "a", "5", reject_probability="0.15"))
    assert "NOT counted" not in str(answer(members))


# --- services --------------------------------------------------------------------------------


def sent_out(*offers, reject="0.2", **members):
    send = service("rebuild", "b", "200", ("3", "3"), assembly_id="asm_1")
    return worn(send | {"reject_probability": reject}, *offers, **members)


def test_a_send_out_that_may_fail_counts_the_cheapest_whole_in_its_place():
    exchange = goods("unit", "a", "500", ("2", "2"), assembly_id="asm_1", condition="rebuilt")
    plan = best(sent_out(exchange))
    assert chosen(plan) == {"the whole unit": "send-out"}
    assert plan.expected_total.amount == Decimal("300.00")  # 200 + a fifth of 500
    # Back on day 3; in one case of five judged then, and the other unit two days later.
    assert plan.readiness.promise_on == date(2031, 3, 10)


def test_a_send_out_that_may_fail_takes_an_own_stock_unit_in_its_place():
    stock = donor("s", worth="450", kind="stock")
    plan = best(sent_out(units=[own_unit(), stock]))
    assert chosen(plan) == {"the whole unit": "send-out"}
    assert plan.expected_total.amount == Decimal("290.00")


def test_what_came_back_spoilt_is_no_core():
    core = {"deposit": eur("100"), "acceptance_probability": "1"}
    exchange = goods("unit", "a", "500", ("2", "2"), assembly_id="asm_1", condition="rebuilt")
    plan = best(sent_out(exchange | {"core": core}))
    assert plan.expected_total.amount == Decimal("320.00")  # 200 + a fifth of 600


def test_a_send_out_without_anything_to_take_its_place_is_barred_by_policy():
    found = answer(sent_out(goods("ring", "a", "900")))
    assert chosen(recommended(found)) == {"ring": "new"}
    assert "nothing else on offer could take its place" in why(found, "rebuild")
    policy = settings(policy={"harvest_without_fallback": "allowed"})
    plan = best(sent_out(goods("ring", "a", "900"), settings=policy, job=job(confidence="0.8")))
    assert chosen(plan) == {"the whole unit": "send-out"}


def test_the_fallback_of_a_proof_is_kept_with_its_amounts_and_its_work():
    exchange = goods("unit", "a", "500", ("2", "2"), assembly_id="asm_1", condition="rebuilt")
    members = sent_out(exchange, operations=[work("unit", "renew", "2", "3")])
    built = build(from_builtins(members, Snapshot))
    (proof,) = built.draft.proofs.values()
    assert (proof.chance, proof.price, proof.cost) == (0.8, 620_00, 560_00)
    assert proof.billed_price == 620_00
    assert proof.fallback == "unit from Supplier a"
    for source in built.case.sources:
        hours = built.draft.work.get(source.id, ())
        assert sum(int(p90 * 60) for _, p90 in hours) == source.bench_minutes


def test_a_service_must_succeed_on_every_piece():
    sleeve = service("sleeve", "b", "10", position_id="pos_ring", reject_probability="0.2")
    members = worn(sleeve, goods("ring", "a", "100"))
    members["positions"][0]["quantity"] = 2
    built = build(from_builtins(members, Snapshot))
    (proof,) = built.draft.proofs.values()
    assert proof.chance == pytest.approx(0.64)
    plan = evaluate(built.case, ("whole:part-by-part", "pos_ring:rework:ofr_sleeve"), 1)
    assert plan.objective == 20_00 + 72_00  # 0.36 of two new rings
