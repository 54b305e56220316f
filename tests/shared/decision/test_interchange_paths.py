"""Parts by a path: later numbers, longer paths, ratios, what is bought along.

Situations from the trade with invented figures; the money is worked by hand beside each check.
"""

from decimal import Decimal

import pytest

from shared.decision.building.build import build
from shared.decision.building.goods import CHOICES_AT_MOST
from shared.decision.codec import from_builtins
from shared.decision.snapshot import Snapshot
from tests.shared.decision.worn_pumps import (
    along,
    claim,
    later,
    line_notes,
    total,
    worn,
)
from tests.snapshots import (
    Members,
    answer,
    best,
    chosen,
    eur,
    goods,
    job,
    looks,
    own_unit,
    part,
    position,
    recommended,
    settings,
    supplier,
    why,
)

# --- later numbers ------------------------------------------------------------------------------


def test_the_makers_later_number_is_the_makers_part():
    members = worn(
        "later", offers=[goods("later", "a", "90")], supersessions=[later("pump", ("later", 1))]
    )
    result = answer(members)
    plan = recommended(result)
    assert chosen(plan) == {"pump": "new"}
    assert plan.price.amount == Decimal("90.00")
    assert "the maker's later number: Anymaker PUMP -> Anymaker LATER" in line_notes(plan)
    assert not any("stands in" in line.what for line in plan.customer.lines)


def test_a_later_number_known_by_trial_alone_is_an_interchange():
    record = later("pump", ("later", 1), evidence_kind="fitted-and-run")
    members = worn("later", offers=[goods("later", "a", "90")], supersessions=[record])
    assert chosen(best(members)) == {"pump": "interchange"}
    critical = {**members, "positions": [position("pump", is_safety_critical=True)]}
    assert "safety-critical" in why(answer(critical), "later from")


def test_an_earlier_number_is_not_bought_for_a_later_one():
    record = later("old", ("pump", 1))
    members = worn(
        "old", offers=[goods("old", "a", "9"), goods("pump", "a", "90")], supersessions=[record]
    )
    assert chosen(best(members)) == {"pump": "new"}
    assert best(members).price.amount == Decimal("90.00")
    record["may_go_back"] = True
    plan = best(members)
    assert chosen(plan) == {"pump": "interchange"}
    assert "an earlier number of the maker" in line_notes(plan)


def test_a_later_number_from_a_serial_number_on_is_not_for_a_unit_whose_number_nobody_knows():
    record = later("pump", ("later", 1), serial_from="500")
    members = worn(
        "later",
        offers=[goods("later", "a", "9"), goods("pump", "a", "90")],
        supersessions=[record],
    )
    result = answer(members)
    assert chosen(recommended(result)) == {"pump": "new"}
    assert recommended(result).price.amount == Decimal("90.00")
    assert "cannot be told" in why(result, "LATER in place of pump")
    members["units"] = [own_unit(serial_number="700")]
    assert best(members).price.amount == Decimal("9.00")


# --- how sure a path is -------------------------------------------------------------------------


def two_steps(**members) -> Members:
    """Pump, other, third: two trials in a row, 0.9 x 0.9 x 0.95 = 0.7695."""
    return worn(
        "other",
        "third",
        offers=[goods("third", "a", "9"), goods("pump", "a", "90")],
        claims=[
            claim(),
            claim("2", part_id="prt_other", stand_in_part_id="prt_third"),
        ],
        **members,
    )


def test_two_steps_below_the_shops_least_confidence_are_told_and_not_planned_with():
    result = answer(two_steps())
    assert chosen(recommended(result)) == {"pump": "new"}
    told = why(result, "THIRD in place of pump")
    assert "76.9 %" in told
    assert "Anymaker PUMP -> Anymaker OTHER -> Anymaker THIRD" in told


def test_a_shop_that_asks_for_less_plans_with_two_steps_and_is_told_how_sure_they_are():
    rules = settings(interchange={"least_confidence": "0.75"})
    plan = best(two_steps(settings=rules))
    assert chosen(plan) == {"pump": "interchange"}
    assert "confidence that it fits: 76.9%, by 2 steps" in line_notes(plan)


def test_fitments_of_the_shop_make_a_path_sure_enough_or_not():
    """Beta(9, 1) by trial; five that did not fit: 9 / 15 = 0.6."""
    members = worn(
        "other", offers=[goods("other", "a", "9"), goods("pump", "a", "90")], claims=[claim()]
    )
    assert chosen(best(members)) == {"pump": "interchange"}
    members["fitment_counts"] = [{"claim_id": "clm_1", "against": 5}]
    result = answer(members)
    assert chosen(recommended(result)) == {"pump": "new"}
    assert "60 %" in why(result, "OTHER in place of pump")
    members["fitment_counts"] = [{"claim_id": "clm_1", "served": 40, "against": 5}]
    assert chosen(best(members)) == {"pump": "interchange"}  # 49 / 55 = 0.89


def test_why_a_path_is_not_planned_with_is_told_once():
    """The record and the rival of it are hearsay, both: the policy is told once."""
    members = worn(
        "other",
        offers=[goods("pump", "a", "90")],
        supersessions=[
            later("pump", ("other", 1), evidence_kind="told"),
            later("pump", key="2", evidence_kind="told"),
        ],
    )
    told = why(answer(members), "OTHER in place of pump")
    assert told.count("evidence 'told' is not accepted by the shop's policy") == 1


def test_what_is_said_not_to_fit_is_never_planned_with():
    members = worn(
        "other",
        offers=[goods("other", "a", "9"), goods("pump", "a", "90")],
        claims=[claim(), claim("2", says="does-not-fit", evidence="flange too wide")],
    )
    result = answer(members)
    assert chosen(recommended(result)) == {"pump": "new"}
    assert "flange too wide" in why(result, "OTHER in place of pump")


def test_differences_and_checks_of_a_path_are_told_with_the_plan():
    members = worn(
        "other",
        offers=[goods("other", "a", "9")],
        claims=[
            claim(
                function="differs",
                to_check=["the drain hole points down"],
                differences=[
                    {"aspect": "load", "difference": "carries 80 %", "effect": "lasts less"}
                ],
            )
        ],
    )
    plan = best(members)
    differs = "Differs from the part that the maker names: pump: carries 80 % (lasts less)."
    assert differs in plan.customer.notes
    told = line_notes(plan)
    assert "another function than that of the part called for" in told
    assert "differs in load: carries 80 %: lasts less" in told
    assert "check before fitting: the drain hole points down" in told


# --- how many, and what goes in along -----------------------------------------------------------


@pytest.mark.parametrize(("pieces", "price"), [(2, "30.00"), (1, None), (4, "60.00")])
def test_three_of_the_other_take_the_place_of_two(pieces, price):
    """Three at 10 for every two; for a single one there is no whole number."""
    members = worn(
        "other",
        positions=[position("pump", quantity=pieces)],
        offers=[goods("other", "a", "10"), goods("pump", "a", "900")],
        claims=[claim(part_quantity=2, stand_in_quantity=3)],
    )
    result = answer(members)
    plan = recommended(result)
    if price is None:
        assert chosen(plan) == {"pump": "new"}
        assert "makes no whole number" in why(result, "other from")
    else:
        assert plan.price.amount == Decimal(price)
        assert "3 x OTHER take the place of 2" in line_notes(plan)


def test_rework_is_paid_for_each_piece_called_for():
    """2 x 10, and 2 x 0.5 h at 60: 80."""
    members = worn(
        "other",
        positions=[position("pump", quantity=2)],
        offers=[goods("other", "a", "10")],
        claims=[claim(rework_p50_hours="0.5", rework_p90_hours="1", rework_note="ream the bore")],
    )
    plan = best(members)
    assert plan.price.amount == Decimal("80.00")
    assert "rework: ream the bore" in line_notes(plan)
    assert plan.readiness.bench_hours == 2  # at the P90


@pytest.mark.parametrize(("count", "pieces"), [(1, 1), (12, 1), (1, 12)])
def test_rework_at_many_places_by_one_claim_takes_its_time(count, pieces):
    """16 h at the P90 for each pump, at 8 h a day, two days each; and there is a plan for it."""
    keys = [f"p{number}" for number in range(count)]
    members = worn(
        "other",
        positions=[position(key, part_id="prt_pump", quantity=pieces) for key in keys],
        offers=[goods("other", "a", "10")],
        claims=[claim(rework_p50_hours="8", rework_p90_hours="16")],
        **looks(**dict.fromkeys(keys, "heavy")),
    )
    assert best(members).readiness.bench_hours == 16 * count * pieces


def test_rework_of_each_of_ten_that_take_the_place_of_one_takes_its_time():
    members = worn(
        "other",
        "third",
        offers=[goods("third", "a", "10")],
        settings=settings(interchange={"least_confidence": "0.5"}),
        claims=[
            claim(stand_in_quantity=10),
            claim(
                "2",
                part_id="prt_other",
                stand_in_part_id="prt_third",
                rework_p50_hours="8",
                rework_p90_hours="20",
            ),
        ],
    )
    assert best(members).readiness.bench_hours == 200


def test_a_core_for_each_of_two_is_not_told_where_one_comes_out():
    members = worn(
        "other",
        offers=[
            goods("other", "a", "10", core={"deposit": eur("5"), "acceptance_probability": "1"}),
            goods("pump", "a", "900"),
        ],
        claims=[claim(stand_in_quantity=2)],
    )
    result = answer(members)
    assert chosen(recommended(result)) == {"pump": "new"}
    assert "core deposit for each of 2 pieces, and 1 come out" in why(result, "other from")


def with_adapter(*offers: Members, **members) -> Members:
    return worn(
        "other",
        "adapter",
        offers=[goods("other", "a", "10"), *offers, goods("pump", "a", "900")],
        claims=[claim(companion_lines=along("adapter", 2))],
        **members,
    )


def test_what_has_to_go_in_with_it_is_bought_along():
    """10, and two adapters at 7: 24; for two pumps 48."""
    plan = best(with_adapter(goods("adapter", "a", "7")))
    assert chosen(plan) == {"pump": "interchange"}
    assert plan.price.amount == Decimal("24.00")
    assert "bought along: 2 x Anymaker ADAPTER (Supplier a)" in line_notes(plan)
    double = with_adapter(goods("adapter", "a", "7"), positions=[position("pump", quantity=2)])
    assert best(double).price.amount == Decimal("48.00")


def test_without_what_has_to_go_in_with_it_a_part_is_no_source():
    result = answer(with_adapter())
    assert chosen(recommended(result)) == {"pump": "new"}
    assert "needs Anymaker ADAPTER with it, and nothing offers it" in why(result, "other from")


def test_freight_counts_in_where_it_is_bought_along():
    """From b the adapters come to 2 x 5 with 20 freight, from a to 2 x 7 without."""
    offers = (
        goods("adapter", "a", "7"),
        {**goods("adapter", "b", "5"), "id": "ofr_far"},
    )
    members = with_adapter(*offers, suppliers=[supplier("a"), supplier("b", "20")])
    assert total(members) == Decimal("24.00")
    members["suppliers"][1]["freight"] = eur("1")
    assert total(members) == Decimal("21.00")  # 10 + 10 + 1


def test_the_slower_of_both_is_waited_for():
    slow = goods("adapter", "a", "7", days=("15", "15"))
    quick = best(with_adapter(goods("adapter", "a", "7")))
    assert best(with_adapter(slow)).readiness.promise_on > quick.readiness.promise_on
    needed = job(required_by_on=quick.readiness.promise_on.isoformat())
    assert chosen(best(with_adapter(slow, job=needed))) == {"pump": "new"}


def test_packs_of_what_is_bought_along_are_bought_whole():
    """10, and a pack of ten adapters at 3 each: 40."""
    assert total(with_adapter(goods("adapter", "a", "3", pack_quantity=10))) == Decimal("40.00")


def test_many_offers_of_what_goes_along_are_weighed_by_three_picks():
    offers = [{**goods("adapter", "b", str(7 + n)), "id": f"ofr_adapter_{n}"} for n in range(8)]
    members = with_adapter(*offers)
    built = build(from_builtins(members, Snapshot))
    weighed = [s for s in built.case.sources if ":with:" in s.id]
    assert 1 <= len(weighed) <= CHOICES_AT_MOST
    assert total(members) == Decimal("24.00")


def test_what_a_supplier_takes_a_core_for_is_not_bought_along():
    cored = goods("adapter", "a", "7", core={"deposit": eur("5"), "acceptance_probability": "1"})
    result = answer(with_adapter(cored))
    assert chosen(recommended(result)) == {"pump": "new"}
    assert "core deposit" in why(result, "to go in with another part")


def test_what_goes_along_keeps_its_worth_and_is_bought_again_after_a_failure():
    """24, less 2 x 2 left at the horizon; a tenth of 24 again, by the shop: 22.40.

    And 24 for a second failure before the horizon, by the customer: -ln 0.9 - 0.1 times, 0.13.
    """
    members = with_adapter(
        goods("adapter", "a", "7", residual_worth=eur("2")),
        settings=settings(
            comeback_experience=[{"kind": "interchange", "prior_mean": "0.1", "prior_weight": "10"}]
        ),
    )
    assert total(members) == Decimal("22.53")


def test_a_part_that_would_go_in_with_itself_is_not_reckoned():
    members = with_adapter()
    members["claims"][0]["companion_lines"] = along("other")
    result = answer(members)
    assert chosen(recommended(result)) == {"pump": "new"}
    assert "going in with itself" in why(result, "other from")


def test_the_price_of_what_goes_along_is_one_that_may_change_the_plan():
    """10 + 2 x 7 against 40: above 15 a piece the pump is bought."""
    members = with_adapter(goods("adapter", "a", "7"))
    members["offers"][-1]["price"] = eur("40")
    result = answer({**members, "asked": {"break_evens": 5, "settlings": 0}})
    told = {one.path: one for one in result.break_evens}
    found = told["/offers/1/price/amount"]
    assert found.changes_at == Decimal("15.01")


def test_a_kit_gives_one_for_one_and_nothing_that_needs_more_with_it():
    kit = part("kit", kit_lines=along("other", 4))
    members = with_adapter(goods("kit", "a", "1"), goods("adapter", "a", "7"))
    members["parts"].append(kit)
    result = answer(members)
    assert chosen(recommended(result)) == {"pump": "interchange"}
    assert "a kit does not bring" in why(result, "kit from")


def test_an_offer_that_may_prove_bad_is_awaited_where_it_is_bought_along():
    bad = goods("adapter", "a", "7", reject_probability="0.5")
    built = build(from_builtins(with_adapter(bad), Snapshot))
    source = next(s for s in built.case.sources if ":with:" in s.id)
    assert [key for key in source.charges if key.startswith("good:")]
