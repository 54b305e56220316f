"""Parts by a path: later numbers, longer paths, ratios, what is bought along, other assemblies.

Situations from the trade with invented figures; the money is worked by hand beside each check.
"""

from decimal import Decimal

import pytest

from shared.decision.building.build import build
from shared.decision.building.goods import CHOICES_AT_MOST
from shared.decision.codec import from_builtins, to_builtins
from shared.decision.snapshot import Snapshot
from shared.errors import InvalidInput
from tests.snapshots import (
    Members,
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
    seen,
    settings,
    snapshot,
    supplier,
    why,
    work,
)


def worn(*keys: str, **members) -> Members:
    """A worn pump among the parts ``pump`` and ``keys``; nothing is on offer unless told."""
    base = {
        "parts": [part("pump"), *(part(key, kind="pump") for key in keys)],
        "positions": [position("pump")],
        "suppliers": [supplier("a"), supplier("b")],
        **looks(pump="heavy"),
    }
    return snapshot(**{**base, **members})


def claim(key: str = "1", **members) -> Members:
    return {
        "id": f"clm_{key}",
        "part_id": "prt_pump",
        "stand_in_part_id": "prt_other",
        "evidence_kind": "fitted-and-run",
        "evidence": "run for a season",
        **members,
    }


def later(earlier: str, *lines: tuple[str, int], key: str = "1", **members) -> Members:
    return {
        "id": f"sup_{key}",
        "earlier_part_id": f"prt_{earlier}",
        "later_lines": [{"part_id": f"prt_{name}", "quantity": count} for name, count in lines],
        "evidence_kind": "maker-bulletin",
        "evidence": "bulletin 7",
        **members,
    }


def along(key: str, quantity: int = 1) -> list[Members]:
    return [{"part_id": f"prt_{key}", "quantity": quantity}]


def line_notes(plan, name: str = "pump") -> str:
    return "; ".join(next(line.notes for line in plan.lines if line.position_name == name))


def total(members: Members) -> Decimal:
    return best(members).expected_total.amount


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


# --- donors, the shelf and stock ----------------------------------------------------------------


EXPERIENCE = [{"prior_mean": "0.9", "prior_weight": "10"}]


def gift(**members) -> Members:
    return {
        "unit_id": "unt_d",
        "position": {
            "id": "pos_there",
            "assembly_id": "asm_2",
            "name": "circulator",
            "part_id": "prt_pump",
            **members.pop("position", {}),
        },
        "to_position_id": "pos_pump",
        **members,
    }


def elsewhere(*gifts: Members, donor_members: Members | None = None, **members) -> Members:
    """A worn pump, new for 200; a donor of another assembly worth 5 holds a pump."""
    given = {
        "settings": settings(salvage_experience=EXPERIENCE),
        "units": [own_unit(), donor("d", worth="5", assembly_id="asm_2", **(donor_members or {}))],
        "gifts": list(gifts) or [gift()],
        "offers": [goods("pump", "a", "200")],
        "operations": [work("pump", "harvest", "1", position_id="pos_pump")],
    }
    return worn("other", **{**given, **members})


def test_a_donor_of_another_assembly_gives_the_same_number():
    """5 given up, 1 h at 60 to take it, and 200 with a chance of 0.1: 85."""
    result = answer(elsewhere())
    plan = recommended(result)
    assert chosen(plan) == {"pump": "salvaged"}
    assert plan.expected_total.amount == Decimal("85.00")
    assert any("another assembly, are those of this assembly" in a for a in result.assumptions)


def test_it_gives_a_stand_in_with_its_rework_and_what_goes_along():
    """85 as before, 0.5 h at 60 rework, an adapter at 7: 122."""
    members = elsewhere(
        gift(position={"part_id": "prt_other"}),
        offers=[goods("pump", "a", "200"), goods("adapter", "a", "7")],
        claims=[
            claim(
                rework_p50_hours="0.5",
                rework_p90_hours="0.5",
                companion_lines=along("adapter"),
            )
        ],
    )
    members["parts"].append(part("adapter"))
    plan = best(members)
    assert chosen(plan) == {"pump": "salvaged"}
    assert plan.expected_total.amount == Decimal("122.00")
    assert "interchange for pump" in line_notes(plan)
    assert any("one that stands in for it: pump" in note for note in plan.customer.notes)


def test_a_stand_in_out_of_a_donor_is_both_for_the_shops_policy():
    rules = settings(
        salvage_experience=EXPERIENCE, policy={"safety_critical_sources": ["new", "salvaged"]}
    )
    given = elsewhere(
        gift(position={"part_id": "prt_other"}),
        settings=rules,
        positions=[position("pump", is_safety_critical=True)],
        claims=[claim()],
    )
    result = answer(given)
    assert chosen(recommended(result)) == {"pump": "new"}
    assert "safety-critical" in why(result, "pump from donor")
    assert chosen(best({**given, "gifts": [gift()]})) == {"pump": "salvaged"}


def test_when_it_proves_bad_what_goes_along_with_the_fallback_is_waited_for():
    def proof(days: str):
        members = elsewhere(
            offers=[goods("other", "a", "10"), goods("adapter", "a", "7", days=(days, days))],
            claims=[claim(companion_lines=along("adapter"))],
        )
        members["parts"].append(part("adapter"))
        built = build(from_builtins(members, Snapshot))
        return next(t for t in built.case.lead_tables if t.id.startswith("proof:")).chance_by_day

    assert proof("1")[4] == 10**9 > proof("20")[4]


def test_when_it_proves_bad_the_longer_work_on_the_fallback_is_waited_for():
    """20 h of rework, at 8 h a day, put off by three days what takes its place."""

    def proof(hours: str):
        members = elsewhere(
            offers=[goods("other", "a", "10")],
            claims=[claim(rework_p50_hours="0", rework_p90_hours=hours)],
        )
        built = build(from_builtins(members, Snapshot))
        table = next(t for t in built.case.lead_tables if t.id.startswith("proof:")).chance_by_day
        return next(day for day, chance in enumerate(table) if chance == 10**9)

    assert proof("20") == proof("0") + 3


def test_a_failure_later_counts_the_cheapest_part_that_goes_in_by_itself():
    """A tenth of 200, the pump; the other part at 10 needs an adapter with it."""
    members = elsewhere(
        offers=[goods("pump", "a", "200"), goods("other", "a", "10"), goods("adapter", "a", "7")],
        claims=[claim(companion_lines=along("adapter"))],
        settings=settings(
            salvage_experience=EXPERIENCE,
            comeback_experience=[{"kind": "salvaged", "prior_mean": "0.1", "prior_weight": "10"}],
        ),
    )
    members["parts"].append(part("adapter"))
    built = build(from_builtins(members, Snapshot))
    source = next(s for s in built.case.sources if s.kind == "salvaged")
    assert [line.cost for line in source.lines if line.cost_class == "comeback"] == [2000]


SHAPES = {
    "other number": (gift(position={"part_id": "prt_other"}), {}, "nothing on record says"),
    "no number": (gift(position={"part_id": None}), {}, "not on record"),
    "select fit": (gift(position={"renewal_rule": "select-fit"}), {}, "chosen by measuring"),
    "always": (gift(position={"renewal_rule": "always"}), {}, "renewed always"),
    "paired there": (gift(is_of_matched_set=True), {}, "not parted from its mates"),
    "bound there": (gift(position={"is_variant_bound": True}), {}, "depends on the"),
    "too few": (gift(), {"positions": [position("pump", quantity=2)]}, "2 are needed"),
    "taken": (
        gift(),
        {"donor_members": {"taken_position_ids": ["pos_there"]}},
        "taken already",
    ),
    "inside taken": (
        gift(inner_position_ids=["pos_in"]),
        {"donor_members": {"taken_position_ids": ["pos_in"]}},
        "inside it was taken",
    ),
    "around unknown": (
        gift(position={"parent_id": "pos_case"}),
        {"donor_members": {"taken_position_ids": ["pos_case"]}},
        "may have been taken already",
    ),
    "safety": (gift(), {"positions": [position("pump", is_safety_critical=True)]}, "critical"),
    "no experience": (gift(), {"settings": settings()}, "no experience on record"),
}


@pytest.mark.parametrize("shape", SHAPES)
def test_what_another_assembly_does_not_give_is_told(shape):
    given, members, reason = SHAPES[shape]
    result = answer(elsewhere(given, **members))
    assert chosen(recommended(result)) == {"pump": "new"}
    assert reason in why(result, "pump from donor")


def test_a_member_of_a_matched_set_comes_from_no_other_assembly():
    members = elsewhere(
        positions=[position("pump"), position("gear")],
        position_sets=[
            {
                "id": "set_1",
                "assembly_id": "asm_1",
                "kind": "matched",
                "name": "pair",
                "position_ids": ["pos_pump", "pos_gear"],
            }
        ],
        **looks(pump="heavy", gear="none"),
    )
    members["parts"] += [part("gear"), part("set", kit_lines=along("pump") + along("gear"))]
    members["offers"] = [goods("set", "a", "300")]
    result = answer(members)
    assert chosen(recommended(result)) == {"pump": "kit", "gear": "kit"}
    assert "no member comes from another assembly" in why(result, "pump from donor")


def looked_at(grade: str) -> Members:
    """The donor's pump was looked at where it sits."""
    members = elsewhere()
    there = {
        "id": "chr_there",
        "position_id": "pos_there",
        "name": "wear",
        "worst_acceptable_grade": "light",
    }
    members["characteristics"] = [*members["characteristics"], there]
    found = seen("there", grade, "d")
    members["findings"] = [*members["findings"], found]
    return members


def test_what_was_found_on_the_donor_counts_by_its_own_limits():
    result = answer(looked_at("heavy"))
    assert chosen(recommended(result)) == {"pump": "new"}
    assert "nonconforming on the donor" in why(result, "pump from donor")


def test_what_is_inspected_here_is_not_proved_by_what_was_seen_there():
    """Conforming there: still the chance by experience, since pumps are inspected here."""
    plan = best(looked_at("none"))
    assert plan.expected_total.amount == Decimal("85.00")
    members = looked_at("none")
    bare = [one for one in members["characteristics"] if one["id"] == "chr_there"]
    on_donor = [one for one in members["findings"] if one["unit_id"] == "unt_d"]
    members |= {"characteristics": bare, "findings": on_donor}
    members["settings"]["policy"] = {"keep_not_inspected": "barred"}
    assert total(members) == Decimal("65.00")  # 5 + 60, nothing left to prove


def test_one_pump_of_a_donor_fills_one_place_only():
    """Two worn pumps here, one pump in a donor of another assembly."""
    positions = [position("pump"), {**position("pump"), "id": "pos_second", "name": "second"}]
    members = elsewhere(
        gift(),
        {**gift(), "to_position_id": "pos_second"},
        positions=positions,
        operations=[],
    )
    members["settings"]["policy"] = {"keep_not_inspected": "barred"}
    kinds = sorted(chosen(best(members)).values())
    assert kinds == ["new", "salvaged"]


def test_the_rest_of_the_donor_loses_what_is_taken():
    """Worth 50, rest 40, of it the pump 15: 50 - 40 + 15 + 60 + 20 = 105."""
    terms = {
        "remainder_worth": eur("40"),
        "part_worths": [{"position_id": "pos_there", "worth": eur("15")}],
    }
    unit = donor("d", worth="50", assembly_id="asm_2", terms=terms)
    assert total(elsewhere(units=[own_unit(), unit])) == Decimal("105.00")


def test_what_left_the_donor_before_took_its_inside_with_it():
    """Worth 50; the rest fetches 40, less 5 and 15 of what left: 50 - 20 + 60 + 20 = 110."""
    terms = {
        "remainder_worth": eur("40"),
        "part_worths": [
            {"position_id": "pos_case", "worth": eur("5")},
            {"position_id": "pos_in", "worth": eur("15")},
        ],
    }
    gone = {"taken_position_ids": ["pos_case"]}
    unit = donor("d", worth="50", assembly_id="asm_2", terms=terms, **gone)
    whole = gift(position={"id": "pos_case"}, inner_position_ids=["pos_in"])
    assert total(elsewhere(gift(), whole, units=[own_unit(), unit])) == Decimal("110.00")


def shelf(**members) -> Members:
    """A stand-in pump, inspected, on the shelf; it sat in this very position of a donor."""
    gone = donor("d", worth="5", taken_position_ids=["pos_pump"])
    piece = {
        "id": "slv_1",
        "donor_unit_id": "unt_d",
        "position_id": "pos_pump",
        "label": "S-1",
        "inspected_by": "Technician A",
        "inspected_on": "2031-02-01",
        "part_id": "prt_other",
        "finding_ids": ["fnd_d_pump"],
        "worth": eur("30"),
    }
    base = worn(
        "other",
        units=[own_unit(), gone],
        offers=[goods("pump", "a", "200")],
        salvaged_parts=[piece],
    )
    base["findings"].append(seen("pump", "none", "d"))
    return {**base, **members}


def test_a_stand_in_on_the_shelf_goes_in_by_a_claim_with_its_rework():
    """Worth 30, 0.5 h at 60: 60."""
    assert chosen(best(shelf())) == {"pump": "new"}
    members = shelf(claims=[claim(rework_p50_hours="0.5", rework_p90_hours="0.5")])
    plan = best(members)
    assert chosen(plan) == {"pump": "salvaged"}
    assert plan.price.amount == Decimal("60.00")
    assert "interchange for pump" in line_notes(plan)
    members["claims"][0]["evidence_kind"] = "told"
    assert chosen(best(members)) == {"pump": "new"}


def test_what_was_not_looked_at_on_a_part_from_the_shelf_is_told_once():
    """It sat elsewhere, where wear is inspected as it is here; nobody looked."""
    members = shelf(
        positions=[position("pump"), position("second", part_id="prt_other")], claims=[claim()]
    )
    members["characteristics"].append({**members["characteristics"][0], "id": "chr_second"})
    members["characteristics"][-1]["position_id"] = "pos_second"
    members["findings"] = [seen("pump", "heavy"), seen("second", "none")]
    members["salvaged_parts"][0] |= {"position_id": "pos_second", "finding_ids": []}
    members["units"][1]["taken_position_ids"] = ["pos_second"]
    told = line_notes(best(members))
    assert "no finding on record of: wear" in told
    assert "wear, wear" not in told


def test_what_goes_in_with_a_part_from_the_shelf_is_bought_along():
    """Worth 30, an adapter at 7: 37; without an offer for it nothing."""
    members = shelf(claims=[claim(companion_lines=along("adapter"))])
    members["parts"].append(part("adapter"))
    result = answer(members)
    assert chosen(recommended(result)) == {"pump": "new"}
    assert "needs Anymaker ADAPTER" in why(result, "from the shelf")
    members["offers"].append(goods("adapter", "a", "7"))
    assert best(members).price.amount == Decimal("37.00")


def test_what_came_out_of_a_matched_set_elsewhere_is_not_fitted_without_its_mates():
    members = shelf(claims=[claim()])
    members["salvaged_parts"][0] |= {"position_id": "pos_far", "finding_ids": []}
    members["units"][1] |= {"assembly_id": "asm_far", "taken_position_ids": ["pos_far"]}
    members["findings"] = [one for one in members["findings"] if one["unit_id"] == "unt_1"]
    assert chosen(best(members)) == {"pump": "salvaged"}
    members["salvaged_parts"][0]["is_of_matched_set"] = True
    result = answer(members)
    assert chosen(recommended(result)) == {"pump": "new"}
    assert "not fitted without its mates" in why(result, "pump from the shelf")


def test_in_a_matched_set_nothing_from_the_shelf_stands_in():
    members = shelf(
        claims=[claim()],
        positions=[position("pump"), position("gear")],
        position_sets=[
            {
                "id": "set_1",
                "assembly_id": "asm_1",
                "kind": "matched",
                "name": "pair",
                "position_ids": ["pos_pump", "pos_gear"],
            }
        ],
    )
    members["parts"] += [part("gear"), part("set", kit_lines=along("pump") + along("gear"))]
    members["offers"] = [goods("set", "a", "300")]
    assert "recorded as another part" in why(answer(members), "pump from the shelf")


@pytest.mark.parametrize(
    ("own", "other", "reason"),
    [
        ({"ratio": "3.73"}, {"ratio": "3.55"}, "turns the output 5.1 % faster"),
        ({"hand": "left"}, {"hand": "right"}, "hand 'right', wanted 'left'"),
        ({"generation": "B"}, {}, "generation 'not on record', wanted 'B'"),
    ],
)
def test_a_stock_unit_of_another_kind_is_not_put_in(own, other, reason):
    """(3.73 / 3.55 - 1) x 100 = 5.07 %."""
    stock = donor("s", worth="20", kind="stock", **other)
    members = worn(
        units=[own_unit(**own), stock],
        offers=[goods("pump", "a", "200")],
        assembly={"id": "asm_1", "maker": "Anymaker", "model": "A1", "kind": "drive"},
    )
    result = answer(members)
    assert chosen(recommended(result)) == {"pump": "new"}
    assert reason in why(result, "stock unit")
    members["units"] = [own_unit(**own), {**stock, **own}]
    assert chosen(best(members)) == {"the whole unit": "used"}


CHANGED = ["300", "700", None]
"""Serial numbers before and after 500, from which on another pump was built in; and none."""


@pytest.mark.parametrize("there", CHANGED)
@pytest.mark.parametrize("own", CHANGED)
@pytest.mark.parametrize("is_shelved", [False, True])
def test_a_unit_built_with_another_number_gives_nothing_to_one_that_it_does_not_fit(
    own, there, is_shelved
):
    """A donor of the same design from 500 on holds the later pump; it goes in from 500 on only."""
    members = shelf() if is_shelved else worn("other", offers=[goods("pump", "a", "200")])
    members |= {
        "units": [own_unit(serial_number=own), donor("d", worth="5", serial_number=there)],
        "settings": settings(salvage_experience=EXPERIENCE),
        "supersessions": [later("pump", ("other", 1), serial_from="500")],
    }
    if is_shelved:
        members["units"][1]["taken_position_ids"] = ["pos_pump"]
        members["salvaged_parts"][0]["part_id"] = None
    result = answer(members)
    gives = chosen(recommended(result)) == {"pump": "salvaged"}
    assert gives == (there == "300" or own == "700")
    if not gives:
        told = why(result, "pump from the shelf" if is_shelved else "pump from donor")
        may = "was built" if there == "700" else "may have been built"
        assert f"that unit {may} with another number: Anymaker OTHER" in told


def test_a_unit_built_with_another_number_gives_it_where_it_fits_as_it_is():
    """By a claim it goes in; with rework it does not count as the same part."""
    members = worn(
        "other",
        units=[own_unit(serial_number="300"), donor("d", worth="5", serial_number="700")],
        offers=[goods("pump", "a", "200")],
        settings=settings(salvage_experience=EXPERIENCE),
        supersessions=[later("pump", ("other", 1), serial_from="500")],
        claims=[claim()],
    )
    assert chosen(best(members)) == {"pump": "salvaged"}
    members["claims"] = [claim(rework_p50_hours="1", rework_p90_hours="1")]
    assert chosen(best(members)) == {"pump": "new"}
    members["claims"], members["supersessions"][0]["evidence_kind"] = [], "told"
    assert chosen(best(members)) == {"pump": "salvaged"}


def test_two_units_built_with_the_later_number_give_it_to_each_other_however_sure_it_is():
    """0.93 by the cross-reference is not enough to buy it; out of a like unit it is the same."""
    members = worn(
        "other",
        units=[own_unit(serial_number="700"), donor("d", worth="5", serial_number="700")],
        offers=[goods("pump", "a", "200"), goods("other", "a", "1")],
        settings=settings(salvage_experience=EXPERIENCE, interchange={"least_confidence": "0.95"}),
        supersessions=[
            later(
                "pump", ("other", 1), serial_from="500", evidence_kind="published-cross-reference"
            )
        ],
    )
    assert chosen(best(members)) == {"pump": "salvaged"}


def test_what_depends_on_the_ratio_does_not_come_from_a_donor_of_another():
    members = worn(
        units=[own_unit(ratio="1.98"), donor("d", worth="5", ratio="1.84")],
        settings=settings(salvage_experience=EXPERIENCE),
        positions=[position("pump", is_variant_bound=True)],
        offers=[goods("pump", "a", "200")],
    )
    told = why(answer(members), "pump from donor")
    assert "depends on the ratio" in told
    assert "turns the output 7.6 % faster" in told
    members["units"][1]["ratio"] = "1.980"
    assert chosen(best(members)) == {"pump": "salvaged"}


# --- what cannot be so, and what was written before ---------------------------------------------


def wrong(where: str, **members) -> tuple[str, Members]:
    return where, members


@pytest.mark.parametrize(
    ("pointer", "members"),
    [
        wrong("/claims/0/stand_in_part_id", claims=[claim(stand_in_part_id="prt_none")]),
        wrong("/claims/0/stand_in_quantity", claims=[claim(stand_in_quantity=0)]),
        wrong("/claims/0/part_quantity", claims=[claim(part_quantity=0)]),
        wrong("/claims/0/companion_lines/0/part_id", claims=[claim(companion_lines=along("none"))]),
        wrong(
            "/claims/0/companion_lines/0/quantity",
            claims=[claim(companion_lines=along("other", 0))],
        ),
        wrong("/claims/0/ratio", claims=[claim(ratio="0")]),
        wrong("/supersessions/0/earlier_part_id", supersessions=[later("none", ("other", 1))]),
        wrong("/supersessions/0/later_lines/0/part_id", supersessions=[later("pump", ("none", 1))]),
        wrong(
            "/supersessions/0/companion_lines/0/quantity",
            supersessions=[later("pump", ("other", 1), companion_lines=along("other", 0))],
        ),
        wrong("/supersessions/1/id", supersessions=[later("pump"), later("other")]),
        wrong("/fitment_counts/0/claim_id", fitment_counts=[{"claim_id": "clm_9"}]),
        wrong(
            "/fitment_counts/1/claim_id",
            claims=[claim()],
            fitment_counts=[{"claim_id": "clm_1"}, {"claim_id": "clm_1"}],
        ),
        wrong(
            "/fitment_counts/0/served",
            claims=[claim()],
            fitment_counts=[{"claim_id": "clm_1", "served": -1}],
        ),
        wrong("/gifts/0/unit_id", gifts=[gift(unit_id="unt_1")]),
        wrong("/gifts/0/position/assembly_id", gifts=[gift(position={"assembly_id": "asm_1"})]),
        wrong("/gifts/0/position/id", gifts=[gift(position={"id": "pos_pump"})]),
        wrong("/gifts/0/position/part_id", gifts=[gift(position={"part_id": "prt_none"})]),
        wrong("/gifts/0/to_position_id", gifts=[{**gift(), "to_position_id": "pos_none"}]),
        wrong("/gifts/1", gifts=[gift(), gift()]),
        wrong("/gifts/0/inner_position_ids", gifts=[gift(inner_position_ids=["pos_there"])]),
        wrong(
            "/gifts/1/position",
            positions=[position("pump"), position("second", part_id="prt_pump")],
            gifts=[
                gift(),
                {**gift(position={"quantity": 4}), "to_position_id": "pos_second"},
            ],
        ),
        wrong(
            "/gifts/1/position",
            positions=[position("pump"), position("second", part_id="prt_pump")],
            gifts=[gift(), {**gift(inner_position_ids=["pos_in"]), "to_position_id": "pos_second"}],
        ),
        wrong("/units/0/ratio", units=[own_unit(ratio="0"), donor("d", assembly_id="asm_2")]),
    ],
)
def test_what_cannot_be_so_is_refused_by_its_place(pointer, members):
    with pytest.raises(InvalidInput) as caught:
        answer(elsewhere(**{"gifts": [], **members}))
    assert caught.value.pointer == pointer


@pytest.mark.parametrize(
    ("pointer", "rules"),
    [
        ("least_confidence", {"least_confidence": "1.1"}),
        ("hop_discount", {"hop_discount": "0"}),
        ("most_steps", {"most_steps": 0}),
        ("most_steps", {"most_steps": 11}),
        ("beliefs/0/mean", {"beliefs": [{"evidence_kind": "told", "mean": "1", "weight": "4"}]}),
        (
            "beliefs/0/weight",
            {"beliefs": [{"evidence_kind": "told", "mean": "0.5", "weight": "0"}]},
        ),
        (
            "beliefs/1/evidence_kind",
            {"beliefs": [{"evidence_kind": "told", "mean": "0.5", "weight": "4"}] * 2},
        ),
    ],
)
def test_rules_that_cannot_be_worked_with_are_refused(pointer, rules):
    with pytest.raises(InvalidInput) as caught:
        answer(worn(settings=settings(interchange=rules)))
    assert caught.value.pointer == f"/settings/interchange/{pointer}"


def test_a_snapshot_written_before_these_members_is_read_as_one_without_them():
    written = to_builtins(from_builtins(worn(), Snapshot))
    for name in ("supersessions", "fitment_counts", "gifts"):
        del written[name]
    del written["settings"]["interchange"]
    for unit in written["units"]:
        for name in ("built_on", "hand", "ratio", "generation"):
            del unit[name]
    assert from_builtins(written, Snapshot) == from_builtins(worn(), Snapshot)
