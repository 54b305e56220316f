"""How far an input may move before the plan changes: worked by hand, and verified on both sides."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from shared.decision.building.build import build
from shared.decision.codec import from_builtins
from shared.decision.planning.budget import Budget
from shared.decision.result import BreakEven
from shared.decision.snapshot import Snapshot
from shared.decision.weighing.break_even import BreakEvens, break_evens
from shared.decision.weighing.break_even_inputs import candidates
from shared.decision.weighing.movable_chances import comeback_chance
from shared.decision.weighing.nearness import nearness
from shared.decision.weighing.what_if import proven, what_if
from shared.errors import InvalidInput
from tests.snapshots import (
    Members,
    donor,
    eur,
    goods,
    job,
    looks,
    own_unit,
    part,
    position,
    settings,
    snapshot,
    supplier,
    work,
)


def worked(members: Members, budget: Budget | None = None, **options: Any) -> BreakEvens:
    snap = from_builtins(members, Snapshot)
    built = build(snap)
    best = proven(built, breaks_ties=True).plan
    assert best is not None
    return break_evens(snap, built, best, budget, **{"most": 99, **options})


def at(members: Members, path: str, direction: str) -> BreakEven:
    found = [b for b in worked(members).found if (b.path, b.direction) == (path, direction)]
    assert len(found) == 1
    return found[0]


def sides(one: BreakEven) -> tuple[str | None, str | None]:
    return (
        None if one.holds_to is None else str(one.holds_to),
        None if one.changes_at is None else str(one.changes_at),
    )


# --- prices ---------------------------------------------------------------------------------------


def two_offers(**members: Any) -> Members:
    """Far: 40 marked up by half and 10 freight, 70 together. Near: 60 marked up by half, 90."""
    pricing = {"parts_markup": [{"percent": "50"}]}
    base: Members = {
        "settings": settings(pricing=pricing),
        "parts": [part("seal")],
        "positions": [position("seal")],
        "suppliers": [supplier("far", "10"), supplier("near")],
        "offers": [
            goods("far_seal", "far", "40", part_id="prt_seal"),
            goods("near_seal", "near", "60", part_id="prt_seal"),
        ],
        **looks(seal="heavy"),
    }
    return snapshot(**{**base, **members})


@pytest.mark.parametrize(
    ("path", "direction", "expected"),
    [
        # 53.33 x 1.5 + 10 = 90.00, level with the other; a minor unit more is dearer.
        ("/offers/0/price/amount", "up", ("53.33", "53.34")),
        # 46.67 x 1.5 = 70.01; 46.66 x 1.5 = 69.99, below 70.
        ("/offers/1/price/amount", "down", ("46.67", "46.66")),
        ("/suppliers/0/freight/amount", "up", ("30.00", "30.01")),
    ],
)
def test_a_price_may_move_until_the_other_offer_comes_cheaper(path, direction, expected):
    one = at(two_offers(), path, direction)
    assert sides(one) == expected
    assert one.becomes == ("seal: far seal from Supplier far -> near seal from Supplier near",)


def test_what_there_is_no_other_way_for_holds_at_any_price():
    members = two_offers()
    members["offers"] = members["offers"][:1]
    one = at(members, "/offers/0/price/amount", "up")
    assert sides(one) == (None, None)
    assert one.looked_to == 10_000_000
    assert one.becomes == ()
    assert "Nothing" in one.detail


def test_a_change_before_a_jump_of_the_mark_up_is_not_missed():
    # Doubled below 50, a fifth more from 50 on: dearer than 95 from 47.51 to 49.99, then not
    # again before 79.17. The first of the two is the break-even.
    bands = [{"percent": "100"}, {"percent": "20", "cost_from": eur(50)}]
    members = two_offers(settings=settings(pricing={"parts_markup": bands}))
    members["suppliers"][0]["freight"] = eur(0)
    members["offers"][0]["price"] = eur(45)
    members["offers"][1]["price"] = eur("79.17")
    one = at(members, "/offers/0/price/amount", "up")
    assert sides(one) == ("47.50", "47.51")


def test_price_breaks_move_with_the_price():
    # Two seals: 38 each from two on, 76 against 2 x 60: 60 - 2 = 58 is the price that draws level.
    members = two_offers(settings=settings())
    members["suppliers"][0]["freight"] = eur(0)
    members["positions"][0]["quantity"] = 2
    members["offers"][0]["price_breaks"] = [{"from_quantity": 2, "price": eur(38)}]
    one = at(members, "/offers/0/price/amount", "up")
    assert sides(one) == ("62.00", "62.01")
    assert "price breaks move with it" in one.subject


def test_a_price_in_another_currency_moves_in_that_currency():
    # 0.80 of ours for one of theirs, mark-up of half: 50 x 0.8 x 1.5 = 60 against 90, at 75 level.
    members = two_offers()
    members["suppliers"][0]["freight"] = {"amount": "0.00", "currency": "USD"}
    members["offers"][0]["price"] = {"amount": "50.00", "currency": "USD"}
    members["exchange_rates"] = [
        {
            "id": "rate_1",
            "currency": "USD",
            "in_currency": "EUR",
            "rate": "0.80",
            "holds_from": "2031-03-01",
            "source": "invented",
        }
    ]
    one = at(members, "/offers/0/price/amount", "up")
    assert (sides(one), one.unit) == (("75.00", "75.01"), "USD")


def test_the_freight_that_flips_a_rebuilt_drive_against_a_new_half():
    """Trade case EC-01: 995 + 1000 - 200 against 695 and freight: level at 1100."""
    core = {"deposit": eur(1000), "refund": eur(200), "acceptance_probability": "1"}
    members = snapshot(
        parts=[part("upper"), part("lower")],
        positions=[position("upper"), position("lower")],
        suppliers=[supplier("rebuilder"), supplier("seller", "150")],
        offers=[
            goods(
                "rebuilt", "rebuilder", "995", assembly_id="asm_1", condition="rebuilt", core=core
            ),
            goods("lower", "seller", "695"),
        ],
        **looks(upper="none", lower="heavy"),
    )
    one = at(members, "/suppliers/1/freight/amount", "up")
    assert sides(one) == ("1100.00", "1100.01")
    assert one.becomes == (
        "the whole unit: a repair part by part -> rebuilt from Supplier rebuilder",
    )
    members["suppliers"][1]["freight"] = eur(1200)
    one = at(members, "/suppliers/1/freight/amount", "down")
    assert sides(one) == ("1100.00", "1099.99")
    assert one.becomes == (
        "the whole unit: rebuilt from Supplier rebuilder -> a repair part by part",
        "lower: lower from Supplier seller",
        "upper: put back as found",
    )


def test_freight_that_goods_for_the_rest_would_save_bends_the_price_and_makes_no_jump():
    # Freight of 10 until the goods come to 58, by topping up too: 58 at most until 58, then the
    # price itself; the other is 60.
    members = two_offers(settings=settings())
    members["suppliers"][0]["free_freight_from"] = eur(58)
    one = at(members, "/offers/0/price/amount", "up")
    assert sides(one) == ("60.00", "60.01")


def test_the_worth_of_an_owned_donor_and_the_chance_that_its_part_proves_good():
    # Proves good with 0.5: 20 + 0.5 x 70 against 70. It may be worth 35, or prove good with 0.2857.
    proves = {"prior_mean": "0.5", "prior_weight": "10"}
    members = two_offers(
        settings=settings(
            pricing={"parts_markup": [{"percent": "50"}]}, salvage_experience=[proves]
        ),
        units=[own_unit(), donor("yard", worth="13.33")],
    )
    worth = at(members, "/units/1/donor/undisturbed_worth/amount", "up")
    # 23.33 x 1.5 = 35.00 (rounded): level; a minor unit more is dearer.
    assert sides(worth) == ("23.33", "23.34")
    assert worth.becomes == ("seal: from donor unt_yard -> far seal from Supplier far",)
    proof = at(members, "/settings/salvage_experience/0/prior_mean", "down")
    # 20.00 = 70 q at 0.2857 (19.999), and a tie is no change.
    assert sides(proof) == ("0.2857", "0.2856")


def test_days_without_the_unit_cost_so_a_lead_time_has_its_price():
    # Near costs 20 more and is there at once; far is there on day k and costs 5 for each day.
    members = two_offers(
        job=job(standstill_cost_per_day=eur(5)),
        settings=settings(),
    )
    members["suppliers"][0]["freight"] = eur(0)
    members["offers"][0] |= {"p50_days": "1", "p90_days": "1"}
    members["offers"][1] |= {"p50_days": "0", "p90_days": "0"}
    one = at(members, "/offers/0/p90_days", "up")
    assert one.holds_to is not None
    assert one.becomes == ("seal: far seal from Supplier far -> near seal from Supplier near",)
    assert Decimal(3) <= one.holds_to <= Decimal(4)


def test_what_another_machine_may_cost_before_this_one_is_mended():
    one = at(two_offers(job=job(replacement_cost=eur(75))), "/job/replacement_cost/amount", "down")
    assert sides(one) == ("70.00", "69.99")


def test_the_worth_of_a_stock_unit_has_its_price_too():
    stock = {**donor("shelf", worth="60"), "kind": "stock"}
    one = at(two_offers(units=[own_unit(), stock]), "/units/1/donor/undisturbed_worth/amount", "up")
    assert sides(one) == ("70.00", "70.01")


# --- chances --------------------------------------------------------------------------------------


def used_or_new(rate: str, **members: Any) -> Members:
    return snapshot(
        settings=settings(
            rate=rate,
            cost_rate=rate,
            comeback_experience=[{"kind": "used", "prior_mean": "0.2", "prior_weight": "10"}],
        ),
        suppliers=[supplier("a"), supplier("b")],
        operations=[work("whole", "renew", "2")],
        offers=[
            goods("new_unit", "a", "310", assembly_id="asm_1"),
            goods("used_unit", "b", "150", assembly_id="asm_1", condition="used"),
        ],
        **{"aim": "cost", **members},
    )


@pytest.mark.parametrize(
    ("rate", "expected"),
    # Trade case EC-04: N / U - 1 with 2 h of labour inside both: 1.067, 0.593, 0.485.
    [("0", (None, None)), ("60", ("0.5926", "0.5927")), ("90", ("0.4848", "0.4849"))],
)
def test_a_used_unit_may_fail_so_often_before_the_new_one_is_cheaper(rate, expected):
    one = at(used_or_new(rate), "/settings/comeback_experience/0/prior_mean", "up")
    assert sides(one) == expected


def test_where_comebacks_are_on_record_it_is_the_heading_that_moves():
    members = used_or_new("60")
    members["settings"]["comeback_experience"][0] |= {"comebacks": 3, "trials": 10}
    one = at(members, "/settings/comeback_experience/0", "up")
    assert one.current == Decimal("0.250000")
    assert sides(one) == ("0.5926", "0.5927")


def test_a_better_record_of_the_unchosen_kind_is_looked_for_downwards():
    members = used_or_new("60")
    members["settings"]["comeback_experience"][0]["prior_mean"] = "0.7"
    one = at(members, "/settings/comeback_experience/0/prior_mean", "down")
    # 0.5926 draws level to the minor unit, and a tie is no change.
    assert sides(one) == ("0.5926", "0.5925")


# --- lead times -----------------------------------------------------------------------------------


def in_time(p50: str, p90: str) -> Members:
    """Cheap by an offer with this lead time, dear from the shelf; wanted for a Monday."""
    members = two_offers(job=job(required_by_on="2031-03-17"))
    members["offers"][0] |= {"p50_days": p50, "p90_days": p90}
    members["offers"][1] |= {"p50_days": "0", "p90_days": "0"}
    return members


def test_a_fixed_lead_time_may_grow_to_the_last_day_that_leaves_time():
    # Monday the 3rd is day 0, Monday the 17th day 10; nothing to do at the bench.
    one = at(in_time("2", "2"), "/offers/0/p90_days", "up")
    assert sides(one) == ("10.0", "10.1")
    assert one.becomes == ("seal: far seal from Supplier far -> near seal from Supplier near",)


def test_an_uncertain_lead_time_may_grow_until_nine_in_ten_are_late():
    # Confidence 0.9 is met on the day of the P90 itself.
    one = at(in_time("2", "4"), "/offers/0/p90_days", "up")
    assert sides(one) == ("10.0", "10.1")


def test_a_lower_confidence_leaves_more_room():
    members = in_time("2", "4")
    members["job"]["confidence"] = "0.5"
    # Median 10 days: P90 of 20.
    assert sides(at(members, "/offers/0/p90_days", "up")) == ("20.0", "20.1")


def in_parcels(delivery: str) -> Members:
    """Seal and ring from far, there in 2 and 3 days, wanted in 10."""
    members = in_time("2", "2")
    members["parts"].append(part("ring"))
    members["positions"].append(position("ring"))
    members["suppliers"][0]["delivery"] = delivery
    members["offers"].append(goods("ring_far", "far", "5", ("3", "3"), part_id="prt_ring"))
    return {**members, **looks(seal="heavy", ring="heavy")}


def test_what_arrives_in_one_parcel_is_asked_once_by_its_slowest_line():
    lead = [b for b in worked(in_parcels("consolidated")).found if b.kind == "lead-time"]
    assert [(b.path, sides(b)) for b in lead] == [("/offers/2/p90_days", ("10.0", "10.1"))]
    assert "the parcel from Supplier far, by its slowest line, ring far" in lead[0].subject
    apart = [b for b in worked(in_parcels("separate")).found if b.kind == "lead-time"]
    assert {b.path for b in apart} == {"/offers/0/p90_days", "/offers/2/p90_days"}


def test_no_subject_speaks_in_codes():
    told = " ".join(one.subject for one in worked(gear_case()).found)
    told += worked(in_time("2", "4")).found[0].subject
    assert "experience '" not in told
    assert "P90" not in told
    assert "chance of a comeback within the warranty of used goods" in told


def test_lead_times_have_no_bearing_where_no_day_is_asked():
    assert not [b for b in worked(two_offers()).found if b.kind == "lead-time"]


# --- readings -------------------------------------------------------------------------------------


def worn_shaft(reading: str, **policy: str) -> Members:
    """At least 24.95 mm in service; standard uncertainty 0.01 mm; a new one costs 90."""
    mm = {"unit": "mm"}
    return two_offers(
        settings=settings(
            pricing={"parts_markup": [{"percent": "50"}]},
            policy=policy,
            comeback_experience=[{"kind": "keep", "prior_mean": "0.02", "prior_weight": "20"}],
        ),
        characteristics=[
            {
                "id": "chr_seal",
                "position_id": "pos_seal",
                "name": "diameter",
                "service_lower": {"value": "24.950", **mm},
            }
        ],
        findings=[
            {
                "id": "fnd_1",
                "unit_id": "unt_1",
                "position_id": "pos_seal",
                "characteristic_id": "chr_seal",
                "found_by": "Technician A",
                "found_at": "2031-03-03T07:00:00Z",
                "method": "gauge",
                "measured": {"value": reading, "standard_uncertainty": "0.010", **mm},
            }
        ],
    )


def test_a_reading_may_fall_until_the_policy_bars_what_is_not_proved():
    # 95 % by ISO 14253-1: conforming from 24.950 + 1.645 x 0.010 = 24.96645 on.
    members = worn_shaft("24.980", keep_indeterminate="barred")
    one = at(members, "/findings/0/measured/value", "down")
    assert sides(one) == ("24.967", "24.966")
    assert one.becomes == ("seal: put back as found -> far seal from Supplier far",)
    assert "indeterminate from 24.966" in one.detail
    assert "nonconforming from 24.933" in one.detail


def test_where_doubt_is_only_priced_the_plan_turns_within_the_open_zone():
    members = worn_shaft("24.980")
    one = at(members, "/findings/0/measured/value", "down")
    assert one.holds_to is not None
    assert Decimal("24.933") < one.holds_to < Decimal("24.966")
    assert_verified(members, one)


def test_a_reading_beyond_the_limit_says_what_it_would_take():
    members = worn_shaft("24.900", keep_indeterminate="barred")
    one = at(members, "/findings/0/measured/value", "up")
    assert sides(one) == ("24.966", "24.967")
    assert one.becomes == ("seal: far seal from Supplier far -> put back as found",)
    assert one.looked_to == Decimal("25.000")


# --- laws -----------------------------------------------------------------------------------------


def moved(members: Members, one: BreakEven, value: Decimal) -> Snapshot:
    """The same snapshot with the value written where the pointer points."""
    copy = msgspec_copy(members)
    at_path: Any = copy
    *steps, last = one.path.strip("/").split("/")
    for step in steps:
        at_path = at_path[int(step)] if isinstance(at_path, list) else at_path[step]
    at_path[last] = str(value)
    return from_builtins(copy, Snapshot)


def msgspec_copy(members: Any) -> Any:
    if isinstance(members, dict):
        return {key: msgspec_copy(value) for key, value in members.items()}
    return [msgspec_copy(value) for value in members] if isinstance(members, list) else members


def assert_verified(members: Members, one: BreakEven) -> None:
    snap = from_builtins(members, Snapshot)
    best = proven(build(snap), breaks_ties=True).plan
    assert best is not None
    assert one.holds_to is not None
    assert one.changes_at is not None
    assert what_if(moved(members, one, one.holds_to), best.source_ids).holds
    assert not what_if(moved(members, one, one.changes_at), best.source_ids).holds


def gear_case() -> Members:
    """Two positions, three suppliers, freight, mark-up and failure chances that all interact."""
    bands = [{"percent": "40"}, {"percent": "15", "cost_from": eur(80)}]
    chances = [
        {"kind": "new", "prior_mean": "0.02", "prior_weight": "50"},
        {"kind": "used", "prior_mean": "0.15", "prior_weight": "8"},
        {"kind": "exchange", "prior_mean": "0.05", "prior_weight": "30"},
    ]
    return snapshot(
        settings=settings(
            pricing={"parts_markup": bands, "freight_markup_percent": "10"},
            comeback_experience=chances,
        ),
        job=job(horizon_hours="1500"),
        parts=[part("gear"), part("seal")],
        positions=[position("gear", quantity=2), position("seal")],
        operations=[
            work("gear", "renew", "1.5", position_id="pos_gear"),
            work("seal", "renew", "0.5", position_id="pos_seal"),
            work("whole", "renew", "2"),
        ],
        suppliers=[supplier("a", "12"), supplier("b", "4"), supplier("c")],
        offers=[
            goods("gear_a", "a", "70", part_id="prt_gear"),
            goods("gear_b", "b", "76", part_id="prt_gear"),
            goods("gear_used", "c", "45", part_id="prt_gear", condition="used"),
            goods("seal_a", "a", "11", part_id="prt_seal"),
            goods("seal_b", "b", "14", part_id="prt_seal"),
            goods("unit_c", "c", "320", assembly_id="asm_1", condition="rebuilt"),
        ],
        **looks(gear="heavy", seal="heavy"),
    )


def test_every_break_even_holds_one_step_before_and_not_at_it():
    members = gear_case()
    found = worked(members).found
    changing = [one for one in found if one.changes_at is not None]
    assert len(changing) >= 6
    for one in changing:
        assert_verified(members, one)
        step = Decimal("0.0001") if one.kind == "failure-rate" else Decimal("0.01")
        assert abs(one.changes_at - one.holds_to) == step
        assert one.becomes


def test_nearest_come_first_and_what_never_changes_comes_last():
    found = worked(gear_case()).found

    def distance(one: BreakEven) -> float:
        if one.kind != "failure-rate":
            return abs(one.changes_at - one.current) / one.current
        odds = [chance / (1 - chance) for chance in (one.changes_at, one.current)]
        return abs((odds[0] / odds[1]).ln())

    distances = [distance(one) for one in found if one.changes_at is not None]
    assert distances == sorted(distances)
    assert len({one.kind for one in found if one.changes_at is not None}) > 1
    never = [one.changes_at is None for one in found]
    assert never == sorted(never)


@pytest.mark.parametrize(
    ("limits", "doubt", "expected"),
    [
        ({"service_lower": "24.950"}, {"standard_uncertainty": "0.010"}, 0.14),
        ({"service_lower": "24.950"}, {"expanded_uncertainty": "0.020"}, 0.14),
        # Without a doubt stated: of the width between the limits, else of the value.
        ({"service_lower": "24.950", "service_upper": "25.020"}, {}, 0.014 / 0.07),
        ({"service_lower": "24.950"}, {}, 0.014 / 24.98),
    ],
)
def test_a_readings_distance_is_told_in_its_doubt(limits, doubt, expected):
    members = worn_shaft("24.980")
    members["characteristics"][0] |= {k: {"value": v, "unit": "mm"} for k, v in limits.items()}
    members["findings"][0]["measured"] = {"value": "24.980", "unit": "mm", **doubt}
    snap = from_builtins(members, Snapshot)
    built = build(snap)
    best = proven(built, breaks_ties=True).plan
    found = [one for one in candidates(snap, built, best, ()) if one.planned and not one.is_up]
    assert len(found) == 1
    assert nearness(found[0].input, Decimal("24.966")) == pytest.approx(expected)
    assert found[0].near == Decimal("24.950")


def test_a_chance_is_as_near_told_as_good_or_as_bad():
    members = used_or_new("60")
    one = comeback_chance(
        snap := from_builtins(members, Snapshot), snap.settings.comeback_experience[0]
    )
    assert nearness(one, Decimal("0.3")) == pytest.approx(0.538997)  # ln((3/7) / (1/4))
    good = replace(one, current=1 - one.current)
    assert nearness(good, Decimal("0.7")) == pytest.approx(nearness(one, Decimal("0.3")))


def test_known_rivals_change_nothing_but_where_to_look_first():
    members = gear_case()
    snap = from_builtins(members, Snapshot)
    built = build(snap)
    best = proven(built, breaks_ties=True).plan
    assert best is not None
    other = what_if(snap, best.source_ids).optimum
    assert other is not None
    alone = worked(members).found
    assert worked(members, rivals=[best, other]).found == alone


def test_the_order_of_records_changes_no_figure():
    members = gear_case()
    mixed = {**members, "offers": members["offers"][::-1], "suppliers": members["suppliers"][::-1]}

    def told(found):
        return {(b.subject, b.direction, b.holds_to, b.changes_at, b.becomes) for b in found}

    assert told(worked(mixed).found) == told(worked(members).found)


def test_a_life_that_would_make_amounts_beyond_any_plan_is_looked_at_less_far():
    """Failing every hour for so long costs more than any plan takes in."""
    members = kept_long()
    found = [b for b in worked(members).found if b.path.endswith("scale_hours")]
    assert [(b.direction, b.changes_at) for b in found] == [("down", None)]
    assert "Nothing down to" in found[0].detail
    assert 0 < found[0].looked_to < found[0].current
    # One hour, the least there is, is beyond it.
    with pytest.raises(InvalidInput):
        what_if(moved(members, found[0], Decimal(1)), ())


def kept_long() -> Members:
    """Kept or bought for 90 000 it lasts the same, 5000 of 1 000 000 hours: always kept."""
    life = {"part_kind": "bearing", "shape": "1", "scale_hours": "5000", "basis": "own"}
    members = two_offers(
        settings=settings(life_records=[life]),
        job=job(horizon_hours="1000000"),
        units=[own_unit(lower_hours="0", upper_hours="0")],
        **looks(seal="none"),
    )
    members["parts"][0]["kind"] = "bearing"
    members["offers"] = members["offers"][:1]
    members["offers"][0]["price"] = eur(90000)
    return members


def test_what_is_beyond_the_number_asked_is_counted():
    everything = worked(gear_case())
    some = worked(gear_case(), most=2)
    assert len(some.found) == 2
    assert some.left_out >= len(everything.found) - 2
    assert everything.left_out == 0


def test_with_the_budget_spent_nothing_is_looked_at():
    budget = Budget(1.0)
    budget.spend(1.0)
    nothing = worked(gear_case(), budget)
    assert nothing.found == ()
    assert nothing.left_out > 5
